"""Where vertical joints meet others (definition 1).

A vertical joint meets each joint that passes its point within δ at a height within its rise; at its
head it meets what has height 0 at the same x, y of its head sheet. Two vertical joints at one point
meet at both ends of the height that they share, and where both have their head on one sheet. A pipe
collar in a wall is a point in plan and meets nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from typing import Final, NamedTuple, TypeVar
from uuid import UUID

import numpy as np
import shapely

from leakmap.geometry.meeting import Meeting, Near, Shared
from leakmap.geometry.pieces import NO_COURSE, Course, Points, feet, pieces_of
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M, NEARLY_MEET_M, within
from leakmap.model.joint import Joint

NO_NUMBER: Final = -1
"""Stands for the number of a joint that is left out."""

_Item = TypeVar("_Item", Meeting, Shared, Near)


class Met(NamedTuple):
    """Meetings of joints by number, as in ``leakmap.geometry.meeting.Meetings``."""

    places: list[Meeting]
    shared: list[Shared]
    near: list[Near]

    def with_also(self, other: Met) -> Met:
        """These and others."""
        return Met(self.places + other.places, self.shared + other.shared, self.near + other.near)

    def of_any(self, joints: AbstractSet[int]) -> Met:
        """Those of which one joint at least is among some."""
        return Met(_of_any(self.places, joints), _of_any(self.shared, joints), _of_any(self.near, joints))

    def renumbered(self, number_of: Sequence[int]) -> Met:
        """The same with other numbers of joints; those of a joint that gets ``NO_NUMBER`` are left out."""
        kept = _kept(self.places, number_of), _kept(self.shared, number_of), _kept(self.near, number_of)
        if all(number in (place, NO_NUMBER) for place, number in enumerate(number_of)):
            return Met(*kept)
        places, shared, near = kept
        return Met(_renumbered(places, number_of), _renumbered(shared, number_of), _renumbered(near, number_of))


class Plan(NamedTuple):
    """Joints with a course in plan: their courses and numbers, and the level of each sheet."""

    courses: Sequence[Course]
    number_of: Sequence[int]
    level: dict[UUID, int]


def uprights_met(joints: Sequence[Joint], plan: Plan) -> Met:
    """Meetings of the vertical joints among joints, with joints in plan and with each other."""
    upright = [number for number, joint in enumerate(joints) if joint.vertical]
    met = Met([], [], [])
    if upright:
        _meet_plan(met, joints, upright, plan)
        _meet_each_other(met, joints, upright)
    return met


def _meet_plan(met: Met, joints: Sequence[Joint], upright: Sequence[int], plan: Plan) -> None:
    """Add where they are passed along the rise, and at the head sheet."""
    pieces = pieces_of(plan.courses)
    headed = [number for number in upright if joints[number].head_sheet in plan.level]
    for numbers, at_head in ((upright, False), (headed, True)):
        for foot in feet(pieces, _points(joints, numbers, plan.level, at_head=at_head), NEARLY_MEET_M):
            joint = joints[numbers[foot.point]]
            at_m = joint.length_m if at_head else _clipped(plan.courses[foot.course].height_m - joint.height_m, joint)
            place = Meeting(numbers[foot.point], at_m, plan.number_of[foot.course], foot.at_m)
            if within(foot.gap_m, DRAWING_TOLERANCE_M):
                met.places.append(place)
            else:
                met.near.append(Near(*place, foot.gap_m))


def _points(joints: Sequence[Joint], numbers: Sequence[int], level: dict[UUID, int], *, at_head: bool) -> Points:
    """The points of vertical joints: on their own sheet with their rise, or on their head sheet at height 0."""
    chosen = [joints[number] for number in numbers]
    none = np.zeros(len(chosen))
    low = none if at_head else np.array([joint.height_m for joint in chosen])
    return Points(
        xy=np.array([joint.point for joint in chosen], dtype=np.float64).reshape(-1, 2),
        level=np.array([level[_sheet(joint, at_head=at_head)] for joint in chosen], dtype=np.int64),
        low=low,
        high=none if at_head else low + np.array([joint.length_m for joint in chosen]),
        course=np.full(len(chosen), NO_COURSE, dtype=np.int64),
        chainage=none,
    )


def _sheet(joint: Joint, *, at_head: bool) -> UUID:
    sheet = joint.head_sheet if at_head else joint.sheet
    assert sheet is not None
    return sheet


def _clipped(at_m: float, joint: Joint) -> float:
    return min(max(at_m, 0.0), joint.length_m)


def _meet_each_other(met: Met, joints: Sequence[Joint], upright: Sequence[int]) -> None:
    """Add the meetings of vertical joints that stand at one point."""
    points = shapely.points([joints[number].point for number in upright])
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=DRAWING_TOLERANCE_M + MICRON_M)
    for i, j in pairs.T.tolist():
        one, other = upright[i], upright[j]
        lower, upper = joints[one], joints[other]
        if i < j and lower.sheet == upper.sheet:
            _meet_pair(met, joints, one, other)
        if i < j and lower.head_sheet is not None and lower.head_sheet == upper.head_sheet:
            met.places.append(Meeting(one, lower.length_m, other, upper.length_m))
        if i != j and lower.head_sheet == upper.sheet and within(abs(upper.height_m), DRAWING_TOLERANCE_M):
            met.places.append(Meeting(one, lower.length_m, other, 0.0))


def _meet_pair(met: Met, joints: Sequence[Joint], one: int, other: int) -> None:
    """Add both ends of the height that two vertical joints of one sheet share, or where one stands on the other."""
    a, b = joints[one], joints[other]
    low, high = max(a.height_m, b.height_m), min(a.height_m + a.length_m, b.height_m + b.length_m)
    if not within(low - high, DRAWING_TOLERANCE_M):
        return
    ends = [(_clipped(at - a.height_m, a), _clipped(at - b.height_m, b)) for at in (low, high)]
    met.places.extend(Meeting(one, at_m, other, other_m) for at_m, other_m in ends)
    if high - low > 2 * DRAWING_TOLERANCE_M:
        (from_m, other_from_m), (to_m_, other_to_m) = ends
        met.shared.append(Shared(one, from_m, to_m_, other, other_from_m, other_to_m, along=True))


def _of_any(items: Sequence[_Item], joints: AbstractSet[int]) -> list[_Item]:
    return [item for item in items if item.one in joints or item.other in joints]


def _kept(items: Sequence[_Item], number_of: Sequence[int]) -> list[_Item]:
    return [item for item in items if number_of[item.one] != NO_NUMBER and number_of[item.other] != NO_NUMBER]


def _renumbered(items: Sequence[_Item], number_of: Sequence[int]) -> list[_Item]:
    return [item._replace(one=number_of[item.one], other=number_of[item.other]) for item in items]
