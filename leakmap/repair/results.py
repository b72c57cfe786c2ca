"""What the work-out gives: zones, quantities, findings, totals.

Chainages here are raw (from the joint's first point); a printed chainage adds the joint's
``start_m``. Measured figures are Decimals that were rounded once; sums of them are exact, so a
printed total is the sum of the printed rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cache
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.geometry.path import Point
from leakmap.model.words import Face, Method, Series, Wetness, reference


class Why(StrEnum):
    """Why a piece of joint is in a zone."""

    LEAK = "leak"
    OVERRUN = "overrun"
    MERGED = "merged"  # overruns of two wet stretches lie over each other
    BRIDGE = "bridge"  # a sound gap that was taken in
    BLIND = "blind"  # hidden: no slot, no coat, no measured length


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The finest part of a zone on one joint, for drawing and tracing; unrounded.

    Attributes:
        wetness: The wettest leak on it; None where it is no leak.
        leaks: Leaks that cover it, by themselves or by their overrun.
    """

    joint: UUID
    from_m: float
    to_m: float
    why: Why
    wetness: Wetness | None
    leaks: tuple[UUID, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A measured part of a zone: one joint, one depth, one filling, one reason.

    Attributes:
        from_m: Rounded to the measuring step.
        to_m: Rounded to the measuring step, greater than ``from_m``.
        depth_mm: Slot depth.
        plugged: Whether the lower part of the slot is plug.
    """

    joint: UUID
    from_m: Decimal
    to_m: Decimal
    depth_mm: Decimal
    plugged: bool
    why: Why
    wetness: Wetness | None
    leaks: tuple[UUID, ...]

    @property
    def length_m(self) -> Decimal:
        """Measured length: the difference of the rounded chainages."""
        return self.to_m - self.from_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A printed stretch: stretches of one joint with the same depth and filling, joined end to end."""

    joint: UUID
    from_m: Decimal
    to_m: Decimal
    depth_mm: Decimal
    plugged: bool

    @property
    def length_m(self) -> Decimal:
        """Measured length: the difference of the rounded chainages."""
        return self.to_m - self.from_m


@dataclass(frozen=True, slots=True, kw_only=True)
class BlindPart:
    """A hidden part that cover runs through: listed with who clears it, never measured."""

    joint: UUID
    from_m: Decimal
    to_m: Decimal
    what: str
    cleared_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """A relief point.

    Attributes:
        hole_l: Volume of the round hole below the slot, litres, all plug.
        by_hand: Whether a person set it.
    """

    joint: UUID
    at_m: float
    depth_mm: Decimal
    hole_l: float
    wetness: Wetness
    by_hand: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FillStep:
    """A numbered step of the filling order, 1 first; closing a relief point has the same chainage twice."""

    step: int
    joint: UUID
    from_m: Decimal
    to_m: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """Where a zone stops.

    Attributes:
        up: Whether the zone lies at smaller chainages, so that it stops in rising direction.
        why: "overrun", "joint end", "movement joint", "cut" or "blind".
        owner: Leak whose overrun reaches this end; None for a bridge or a cut.
    """

    joint: UUID
    at_m: float
    up: bool
    why: str
    owner: UUID | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The coat band of a zone on one sheet and face, as polygons in metres of the site plane.

    Attributes:
        rings: Polygons, each an outer ring followed by its holes; every ring closed.
    """

    sheet: UUID
    face: Face
    rings: tuple[tuple[tuple[Point, ...], ...], ...]


@cache
def zone_ref(number: int) -> str:
    """Reference of a zone: Z-07 for 7."""
    return reference(Series.ZONE, number)


@dataclass(frozen=True, kw_only=True)  # without slots: a copy with another number takes all values at once
class Zone:
    """One connected repair.

    Attributes:
        number: 7 for Z-07.
        issued: Whether the number comes from an issue; else it is provisional and may change.
        sheets: Sheets it lies on, in the job's order.
        pieces: For drawing and tracing.
        stretches: Measured, in sheet, joint, chainage order.
        rows: Printed rows; they sum to ``length_m``.
        wet_m: Measured length of the stretches with wetness 1 and more.
        coat1_m2: First coat; litres and square metres are rounded once, to 0.001.
        slot_l: Nominal section × length; relief holes lie below the slot and are left out.
        plug_l: Plug in the slot, and the relief holes.
        method: The heaviest method on it.
        provisional: It holds only suspects, or a joint not confirmed dormant.
        why_provisional: One sentence; empty when it is firm.
        holds: What must be asked before it is opened.
        head_kpa: Head of water over the lowest point; None when no water level is known.
    """

    number: int
    ref: str
    issued: bool
    sheets: tuple[UUID, ...]
    pieces: tuple[Piece, ...]
    stretches: tuple[Stretch, ...]
    rows: tuple[Row, ...]
    blind: tuple[BlindPart, ...]
    ends: tuple[End, ...]
    relief: tuple[Relief, ...]
    order: tuple[FillStep, ...]
    bands: tuple[Band, ...]
    method: Method
    provisional: bool
    why_provisional: str
    holds: tuple[str, ...]
    head_kpa: float | None
    length_m: Decimal
    chargeable_m: Decimal
    wet_m: Decimal
    bridged_m: Decimal
    blind_m: Decimal
    coat1_m2: Decimal
    coat2_m2: Decimal
    wash_m2: Decimal
    slot_l: Decimal
    plug_l: Decimal
    drypack_l: Decimal

    def renumbered(self, number: int, *, issued: bool) -> Zone:
        """The same zone under another number."""
        made = object.__new__(Zone)
        made.__dict__.update(self.__dict__, number=number, ref=zone_ref(number), issued=issued)
        return made


@dataclass(frozen=True, slots=True, kw_only=True)
class AnotherMethod:
    """A leak that is not repaired here, and why."""

    leak: UUID
    joint: UUID
    length_m: Decimal
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """Sums of the printed rows, and lengths of joints and leaks.

    Attributes:
        joint_m: Length of all joints.
        wet_m: Union of leaks of wetness 1 and more on every joint, repairable or not.
        repair_m: Measured length of all zones.
        provisional_m: The provisional part of it.
        saved_m: Definition 10: each wet stretch's own cover, summed, less the cover before bridging.
    """

    joint_m: Decimal
    wet_m: Decimal
    repair_m: Decimal
    provisional_m: Decimal
    saved_m: Decimal
    bridged_m: Decimal
    blind_m: Decimal
    chargeable_m: Decimal
    coat1_m2: Decimal
    coat2_m2: Decimal
    wash_m2: Decimal
    slot_l: Decimal
    plug_l: Decimal
    drypack_l: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Repairs:
    """The whole work-out of one job."""

    zones: tuple[Zone, ...]
    another_method: tuple[AnotherMethod, ...]
    watched: tuple[UUID, ...]  # suspects that the rules only watch
    findings: tuple[Finding, ...]
    totals: Totals
