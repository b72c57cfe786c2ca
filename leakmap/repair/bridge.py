"""Sound gaps that are taken into a repair (definition 4).

Terms:
    cover end: where cover stops inside an edge, or a covered node.
    run: a piece of uncovered joint between two stops; a stop is a cover end, a free end, or an
        uncovered node.
    path: runs that follow one another through uncovered nodes, none of them twice.

A run is taken in when a path that holds it leads from a cover end to another cover end or to a free
end and is at most the bridge (with τ) long; taken runs make new cover ends, until nothing changes.
A path from a covered node round a loop back to the same node counts: the node is two cover ends
there, so that a loop that is split into several joints is judged like a closed joint.

Because taking a run in only ever adds cover ends, the order in which paths are found changes
nothing.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from leakmap.repair.layout import NO_NODE, Edge
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.spans import Span, gaps, on_round, united

_COVER = -2
"""Stands for a stop that is a cover end inside an edge."""


class _Run(NamedTuple):
    """A run on an edge, in the edge's chainages; its stops are nodes or ``_COVER``."""

    edge: int
    low: int
    high: int
    below: int
    above: int

    @property
    def length(self) -> int:
        """Its length."""
        return self.high - self.low

    def far(self, node: int) -> int:
        """The stop at its other end, seen from a node."""
        return self.above if self.below == node else self.below


def covered_nodes(network: Network, cover: Sequence[Sequence[Span]]) -> set[int]:
    """Nodes with a mark in the cover, ends of cover included.

    Args:
        network: The network.
        cover: Of each joint, its united spans.

    Returns:
        Numbers of nodes.
    """
    return {
        node for joint, spans in enumerate(cover) for low, high in spans for node in network.nodes_on(joint, low, high)
    }


def bridged(network: Network, cover: Sequence[Sequence[Span]], longest_um: int) -> list[JointSpan]:
    """Runs that are taken in, as stretches of joints.

    Args:
        network: The network.
        cover: Of each joint, its united spans before bridging.
        longest_um: Longest path, τ and the slack of a comparison included.

    Returns:
        Stretches with length, in no order, none of them covered before; what passes the start of a
        closed joint is told as two.
    """
    gaps_now = _Gaps(network, cover, longest_um)
    waiting = list(gaps_now.first_runs())
    taken: list[_Run] = []
    while waiting:
        run = waiting.pop()
        for path in gaps_now.paths(run):
            for part in path:
                if gaps_now.take(part):
                    taken.append(part)
                    waiting.extend(gaps_now.runs_at(part.below))
                    waiting.extend(gaps_now.runs_at(part.above))
    return [stretch for run in taken for stretch in _on_joint(network, run)]


def _on_joint(network: Network, run: _Run) -> Iterator[JointSpan]:
    joint = network.edges[run.edge].joint
    for low, high in on_round(run.low, run.high, network.lengths_um[joint]):
        yield joint, low, high


