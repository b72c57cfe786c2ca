"""Where staffs stand beside vertical joints: each on the side that is freest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product
from uuid import UUID

import numpy as np
import shapely

from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.course import Course, course_of
from leakmap.issue.marks.labels import HARD, Occupied
from leakmap.issue.marks.primitives import on_site
from leakmap.issue.marks.signs import (
    LOZENGE_HALF_HEIGHT_MM,
    LOZENGE_HALF_WIDTH_MM,
    STAFF_AWAY_MM,
    STAFF_HEIGHT_MM,
    STAFF_WIDER_MM,
    STAFF_WIDTH_MM,
    Staff,
)
from leakmap.model.job import Job
from leakmap.model.joint import Joint

_ON_JOINT = 4.0  # weight of a joint's line, which staffs and labels avoid where they can
_STAFF_REACH_MM = 30.0  # from a vertical joint to the far end of its staff, at most


def staffs_on(job: Job, sheet: UUID, scale: float, *, within: Box | None = None) -> dict[UUID, Staff]:
    """A staff for each vertical joint of a sheet, wet or not, each on the side that is freest, and within a box."""
    occupied = Occupied(scale, within)
    joints = [joint for joint in job.joints.values() if joint.sheet == sheet]
    courses = {joint.id: course for joint in joints if (course := course_of(joint, scale)) is not None}
    upright = [joint for joint in joints if joint.vertical]
    for line in _lines_round(upright, courses.values(), on_site(_STAFF_REACH_MM, scale)):
        occupied.add_line(line, _ON_JOINT, on_site(0.3, scale))
    take_joints(upright, {}, scale, occupied)
    return staffs_beside(upright, scale, occupied)


def _lines_round(upright: Iterable[Joint], courses: Iterable[Course], reach_m: float) -> Iterator[tuple[Point, ...]]:
    """The parts of joints that run near vertical ones: no staff stands farther off."""
    places = np.array([joint.point for joint in upright], dtype=np.float64).reshape(-1, 2)
    near = shapely.union_all(shapely.box(*(places - reach_m).T, *(places + reach_m).T))
    shapely.prepare(near)
    lines = np.array([shapely.LineString(course.path.corners) for course in courses], dtype=np.object_)
    parts = shapely.get_parts(shapely.intersection(lines[shapely.intersects(near, lines)], near))
    for part in shapely.get_parts(parts):
        yield tuple((x, y) for x, y in shapely.get_coordinates(part).tolist())


def take_joints(joints: Iterable[Joint], courses: Mapping[UUID, Course], scale: float, occupied: Occupied) -> None:
    """Keep staffs and labels off lines and signs of joints."""
    for joint in joints:
        if joint.id in courses:
            occupied.add_line(courses[joint.id].path.corners, _ON_JOINT, on_site(0.3, scale))
        elif joint.point is not None:
            wide, high = on_site(LOZENGE_HALF_WIDTH_MM, scale), on_site(LOZENGE_HALF_HEIGHT_MM, scale)
            x, y = joint.point
            occupied.add((x - wide, y - high, x + wide, y + high), HARD)


def staffs_beside(joints: Iterable[Joint], scale: float, occupied: Occupied) -> dict[UUID, Staff]:
    """Staffs of vertical joints, each on the side that is freest; they take their places."""
    staffs: dict[UUID, Staff] = {}
    for joint in joints:
        staff = _freest(_staff_places(joint, scale), occupied)
        occupied.add(_staff_box(staff), HARD)
        staffs[joint.id] = staff
    return staffs


def _freest(places: Iterable[Staff], occupied: Occupied) -> Staff:
    """The place that covers least, the first of several; behind one that covers nothing none is looked for."""
    best: tuple[float, Staff] | None = None
    for staff in places:
        cost = occupied.cost(_staff_box(staff))
        if best is None or cost < best[0]:
            best = cost, staff
        if cost == 0:
            break
    assert best is not None
    return best[1]


def _staff_places(joint: Joint, scale: float) -> Iterator[Staff]:
    """Where a staff may stand beside its sign, best first."""
    assert joint.point is not None
    assert joint.rise_m is not None
    away, low = on_site(STAFF_AWAY_MM, scale), on_site(STAFF_HEIGHT_MM, scale)
    x, y = joint.point
    for far, drop, side in product((1.0, 1.6, 2.4), (0.25, 0.5, 1.1, -0.2), (1, -1)):
        yield Staff((x + side * away * far, y - low * drop), joint.rise_m, scale)


def _staff_box(staff: Staff) -> Box:
    """Box round a staff and the repair on it."""
    half, margin = on_site(STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM + 0.4, staff.scale), on_site(0.5, staff.scale)
    x, y = staff.foot
    return x - half, y - margin, x + half, y + staff.height_m + margin
