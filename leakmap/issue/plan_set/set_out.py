"""Every end of every zone with the tapes that find it, level by level."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from leakmap.geometry.path import Point
from leakmap.issue.drawn_sheets import drawing_of
from leakmap.issue.plan_set.known_points import known_points, walls_of
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of, plan_path
from leakmap.model.sheet import Source
from leakmap.repair.results import Repairs, Zone
from leakmap.repair.setting_out import Known, Surroundings, Tapes


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
        tapes: How it is found from known points; None where it is found along its joint, or not by tapes.
    """

    zone: str
    joint: Joint
    at_m: float
    place: Point
    height_m: float
    why: str
    tapes: Tapes | None = None


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
        tapes = dict(zip(map(id, taped), around.tapes_to([end.place for end in taped]), strict=True))
        done = [replace(end, tapes=tapes.get(id(end))) for end in ends]
        found[sheet.id] = _named(done, around.known)
    return found


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
    used = {number for end in done if end.tapes is not None for number in (end.tapes.first, end.tapes.second)}
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