class _Gaps:
    """What is still uncovered, and the paths through it."""

    def __init__(self, network: Network, cover: Sequence[Sequence[Span]], longest: int) -> None:
        self._network = network
        self._longest = longest
        self._covered = covered_nodes(network, cover)
        self._spans = spans_on_edges(network, cover)
        self._least: dict[int, int] = {}
        self._shorten(self._first_ends())

    def first_runs(self) -> Iterator[_Run]:
        """Runs with a cover end, each at least once."""
        for edge, spans in self._spans.items():
            if self._network.edges[edge].from_node == NO_NODE:
                yield from self._runs_of_ring(edge, spans)
            else:
                yield from self._short_runs_of(edge)
        for node in self._covered:
            if any(arm.length_um <= self._longest for arm in self._network.arms[node]):  # else told with their edges
                yield from self.runs_at(node)

    def runs_at(self, node: int) -> Iterator[_Run]:
        """Runs that start at a node along each of its arms and are no longer than a path may be.

        There is none where cover starts at the node, and none from a cover end inside an edge.
        """
        if node >= 0:
            for arm in self._network.arms[node]:
                if arm.length_um <= self._longest or arm.edge in self._spans:
                    run = self._first_run(arm.edge, up=arm.up)
                    if run is not None and run.length <= self._longest:
                        yield run

    def paths(self, run: _Run) -> Iterator[tuple[_Run, ...]]:
        """Paths that start with a run at one of its cover ends; every one is short enough."""
        if run.length > self._longest or run not in self._runs_now(run.edge):
            return
        stops = (run.below, run.above)
        if all(map(self._is_cover_end, stops)):
            yield (run,)
            return
        for start, stop in (stops, stops[::-1]):
            if self._is_cover_end(start):
                yield from self._onward((run,), stop, run.length, {stop})

    def take(self, run: _Run) -> bool:
        """Cover a run and both its stops; whether it was uncovered."""
        spans = self._spans.setdefault(run.edge, [])
        if any(low <= run.low and run.high <= high for low, high in spans):
            return False
        self._spans[run.edge] = united([*spans, (run.low, run.high)])
        covered = {stop for stop in (run.below, run.above) if stop >= 0} - self._covered
        self._covered |= covered
        self._shorten((0, node) for node in covered)
        return True

    def _onward(self, path: tuple[_Run, ...], node: int, length: int, passed: set[int]) -> Iterator[tuple[_Run, ...]]:
        """Paths that go on from a stop; a free end or a cover end ends them."""
        if self._is_cover_end(node) or self._network.is_free_end(node):
            yield path
            return
        for run in self.runs_at(node):
            stop, total = run.far(node), length + run.length
            if run not in path and stop not in passed and total + self._rest(stop) <= self._longest:
                yield from self._onward((*path, run), stop, total, passed | {stop})

    def _is_cover_end(self, stop: int) -> bool:
        return stop == _COVER or stop in self._covered

    def _runs_now(self, edge: int) -> Iterable[_Run]:
        if self._network.edges[edge].from_node == NO_NODE:
            return self._runs_of_ring(edge, self._spans.get(edge, []))
        return self._runs_of(edge)

    def _runs_of(self, number: int) -> list[_Run]:
        """Runs of an edge between two nodes, rising."""
        edge = self._network.edges[number]
        return self._between(number, edge, gaps(self._spans.get(number, ()), edge.from_um, edge.to_um))

    def _short_runs_of(self, number: int) -> list[_Run]:
        """The same, without what is longer than a path may be."""
        edge = self._network.edges[number]
        open_spans = gaps(self._spans.get(number, ()), edge.from_um, edge.to_um)
        short = [(low, high) for low, high in open_spans if high - low <= self._longest]
        return self._between(number, edge, short) if short else []

    def _between(self, number: int, edge: Edge, open_spans: Iterable[Span]) -> list[_Run]:
        return [
            _Run(
                number,
                low,
                high,
                edge.from_node if low == edge.from_um else _COVER,
                edge.to_node if high == edge.to_um else _COVER,
            )
            for low, high in open_spans
        ]

    def _first_run(self, number: int, *, up: bool) -> _Run | None:
        """The run at the lower or upper end of an edge; None where cover is."""
        edge, spans = self._network.edges[number], self._spans.get(number)
        if not spans:
            return _Run(number, edge.from_um, edge.to_um, edge.from_node, edge.to_node)
        low, high = spans[0][0], spans[-1][1]
        if up:
            return _Run(number, edge.from_um, low, edge.from_node, _COVER) if low > edge.from_um else None
        return _Run(number, high, edge.to_um, _COVER, edge.to_node) if high < edge.to_um else None

    def _runs_of_ring(self, number: int, spans: Sequence[Span]) -> Iterator[_Run]:
        """Runs of a ring without nodes: between neighbouring spans, the last round to the first."""
        length = self._network.edges[number].to_um
        following = [*((low, high) for low, high in spans[1:]), (spans[0][0] + length, 0)] if spans else []
        for (_, stop), (start, _) in zip(spans, following, strict=True):
            if start > stop:
                yield _Run(number, stop, start, _COVER, _COVER)

    def _rest(self, stop: int) -> int:
        """Least way from a stop to where a path can end: a bound that spares ways that lead nowhere."""
        return 0 if stop == _COVER else self._least.get(stop, self._longest + 1)

    def _first_ends(self) -> Iterator[tuple[int, int]]:
        """Nodes where a path can end, and nodes with a cover end on an arm, each with the way to it."""
        for node in self._covered:
            yield 0, node
        for node in self._network.free_ends_within(self._longest):  # no path comes to others but where cover is
            yield 0, node
        for edge in self._spans:
            for node in self._network.edges[edge][-2:]:
                if self._network.is_free_end(node):
                    yield 0, node
            for run in self._short_runs_of(edge):
                if _COVER in (run.below, run.above) and run.below != run.above:
                    yield run.length, run.far(_COVER)

    def _shorten(self, ends: Iterable[tuple[int, int]]) -> None:
        """Take in new ends of paths: least ways to them through uncovered joint, as far as a path may go."""
        queue = sorted(ends)
        while queue:
            way, node = heappop(queue)
            if node == NO_NODE or way > self._longest or way >= self._least.get(node, self._longest + 1):
                continue
            self._least[node] = way
            for arm in self._network.arms[node]:
                if arm.length_um <= self._longest and not self._spans.get(arm.edge):
                    heappush(queue, (way + arm.length_um, arm.to_node))


def spans_on_edges(network: Network, cover: Sequence[Sequence[Span]]) -> dict[int, list[Span]]:
    """United spans of each edge that has any, in the edge's chainages; a touch at an end is the node's alone."""
    found: dict[int, list[Span]] = {}
    for joint, spans in enumerate(cover):
        if not spans:
            continue
        numbers = network.edges_of(joint)
        starts = network.starts_um(joint)
        turn = network.lengths_um[joint] if network.closed[joint] and starts[0] else 0
        for low, high in [*spans, *((low + turn, high + turn) for low, high in spans if turn)]:
            for number in numbers[max(bisect_right(starts, low) - 1, 0) : bisect_right(starts, high)]:
                edge = network.edges[number]
                part = max(low, edge.from_um), min(high, edge.to_um)
                if part[0] < part[1] or edge.from_um < part[0] == part[1] < edge.to_um:
                    found.setdefault(number, []).append(part)
    return {number: united(spans) for number, spans in found.items()}
