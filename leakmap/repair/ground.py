"""What of a work-out follows from sheets, joints and parted junctions alone, whatever leaks there are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from leakmap.base.micrometres import to_um
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.repair.junctions import Junctions, junctions_of
from leakmap.repair.levels import listing_order
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.spans import Span, on_round
from leakmap.repair.tracing import Hidden

_ORIGIN_STEP_M: Final = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Joints of a job as every repair on them sees them.

    Attributes:
        junctions: Where they meet.
        hidden: Of each joint number, blind stretches and the clearances at movement joints; joints
            without are left out.
        order: Place of each joint in every list.
        origin_m: Site position from which coat bands are laid out, one for the whole job.
    """

    junctions: Junctions
    hidden: Mapping[int, Sequence[Hidden]]
    order: Mapping[UUID, tuple[int, int]]
    origin_m: Point

    @property
    def network(self) -> Network:
        """The network of joints repaired by this method."""
        return self.junctions.network


def ground_of(job: Job) -> Ground:
    """The ground of a job's repairs."""
    return ground_on(job, junctions_of(job))


def ground_on(job: Job, junctions: Junctions) -> Ground:
    """The same where it is known how the joints meet."""
    return Ground(
        junctions=junctions, hidden=_hidden(job, junctions), order=listing_order(job), origin_m=origin_of(job)
    )


def origin_of(job: Job) -> Point:
    """The whole kilometres nearest to the least x and y at which a joint starts.

    Bands far from the site's origin stay exact, and a joint drawn past all others seldom moves it: what is laid out
    from another origin is worked out anew.
    """
    starts = [joint.path.points[0] if joint.path else joint.point for joint in job.joints.values()]
    xs, ys = zip(*(start for start in starts if start is not None), strict=True) if starts else ((0.0,), (0.0,))
    return _ORIGIN_STEP_M * round(min(xs) / _ORIGIN_STEP_M), _ORIGIN_STEP_M * round(min(ys) / _ORIGIN_STEP_M)


def _hidden(job: Job, junctions: Junctions) -> dict[int, list[Hidden]]:
    """Of each joint number, blind stretches and the clearances at movement joints."""
    network = junctions.network
    hidden: dict[int, list[Hidden]] = {}
    for number, identity in enumerate(network.joints):
        length = network.lengths_um[number]
        for blind in job.joints[identity].blind:
            low, high = min(to_um(blind.from_m), length), min(to_um(blind.to_m), length)
            spans = _round_or_straight(network, number, low, high)
            hidden.setdefault(number, []).extend(Hidden(*span, at_movement=False) for span in spans)
    for crossing in junctions.movement:
        number, at, keep = network.number(crossing.joint), to_um(crossing.at_m), to_um(crossing.clearance_m)
        for joint, low, high in clearance_spans(network, number, at, keep):
            hidden.setdefault(joint, []).append(Hidden(low, high, at_movement=True))
    return hidden


def clearance_spans(network: Network, joint: int, at_um: int, keep_um: int) -> Iterator[JointSpan]:
    """A clearance on each side of a place.

    It is carried across the start of a closed joint, and past the end of an open one into the joint
    that continues it: where two joints meet end to end and nothing else does.
    """
    low, high, length = at_um - keep_um, at_um + keep_um, network.lengths_um[joint]
    if network.closed[joint]:
        turn = length if low < 0 else 0
        yield from ((joint, *span) for span in on_round(low + turn, high + turn, length))
        return
    yield joint, max(low, 0), min(high, length)
    yield from _onward(network, joint, 0, -low)
    yield from _onward(network, joint, length, high - length)


def _onward(network: Network, joint: int, end_um: int, left_um: int) -> Iterator[JointSpan]:
    """What is left of a clearance past an end of a joint."""
    while left_um > 0:
        node = network.marks_um[joint][-1 if end_um else 0][1]
        others = [mark for mark in network.members_um(node) if mark != (joint, end_um)]
        if len(others) != 1:
            return
        ((joint, at_um),) = others
        length = network.lengths_um[joint]
        if network.closed[joint] or at_um not in {0, length}:
            return
        taken = min(left_um, length)
        yield (joint, 0, taken) if at_um == 0 else (joint, length - taken, length)
        end_um, left_um = (0 if at_um else length), left_um - length


def _round_or_straight(network: Network, joint: int, low: int, high: int) -> list[Span]:
    """A stretch as stored; on a closed joint one that starts after it stops passes the start."""
    if low > high and network.closed[joint]:
        return on_round(low, high + network.lengths_um[joint], network.lengths_um[joint])
    return [(min(low, high), max(low, high))]
