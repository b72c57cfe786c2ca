"""Where the joints of a job meet, and the network that follows (definition 1).

On one sheet joints of the same height meet in plan as ``leakmap.geometry.meeting`` says. A vertical
joint meets each joint that passes its point within δ at a height within its rise; at its head it
meets what has height 0 at the same x, y of its head sheet. Two vertical joints at one point meet at
both ends of the height that they share. A pipe collar in a wall is a point in plan and meets nothing.

Marks within δ along a joint are one, by transitive closure: at an end of the joint if one of them is
that end, else half-way between the first and the last. A parted meeting leaves its marks and joins
nothing. The start of a closed joint is no mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final, NamedTuple
from uuid import UUID

import numpy as np
import shapely

from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_m, to_um
from leakmap.geometry.meeting import Meeting, Near, Shared, meetings
from leakmap.geometry.pieces import NO_COURSE, Course, Points, feet, pieces_of
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M, NEARLY_MEET_M, within
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of, plan_path
from leakmap.model.leak import Parted
from leakmap.model.words import Kind
from leakmap.repair.network import Network

DELTA_UM: Final = to_um(DRAWING_TOLERANCE_M + MICRON_M)
"""δ with the slack of a comparison, in micrometres."""

_JOINED_NEARBY_M: Final = 0.5  # an end that is joined within this way does not "nearly" meet (ours)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementCrossing:
    """A place where a joint of the network crosses a movement joint, which is none of it.

    Attributes:
        joint: The joint of the network.
        at_m: Chainage of the crossing on it.
        movement: The movement joint.
        clearance_m: Distance that slots keep on each side; 0 until it is given.
    """

    joint: UUID
    at_m: float
    movement: UUID
    clearance_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Junctions:
    """How the joints of a job meet.

    Attributes:
        network: The network of joints repaired by this method.
        movement: Where joints of the network cross a movement joint.
        findings: Joints that nearly meet, joints drawn over each other, parted junctions that are none.
    """

    network: Network
    movement: tuple[MovementCrossing, ...]
    findings: tuple[Finding, ...]


def repairable(joint: Joint) -> bool:
    """Whether a joint is repaired by this method: every kind but a movement joint without a decision."""
    return joint.kind is not Kind.MOVEMENT or joint.repair_anyway is not None


def junctions_of(job: Job) -> Junctions:
    """Where the joints of a job meet, and its network."""
    joints = tuple(job.joints.values())
    met = _met(job, joints)
    numbers = {joint.id: number for number, joint in enumerate(joints)}
    parted = [_numbered(numbers, item) for item in job.parted.values() if {item.joint, item.other} <= numbers.keys()]
    kept = [place for place in met.places if not any(_is_parted(joints, place, item) for item in parted)]
    network = _network(joints, met.places, kept)
    findings = (
        *_parted_findings(joints, met.places, parted),
        *_shared_findings(joints, met.shared),
        *_near_findings(joints, network, kept, met.near),
    )
    return Junctions(network=network, movement=tuple(_movement(joints, kept)), findings=findings)


class _Met(NamedTuple):
    """Meetings of joints by number, as in ``leakmap.geometry.meeting.Meetings``."""

    places: list[Meeting]
    shared: list[Shared]
    near: list[Near]


def _met(job: Job, joints: Sequence[Joint]) -> _Met:
    """Every meeting, in plan and at vertical joints; numbers are those of the joints."""
    level = {sheet: number for number, sheet in enumerate(job.sheets)}
    heights = [height_of(joint, job.sheets[joint.sheet].storey_height_m) for joint in joints]
    in_plan = [(number, path) for number, joint in enumerate(joints) if (path := plan_path(joint)) is not None]
    courses = [Course(path, level[joints[number].sheet], heights[number]) for number, path in in_plan]
    number_of = [number for number, _ in in_plan]
    plan = meetings(courses)
    met = _Met(
        [_renumbered(place, number_of) for place in plan.places],
        [part._replace(one=number_of[part.one], other=number_of[part.other]) for part in plan.shared],
        [near._replace(one=number_of[near.one], other=number_of[near.other]) for near in plan.near],
    )
    upright = [number for number, joint in enumerate(joints) if joint.vertical]
    if upright:
        _meet_upright(met, joints, upright, _Plan(courses, number_of, level))
        _meet_each_other(met, joints, upright)
    return met


class _Plan(NamedTuple):
    """Joints with a course in plan: their courses and numbers, and the level of each sheet."""

    courses: Sequence[Course]
    number_of: Sequence[int]
    level: dict[UUID, int]


def _renumbered(place: Meeting, number_of: Sequence[int]) -> Meeting:
    return place._replace(one=number_of[place.one], other=number_of[place.other])


def _meet_upright(met: _Met, joints: Sequence[Joint], upright: Sequence[int], plan: _Plan) -> None:
    """Add the meetings of vertical joints with joints in plan: along the rise, and at the head sheet."""
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


def _meet_each_other(met: _Met, joints: Sequence[Joint], upright: Sequence[int]) -> None:
    """Add the meetings of vertical joints that stand at one point."""
    points = shapely.points([joints[number].point for number in upright])
    pairs = shapely.STRtree(points).query(points, predicate="dwithin", distance=DRAWING_TOLERANCE_M + MICRON_M)
    for i, j in pairs.T.tolist():
        one, other = upright[i], upright[j]
        lower, upper = joints[one], joints[other]
        if i < j and lower.sheet == upper.sheet:
            _meet_upright_pair(met, joints, one, other)
        if i != j and lower.head_sheet == upper.sheet and within(abs(upper.height_m), DRAWING_TOLERANCE_M):
            met.places.append(Meeting(one, lower.length_m, other, 0.0))


def _meet_upright_pair(met: _Met, joints: Sequence[Joint], one: int, other: int) -> None:
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


class _PartedPlace(NamedTuple):
    item: Parted
    place: Meeting


def _numbered(numbers: dict[UUID, int], item: Parted) -> _PartedPlace:
    return _PartedPlace(item, Meeting(numbers[item.joint], item.at_m, numbers[item.other], item.other_at_m))


def _is_parted(joints: Sequence[Joint], place: Meeting, parted: _PartedPlace) -> bool:
    """Whether a user took a meeting apart: the same joints, at chainages within δ."""
    one, at_m, other, other_m = parted.place
    return any(
        (place.one, place.other) == (a, b)
        and _close(joints[a], place.at_m, x_m)
        and _close(joints[b], place.other_at_m, y_m)
        for a, x_m, b, y_m in ((one, at_m, other, other_m), (other, other_m, one, at_m))
    )


def _close(joint: Joint, one_m: float, other_m: float) -> bool:
    apart = abs(one_m - other_m)
    return within(min(apart, joint.length_m - apart) if joint.closed else apart, DRAWING_TOLERANCE_M)


def _network(joints: Sequence[Joint], places: Iterable[Meeting], kept: Iterable[Meeting]) -> Network:
    """The network: marks at every place, joined into nodes by the meetings that are kept."""
    chosen = [number for number, joint in enumerate(joints) if repairable(joint)]
    own = {number: index for index, number in enumerate(chosen)}
    lengths = [to_um(joints[number].length_m) for number in chosen]
    raw: list[list[int]] = [[] for _ in chosen]
    for place in places:
        if place.one in own and place.other in own:
            raw[own[place.one]].append(to_um(place.at_m))
            raw[own[place.other]].append(to_um(place.other_at_m))
    marks = [
        marks_on(length, at, closed=joints[number].closed)
        for length, at, number in zip(lengths, raw, chosen, strict=True)
    ]
    joined = _Joined(marks)
    for place in kept:
        if place.one in own and place.other in own:
            joined.join((own[place.one], to_um(place.at_m)), (own[place.other], to_um(place.other_at_m)))
    return Network(
        joints=tuple(joints[number].id for number in chosen),
        lengths_um=tuple(lengths),
        closed=tuple(joints[number].closed for number in chosen),
        marks_um=joined.numbered(),
    )


class Marks(NamedTuple):
    """Marks of one joint.

    Attributes:
        at_um: Chainage of each mark, rising.
        of: Every raw place and the index of its mark.
        same: Pairs of marks that are one place although they lie apart: both ends of a joint shorter than δ.
    """

    at_um: tuple[int, ...]
    of: dict[int, int]
    same: tuple[tuple[int, int], ...] = ()


def marks_on(length_um: int, raw_um: Iterable[int], *, closed: bool) -> Marks:
    """Marks of one joint: raw places within δ of each other are one.

    >>> marks_on(5_000_000, [2_000_000, 2_008_000, 4_995_000], closed=False).at_um
    (0, 2004000, 5000000)
    >>> marks_on(5_000_000, [], closed=True).at_um
    ()
    """
    places = sorted({min(max(at, 0), length_um) for at in raw_um} | (set() if closed else {0, length_um}))
    groups = _groups(places)
    if closed:
        return _round_marks(length_um, groups)
    if len(groups) == 1:
        of = {at: int(2 * at > length_um) for at in places}
        return Marks((0, length_um), of, same=((0, 1),))
    at_um = (0, *((group[0] + group[-1]) // 2 for group in groups[1:-1]), length_um)
    return Marks(at_um, {at: index for index, group in enumerate(groups) for at in group})


def _groups(places: Sequence[int]) -> list[list[int]]:
    """Runs of places of which each lies within δ of the one before."""
    groups = [[at] for at in places[:1]]
    for before, at in pairwise(places):
        if at - before <= DELTA_UM:
            groups[-1].append(at)
        else:
            groups.append([at])
    return groups


def _round_marks(length_um: int, groups: list[list[int]]) -> Marks:
    """Marks of a closed joint, where the last run may go on past the start."""
    if len(groups) > 1 and groups[0][0] + length_um - groups[-1][-1] <= DELTA_UM:
        groups = [*groups[1:-1], [*groups[-1], *(at + length_um for at in groups[0])]]
    middles = [((group[0] + group[-1]) // 2) % length_um for group in groups]
    order = sorted(range(len(groups)), key=middles.__getitem__)
    of = {at % length_um: rank for rank, index in enumerate(order) for at in groups[index]}
    of.update({length_um: of[0]} if 0 in of else {})
    return Marks(tuple(middles[index] for index in order), of)


class _Joined:
    """Marks of all joints, and which of them are one node."""

    def __init__(self, marks: Sequence[Marks]) -> None:
        self._marks = marks
        self._parent = {
            (joint, index): (joint, index) for joint, own in enumerate(marks) for index in range(len(own.at_um))
        }
        for joint, own in enumerate(marks):
            for low, high in own.same:
                self._unite((joint, low), (joint, high))

    def join(self, one: tuple[int, int], other: tuple[int, int]) -> None:
        """Take two raw places (joint, chainage) as one."""
        self._unite(self._mark(*one), self._mark(*other))

    def numbered(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Marks of each joint as (chainage, node), nodes numbered in order of their first mark."""
        nodes: dict[tuple[int, int], int] = {}
        return tuple(
            tuple((at, nodes.setdefault(self._root((joint, index)), len(nodes))) for index, at in enumerate(own.at_um))
            for joint, own in enumerate(self._marks)
        )

    def _mark(self, joint: int, at_um: int) -> tuple[int, int]:
        own = self._marks[joint]
        last = own.at_um[-1] if own.at_um else 0
        return joint, own.of[at_um if at_um in own.of else min(max(at_um, 0), last)]

    def _root(self, mark: tuple[int, int]) -> tuple[int, int]:
        while self._parent[mark] != mark:
            self._parent[mark] = self._parent[self._parent[mark]]
            mark = self._parent[mark]
        return mark

    def _unite(self, one: tuple[int, int], other: tuple[int, int]) -> None:
        self._parent[self._root(one)] = self._root(other)


