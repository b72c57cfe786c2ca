"""Edges, arms and members of a network, each laid out when it is first asked for.

What a network is stands in ``leakmap.repair.network``. Most edits ask for a few places of it only,
and a network is made anew whenever a joint changes.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import accumulate, chain
from typing import Final, NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

NO_NODE: Final = -1
"""Stands where a ring has no node."""

IntArray = npt.NDArray[np.int64]
Mark = tuple[int, int]
T = TypeVar("T")


class Edge(NamedTuple):
    """The part of a joint between two neighbouring marks.

    Attributes:
        joint: Number of the joint.
        from_um: Chainage of its lower end.
        to_um: Chainage of its upper end; past the joint's length where it passes the start.
        from_node: Node at its lower end; ``NO_NODE`` on a ring without marks.
        to_node: Node at its upper end.
    """

    joint: int
    from_um: int
    to_um: int
    from_node: int
    to_node: int


class Arm(NamedTuple):
    """A way out of a node along an edge.

    Attributes:
        edge: Number of the edge.
        up: Whether it leaves along rising chainage.
        length_um: Length of the edge.
        to_node: Node at its other end.
    """

    edge: int
    up: bool
    length_um: int
    to_node: int


class Asked(dict[int, T]):
    """Values by number, each made when it is first asked for.

    Args:
        count: How many there are.
        make: Makes the value of a number.
    """

    def __init__(self, count: int, make: Callable[[int], T]) -> None:
        super().__init__()
        self._count = count
        self._make = make

    def __missing__(self, number: int) -> T:
        value = self[number] = self._make(number)
        return value

    def __len__(self) -> int:
        return self._count


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """What follows from the marks of joints.

    Attributes:
        firsts: Number of the first edge of each joint, and of none after the last.
        edges: Every edge.
        members: Marks of each node as (joint number, chainage).
        arms: Of each node, its arms.
        free: Nodes that are free ends.
        free_um: Length of the arm of each, in that order.
    """

    firsts: Sequence[int]
    edges: Asked[Edge]
    members: Asked[tuple[tuple[int, int], ...]]
    arms: Asked[tuple[Arm, ...]]
    free: IntArray
    free_um: IntArray


def layout_of(lengths_um: Sequence[int], closed: Sequence[bool], marks_um: Sequence[Sequence[Mark]]) -> Layout:
    """Edges, arms and members of joints with marks.

    Args:
        lengths_um: Length of each joint.
        closed: Whether each returns to its start.
        marks_um: Of each, the marks as (chainage, node), in rising chainage.
    """
    counts = [len(marks) for marks in marks_um]
    edge_counts = (max(count - (not is_closed), 1) for count, is_closed in zip(counts, closed, strict=True))
    firsts = list(accumulate(edge_counts, initial=0))
    flat = np.fromiter(chain.from_iterable(chain.from_iterable(marks_um)), np.int64, 2 * sum(counts)).reshape(-1, 2)
    joint = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(len(joint)) - np.repeat(np.cumsum(counts, dtype=np.int64) - counts, counts)
    order = np.argsort(flat[:, 1], kind="stable")
    nodes = int(flat[:, 1].max(initial=NO_NODE)) + 1
    bounds = np.searchsorted(flat[order, 1], np.arange(nodes + 1)).tolist()
    placed = list(zip(joint[order].tolist(), place[order].tolist(), strict=True))
    marked = _Marked(lengths_um, closed, marks_um, firsts, placed, bounds)
    edges = Asked(firsts[-1], marked.edge)
    free, free_um = _free_ends(np.array(closed, dtype=np.bool_), np.array(counts, dtype=np.int64), flat, joint, place)
    return Layout(
        firsts=firsts,
        edges=edges,
        members=Asked(nodes, marked.members),
        arms=Asked(nodes, partial(marked.arms, edges)),
        free=free,
        free_um=free_um,
    )


class _Marked(NamedTuple):
    """Marks of joints, and the joint and rank of every mark of each node.

    Attributes:
        placed: Of every mark, node after node, the joint and the mark's rank on it.
        bounds: Where the marks of each node start among them, and where the last stop.
    """

    lengths_um: Sequence[int]
    closed: Sequence[bool]
    marks_um: Sequence[Sequence[Mark]]
    firsts: Sequence[int]
    placed: Sequence[tuple[int, int]]
    bounds: Sequence[int]

    def of_node(self, node: int) -> Sequence[tuple[int, int]]:
        """Joint and rank of the marks of a node."""
        return self.placed[self.bounds[node] : self.bounds[node + 1]]

    def members(self, node: int) -> tuple[tuple[int, int], ...]:
        """Marks of a node as (joint, chainage)."""
        return tuple((joint, self.marks_um[joint][rank][0]) for joint, rank in self.of_node(node))

    def edge(self, number: int) -> Edge:
        """An edge by its number."""
        joint = bisect_right(self.firsts, number) - 1
        marks, rank = self.marks_um[joint], number - self.firsts[joint]
        if not marks:
            return Edge(joint, 0, self.lengths_um[joint], NO_NODE, NO_NODE)
        low, below = marks[rank]
        if rank + 1 == len(marks):  # of a closed joint, past its start
            return Edge(joint, low, marks[0][0] + self.lengths_um[joint], below, marks[0][1])
        high, above = marks[rank + 1]
        return Edge(joint, low, high, below, above)

    def arms(self, edges: Asked[Edge], node: int) -> tuple[Arm, ...]:
        """Arms of a node, in the order of their edges."""
        ways: list[tuple[int, bool]] = []
        for joint, rank in self.of_node(node):
            first, count, is_closed = self.firsts[joint], len(self.marks_um[joint]), self.closed[joint]
            if is_closed or rank > 0:
                ways.append((first + (rank - 1) % count, True))
            if is_closed or rank + 1 < count:
                ways.append((first + rank, False))
        return tuple(_arm(number, edges[number], down=down) for number, down in sorted(ways))


def _arm(number: int, edge: Edge, *, down: bool) -> Arm:
    return Arm(number, not down, edge.to_um - edge.from_um, edge.from_node if down else edge.to_node)


def _free_ends(
    closed: npt.NDArray[np.bool_], counts: IntArray, flat: IntArray, joint: IntArray, place: IntArray
) -> tuple[IntArray, IntArray]:
    """Nodes with a single arm, which is the first or the last edge of an open joint, and its length."""
    last = place + 1 == counts[joint]
    at_end = ~closed[joint] & ((place == 0) | last)
    arms = np.bincount(flat[:, 1], weights=2 - at_end)
    mark = np.flatnonzero(at_end & (arms[flat[:, 1]] == 1)) if len(flat) else np.empty(0, np.int64)
    beside = np.where(last[mark], mark - 1, mark + 1)
    return flat[mark, 1], np.abs(flat[mark, 0] - flat[beside, 0])
