"""Marks on joints, and which of them are one node (definition 1).

Places within δ of each other along a joint are one mark, by transitive closure: at an end of the joint
if one of them is that end, else half-way between the first and the last. A node is the transitive
closure of marks that were joined.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from typing import Final, NamedTuple

from leakmap.base.micrometres import to_um
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.repair.grouping import Groups

DELTA_UM: Final = to_um(DRAWING_TOLERANCE_M + MICRON_M)
"""δ with the slack of a comparison, in micrometres."""


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


class Joined:
    """Marks of all joints, and which of them are one node."""

    def __init__(self, marks: Sequence[Marks]) -> None:
        self._marks = marks
        self._firsts = tuple(accumulate((len(own.at_um) for own in marks), initial=0))
        self._groups = Groups(self._firsts[-1])
        for first, own in zip(self._firsts, marks, strict=False):
            for low, high in own.same:
                self._groups.join(first + low, first + high)

    def join(self, one: tuple[int, int], other: tuple[int, int]) -> None:
        """Take two raw places (joint, chainage) as one."""
        self._groups.join(self._mark(*one), self._mark(*other))

    def numbered(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Marks of each joint as (chainage, node), nodes numbered in order of their first mark."""
        nodes = self._groups.numbered()
        return tuple(
            tuple(zip(own.at_um, nodes[low:high], strict=True))
            for own, (low, high) in zip(self._marks, pairwise(self._firsts), strict=True)
        )

    def _mark(self, joint: int, at_um: int) -> int:
        return self._firsts[joint] + self._marks[joint].of[at_um]
