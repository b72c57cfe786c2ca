"""What many leaks cover by themselves, leak by leak, in arrays.

The meaning is that of ``leakmap.repair.reach``; here every step is taken for all leaks at once. Leaks on
closed joints are few and are asked one by one.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, pairwise
from operator import itemgetter
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan, own_cover
from leakmap.repair.sources import TIE_UM, Source

IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

_BITS: Final = 40  # of a chainage in a key of joint and chainage
_PLACED: Final = itemgetter(1, 2, 3, 4, 5)  # joint, from, to and overruns of a source


class Rows(NamedTuple):
    """Stretches of joints, one row each: the leak's place among the sources, the joint, from, to."""

    source: IntArray
    joint: IntArray
    low: IntArray
    high: IntArray

    def lists(self, count: int) -> list[list[JointSpan]]:
        """The stretches of each of so many sources."""
        order = np.argsort(self.source, kind="stable")
        spans = list(zip(*(each[order].tolist() for each in self[1:]), strict=True))
        bounds = np.searchsorted(self.source[order], np.arange(count + 1)).tolist()
        return [spans[low:high] for low, high in pairwise(bounds)]


class Leaks(NamedTuple):
    """Sources in arrays, each as in ``Source``; ``number`` is its place among them."""

    number: IntArray
    joint: IntArray
    low: IntArray
    high: IntArray
    before: IntArray
    after: IntArray

    def those(self, which: BoolArray) -> Leaks:
        """Some of them."""
        return Leaks(*(each[which] for each in self))


class Table(NamedTuple):
    """A network in arrays: marks in joint, chainage order, edges, and the arms of each node one after the other.

    Attributes:
        keys: Joint and chainage of each mark in one number, rising.
        node: Node of each mark.
        first_mark: Number of the first mark of each joint.
        first_edge: Number of the first edge of each joint.
        joint: Joint of each edge, and from where to where it runs, between which nodes, as in ``Edge``.
        arm: Edge of each arm, whether it leaves along rising chainage, its length and the node at its other end.
        first_arm: Number of the first arm of each node, and of none after the last.
    """

    length: IntArray
    closed: BoolArray
    keys: IntArray
    at: IntArray
    node: IntArray
    first_mark: IntArray
    first_edge: IntArray
    joint: IntArray
    low: IntArray
    high: IntArray
    below: IntArray
    above: IntArray
    arm: tuple[IntArray, BoolArray, IntArray, IntArray]
    first_arm: IntArray

    def arms(self, number: IntArray) -> tuple[IntArray, BoolArray, IntArray, IntArray]:
        """Some arms, told as all of them are."""
        edge, up, length, to_node = self.arm
        return edge[number], up[number], length[number], to_node[number]


class _Front(NamedTuple):
    """Nodes that leaks came to, with what is left of their reach there."""

    leak: IntArray
    node: IntArray
    left: IntArray


def own_covers(network: Network, sources: Sequence[Source]) -> Rows:
    """What each source covers by itself; stretches in any order, which may overlap."""
    table, leaks = table_of(network), leaks_of(sources)
    on_closed = table.closed[leaks.joint]
    closed = leaks.number[on_closed].tolist()
    alone = [(number, *span) for number in closed for span in own_cover(network, sources[number])]
    rows = covers_on_open(table, leaks.those(~on_closed) if closed else leaks)
    if not alone:
        return rows
    return Rows(*map(np.concatenate, zip(rows, np.array(alone, dtype=np.int64).T, strict=True)))


def covers_on_open(table: Table, leaks: Leaks) -> Rows:
    """What each of some leaks on open joints covers by itself."""
    found, near = _within_one_edge(table, leaks)
    rows = [found, *_spread(table, near)]
    return _turned(table, Rows(*map(np.concatenate, zip(*rows, strict=True))))


def leaks_of(sources: Sequence[Source]) -> Leaks:
    """Sources in arrays, along the joints."""
    values = chain.from_iterable(map(_PLACED, sources))
    columns = np.fromiter(values, np.int64, 5 * len(sources)).reshape(-1, 5).T
    order = np.argsort((columns[0] << _BITS) | columns[1])  # what is looked up in order is found much faster
    return Leaks(order, *columns[:, order])


