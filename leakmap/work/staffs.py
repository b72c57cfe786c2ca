"""Heights on vertical joints, pointed at on the staffs that stand for them on the plan.

A vertical joint is a point in plan; its staff is the joint laid upright beside its sign. A staff is drawn on
top: where the hand is on one, what lies on it is meant, not what lies under it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.geometry.path import Point
from leakmap.issue.marks.signs import Staff
from leakmap.model.faults import in_stretch
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.repair.results import Repairs
from leakmap.work.hits import Hit, Target

Staffs = Mapping[UUID, Staff]
"""Staffs by the id of their joint."""

NO_STAFFS: Final[Staffs] = MappingProxyType({})

_NEAR: Final = 0.7  # a staff is hit within this share of a radius
_MOST_STEPS: Final = 50
_STEPS_M: Final = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)


class Height(NamedTuple):
    """A place on a joint by its chainage; on a vertical joint that is metres from its foot."""

    joint: UUID
    at_m: float


def height_at(staffs: Staffs, point: Point, radius_m: float) -> Height | None:
    """The place on the nearest staff that a point means; None where no staff is near.

    Args:
        staffs: What can be pointed at.
        point: Where the hand is, metres of the site plane.
        radius_m: How near other things must lie; staffs must lie nearer than that.
    """
    best: tuple[float, Height | None] = (radius_m * _NEAR, None)
    for key, staff in staffs.items():
        shown_m, distance = staff.path.nearest(point)
        if distance <= best[0]:
            best = distance, Height(key, min(shown_m / staff.share, staff.rise_m))
    return best[1]


def height_step_m(rise_m: float) -> float:
    """The step of heights that are pointed at: the smallest handy one of which the rise has at most 50.

    >>> height_step_m(2.4), height_step_m(3.0), height_step_m(8.0)
    (0.05, 0.1, 0.2)
    """
    return next((step for step in _STEPS_M if rise_m <= _MOST_STEPS * step), _STEPS_M[-1])


def stepped_m(rise_m: float, at_m: float) -> float:
    """A height as a hand means it: a whole number of steps, or the head.

    >>> stepped_m(3.05, 1.234), stepped_m(3.05, 3.04), stepped_m(3.05, -0.2)
    (1.2, 3.05, 0.0)
    """
    step = height_step_m(rise_m)
    if at_m > rise_m - step / 2:
        return rise_m
    return min(max(round(round(at_m / step) * step, 3), 0.0), rise_m)


def hit_at(job: Job, repairs: Repairs, height: Height, reach_m: float, order: Sequence[Target]) -> Hit | None:
    """What lies on a joint at a chainage: the nearest of the first target that has anything within reach.

    Args:
        job: The job.
        repairs: Its work-out.
        height: Where the hand is.
        reach_m: How far from it, metres of chainage; distances of hits are metres of chainage too.
        order: What is found first.
    """
    for target in order:
        found = [hit for hit in _near(job, repairs, height, target) if hit.distance_m <= reach_m]
        if found:
            return min(found, key=lambda hit: hit.distance_m)  # of two, the first: the wetter leak
    return None


def _near(job: Job, repairs: Repairs, height: Height, target: Target) -> Iterator[Hit]:
    joint, at_m = height
    along = job.joints[joint]
    if target is Target.JOINT:
        yield Hit(target=target, key=joint, distance_m=0.0)
    elif target is Target.LEAK:
        leaks = [leak for leak in job.leaks.values() if leak.joint == joint]
        for leak in sorted(leaks, key=lambda leak: -leak.wetness):
            yield Hit(target=target, key=leak.id, distance_m=_off(along, leak.from_m, leak.to_m, at_m))
    for zone in repairs.zones:
        if target is Target.ZONE:
            spans = [(piece.from_m, piece.to_m) for piece in zone.pieces if piece.joint == joint]
        elif target is Target.RELIEF:
            spans = [(relief.at_m, relief.at_m) for relief in zone.relief if relief.joint == joint]
        else:
            return
        for from_m, to_m in spans:
            yield Hit(target=target, key=zone.number, distance_m=_off(along, from_m, to_m, at_m))


def _off(joint: Joint, from_m: float, to_m: float, at_m: float) -> float:
    """How far a place lies from a stretch; on a closed joint the shorter way round."""
    if in_stretch(joint, from_m, to_m, at_m):
        return 0.0
    if not joint.closed:
        return max(from_m - at_m, at_m - to_m)
    return min((from_m - at_m) % joint.length_m, (at_m - to_m) % joint.length_m)
