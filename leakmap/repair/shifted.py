"""What an edit of joints, or of parted junctions, changes of the ground.

Terms:
    changed place: where the network before an edit may differ from that after it: all of a joint that
        changed; on any other joint, where it met one, where their junction was parted or joined again,
        the marks that follow from these, and what is hidden on one side of the edit only.

Joints that did not change keep every meeting among themselves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from uuid import UUID

from leakmap.base.micrometres import to_um
from leakmap.model.faults import Row
from leakmap.model.job import Job
from leakmap.repair.ground import Ground, ground_on
from leakmap.repair.junctions import junctions_again
from leakmap.repair.nearby import Lying
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan


@dataclass(frozen=True, slots=True, kw_only=True)
class Shifted:
    """The ground after an edit, beside that before it.

    Attributes:
        ground: The ground now.
        joints: Joints that changed, those that came or went too.
        was: Changed places in the network before.
        now: The same in the network now.
    """

    ground: Ground
    joints: frozenset[UUID]
    was: tuple[JointSpan, ...]
    now: tuple[JointSpan, ...]


def in_order(jobs: tuple[Job, Job], changed: AbstractSet[UUID]) -> bool:
    """Whether joints that two jobs have in common come in the same order in both, the changed ones left out."""
    one, other = ([key for key in job.joints if key not in changed] for job in jobs)
    return one == other


def shifted(before: Ground, jobs: tuple[Job, Job], rows: AbstractSet[Row]) -> Shifted:
    """The ground after an edit.

    Args:
        before: The ground of the job before.
        jobs: The job before and the job now, on the same sheets; joints of both come in the same order.
        rows: Rows that differ.
    """
    changed = frozenset(key for name, key in rows if name == "joints")
    parted = frozenset(key for name, key in rows if name == "parted")
    ground = ground_on(jobs[1], junctions_again(before.junctions, jobs, changed))
    met: set[tuple[UUID, int]] = set()
    for each, job in zip((before, ground), jobs, strict=True):
        met.update(_met(each, job, changed), _parted(job, parted))
    lying = {(joint, at, at) for joint, at in _with_marks(before, ground, met)}
    lying |= _hidden(before) ^ _hidden(ground)
    return Shifted(
        ground=ground,
        joints=changed,
        was=tuple(_in_network(before.network, changed, lying)),
        now=tuple(_in_network(ground.network, changed, lying)),
    )


def _met(ground: Ground, job: Job, changed: AbstractSet[UUID]) -> Iterator[tuple[UUID, int]]:
    """Places where joints met one that changed."""
    joints = tuple(job.joints)
    mine = [key in changed for key in joints]
    for place in ground.junctions.met.places:
        if mine[place.one] != mine[place.other]:
            other = place.other if mine[place.one] else place.one
            yield joints[other], to_um(place.other_at_m if mine[place.one] else place.at_m)


def _parted(job: Job, changed: Iterable[UUID]) -> Iterator[tuple[UUID, int]]:
    """Places of junctions that were parted, or are no longer."""
    for key in changed:
        if (item := job.parted.get(key)) is not None:
            yield item.joint, to_um(item.at_m)
            yield item.other, to_um(item.other_at_m)


def _with_marks(before: Ground, ground: Ground, met: AbstractSet[tuple[UUID, int]]) -> set[tuple[UUID, int]]:
    """Places with the marks that hold them before and now, and marks of their joints that are new or gone."""
    found = set(met)
    for joint in {joint for joint, _ in met}:
        ats = [
            {at for at, _ in each.network.marks_um[each.network.number(joint)]} if joint in each.network else set()
            for each in (before, ground)
        ]
        found.update((joint, at) for at in ats[0] ^ ats[1])
    for each in (before, ground):
        for joint, at in met:
            if joint in each.network:
                found.update((joint, mark) for mark in _marks_near(each, each.network.number(joint), at))
    return found


def _marks_near(ground: Ground, joint: int, at_um: int) -> Iterator[int]:
    """Chainages of marks of what lies within δ of a place, also across the start of a closed joint."""
    length, nodes = ground.network.lengths_um[joint], ground.junctions.nodes
    for turned_um in (at_um, at_um - length, at_um + length) if ground.network.closed[joint] else (at_um,):
        yield from nodes.near(joint, turned_um)


def _hidden(ground: Ground) -> set[Lying]:
    """What is hidden."""
    joints = ground.network.joints
    return {(joints[number], low, high) for number, spans in ground.hidden.items() for low, high, _ in spans}


def _in_network(network: Network, changed: Iterable[UUID], lying: Iterable[Lying]) -> Iterator[JointSpan]:
    """All of the changed joints, and stretches of others, as far as the network has them."""
    for joint in changed:
        if joint in network:
            number = network.number(joint)
            yield number, 0, network.lengths_um[number]
    for joint, low, high in lying:
        if joint in network:
            number = network.number(joint)
            yield number, min(low, network.lengths_um[number]), min(high, network.lengths_um[number])
