"""What one leak covers by itself (definition 2): its stretch and its overruns along the network.

A source [f, t] with overruns r⁻ and r⁺ covers

- itself;
- every point within r⁻ of f and within r⁺ of t, measured outward: the way never leads back
  through the leak's own stretch;
- from each node strictly inside the stretch (by τ) every other arm within max(r⁻, r⁺); from a node
  in the stretch at one of its ends, every other arm within the overrun of the nearer end.

A spot within τ of a node has the larger overrun on both sides. A reach that ends within τ of a node
goes on to the node. What is left of a reach after a node spreads into all arms there.
"""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush
from typing import NamedTuple

from leakmap.repair.layout import NO_NODE
from leakmap.repair.network import Network
from leakmap.repair.sources import TIE_UM, Source
from leakmap.repair.spans import on_round

JointSpan = tuple[int, int, int]
"""A stretch of a joint: number of the joint, from, to; micrometres, within the joint."""


def own_cover(network: Network, source: Source) -> list[JointSpan]:
    """What a source covers: stretches of joints in any order, which may overlap.

    A joint's number comes with chainages between 0 and its length; what passes the start of a closed
    joint is told as two.
    """
    alone = _within_one_edge(network, source)
    if alone is not None:
        return [alone]
    spread = _Spread(network)
    spread.take(source.joint, source.from_um, source.to_um)
    before, after = _overruns(network, source)
    wet = _wet_part(network, source)
    for node, from_start, to_stop in wet.nodes:
        inside = source.round or (from_start > TIE_UM and to_stop > TIE_UM)
        spread.arrive(
            node, max(before, after) if inside or from_start == to_stop else _nearer(before, after, from_start, to_stop)
        )
    if not source.round:
        spread.outward(wet.below, source.joint, source.from_um, before, up=False)
        spread.outward(wet.above, source.joint, source.to_um, after, up=True)
    spread.run(wet.shut)
    return spread.spans


def _within_one_edge(network: Network, source: Source) -> JointSpan | None:
    """The whole cover of a source that comes near no node: one stretch; None when more must be asked."""
    number, at = network.edge_at(source.joint, source.from_um)
    edge = network.edges[number]
    low, high = at - source.before_um, at + source.to_um - source.from_um + source.after_um
    if edge.from_node == NO_NODE or low <= edge.from_um + TIE_UM or high >= edge.to_um - TIE_UM:
        return None
    return None if high > network.lengths_um[source.joint] else (source.joint, low, high)


def _nearer(before: int, after: int, from_start: int, to_stop: int) -> int:
    return before if from_start < to_stop else after


def _overruns(network: Network, source: Source) -> tuple[int, int]:
    """Overruns of a source; a spot on a node has the larger on both sides."""
    before, after = source.before_um, source.after_um
    if before != after and source.from_um == source.to_um:
        ways = network.ways_out(source.joint, source.from_um)
        if any(distance <= TIE_UM for _, distance in ways):
            before = after = max(before, after)
    return before, after


class _Dry(NamedTuple):
    """The dry part of the edge that goes on from an end of a leak.

    Attributes:
        length_um: Its length.
        node: Node at its other end; ``NO_NODE`` where it comes back to the leak.
    """

    length_um: int
    node: int


class _WetPart(NamedTuple):
    """How a leak lies on the edges of its joint.

    Attributes:
        nodes: Nodes on it, each with its distances from the leak's start and stop.
        shut: Edges it lies on, each with the length that can be reached from the lower and the upper node.
        below: The dry part before its start; None when it starts on a node.
        above: The dry part after its end; None when it stops on a node.
    """

    nodes: list[tuple[int, int, int]]
    shut: dict[int, tuple[int, int]]
    below: _Dry | None
    above: _Dry | None


