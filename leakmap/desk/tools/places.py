"""Where on a joint the hand is: from a point of the plan to a joint and a chainage, and back.

Terms:
    upright: a joint that is a mere point in plan (a vertical joint, a pipe collar in a wall). Places on a
        vertical joint are clicked on its staff, where one is seen, or typed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot, inf
from typing import Final
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import Pointer
from leakmap.geometry.path import Point
from leakmap.issue.marks.course import Course
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.leak import Leak
from leakmap.repair.results import Zone
from leakmap.work.hits import Hit, Hits, Target
from leakmap.work.staffs import NO_STAFFS, Staffs, height_at, hit_at, stepped_m

REACH_PX: Final = 14.0
"""How near a click must be to what it means, in pixels: the snap radius."""

BAND_PX: Final = 16.0
"""How near a click must be to a zone's joint; bands are wider than lines."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a joint."""

    joint: Joint
    at_m: float


def on_level(job: Job, level: UUID | None) -> Iterator[Joint]:
    """Joints that a level shows: those drawn on it, and those whose head is met on it."""
    return (joint for joint in job.joints.values() if level in {joint.sheet, joint.head_sheet})


def is_upright(joint: Joint) -> bool:
    """Whether a joint is a mere point in plan."""
    return plan_path(joint) is None


def line_of(joint: Joint, staffs: Staffs = NO_STAFFS) -> Course | None:
    """The line on which places of a joint are pointed at: its course in plan, or its staff; None: it has neither."""
    path = plan_path(joint)
    if path is not None:
        return Course(path)
    staff = staffs.get(joint.id)
    return Course(staff.path, staff.share) if staff is not None else None


def point_of(joint: Joint, at_m: float, staffs: Staffs = NO_STAFFS) -> Point:
    """Where a chainage lies on the plan."""
    line = line_of(joint, staffs)
    if line is not None:
        return line.point_at(at_m)
    assert joint.point is not None
    return joint.point


def part_of(joint: Joint, from_m: float, to_m: float, staffs: Staffs = NO_STAFFS) -> tuple[Point, ...]:
    """The course on the plan between two chainages; one point for an upright joint without a staff."""
    line = line_of(joint, staffs)
    return line.part(from_m, to_m) if line is not None else (point_of(joint, from_m),)


def across_at(joint: Joint, at_m: float, staffs: Staffs = NO_STAFFS) -> Point:
    """Unit vector across a joint at a chainage; across a staff away from the sign, along y where there is none."""
    staff = staffs.get(joint.id)
    if staff is not None and joint.point is not None:
        return (1.0 if staff.foot[0] >= joint.point[0] else -1.0), 0.0
    line = line_of(joint, staffs)
    if line is None:
        return 0.0, 1.0
    x, y = line.direction_at(at_m)
    return -y, x


def along(joint: Joint, point: Point, staffs: Staffs = NO_STAFFS) -> float:
    """Chainage of the place of a joint nearest to a point; 0 for an upright joint without a staff."""
    line = line_of(joint, staffs)
    return min(line.path.nearest(point)[0] / line.share, joint.length_m) if line is not None else 0.0


def hand_m(joint: Joint, pointer: Pointer, staffs: Staffs = NO_STAFFS) -> float:
    """The chainage that the hand means on a joint: where it points on the tape, else the place that lies nearest to it."""
    if pointer.on is not None and pointer.on.joint == joint.id:
        return min(max(pointer.on.at_m, 0.0), joint.length_m)
    return along(joint, pointer.at, staffs)


def tidy_m(joint: Joint, at_m: float, pointer: Pointer) -> float:
    """A chainage as a hand means it: to a handy step, unless the pointer is caught on an exact place.

    On a vertical joint, of which a staff is much smaller, to a handy step.
    """
    if joint.rise_m is not None and pointer.on is None:
        return stepped_m(joint.rise_m, at_m)
    exact = pointer.catch is not None and not pointer.catch.words.startswith("on ")
    return at_m if exact else min(pointer.units.tidy_m(at_m), joint.length_m)


def distance_m(joint: Joint, point: Point, staffs: Staffs = NO_STAFFS) -> float:
    """Distance on the plan from a joint to a point; from a vertical joint's sign, or its staff if that is nearer."""
    line = line_of(joint, staffs)
    to_line = line.path.nearest(point)[1] if line is not None else inf
    if joint.point is None or not is_upright(joint):
        return to_line
    return min(hypot(point[0] - joint.point[0], point[1] - joint.point[1]), to_line)


