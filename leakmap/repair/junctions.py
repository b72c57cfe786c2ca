"""Where the joints of a job meet, and the network that follows (definition 1).

On one sheet joints of the same height meet in plan as ``leakmap.geometry.meeting`` says, vertical
joints as ``uprights`` says; ``marks`` makes marks and nodes of it. A parted meeting leaves its marks
and joins nothing. The start of a closed joint is no mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from itertools import chain, groupby
from typing import Final, NamedTuple
from uuid import UUID

import numpy as np

from leakmap.base.findings import Finding
from leakmap.base.micrometres import PER_METRE, to_m, to_um
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.meeting import Meeting, Near, Shared, meetings
from leakmap.geometry.pieces import Course
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, NEARLY_MEET_M, within
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of, plan_box, plan_path
from leakmap.model.leak import Parted
from leakmap.model.printed import printed
from leakmap.model.words import Kind
from leakmap.repair.marks import Nodes, Pairs, nodes_of
from leakmap.repair.network import Network
from leakmap.repair.uprights import NO_NUMBER, Met, Plan, uprights_met

_JOINED_NEARBY_M: Final = 0.5  # an end that is joined within this way does not "nearly" meet (ours)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovementCrossing:
    """A place where a joint of the network crosses a movement joint, which is none of it.

    Attributes:
        joint: The joint of the network.
        at_m: Chainage of the crossing on it.
        movement: The movement joint.
        movement_at_m: Chainage of the crossing on that.
        clearance_m: Distance that slots keep on each side; 0 until it is given.
    """

    joint: UUID
    at_m: float
    movement: UUID
    movement_at_m: float
    clearance_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Junctions:
    """How the joints of a job meet.

    Attributes:
        network: The network of joints repaired by this method.
        movement: Where joints of the network cross a movement joint.
        findings: Joints that nearly meet, joints drawn over each other, parted junctions that are none.
        met: Every meeting, parted ones too; joints are numbered in the job's order.
        nodes: The marks that they make.
    """

    network: Network
    movement: tuple[MovementCrossing, ...]
    findings: tuple[Finding, ...]
    met: Met = field(repr=False, compare=False)
    nodes: Nodes = field(repr=False, compare=False)


def repairable(joint: Joint) -> bool:
    """Whether a joint is repaired by this method: every kind but a movement joint without a decision."""
    return joint.kind is not Kind.MOVEMENT or joint.repair_anyway is not None


def junctions_of(job: Job) -> Junctions:
    """Where the joints of a job meet, and its network."""
    return _junctions(job, _met(job, tuple(job.joints.values())))


def junctions_again(before: Junctions, jobs: tuple[Job, Job], changed: AbstractSet[UUID]) -> Junctions:
    """Where the joints of a job meet, told anew only of joints that changed.

    Args:
        before: Where the joints of the job before met.
        jobs: The job before and the job now, on the same sheets; joints of both come in the same order.
        changed: Joints that differ, those that came or went too.
    """
    was, job = jobs
    joints = tuple(job.joints.values())
    number = {joint.id: place for place, joint in enumerate(joints) if joint.id not in changed}
    kept = before.met.renumbered([number.get(key, NO_NUMBER) for key in was.joints])
    near = _near_joints(joints, changed)
    fresh = {place for place, chosen in enumerate(near) if joints[chosen].id in changed}
    found = _met(job, [joints[chosen] for chosen in near], fresh).renumbered(near)
    return _junctions(job, kept.with_also(found))


def _junctions(job: Job, met: Met) -> Junctions:
    joints = tuple(job.joints.values())
    numbers = {joint.id: number for number, joint in enumerate(joints)} if job.parted else {}
    parted = [_numbered(numbers, item) for item in job.parted.values() if {item.joint, item.other} <= numbers.keys()]
    kept = met.places
    if parted:
        kept = [place for place in kept if not any(_is_parted(joints, place, item) for item in parted)]
    network, nodes = _network(joints, met.places, kept)
    findings = (
        *_parted_findings(job, joints, met.places, parted),
        *_shared_findings(job, joints, met.shared),
        *_near_findings(job, joints, network, kept, met.near),
    )
    movement = tuple(_movement(joints, kept))
    return Junctions(network=network, movement=movement, findings=findings, met=met, nodes=nodes)


def _met(job: Job, joints: Sequence[Joint], fresh: AbstractSet[int] | None = None) -> Met:
    """Every meeting, in plan and at vertical joints; numbers are those of the joints.

    Args:
        job: The job.
        joints: Joints of it.
        fresh: Numbers of those of which a meeting must have one; None: any.
    """
    level = {sheet: number for number, sheet in enumerate(job.sheets)}
    heights = [height_of(joint, job.sheets[joint.sheet].storey_height_m) for joint in joints]
    in_plan = [(number, path) for number, joint in enumerate(joints) if (path := plan_path(joint)) is not None]
    courses = [Course(path, level[joints[number].sheet], heights[number]) for number, path in in_plan]
    number_of = [number for number, _ in in_plan]
    plan = meetings(courses, None if fresh is None else [number in fresh for number in number_of])
    own = Met(list(plan.places), list(plan.shared), list(plan.near)).renumbered(number_of)
    upright = uprights_met(joints, Plan(courses, number_of, level))
    return own.with_also(upright if fresh is None else upright.of_any(fresh))


def _near_joints(joints: Sequence[Joint], changed: AbstractSet[UUID]) -> list[int]:
    """Joints whose boxes in plan come near that of a joint that changed, these too."""
    mine = [joint.id in changed for joint in joints]
    if not any(mine):
        return []
    boxes = np.array([plan_box(joint) for joint in joints])
    low, high = boxes[:, :2] - NEARLY_MEET_M, boxes[:, 2:] + NEARLY_MEET_M
    meet = np.zeros(len(joints), dtype=np.bool_)
    for number in np.flatnonzero(mine):
        meet |= ((low <= high[number]) & (high >= low[number])).all(axis=1)
    return [int(number) for number in np.flatnonzero(meet)]


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


def _network(joints: Sequence[Joint], places: Sequence[Meeting], kept: Sequence[Meeting]) -> tuple[Network, Nodes]:
    """The network: marks at every place, joined into nodes by the meetings that are kept."""
    chosen = [number for number, joint in enumerate(joints) if repairable(joint)]
    lengths = tuple(to_um(joints[number].length_m) for number in chosen)
    closed = tuple(joints[number].closed for number in chosen)
    own = np.full(len(joints), NO_NUMBER)
    own[chosen] = np.arange(len(chosen))
    flat = np.fromiter(chain.from_iterable(places), np.float64, 4 * len(places)).reshape(-1, 4)
    met = Pairs(own[flat[:, ::2].astype(np.int64)], np.rint(flat[:, 1::2] * PER_METRE).astype(np.int64))
    inside = (met.joint != NO_NUMBER).all(axis=1)
    joined = np.ones(len(places), dtype=np.bool_)
    if kept is not places:
        left = set(kept)
        joined[:] = [place in left for place in places]
    nodes = nodes_of(lengths, closed, Pairs(met.joint[inside], met.at_um[inside]), joined[inside])
    joint_ids = tuple(joints[number].id for number in chosen)
    return Network(joints=joint_ids, lengths_um=lengths, closed=closed, marks_um=nodes.marks_um), nodes


def _movement(joints: Sequence[Joint], kept: Iterable[Meeting]) -> Iterator[MovementCrossing]:
    """Crossings of joints of the network with movement joints, sorted and each once."""
    inside = [repairable(joint) for joint in joints]
    found = {
        (joint, to_um(place_m), movement): on_it_m
        for one, at_m, other, other_m in kept
        if inside[one] != inside[other]
        for joint, place_m, movement, on_it_m in ((one, at_m, other, other_m), (other, other_m, one, at_m))
        if inside[joint]
    }
    for (joint, at_um, movement), on_it_m in sorted(found.items()):
        yield MovementCrossing(
            joint=joints[joint].id,
            at_m=to_m(at_um),
            movement=joints[movement].id,
            movement_at_m=to_m(to_um(on_it_m)),
            clearance_m=joints[movement].clearance_m or 0.0,
        )


def _parted_findings(
    job: Job, joints: Sequence[Joint], places: Sequence[Meeting], parted: Iterable[_PartedPlace]
) -> Iterator[Finding]:
    for item in parted:
        if not any(_is_parted(joints, place, item) for place in places):
            one, at_m, other, other_m = item.place
            yield Finding(
                "parts-nothing",
                joints[one].ref,
                f"The junction of {_at(job, joints[one], at_m)} and {_at(job, joints[other], other_m)} that was taken apart "
                "is none; remove the mark or set it where the joints meet.",
            )


def _shared_findings(job: Job, joints: Sequence[Joint], shared: Iterable[Shared]) -> Iterator[Finding]:
    for (one, other), group in groupby(sorted(shared), lambda part: (part.one, part.other)):
        parts = list(group)
        from_m, to_m_ = min(part.from_m for part in parts), max(part.to_m for part in parts)
        length_m = sum(part.to_m - part.from_m for part in parts)
        name = "itself" if one == other else joints[other].ref
        yield Finding(
            "drawn-over",
            joints[one].ref,
            f"{joints[one].ref} is drawn over {name} for {job.units.printed(length_m)} between "
            f"{printed(job, joints[one], from_m)} and {printed(job, joints[one], to_m_)}, where its {in_trade_words(job.units, 'metres')} count "
            "twice; remove one of the two.",
        )


def _near_findings(
    job: Job, joints: Sequence[Joint], network: Network, kept: Sequence[Meeting], nears: Iterable[Near]
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
            f"{_at(job, joints[near.one], near.at_m)} and {_at(job, joints[near.other], near.other_at_m)} lie "
            f"{job.units.out_by(near.gap_m)} apart and are not joined; draw them together if they meet.",
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


def _at(job: Job, joint: Joint, at_m: float) -> str:
    return f"{joint.ref} at {printed(job, joint, at_m)}"
