"""Measuring: chainages rounded once, lengths as their differences, and the quantities that follow.

Lengths, and the litres and areas that are length × something, come from the rounded chainages that
are printed, so that whoever adds up the printed rows finds the printed sums.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Final

from leakmap.base.measures import AREA, VOLUME
from leakmap.base.rounding import ZERO, rounded
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint
from leakmap.model.rules import Rules
from leakmap.model.words import Wetness
from leakmap.repair.chainages import spans_of
from leakmap.repair.depths import Depths, depth_mm
from leakmap.repair.results import BlindPart, Piece, Row, Stretch, Why

CLEARANCE: Final = "clearance of a movement joint"
"""What hides a blind piece that no blind stretch of the joint explains."""


@dataclass(frozen=True, slots=True)
class Volumes:
    """Litres of a zone's slot, nominal section × length; relief holes lie below the slot and are left out."""

    slot_l: Decimal
    plug_l: Decimal

    @property
    def drypack_l(self) -> Decimal:
        """What the plug leaves of the slot."""
        return self.slot_l - self.plug_l


class Measure:
    """The rounding of a job's figures: each once, to a step that its units show exactly.

    Attributes:
        of: Gives a chainage rounded half up to the measuring step; each is worked out once.
    """

    def __init__(self, job: Job) -> None:
        self.of: Callable[[float], Decimal] = _Rounded(job.rules.measuring_step_m).__getitem__
        self._area_step, self._volume_step = AREA[job.units].step, VOLUME[job.units].step

    def area(self, value_m2: float | Decimal) -> Decimal:
        """Square metres of a zone."""
        return rounded(value_m2, self._area_step)

    def volume(self, value_l: float | Decimal) -> Decimal:
        """Litres of a zone."""
        return rounded(value_l, self._volume_step)


class _Rounded(dict[float, Decimal]):
    """Values rounded half up to a step, each when it is first asked for."""

    def __init__(self, step: Decimal) -> None:
        super().__init__()
        self._step = step

    def __missing__(self, value: float) -> Decimal:
        found = self[value] = rounded(value, self._step)
        return found


def stretches_of(depths: Depths, measure: Measure, pieces: Iterable[tuple[int, Piece]]) -> tuple[Stretch, ...]:
    """Measured stretches of a zone: its opened pieces, parted where depth or filling changes.

    Args:
        depths: Depth and filling at every place.
        measure: The rounding of chainages.
        pieces: Each with the number of its component before cuts, in sheet, joint, chainage order.
    """
    found = []
    for whole, piece in pieces:
        if piece.why is Why.BLIND or piece.to_m <= piece.from_m:
            continue
        for start_m, stop_m, depth_m, plugged in depths.segments(whole, piece.joint, piece.from_m, piece.to_m):
            from_m, to_m = measure.of(start_m), measure.of(stop_m)
            if from_m < to_m:
                found.append(
                    Stretch(
                        joint=piece.joint,
                        from_m=from_m,
                        to_m=to_m,
                        depth_mm=depth_mm(depth_m),
                        plugged=plugged,
                        why=piece.why,
                        wetness=piece.wetness,
                        leaks=piece.leaks,
                    )
                )
    return tuple(found)


def rows_of(stretches: Sequence[Stretch]) -> tuple[Row, ...]:
    """Printed rows: stretches of one joint with the same depth and filling, joined end to end."""
    rows: list[Row] = []
    for item in stretches:
        last = rows[-1] if rows else None
        same = last and (last.joint, last.to_m, last.depth_mm, last.plugged) == (
            item.joint,
            item.from_m,
            item.depth_mm,
            item.plugged,
        )
        from_m = rows.pop().from_m if same else item.from_m
        rows.append(Row(joint=item.joint, from_m=from_m, to_m=item.to_m, depth_mm=item.depth_mm, plugged=item.plugged))
    return tuple(rows)


def blind_parts(job: Job, measure: Measure, pieces: Iterable[Piece]) -> tuple[BlindPart, ...]:
    """Hidden parts of a zone, each with what hides it."""
    return tuple(
        BlindPart(joint=piece.joint, from_m=measure.of(from_m), to_m=measure.of(to_m), what=what, cleared_by=cleared_by)
        for piece in pieces
        if piece.why is Why.BLIND
        for from_m, to_m, what, cleared_by in _hidden_by(job.joints[piece.joint], piece)
        if measure.of(from_m) < measure.of(to_m)
    )


def _hidden_by(joint: Joint, piece: Piece) -> list[tuple[float, float, str, str]]:
    """The piece parted by the joint's blind stretches: (from, to, what, cleared by)."""
    ends = {piece.from_m, piece.to_m}
    for blind in joint.blind:
        ends.update(
            end for span in spans_of(joint, blind.from_m, blind.to_m) for end in span if piece.from_m < end < piece.to_m
        )
    places = sorted(ends)
    found = []
    for from_m, to_m in pairwise(places):
        if to_m - from_m > MICRON_M:
            cause = _cause(joint, (from_m + to_m) / 2)
            found.append((from_m, to_m, cause.what if cause else CLEARANCE, cause.cleared_by if cause else ""))
    return found


def _cause(joint: Joint, at_m: float) -> Blind | None:
    for blind in joint.blind:
        if any(start <= at_m <= end for start, end in spans_of(joint, blind.from_m, blind.to_m)):
            return blind
    return None


def volumes_of(rules: Rules, rows: Iterable[Row]) -> Volumes:
    """Litres of the slot and of the plug in it: nominal section × length, nothing deducted at junctions."""
    width_m = Decimal(repr(rules.slot_width_m))
    share = Decimal(repr(rules.plug_share))
    slot = plug = ZERO
    for row in rows:
        volume = width_m * row.depth_mm * row.length_m  # m × mm × m are litres
        slot += volume
        plug += volume * share if row.plugged else ZERO
    return Volumes(slot, plug)


def exposed_m2(rules: Rules, rows: Iterable[Row]) -> Decimal:
    """Sides of the open slot above the plug: 2 · exposed depth · length."""
    share = Decimal(repr(rules.plug_share))
    total = ZERO
    for row in rows:
        exposed_mm = row.depth_mm * (1 - share) if row.plugged else row.depth_mm
        total += 2 * exposed_mm * row.length_m / 1000
    return total


def sum_m(measure: Measure, stretches: Iterable[Stretch], which: Callable[[Stretch], bool]) -> Decimal:
    """Measured length of some stretches."""
    return sum((item.length_m for item in stretches if which(item)), measure.of(0.0))


def is_wet(item: Stretch) -> bool:
    """Whether a stretch is itself wet: a leak of wetness 1 or more."""
    return item.why is Why.LEAK and item.wetness is not None and item.wetness > Wetness.SUSPECT