def _movement(joints: Sequence[Joint], kept: Iterable[Meeting]) -> Iterator[MovementCrossing]:
    """Crossings of joints of the network with movement joints, sorted and each once."""
    found = set()
    for one, at_m, other, other_m in kept:
        for joint, place_m, movement in ((one, at_m, other), (other, other_m, one)):
            if repairable(joints[joint]) and not repairable(joints[movement]):
                found.add((joint, to_um(place_m), movement))
    for joint, at_um, movement in sorted(found):
        yield MovementCrossing(
            joint=joints[joint].id,
            at_m=to_m(at_um),
            movement=joints[movement].id,
            clearance_m=joints[movement].clearance_m or 0.0,
        )


def _parted_findings(
    joints: Sequence[Joint], places: Sequence[Meeting], parted: Iterable[_PartedPlace]
) -> Iterator[Finding]:
    for item in parted:
        if not any(_is_parted(joints, place, item) for place in places):
            one, at_m, other, other_m = item.place
            yield Finding(
                "parts-nothing",
                joints[one].ref,
                f"The junction of {_at(joints[one], at_m)} and {_at(joints[other], other_m)} that was taken apart "
                "is none; remove the mark or set it where the joints meet.",
            )


def _shared_findings(joints: Sequence[Joint], shared: Iterable[Shared]) -> Iterator[Finding]:
    for (one, other), group in groupby(sorted(shared), lambda part: (part.one, part.other)):
        parts = list(group)
        from_m, to_m_ = min(part.from_m for part in parts), max(part.to_m for part in parts)
        length_m = sum(part.to_m - part.from_m for part in parts)
        name = "itself" if one == other else joints[other].ref
        yield Finding(
            "drawn-over",
            joints[one].ref,
            f"{joints[one].ref} is drawn over {name} for {length_m:.3f} m between {_chainage(joints[one], from_m)} "
            f"and {_chainage(joints[one], to_m_)} m, where its metres count twice; remove one of the two.",
        )