def table_of(network: Network) -> Table:
    """A network in arrays."""
    counts = np.array([len(marks) for marks in network.marks_um], dtype=np.int64)
    length, closed = np.array(network.lengths_um, dtype=np.int64), np.array(network.closed, dtype=np.bool_)
    flat = np.fromiter(chain.from_iterable(chain.from_iterable(network.marks_um)), np.int64, 2 * int(counts.sum()))
    at, node = flat.reshape(-1, 2).T
    on = np.repeat(np.arange(len(counts)), counts)
    first_mark = np.cumsum(counts) - counts
    last = np.zeros(len(at), dtype=np.bool_)
    last[(first_mark + counts - 1)[counts > 0]] = True
    lower = np.flatnonzero(~last | closed[on])  # the mark at the lower end of each edge between marks
    upper = np.where(last[lower], first_mark[on[lower]], lower + 1)
    turn = np.where(last[lower], length[on[lower]], 0)
    edge_counts = np.maximum(counts - ~closed, 1)
    first_edge = np.cumsum(edge_counts) - edge_counts
    edge = first_edge[on[lower]] + lower - first_mark[on[lower]]
    joint = np.repeat(np.arange(len(counts)), edge_counts)
    low, high, below, above = np.zeros_like(joint), length[joint], np.full_like(joint, -1), np.full_like(joint, -1)
    low[edge], high[edge], below[edge], above[edge] = at[lower], at[upper] + turn, node[lower], node[upper]
    ends = np.concatenate((below[edge], above[edge]))
    order = np.argsort(ends, kind="stable")
    arm_edge, up = np.concatenate((edge, edge))[order], order < len(edge)
    to_node = np.where(up, above[arm_edge], below[arm_edge])
    return Table(
        length=length,
        closed=closed,
        keys=(on << _BITS) | at,
        at=at,
        node=node,
        first_mark=first_mark,
        first_edge=first_edge,
        joint=joint,
        low=low,
        high=high,
        below=below,
        above=above,
        arm=(arm_edge, up, (high - low)[arm_edge], to_node),
        first_arm=np.searchsorted(ends[order], np.arange(int(node.max(initial=-1)) + 2)),
    )


def _marks_before(table: Table, joint: IntArray, at: IntArray, side: str) -> IntArray:
    key = (joint << _BITS) | at
    return np.searchsorted(table.keys, key, "left" if side == "left" else "right")


def _edge_above(table: Table, leaks: Leaks) -> IntArray:
    """The edge that holds the start of each leak on an open joint: the one above a mark, at the end the last."""
    mark = _marks_before(table, leaks.joint, leaks.low, "right") - 1
    at_end = leaks.low >= table.length[leaks.joint]
    return table.first_edge[leaks.joint] + mark - table.first_mark[leaks.joint] - at_end


def _within_one_edge(table: Table, leaks: Leaks) -> tuple[Rows, Leaks]:
    """The whole cover of leaks that come near no node, and the other leaks."""
    edge = _edge_above(table, leaks)
    low, high = leaks.low - leaks.before, leaks.high + leaks.after
    inside = (low > table.low[edge] + TIE_UM) & (high < table.high[edge] - TIE_UM)
    rows = Rows(leaks.number[inside], leaks.joint[inside], low[inside], high[inside])
    return rows, leaks.those(~inside)


class _Near(NamedTuple):
    """Leaks that come near a node, with the first and the last edge that each lies on."""

    leaks: Leaks
    first: IntArray
    last: IntArray
    on_node: BoolArray


def _spread(table: Table, leaks: Leaks) -> list[Rows]:
    """Cover of leaks on open joints that come near nodes."""
    first = _edge_above(table, leaks)
    spot = leaks.low == leaks.high
    last_mark = _marks_before(table, leaks.joint, leaks.high, "left") - 1
    last = np.where(spot, first, table.first_edge[leaks.joint] + last_mark - table.first_mark[leaks.joint])
    dry_below, dry_above = leaks.low - table.low[first], table.high[last] - leaks.high
    tie = spot & (np.minimum(dry_below, dry_above) <= TIE_UM)
    larger = np.maximum(leaks.before, leaks.after)
    leaks = leaks._replace(before=np.where(tie, larger, leaks.before), after=np.where(tie, larger, leaks.after))
    near = _Near(leaks, first, last, on_node=spot & ((dry_below == 0) | (dry_above == 0)))
    below, down = _outward(near, dry_below, table.below[first], leaks.before, up=False)
    above, up = _outward(near, dry_above, table.above[last], leaks.after, up=True)
    rows = [Rows(leaks.number, leaks.joint, leaks.low, leaks.high), below, above]
    fronts = (_on_leak(table, near), down, up)
    return [*rows, *_run(table, near, _Front(*map(np.concatenate, zip(*fronts, strict=True))))]


def _outward(near: _Near, dry: IntArray, node: IntArray, reach: IntArray, *, up: bool) -> tuple[Rows, _Front]:
    """Overruns from an end of the leaks along their own joints, and the nodes that they come to."""
    leaks, out = near.leaks, (dry > 0) & ~near.on_node
    taken = reach + TIE_UM >= dry
    covered = np.where(taken, dry, reach)
    low, high = (leaks.high, leaks.high + covered) if up else (leaks.low - covered, leaks.low)
    come = out & taken
    front = _Front(np.flatnonzero(come), node[come], np.maximum(reach - dry, 0)[come])
    return Rows(leaks.number[out], leaks.joint[out], low[out], high[out]), front


