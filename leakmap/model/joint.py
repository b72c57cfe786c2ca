"""A joint: where two pours or parts meet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import cos, pi, sin
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.base.numbers import finite, not_negative, positive
from leakmap.geometry.path import Box, Path, Point
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.words import Face, Kind, Side, Waterstop

_RING_CORNERS: Final = 96


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who decided something, why and when."""

    name: str
    reason: str
    on: date

    def __post_init__(self) -> None:
        """Refuse a decision without a name or a reason.

        Raises:
            BadValue: The name or the reason is empty.
        """
        if not self.name.strip() or not self.reason.strip():
            raise BadValue("This needs a name and a reason; give both.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Blind:
    """A stretch of a joint that is hidden, so that no slot can be opened there.

    Attributes:
        from_m: Chainage where it starts; on a closed joint it may be greater than ``to_m``.
        to_m: Chainage where it stops.
        what: What hides it: slab thickness, plant, a tank.
        cleared_by: Who clears it; may be empty.
    """

    from_m: float
    to_m: float
    what: str
    cleared_by: str = ""

    def __post_init__(self) -> None:
        """Refuse a stretch without length.

        Raises:
            BadValue: A chainage is negative or not finite, or both are equal.
        """
        not_negative(self.from_m, "start of a blind stretch")
        not_negative(self.to_m, "end of a blind stretch")
        if self.from_m == self.to_m:
            raise BadValue("A blind stretch has no length; give two different chainages.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """A joint drawn on a sheet.

    A joint's course is one of three: ``path`` (a polyline in metres of the site plane), ``point``
    with ``rise_m`` (a vertical joint, chainage from its foot), or ``point`` with ``diameter_m`` (a
    pipe collar, closed, chainage 0 at the top and clockwise).

    Attributes:
        ref: Reference that people see, such as J-05 or V-02; unique in the job.
        sheet: The sheet it is drawn on.
        height_m: Height over the sheet's floor of a joint on a wall, or of the foot of a vertical
            joint; not used for floor and corner (0) and soffit (the storey height): see ``height_of``.
        head_sheet: Sheet where the head of a vertical joint is met at the same x, y.
        room_side: Side of a corner joint on which the room lies; None when not known.
        start_m: Printed chainage of the joint's first point: issued chainages stay when a joint is split.
        dormant: Whether a contraction joint or crack is confirmed not to move.
        repair_anyway: Decision to repair a movement joint by this method all the same.
        clearance_m: Distance that slots keep from a movement joint on each side; None: not yet given.
        blind: Hidden stretches.
    """

    id: UUID
    ref: str
    sheet: UUID
    kind: Kind
    face: Face
    path: Path | None = None
    point: Point | None = None
    rise_m: float | None = None
    diameter_m: float | None = None
    height_m: float = 0.0
    head_sheet: UUID | None = None
    room_side: Side | None = None
    start_m: float = 0.0
    dormant: bool = False
    repair_anyway: Signed | None = None
    clearance_m: float | None = None
    blind: tuple[Blind, ...] = ()
    thickness_m: float | None = None
    cover_m: float | None = None
    waterstop: Waterstop = Waterstop.UNKNOWN
    waterstop_depth_m: float | None = None
    tendons: bool | None = None
    seen_from: str = ""
    repaired_from: str = ""
    access: str = ""

    def __post_init__(self) -> None:
        """Refuse a joint that no job can hold.

        Raises:
            BadValue: It has no single course, no reference, or a measure that is not a usable number.
        """
        if not self.ref.strip():
            raise BadValue("A joint needs a reference, such as J-05.")
        self._check_course()
        finite(self.height_m, f"height of {self.ref}")
        finite(self.start_m, f"start chainage of {self.ref}")
        for value, name in (
            (self.rise_m, "rise"),
            (self.diameter_m, "diameter"),
            (self.thickness_m, "thickness"),
            (self.cover_m, "cover to steel"),
            (self.waterstop_depth_m, "waterstop depth"),
        ):
            if value is not None:
                positive(value, f"{name} of {self.ref}")
        if self.clearance_m is not None:
            not_negative(self.clearance_m, f"clearance of {self.ref}")
        if any(max(stretch.from_m, stretch.to_m) > self.length_m + MICRON_M for stretch in self.blind):
            raise BadValue(f"A blind stretch of {self.ref} lies past its end.", where=self.ref)

    def _check_course(self) -> None:
        if (self.path is None) == (self.point is None):
            raise BadValue(f"{self.ref} needs either a line or a point.", where=self.ref)
        if self.point is None:
            if self.rise_m is not None or self.diameter_m is not None:
                raise BadValue(f"{self.ref} is a line: it has neither a rise nor a diameter.", where=self.ref)
            return
        if (self.rise_m is None) == (self.diameter_m is None):
            raise BadValue(f"{self.ref} is a point: it needs either a rise or a diameter.", where=self.ref)
        for part in self.point:
            finite(part, f"position of {self.ref}")

    @property
    def vertical(self) -> bool:
        """Whether it is a vertical joint: a point with a rise."""
        return self.rise_m is not None

    @property
    def closed(self) -> bool:
        """Whether it returns to its start: a closed line or a pipe collar drawn as a point."""
        return self.diameter_m is not None or (self.path is not None and self.path.closed)

    @property
    def length_m(self) -> float:
        """Length in metres: of the line, the rise, or π times the diameter."""
        if self.path is not None:
            return self.path.length_m
        if self.rise_m is not None:
            return self.rise_m
        assert self.diameter_m is not None
        return pi * self.diameter_m


def ring(centre: Point, diameter_m: float) -> Path:
    """A pipe collar in plan: a closed polygon whose length is exactly π times the diameter.

    It starts at the top (largest y) and runs clockwise, as chainages of collars do.
    """
    n = _RING_CORNERS
    radius = pi * diameter_m / (2 * n * sin(pi / n))
    turns = [pi / 2 - 2 * pi * k / n for k in range(n)]
    return Path(tuple((centre[0] + radius * cos(t), centre[1] + radius * sin(t)) for t in turns), closed=True)


def plan_path(joint: Joint) -> Path | None:
    """The joint's course in plan, metres.

    None for what is a mere point in plan: a vertical joint, and a pipe collar in a wall.
    """
    if joint.path is not None:
        return joint.path
    if joint.diameter_m is not None and joint.face is not Face.WALL:
        assert joint.point is not None
        return ring(joint.point, joint.diameter_m)
    return None


def plan_box(joint: Joint) -> Box:
    """Box round a joint in plan, metres."""
    path = plan_path(joint)
    if path is not None:
        return path.box
    assert joint.point is not None
    return (*joint.point, *joint.point)


def plan_point(joint: Joint, at_m: float) -> Point:
    """Where a chainage of a joint lies in plan, metres; past an end, that end."""
    path = plan_path(joint)
    if path is not None:
        return path.point_at(at_m)
    assert joint.point is not None
    return joint.point


def height_of(joint: Joint, storey_height_m: float) -> float:
    """Height over the sheet's floor: 0 for floor and corner, the storey height for a soffit, else as given."""
    if joint.vertical or joint.face is Face.WALL:
        return joint.height_m
    return storey_height_m if joint.face is Face.SOFFIT else 0.0
