"""Cover written down by hand, for tests of what follows from it.

Joints and leaks are named by number, as in ``tests.helpers.jobs``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from leakmap.base.micrometres import to_um
from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.repair.network import Network
from leakmap.repair.parts import Covered, Part
from leakmap.repair.results import Piece, Why
from tests.helpers.jobs import joint_id, leak_id

Meeting = Sequence[tuple[int, float]]
"""Places that are one node: (joint number, chainage)."""


def network_of(job: Job, meetings: Iterable[Meeting] = ()) -> Network:
    """A network of all joints of a job with the meetings given and the ends of open joints."""
    joints = tuple(job.joints)
    nodes: list[set[tuple[UUID, int]]] = [{(joint_id(n), to_um(at_m)) for n, at_m in meeting} for meeting in meetings]
    known = set().union(*nodes)
    for joint in job.joints.values():
        ends = () if joint.closed else (0, to_um(joint.length_m))
        nodes += [{(joint.id, end)} for end in ends if (joint.id, end) not in known]
    marks = sorted((joints.index(joint), at_um, n) for n, node in enumerate(nodes) for joint, at_um in node)
    numbers: dict[int, int] = {}
    for _, _, node in marks:
        numbers.setdefault(node, len(numbers))
    return Network(
        joints=joints,
        lengths_um=tuple(to_um(joint.length_m) for joint in job.joints.values()),
        closed=tuple(joint.closed for joint in job.joints.values()),
        marks_um=tuple(
            tuple((at_um, numbers[node]) for number, at_um, node in marks if number == joint)
            for joint in range(len(joints))
        ),
    )


def piece(
    joint: int,
    from_m: float,
    to_m: float,
    why: Why = Why.LEAK,
    *,
    leaks: Sequence[int] = (1,),
    wetness: Wetness | None = None,
) -> Piece:
    """A piece of cover."""
    return Piece(
        joint=joint_id(joint),
        from_m=from_m,
        to_m=to_m,
        why=why,
        wetness=wetness,
        leaks=tuple(leak_id(number) for number in leaks),
    )


def part(*pieces: Piece, whole: int = 0) -> Part:
    """A part of these pieces, its ends left out."""
    return Part(pieces=pieces, ends=(), whole=whole)


def covered_by_hand(
    job: Job,
    *parts: Part,
    meetings: Iterable[Meeting] = (),
    apart: Iterable[tuple[int, int]] = (),
    own_cover_m: float = 0.0,
    cover_m: float = 0.0,
) -> Covered:
    """The cover of a job, written down."""
    return Covered(
        network=network_of(job, meetings),
        parts=parts,
        apart=frozenset(apart),
        own_cover_m=own_cover_m,
        cover_m=cover_m,
        findings=(),
    )