def _on_leak(table: Table, near: _Near) -> _Front:
    """Nodes on the leaks, each with the overrun that spreads from it."""
    leaks = near.leaks
    start = _marks_before(table, leaks.joint, leaks.low, "left")
    leak, mark = _ranges(start, _marks_before(table, leaks.joint, leaks.high, "right"))
    before, after = leaks.before[leak], leaks.after[leak]
    from_start, to_stop = table.at[mark] - leaks.low[leak], leaks.high[leak] - table.at[mark]
    inside = (np.minimum(from_start, to_stop) > TIE_UM) | (from_start == to_stop)
    left = np.where(inside, np.maximum(before, after), np.where(from_start < to_stop, before, after))
    return _Front(leak, table.node[mark], left)


def _run(table: Table, near: _Near, front: _Front) -> list[Rows]:
    """Spread from node to node until nothing is left, never through a leak's own stretch."""
    rows: list[Rows] = []
    known = _Front(*(np.empty(0, np.int64) for _ in front))
    while len((front := _farther(table, front, known)).leak):
        known = _Front(*map(np.concatenate, zip(known, front, strict=True)))
        at, number = _ranges(table.first_arm[front.node], table.first_arm[front.node + 1])
        edge, up, length, to_node = table.arms(number)
        leak, left = front.leak[at], np.where(front.left > 1, front.left, 0)[at]
        shut = (edge >= near.first[leak]) & (edge <= near.last[leak])
        taken = left + TIE_UM >= length
        covered = np.where(taken, length, left)
        own = np.flatnonzero(shut)
        covered[own] = np.minimum(left[own], _dry(table, near, edge[own], leak[own], up[own]))
        taken[own] = near.on_node[leak[own]] & (left[own] + TIE_UM >= length[own])
        some = np.flatnonzero(covered)
        rows.append(_along(table, near.leaks.number[leak[some]], edge[some], covered[some], up[some]))
        front = _Front(leak[taken], to_node[taken], np.maximum(left[taken] - length[taken], 0))
    return rows


def _dry(table: Table, near: _Near, edge: IntArray, leak: IntArray, up: BoolArray) -> IntArray:
    """How much of edges that leaks lie on is dry, seen from a node; a spot on a node shuts none."""
    low, high = table.low[edge], table.high[edge]
    dry = np.where(up, near.leaks.low[leak] - low, high - near.leaks.high[leak])
    return np.where(near.on_node[leak], high - low, np.maximum(dry, 0))


def _along(table: Table, source: IntArray, edge: IntArray, covered: IntArray, up: BoolArray) -> Rows:
    """What is covered of edges from one of their nodes."""
    low = np.where(up, table.low[edge], table.high[edge] - covered)
    return Rows(source, table.joint[edge], low, low + covered)


def _farther(table: Table, front: _Front, known: _Front) -> _Front:
    """Those of a front with more left than was known at the same node, once each with the most."""
    nodes = len(table.first_arm) - 1
    leak, node, left = map(np.concatenate, zip(front, known, strict=True))
    key = leak * nodes + node
    order = np.argsort(key, kind="stable")
    if not len(order):
        return front
    key, left, new = key[order], left[order], order < len(front.leak)
    first = np.flatnonzero(np.concatenate(([True], key[1:] != key[:-1])))
    most = np.maximum.reduceat(np.where(new, left, -1), first)
    more = most > np.maximum.reduceat(np.where(new, -1, left), first)
    at = order[first[more]]
    return _Front(leak[at], node[at], most[more])


def _ranges(start: IntArray, stop: IntArray) -> tuple[IntArray, IntArray]:
    """Every number of some ranges, with the place of its range."""
    counts = stop - start
    of = np.repeat(np.arange(len(counts)), counts)
    return of, np.arange(len(of)) + (start - (np.cumsum(counts) - counts))[of]


def _turned(table: Table, rows: Rows) -> Rows:
    """Stretches with what passes the start of a closed joint told as two, all within their joints."""
    length = table.length[rows.joint]
    past = rows.high > length
    if not past.any():
        return rows
    turn = np.where(past & (rows.low >= length), length, 0)
    low, high = rows.low - turn, rows.high - turn
    across = high > length
    again = Rows(
        rows.source[across], rows.joint[across], np.zeros(int(across.sum()), np.int64), (high - length)[across]
    )
    first = Rows(rows.source, rows.joint, low, np.minimum(high, length))
    return Rows(*map(np.concatenate, zip(first, again, strict=True)))
