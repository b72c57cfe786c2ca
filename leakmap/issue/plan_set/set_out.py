"""Every end of every zone with the tapes that find it, level by level."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from leakmap.geometry.path import Point
from leakmap.issue.drawn_sheets import drawing_of
from leakmap.issue.plan_set.known_points import known_points, walls_of
from leakmap.model.drawing import Drawing
from leakmap.model.grid import Axes, Grid, from_origin_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of, plan_path
from leakmap.model.sheet import Source
from leakmap.repair.results import Repairs, Zone
from leakmap.repair.setting_out import Known, Surroundings, Tapes
from leakmap.repair.tapes_to_lines import ToAxes, ToJoint, to_axes


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneEnd:
    """An end of a zone.

    Attributes:
        zone: Reference of the zone.
        joint: The joint that it lies on.
        at_m: Raw chainage.
        place: Site position.
        height_m: Over the floor of the level; 0 on a floor.
        why: Why the zone stops there, as the work-out says it.
        tapes: How it is found from known points or axes; None where it is found along its joint, or not by tapes.
    """

    zone: str
    joint: Joint
    at_m: float
    place: Point
    height_m: float
    why: str
    tapes: Tapes | ToJoint | ToAxes | None = None

    @property
    def points(self) -> tuple[int, ...]:
        """Numbers of the points that its tapes come from."""
        if isinstance(self.tapes, Tapes):
            return self.tapes.first, self.tapes.second
        return (self.tapes.point,) if isinstance(self.tapes, ToJoint) else ()

    def starts(self, known: Sequence[Known]) -> tuple[Point, ...]:
        """Where its tapes begin, on the site plane."""
        if isinstance(self.tapes, ToAxes):
            return self.tapes.feet
        return tuple(known[number].at for number in self.points)


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelSetOut:
    """The setting-out of one level.

    Attributes:
        ends: In the order of zones.
        known: Points of the level; those that a tape comes from bear a name.
        used: Numbers of the points that a tape comes from, in the order of their names.
    """

    ends: tuple[ZoneEnd, ...]
    known: tuple[Known, ...]
    used: tuple[int, ...]


def set_out(job: Job, repairs: Repairs, drawings: Mapping[Source, Drawing]) -> dict[UUID, LevelSetOut]:
    """The setting-out of every level on which a zone lies."""
    found = {}
    for sheet in job.sheets.values():
        ends = [end for zone in repairs.zones for end in _ends(job, zone, sheet.id)]
        if not ends:
            continue
        walls = walls_of(sheet, drawing_of(sheet, drawings), job.grid)
        around = Surroundings(known_points(job, sheet, walls), walls)
        taped = [end for end in ends if not end.joint.vertical]
        ways = [_way(end) for end in taped]
        tapes = dict(zip(map(id, taped), around.tapes_to([end.place for end in taped], ways), strict=True))
        done = [replace(end, tapes=fair(end, tapes.get(id(end)), job.grid, around)) for end in ends]
        found[sheet.id] = _named(done, around.known)
    return found


def _way(end: ZoneEnd) -> Point:
    path = plan_path(end.joint)
    assert path is not None
    return path.direction_at(end.at_m)


def fair(
    end: ZoneEnd, found: Tapes | ToJoint | None, grid: Grid | None, around: Surroundings
) -> Tapes | ToJoint | ToAxes | None:
    """What was found from points; where that crosses lines of the drawing, or is nothing, two axes in sight."""
    seen = isinstance(found, ToJoint) or (found is not None and found.in_sight)
    if seen or grid is None or end.joint.vertical or not (grid.letters.each and grid.numbers.each):
        return found
    (one, past_one), (other, past_other) = (_nearest(grid, axes, end.place) for axes in (grid.letters, grid.numbers))
    towards = (grid.letters.towards, grid.numbers.towards)
    square = to_axes(end.place, (one, other), (past_one, past_other), towards)
    if square is None or not all(around.in_sight(foot, end.place) for foot in square.feet):
        return found
    return square


def _nearest(grid: Grid, axes: Axes, place: Point) -> tuple[str, float]:
    """Name of the axis of a family that lies nearest to a place, and how far past it the place lies."""
    here = from_origin_m(grid, axes, place)
    axis = min(axes.each, key=lambda each: abs(here - each.at_m))
    return axis.name, here - axis.at_m


def _ends(job: Job, zone: Zone, sheet: UUID) -> Iterable[ZoneEnd]:
    seen: set[tuple[UUID, int]] = set()
    for end in zone.ends:
        joint = job.joints[end.joint]
        key = (joint.id, round(end.at_m * 1000))
        if joint.sheet != sheet or key in seen:
            continue
        seen.add(key)
        path = plan_path(joint)
        place = joint.point if path is None else path.point_at(end.at_m)
        assert place is not None
        high = end.at_m + joint.height_m if joint.vertical else height_of(joint, job.sheets[sheet].storey_height_m)
        yield ZoneEnd(
            zone=zone.ref, joint=joint, at_m=end.at_m, place=place, height_m=high, why=end.why
        )  # fmt: skip


def _named(ends: Iterable[ZoneEnd], known: tuple[Known, ...]) -> LevelSetOut:
    """Points that tapes come from get a number, P1 and on, where they have no name of their own: from the upper left."""
    done = tuple(ends)
    used = {number for end in done for number in end.points}
    nameless = sorted(
        (number for number in used if not known[number].name),
        key=lambda number: (-round(known[number].at[1]), known[number].at[0]),
    )
    names = {number: f"P{count}" for count, number in enumerate(nameless, start=1)}
    points = tuple(
        replace(point, name=names[number]) if number in names else point for number, point in enumerate(known)
    )
    order = [*nameless, *sorted(used - set(nameless), key=lambda number: points[number].name)]
    return LevelSetOut(ends=done, known=points, used=tuple(order))
