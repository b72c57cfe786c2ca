"""Deeds on the bends of a joint: move one or all, add, remove.

Leaks stay where they are on the concrete. What lies before the bend keeps its distance from the
joint's start, what lies after it from the end; when an end itself is moved, everything keeps its
distance from the other end. What no longer fits falls off and is said.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import Final
from uuid import UUID

from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Path, Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.work.carrying import bent, proportional, shifted
from leakmap.work.edits.edit import Edit, deed, joint_of, refused
from leakmap.work.edits.facts import move_point, redrawn, start_kept

_DECIMALS: Final = 9
"""Decimals of metres that a moved point keeps, so that steps of a centimetre add up."""


@deed
def move_bend(job: Job, *, joint: UUID, bend: int, to: Point) -> Edit:
    """Move one of a joint's points; 0 is its first.

    Raises:
        EditRefused: There is no such bend, it would fall on its neighbour, or the joint would be too short.
    """
    old, path = _line(job, joint, bend)
    points = list(path.points)
    points[bend] = (float(to[0]), float(to[1]))
    course = Path(tuple(points), path.closed)
    new = replace(old, path=course, blind=())
    words = f"move bend of {old.ref}"
    if bend:
        return redrawn(job, new, bent(old, path.chainages[bend], new, course.chainages[bend]), words)
    by_m = course.chainages[1] - path.chainages[1] if path.closed else course.length_m - path.length_m
    start, said = start_kept(job, old, -by_m)
    return redrawn(job, replace(new, start_m=start), shifted(old, new, by_m), words, said)


@deed
def shift_joint(job: Job, *, joint: UUID, across_m: float, up_m: float) -> Edit:
    """Move a whole joint over the plan; what lies on it goes with it.

    Args:
        job: The job.
        joint: The joint.
        across_m: How far along the site's x.
        up_m: How far along the site's y.
    """
    old = joint_of(job, joint)
    if old.path is None:
        assert old.point is not None
        return move_point(job, joint=joint, to=_by(old.point, across_m, up_m))
    course = Path(tuple(_by(point, across_m, up_m) for point in old.path.points), old.path.closed)
    new = replace(old, path=course, blind=())
    return redrawn(job, new, proportional(old, new), f"move {old.ref}")


@deed
def add_bend(job: Job, *, joint: UUID, after: int, at: Point) -> Edit:
    """Add a point to the straight piece that follows a bend.

    Raises:
        EditRefused: There is no such piece, the point falls on a bend, or the joint is a point.
    """
    old, path = _line(job, joint, after)
    if after >= len(path.chainages) - 1:
        raise refused(f"{old.ref} ends at its last point; add the bend to a piece before it.", where=old.ref)
    point = (float(at[0]), float(at[1]))
    old_at_m = path.chainages[after] + _foot_m(path.corners[after], path.corners[after + 1], point)
    course = Path((*path.points[: after + 1], point, *path.points[after + 1 :]), path.closed)
    new = replace(old, path=course, blind=())
    return redrawn(job, new, bent(old, old_at_m, new, course.chainages[after + 1]), f"add bend to {old.ref}")


@deed
def remove_bend(job: Job, *, joint: UUID, bend: int) -> Edit:
    """Remove one of a joint's points; at an end the joint gets shorter by a piece.

    Raises:
        EditRefused: There is no such bend, too few would be left, or the chainage of a closed joint starts there.
    """
    old, path = _line(job, joint, bend)
    if path.closed and bend == 0:
        chainage = in_trade_words(job.units, "chainage")
        raise refused(
            f"The {chainage} of {old.ref} starts at this bend; it can be moved but not removed.", where=old.ref
        )
    left = tuple(point for index, point in enumerate(path.points) if index != bend)
    new = replace(old, path=Path(left, path.closed), blind=())
    words = f"remove bend of {old.ref}"
    if bend == 0:
        start, said = start_kept(job, old, path.chainages[1])
        return redrawn(job, replace(new, start_m=start), shifted(old, new, -path.chainages[1]), words, said)
    if not path.closed and bend == len(path.points) - 1:
        return redrawn(job, new, bent(old, path.length_m, new, new.length_m), words)
    corners = path.corners
    new_at_m = path.chainages[bend - 1] + _foot_m(corners[bend - 1], corners[bend + 1], path.points[bend])
    return redrawn(job, new, bent(old, path.chainages[bend], new, new_at_m), words)


def _by(point: Point, across_m: float, up_m: float) -> Point:
    return round(point[0] + across_m, _DECIMALS), round(point[1] + up_m, _DECIMALS)


def _line(job: Job, key: UUID, bend: int) -> tuple[Joint, Path]:
    joint = joint_of(job, key)
    if joint.path is None:
        raise refused(f"{joint.ref} is a point and has no bends.", where=joint.ref)
    if not 0 <= bend < len(joint.path.points):
        raise refused(f"{joint.ref} has no bend {bend}; its first is 0.", where=joint.ref)
    return joint, joint.path


def _foot_m(a: Point, b: Point, p: Point) -> float:
    """Distance from a of the place on a-b that is nearest to p."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length
    return min(max(along, 0.0), length)
