"""Marks on joints, and which of them are one node (definition 1).

Places within δ of each other along a joint are one mark, by transitive closure: at an end of the joint
if one of them is that end, else half-way between the first and the last. A node is the transitive
closure of marks that were joined.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final, Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from leakmap.base.micrometres import to_um
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M

BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]

DELTA_UM: Final = to_um(DRAWING_TOLERANCE_M + MICRON_M)
"""δ with the slack of a comparison, in micrometres."""

_BITS: Final = 40  # of a chainage in a key: a joint may be a million metres long
_MASK: Final = (1 << _BITS) - 1
_SIDES: Final[tuple[tuple[Literal["left", "right"], int], ...]] = (("left", 0), ("right", 1))


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
    """Marks of one joint: raw places, none past its ends, that lie within δ of each other are one.

    >>> marks_on(5_000_000, [2_000_000, 2_008_000, 4_995_000], closed=False).at_um
    (0, 2004000, 5000000)
    >>> marks_on(5_000_000, [], closed=True).at_um
    ()
    """
    places = sorted({*raw_um} if closed else {0, *raw_um, length_um})
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


class Nodes(NamedTuple):
    """Marks of all joints, and which of them are one node.

    Attributes:
        marks_um: Marks of each joint as (chainage, node); nodes are numbered in the order of their first mark.
        raw: Every raw place, as ``_key`` tells it, rising.
        mark_um: Chainage of the mark of each.
    """

    marks_um: tuple[tuple[tuple[int, int], ...], ...]
    raw: IntArray
    mark_um: IntArray

    def near(self, joint: int, at_um: int) -> list[int]:
        """Chainages of the marks that hold raw places within δ of a place."""
        low, high = np.searchsorted(
            self.raw, (_key(joint, max(at_um - DELTA_UM, 0)), _key(joint, at_um + DELTA_UM) + 1)
        ).tolist()
        return sorted(set(self.mark_um[low:high].tolist()))


class Pairs(NamedTuple):
    """Raw places that were found two by two, one row for each pair, ``(n, 2)``: joints, and chainages on them."""

    joint: IntArray
    at_um: IntArray


def nodes_of(lengths_um: Sequence[int], closed: Sequence[bool], met: Pairs, joined: BoolArray) -> Nodes:
    """Marks and nodes of joints.

    Args:
        lengths_um: Length of each joint.
        closed: Whether each returns to its start.
        met: Raw places where joints meet.
        joined: Of each pair, whether it is one node; the others leave their marks and join nothing.
    """
    raw, of_pair = np.unique(_with_ends(lengths_um, closed, met), return_inverse=True)
    joint, at_um = raw >> _BITS, raw & _MASK
    mark, mark_joint, mark_um, same = _marked(lengths_um, closed, joint, at_um)
    one, other = mark[of_pair[: met.at_um.size]].reshape(-1, 2)[joined].T
    lowest = _lowest_joined(len(mark_um), np.concatenate((one, same[:, 0])), np.concatenate((other, same[:, 1])))
    node = np.unique(lowest, return_inverse=True)[1]
    pairs = list(zip(mark_um.tolist(), node.tolist(), strict=True))
    firsts = np.searchsorted(mark_joint, np.arange(len(lengths_um) + 1)).tolist()
    return Nodes(tuple(tuple(pairs[low:high]) for low, high in pairwise(firsts)), raw, mark_um[mark])


def _key(joint: int, at_um: int) -> int:
    return (joint << _BITS) | at_um


def _with_ends(lengths_um: Sequence[int], closed: Sequence[bool], met: Pairs) -> IntArray:
    """Keys of all raw places, pair after pair, and of both ends of every open joint."""
    is_open = np.flatnonzero(~np.asarray(closed, dtype=np.bool_))
    ends = np.asarray(lengths_um, dtype=np.int64)[is_open]
    first = is_open << _BITS
    return np.concatenate(((met.joint.ravel() << _BITS) | met.at_um.ravel(), first, first | ends))


def _marked(
    lengths_um: Sequence[int], closed: Sequence[bool], joint: IntArray, at_um: IntArray
) -> tuple[IntArray, IntArray, IntArray, IntArray]:
    """Number of the mark of each raw place; joint and chainage of each mark, rising; marks that are one place all the same.

    Args:
        lengths_um: Length of each joint.
        closed: Whether each returns to its start.
        joint: Joint of each raw place, rising.
        at_um: Its chainage, rising on each joint.
    """
    if not len(joint):
        none = np.empty(0, np.int64)
        return none, none, none, none.reshape(0, 2)
    next_joint = np.diff(joint) != 0
    starts = np.flatnonzero(np.concatenate(([True], next_joint | (np.diff(at_um) > DELTA_UM))))
    stops = np.concatenate((starts[1:], [len(joint)])) - 1
    own = joint[starts]
    first, last = (np.searchsorted(own, own, side) == np.arange(len(own)) + more for side, more in _SIDES)
    mark_um = (at_um[starts] + at_um[stops]) // 2
    mark_um = np.where(first, 0, np.where(last, np.asarray(lengths_um, dtype=np.int64)[own], mark_um))
    mark = np.repeat(np.arange(len(starts)), stops - starts + 1)
    special = np.flatnonzero(np.bincount(own[np.asarray(closed, dtype=np.bool_)[own] | (first & last)])).tolist()
    return _with_special(lengths_um, closed, (joint, at_um), (mark, own, mark_um), special)


def _with_special(
    lengths_um: Sequence[int],
    closed: Sequence[bool],
    places: tuple[IntArray, IntArray],
    marked: tuple[IntArray, IntArray, IntArray],
    special: Sequence[int],
) -> tuple[IntArray, IntArray, IntArray, IntArray]:
    """The same with the marks of some joints told anew: closed ones, and those shorter than δ."""
    (joint, at_um), (mark, mark_joint, mark_um) = places, marked
    mark = mark.copy()
    kept = ~np.isin(mark_joint, special)
    joints, ats, same = [mark_joint], [mark_um], []
    count = len(mark_um)
    for number in special:
        low, high = np.searchsorted(joint, (number, number + 1)).tolist()
        own = marks_on(lengths_um[number], at_um[low:high].tolist(), closed=closed[number])
        mark[low:high] = [count + own.of[at] for at in at_um[low:high].tolist()]
        same += [(count + one, count + other) for one, other in own.same]
        joints.append(np.full(len(own.at_um), number))
        ats.append(np.asarray(own.at_um, dtype=np.int64))
        count += len(own.at_um)
    mark_joint, mark_um = np.concatenate(joints), np.concatenate(ats)
    kept = np.concatenate((kept, np.ones(count - len(kept), dtype=np.bool_)))
    order = np.flatnonzero(kept)[np.lexsort((mark_um[kept], mark_joint[kept]))]
    rank = np.zeros(count, dtype=np.int64)
    rank[order] = np.arange(len(order))
    return rank[mark], mark_joint[order], mark_um[order], rank[np.asarray(same, dtype=np.int64).reshape(-1, 2)]


def _lowest_joined(count: int, one: IntArray, other: IntArray) -> IntArray:
    """Of each number below a count, the lowest that hangs together with it by pairs."""
    lowest = np.arange(count)
    while True:
        before = lowest.copy()
        least = np.minimum(lowest[one], lowest[other])
        np.minimum.at(lowest, one, least)
        np.minimum.at(lowest, other, least)
        lowest = lowest[lowest]
        if np.array_equal(before, lowest):
            return lowest
