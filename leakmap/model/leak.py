"""What is marked on joints besides their course: leaks, cuts, relief points, parted junctions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.base.numbers import not_negative
from leakmap.model.words import Method, Wetness


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A picture of a leak, whose file the job keeps.

    Attributes:
        name: Name of the file that was added.
        sha256: Hash of the file, 64 hex digits.
    """

    name: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Leak:
    """A wet or suspect stretch of a joint.

    Attributes:
        ref: Reference that people see, such as L-12; unique in the job.
        from_m: Chainage where it starts, from the joint's first point (not ``start_m``).
        to_m: Chainage where it stops; equal to ``from_m`` for a spot. On an open joint
            ``from_m <= to_m``; on a closed joint ``from_m > to_m`` passes the start, and wet all
            round is 0 to the joint's length.
        wetness: How wet.
        seen: Day it was seen; None when not known.
        worst_m: Chainage of highest flow; None: nobody said.
        flow_l_min: Flow in litres a minute; None when not measured.
        overrun_from_m: Overrun before ``from_m`` set by hand; None: by the rule.
        overrun_to_m: Overrun after ``to_m`` set by hand; None: by the rule.
        method: Method set by hand; None: by the rule.
        photos: Pictures of it, in the order in which they were added.
    """

    id: UUID
    ref: str
    joint: UUID
    from_m: float
    to_m: float
    wetness: Wetness
    seen: date | None = None
    worst_m: float | None = None
    flow_l_min: float | None = None
    overrun_from_m: float | None = None
    overrun_to_m: float | None = None
    method: Method | None = None
    note: str = ""
    photos: tuple[Photo, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a leak that no joint can hold.

        Raises:
            BadValue: It has no reference, or a number is negative or not finite.
        """
        if not self.ref.strip():
            raise BadValue("A leak needs a reference, such as L-12.")
        not_negative(self.from_m, f"start of {self.ref}")
        not_negative(self.to_m, f"end of {self.ref}")
        for value, name in (
            (self.worst_m, "worst point"),
            (self.flow_l_min, "flow"),
            (self.overrun_from_m, "overrun"),
            (self.overrun_to_m, "overrun"),
        ):
            if value is not None:
                not_negative(value, f"{name} of {self.ref}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A place where two zones are kept apart; it never changes measured metres."""

    id: UUID
    joint: UUID
    at_m: float

    def __post_init__(self) -> None:
        """Refuse a chainage that is negative or not finite.

        Raises:
            BadValue: As said.
        """
        not_negative(self.at_m, "place of a cut")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliefPoint:
    """A relief point set by hand, or the word that a wet stretch gets none.

    Attributes:
        at_m: Chainage; it acts on the connected wet stretch that holds it.
        dropped: No relief point is made on that stretch.
    """

    id: UUID
    joint: UUID
    at_m: float
    dropped: bool = False

    def __post_init__(self) -> None:
        """Refuse a chainage that is negative or not finite.

        Raises:
            BadValue: As said.
        """
        not_negative(self.at_m, "place of a relief point")


@dataclass(frozen=True, slots=True, kw_only=True)
class Parted:
    """A meeting of two joints (or of one with itself) that the user took apart.

    Attributes:
        joint: One joint.
        at_m: Chainage of the meeting on it.
        other: The other joint; may be the same.
        other_at_m: Chainage of the meeting on the other.
    """

    id: UUID
    joint: UUID
    at_m: float
    other: UUID
    other_at_m: float

    def __post_init__(self) -> None:
        """Refuse a meeting that is none.

        Raises:
            BadValue: A chainage is negative or not finite, or both places are the same.
        """
        not_negative(self.at_m, "place of a parted junction")
        not_negative(self.other_at_m, "place of a parted junction")
        if (self.joint, self.at_m) == (self.other, self.other_at_m):
            raise BadValue("A junction that is taken apart needs two places; pick two joints.")


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedStretch:
    """A stretch of a zone as issued, carried by later edits so that its reference finds it again.

    Attributes:
        zone: Number of the zone: 7 for Z-07.
    """

    id: UUID
    zone: int
    joint: UUID
    from_m: float
    to_m: float