def _near_findings(
    joints: Sequence[Joint], network: Network, kept: Sequence[Meeting], nears: Iterable[Near]
) -> Iterator[Finding]:
    told: list[Near] = []
    for near in sorted(nears, key=lambda item: (item.gap_m, item)):
        if any(_same_gap(near, before) for before in told) or _joined_nearby(joints, network, kept, near):
            continue
        told.append(near)
        yield Finding(
            "nearly-meet",
            joints[near.one].ref,
            f"{_at(joints[near.one], near.at_m)} and {_at(joints[near.other], near.other_at_m)} lie "
            f"{near.gap_m * 1000:.0f} mm apart and are not joined; draw them together if they meet.",
        )


def _same_gap(one: Near, other: Near) -> bool:
    return (one.one, one.other) == (other.one, other.other) and abs(one.at_m - other.at_m) <= 2 * NEARLY_MEET_M


def _joined_nearby(joints: Sequence[Joint], network: Network, kept: Iterable[Meeting], near: Near) -> bool:
    """Whether a short way joins the two places all the same."""
    one, other = joints[near.one].id, joints[near.other].id
    if near.one == near.other and abs(near.at_m - near.other_at_m) <= _JOINED_NEARBY_M:
        return True
    if one in network and other in network:
        reached = network.distances(one, near.at_m, _JOINED_NEARBY_M)
        ends = network.ways_out(network.number(other), to_um(near.other_at_m))
        return any(node in reached and reached[node] + to_m(left) <= _JOINED_NEARBY_M for node, left in ends)
    return any(
        (place.one, place.other) == (near.one, near.other) and abs(place.at_m - near.at_m) <= _JOINED_NEARBY_M
        for place in kept
    )


def _at(joint: Joint, at_m: float) -> str:
    return f"{joint.ref} at {_chainage(joint, at_m)} m"


def _chainage(joint: Joint, at_m: float) -> str:
    return f"{printed_m(joint, round(at_m, 6)):.3f}"