def spot_on_staff(job: Job, staffs: Staffs, pointer: Pointer) -> Spot | None:
    """The place that the pointer means on the staff of a vertical joint, or on the tape; None where it is on neither."""
    height = pointer.on or height_at(staffs, pointer.raw, REACH_PX * pointer.m_per_px)
    if height is None or height.joint not in job.joints:
        return None
    joint = job.joints[height.joint]
    return Spot(joint, tidy_m(joint, height.at_m, pointer))


def spot_at(
    job: Job, level: UUID | None, pointer: Pointer, preferred: UUID | None = None, staffs: Staffs = NO_STAFFS
) -> Spot | None:
    """The place on a joint that the pointer means.

    Args:
        job: The job as shown.
        level: The sheet on the plan.
        pointer: Where the hand is.
        preferred: A joint that is taken before others where it is near: the picked one.
        staffs: Staffs that can be pointed at; what is pointed at there comes first.

    Returns:
        The place; None where no joint is near. On the sign of a vertical joint, its foot or its head.
    """
    on_staff = spot_on_staff(job, staffs, pointer)
    if on_staff is not None:
        return on_staff
    reach_m = REACH_PX * pointer.m_per_px
    first = job.joints.get(preferred) if preferred is not None else None
    if first is not None and level in {first.sheet, first.head_sheet} and distance_m(first, pointer.at) <= reach_m:
        return _on(first, level, pointer)
    catch = pointer.catch
    if catch is not None and catch.joint is not None and catch.joint in job.joints:
        joint = job.joints[catch.joint]
        at_m = catch.chainage_m if catch.chainage_m is not None else along(joint, catch.at)
        return Spot(joint, tidy_m(joint, at_m, pointer))
    near = [(distance_m(joint, pointer.at), joint) for joint in on_level(job, level)]
    distance, nearest = min(near, key=lambda found: found[0], default=(reach_m + 1, None))
    if nearest is None or distance > reach_m:
        return None
    return _on(nearest, level, pointer)


def _on(joint: Joint, level: UUID | None, pointer: Pointer) -> Spot:
    """The place of a joint that lies nearest; on the sign of a vertical joint what a level sees of it, foot or head."""
    if joint.vertical:
        return Spot(joint, 0.0 if level == joint.sheet else joint.length_m)
    return Spot(joint, tidy_m(joint, along(joint, pointer.at), pointer))


def leak_at(desk: Desk, pointer: Pointer) -> Leak | None:
    """The leak that the pointer is on; None where there is none."""
    hit = _hit(desk, pointer, Target.LEAK, REACH_PX)
    if hit is not None and isinstance(hit.key, UUID) and desk.job is not None:
        return desk.job.leaks.get(hit.key)
    return _leak_of_upright(desk, pointer)


def zone_at(desk: Desk, pointer: Pointer) -> Zone | None:
    """The zone that the pointer is on; None where there is none."""
    hit = _hit(desk, pointer, Target.ZONE, BAND_PX)
    zones = desk.repairs.zones if desk.repairs is not None else ()
    if hit is not None:
        return next((zone for zone in zones if zone.number == hit.key), None)
    joint = _upright_at(desk, pointer)
    return next((zone for zone in zones for piece in zone.pieces if joint and piece.joint == joint.id), None)


def _hit(desk: Desk, pointer: Pointer, target: Target, reach_px: float) -> Hit | None:
    if desk.job is None or desk.repairs is None or desk.level is None:
        return None
    reach_m = reach_px * pointer.m_per_px
    height = pointer.on or height_at(desk.staffs, pointer.raw, reach_m)
    if height is not None:
        reach_m /= 1.0 if pointer.on is not None else desk.staffs[height.joint].share
        return hit_at(desk.job, desk.repairs, height, reach_m, (target,))
    return Hits(desk.job, desk.repairs, desk.level).at(pointer.raw, reach_m, (target,))


def _upright_at(desk: Desk, pointer: Pointer) -> Joint | None:
    """The vertical joint whose sign the pointer is on."""
    joints = (
        []
        if desk.job is None or pointer.on is not None
        else [joint for joint in on_level(desk.job, desk.level) if is_upright(joint)]
    )
    near = [(distance_m(joint, pointer.raw), joint) for joint in joints]
    distance, nearest = min(near, key=lambda found: found[0], default=(0.0, None))
    return nearest if distance <= REACH_PX * pointer.m_per_px else None


def _leak_of_upright(desk: Desk, pointer: Pointer) -> Leak | None:
    joint = _upright_at(desk, pointer)
    if joint is None or desk.job is None:
        return None
    leaks = [leak for leak in desk.job.leaks.values() if leak.joint == joint.id]
    return max(leaks, key=lambda leak: leak.wetness, default=None)
