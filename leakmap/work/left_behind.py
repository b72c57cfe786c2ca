"""Joints that a new drawing of their level left behind: they lay on linework before, and do not now.

A sheet keeps where such joints lay when its drawing was replaced, on the new drawing, so that the note goes along when
that is scaled or laid. A joint is left behind as long as its whole course lies on what was noted, to a millimetre
(ours); moved, it is not any more, and its parts are when it is split. Accepted, the note goes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final
from uuid import UUID

import shapely

from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.sheet import Sheet

SAME_M: Final = 0.001


def joints_left_behind(job: Job, *, sheet: UUID | None = None) -> tuple[Joint, ...]:
    """Joints that were left behind and neither moved nor accepted since, in their order.

    Args:
        job: The job.
        sheet: Those of this level only; None for all.
    """
    noted = {key: _Noted(each) for key, each in job.sheets.items() if each.left_behind and sheet in {None, key}}
    joints = job.joints.values() if noted else ()
    return tuple(joint for joint in joints if joint.sheet in noted and noted[joint.sheet].holds(joint))


class _Noted:
    """What a sheet notes, a millimetre wide: courses for joints with a course, points for those that are a point."""

    def __init__(self, sheet: Sheet) -> None:
        lines = [course for course in sheet.left_behind if len(course) > 1]
        points = [course for course in sheet.left_behind if len(course) == 1]
        self._lines, self._points = (
            shapely.union_all([_widened(sheet.placement, course) for course in courses]) for courses in (lines, points)
        )

    def holds(self, joint: Joint) -> bool:
        """Whether a joint lies on it with its whole course."""
        among = self._points if joint.path is None else self._lines
        return bool(among.covers(_geometry(course_of(joint))))


def course_of(joint: Joint) -> tuple[Point, ...]:
    """The course of a joint in plan, metres: its corners, a closed one's first again at the end; or its point."""
    if joint.path is not None:
        return joint.path.corners
    assert joint.point is not None
    return (joint.point,)


def noted(joints: Iterable[Joint], placement: Placement) -> tuple[tuple[Point, ...], ...]:
    """What a sheet notes of joints that are left behind: their courses on its drawing."""
    return tuple(tuple(map(placement.to_drawing, course_of(joint))) for joint in joints)


def without(sheet: Sheet, joint: Joint) -> tuple[tuple[Point, ...], ...]:
    """What a sheet notes once a joint of it is accepted: courses that lie on the joint, or it on them, are gone."""
    return tuple(_others(sheet, course_of(joint)))


def _others(sheet: Sheet, joint: tuple[Point, ...]) -> Iterator[tuple[Point, ...]]:
    accepted = _geometry(joint)
    around = shapely.buffer(accepted, SAME_M)
    for course in sheet.left_behind:
        if (len(course) == 1) != (len(joint) == 1):
            yield course
            continue
        drawn = _geometry(tuple(map(sheet.placement.to_site, course)))
        if not (around.covers(drawn) or _widened(sheet.placement, course).covers(accepted)):
            yield course


def _widened(placement: Placement, course: tuple[Point, ...]) -> shapely.Geometry:
    return shapely.buffer(_geometry(tuple(map(placement.to_site, course))), SAME_M)


def _geometry(course: tuple[Point, ...]) -> shapely.Geometry:
    return shapely.Point(course[0]) if len(course) == 1 else shapely.LineString(course)
