"""Where the joints of a job meet, and the network that follows (definition 1).

On one sheet joints of the same height meet in plan as ``leakmap.geometry.meeting`` says, vertical
joints as ``uprights`` says; ``marks`` makes marks and nodes of it. A parted meeting leaves its marks
and joins nothing. The start of a closed joint is no mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final, NamedTuple, TypeVar
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_m, to_um
from leakmap.geometry.meeting import Meeting, Near, Shared, meetings
from leakmap.geometry.pieces import Course
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, NEARLY_MEET_M, within
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of, plan_path
from leakmap.model.leak import Parted
from leakmap.model.words import Kind
from leakmap.repair.marks import Joined, marks_on
from leakmap.repair.network import Network
from leakmap.repair.uprights import Met, Plan, uprights_met

_Item = TypeVar("_Item", Meeting, Shared, Near)
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


def _met(job: Job, joints: Sequence[Joint]) -> Met:
    """Every meeting, in plan and at vertical joints; numbers are those of the joints."""
    level = {sheet: number for number, sheet in enumerate(job.sheets)}
    heights = [height_of(joint, job.sheets[joint.sheet].storey_height_m) for joint in joints]
    in_plan = [(number, path) for number, joint in enumerate(joints) if (path := plan_path(joint)) is not None]
    courses = [Course(path, level[joints[number].sheet], heights[number]) for number, path in in_plan]
    number_of = [number for number, _ in in_plan]

    def renumbered(item: _Item) -> _Item:
        return item._replace(one=number_of[item.one], other=number_of[item.other])

    plan, upright = meetings(courses), uprights_met(joints, Plan(courses, number_of, level))
    return Met(
        [*map(renumbered, plan.places), *upright.places],
        [*map(renumbered, plan.shared), *upright.shared],
        [*map(renumbered, plan.near), *upright.near],
    )


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
    joined = Joined(marks)
    for place in kept:
        if place.one in own and place.other in own:
            joined.join((own[place.one], to_um(place.at_m)), (own[place.other], to_um(place.other_at_m)))
    return Network(
        joints=tuple(joints[number].id for number in chosen),
        lengths_um=tuple(lengths),
        closed=tuple(joints[number].closed for number in chosen),
        marks_um=joined.numbered(),
    )


def _movement(joints: Sequence[Joint], kept: Iterable[Meeting]) -> Iterator[MovementCrossing]:
    """Crossings of joints of the network with movement joints, sorted and each once."""
    inside = [repairable(joint) for joint in joints]
    found = {
        (joint, to_um(place_m), movement)
        for one, at_m, other, other_m in kept
        if inside[one] != inside[other]
        for joint, place_m, movement in ((one, at_m, other), (other, other_m, one))
        if inside[joint]
    }
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
    told: dict[tuple[int, int], list[float]] = {}
    for near in sorted(nears, key=lambda item: (item.gap_m, item)):
        before = told.setdefault((near.one, near.other), [])
        same_gap = any(abs(near.at_m - at_m) <= 2 * NEARLY_MEET_M for at_m in before)
        if same_gap or _joined_nearby(joints, network, kept, near):
            continue
        before.append(near.at_m)
        yield Finding(
            "nearly-meet",
            joints[near.one].ref,
            f"{_at(joints[near.one], near.at_m)} and {_at(joints[near.other], near.other_at_m)} lie "
            f"{near.gap_m * 1000:.0f} mm apart and are not joined; draw them together if they meet.",
        )


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