def _wet_part(network: Network, source: Source) -> _WetPart:
    parts = list(_along(network, source))
    (first, low, _), (last, _, high) = parts[0], parts[-1]
    lowest, highest = network.edges[first], network.edges[last]
    below = _Dry(low - lowest.from_um, lowest.from_node) if low > lowest.from_um else None
    above = _Dry(highest.to_um - high, highest.to_node) if high < highest.to_um else None
    if lowest.from_node == NO_NODE or (first == last and len(parts) > 1):  # nothing but the leak and one dry part
        below = above = _Dry(network.lengths_um[source.joint] - (source.to_um - source.from_um), NO_NODE)
    nodes = list(_nodes_on(network, source, parts))
    if len(nodes) == 1 and nodes[0][1:] == (0, 0):  # a spot on a node shuts no arm
        return _WetPart(nodes, {}, None, None)
    shut: dict[int, tuple[int, int]] = {}
    for number, at, stop in parts:
        edge = network.edges[number]
        shut[number] = (0, 0) if number in shut else (at - edge.from_um, edge.to_um - stop)
    return _WetPart(nodes, shut, below, above)


def _along(network: Network, source: Source) -> Iterator[tuple[int, int, int]]:
    """Edges that a leak lies on, each with the part of it there; one that it comes back to is told twice."""
    numbers = network.edges_of(source.joint)
    number, at = network.edge_at(source.joint, source.from_um)
    left = source.to_um - source.from_um
    while True:
        stop = min(at + left, network.edges[number].to_um)
        yield number, at, stop
        left -= stop - at
        if left == 0:
            return
        number = number + 1 if number + 1 in numbers else numbers[0]
        at = network.edges[number].from_um


def _nodes_on(network: Network, source: Source, parts: list[tuple[int, int, int]]) -> Iterator[tuple[int, int, int]]:
    """Nodes on a leak, each with its distances from the leak's start and stop."""
    wet, done = source.to_um - source.from_um, 0
    first = network.edges[parts[0][0]]
    if first.from_node == NO_NODE:
        return
    if parts[0][1] == first.from_um:
        yield first.from_node, 0, wet
    for number, at, stop in parts:
        done += stop - at
        if stop == network.edges[number].to_um:
            yield network.edges[number].to_node, done, wet - done


class _Spread:
    """A reach under way: what is covered, and how much is left at each node."""

    __slots__ = ("_left", "_network", "_queue", "spans")

    def __init__(self, network: Network) -> None:
        self._network = network
        self._left: dict[int, int] = {}
        self._queue: list[tuple[int, int]] = []
        self.spans: list[JointSpan] = []

    def take(self, joint: int, low: int, high: int) -> None:
        """Cover a stretch, which may be counted on past the length of a closed joint."""
        length = self._network.lengths_um[joint]
        if low >= 0 and high <= length:
            self.spans.append((joint, low, high))
        else:
            turn = low // length * length
            self.spans.extend((joint, *span) for span in on_round(low - turn, high - turn, length))

    def arrive(self, node: int, left: int) -> None:
        """Come to a node with something left, which may be nothing."""
        if left > self._left.get(node, -1):
            self._left[node] = left
            heappush(self._queue, (-left, node))

    def outward(self, dry: _Dry | None, joint: int, at: int, reach: int, *, up: bool) -> None:
        """Cover an overrun from an end of the leak along its own joint, to the next node at most."""
        if dry is None:
            return
        taken = reach + TIE_UM >= dry.length_um and dry.node != NO_NODE
        covered = dry.length_um if taken else min(reach, dry.length_um)
        self.take(joint, *((at, at + covered) if up else (at - covered, at)))
        if taken:
            self.arrive(dry.node, max(reach - dry.length_um, 0))

    def run(self, shut: dict[int, tuple[int, int]]) -> None:
        """Spread from node to node until nothing is left, never through the leak's own stretch."""
        while self._queue:
            left, node = heappop(self._queue)
            left = -left if left < -1 else 0
            if left < self._left[node] - 1:
                continue
            for arm in self._network.arms[node]:
                if arm.edge in shut:
                    self._cover_arm(arm.edge, min(left, shut[arm.edge][0 if arm.up else 1]), up=arm.up)
                elif left + TIE_UM >= arm.length_um:
                    self._cover_arm(arm.edge, arm.length_um, up=arm.up)
                    self.arrive(arm.to_node, max(left - arm.length_um, 0))
                else:
                    self._cover_arm(arm.edge, left, up=arm.up)

    def _cover_arm(self, number: int, length: int, *, up: bool) -> None:
        if length > 0:
            edge = self._network.edges[number]
            low, high = (edge.from_um, edge.from_um + length) if up else (edge.to_um - length, edge.to_um)
            self.take(edge.joint, low, high)
