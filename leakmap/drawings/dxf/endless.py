"""Endless lines: construction lines without ends, and rays with one, which end where a box cuts them.

They are kept by a place and a way until all else that is drawn is known.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from leakmap.geometry.path import Box
from leakmap.model.drawing import FloatArray, IntArray

BoolArray = npt.NDArray[np.bool_]
Vector = tuple[float, float, float]

GROWN: Final = 0.05
"""By so much of its width and height the box of a drawing is larger than what it holds (ours): a frame round a
drawing still reaches from end to end of it."""


@dataclass(frozen=True, slots=True, eq=False)
class EndlessLines:
    """k endless lines.

    Attributes:
        at: ``(k, 3)``, a place of each; the end of one with an end.
        way: ``(k, 3)``, the way in which it runs, of any length.
        both: ``(k,)``, whether it runs the other way too.
        layer: ``(k,)``, number of its layer, or ``ink.INHERIT``.
    """

    at: FloatArray
    way: FloatArray
    both: BoolArray
    layer: IntArray

    def __len__(self) -> int:
        return len(self.layer)

    def those(self, which: BoolArray) -> EndlessLines:
        """Some of them."""
        return EndlessLines(self.at[which], self.way[which], self.both[which], self.layer[which])


def endless_lines(rows: Iterable[tuple[Vector, Vector, bool, int]]) -> EndlessLines:
    """Endless lines, each by its place, its way, whether it runs both ways, and its layer."""
    each = list(rows)
    return EndlessLines(
        np.array([at for at, *_ in each], dtype=np.float64).reshape(-1, 3),
        np.array([way for _, way, *_ in each], dtype=np.float64).reshape(-1, 3),
        np.array([both for *_, both, _ in each], dtype=np.bool_),
        np.array([layer for *_, layer in each], dtype=np.int32),
    )


def joined(parts: list[EndlessLines]) -> EndlessLines:
    """Endless lines of several parts, in their order."""
    return EndlessLines(
        np.concatenate([part.at for part in parts]),
        np.concatenate([part.way for part in parts]),
        np.concatenate([part.both for part in parts]),
        np.concatenate([part.layer for part in parts]),
    )


def grown(box: Box) -> Box:
    """The box in which endless lines are drawn, round what else there is.

    >>> grown((0, 0, 40, 20))
    (-1.0, -0.5, 41.0, 20.5)
    """
    low, high = np.array(box[:2]), np.array(box[2:])
    extent = high - low
    margin = GROWN / 2 * np.where(extent > 0, extent, extent.max())
    left, bottom, right, top = np.concatenate((low - margin, high + margin)).tolist()
    return left, bottom, right, top


def ended(lines: EndlessLines, box: Box, *, from_ends: bool = False) -> tuple[FloatArray, BoolArray]:
    """What a box lets show of endless lines, seen from above.

    Args:
        lines: The lines, all with places and ways that are numbers.
        box: The box.
        from_ends: Whether a line with an end starts there, also where that lies outside the box.

    Returns:
        Both ends ``(m, 2, 3)`` of each line that runs through the box, and which do ``(k,)``; no line that only
        touches a corner of it.
    """
    step = np.hypot(*lines.way[:, :2].T)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        way = lines.way / step[:, None]
        to_low, to_high = (np.array(side) - lines.at[:, :2] for side in (box[:2], box[2:]))
        level = way[:, :2] == 0  # along a side: the whole of it or nothing
        within = (to_low <= 0) & (to_high >= 0)
        one, other = to_low / way[:, :2], to_high / way[:, :2]
    enter = np.where(level, np.where(within, -np.inf, np.inf), np.minimum(one, other)).max(axis=1)
    leave = np.where(level, np.where(within, np.inf, -np.inf), np.maximum(one, other)).min(axis=1)
    start = np.where(lines.both, enter, np.maximum(enter, 0.0))
    through = start < leave
    if from_ends:
        start = np.where(lines.both, enter, 0.0)
    stretch = np.column_stack((start, leave))[through]
    return lines.at[through, None] + stretch[:, :, None] * way[through, None], through


def beyond(lines: EndlessLines, ends: FloatArray, through: BoolArray) -> EndlessLines:
    """What ``ended`` with ``from_ends`` leaves of endless lines outside its box.

    Args:
        lines: The lines.
        ends: What it gave.
        through: What it gave.
    """
    cut = lines.those(through)
    one_way = np.zeros(len(cut), dtype=np.bool_)
    after = EndlessLines(ends[:, 1], cut.way, one_way, cut.layer)
    before = EndlessLines(ends[:, 0], -cut.way, one_way, cut.layer).those(cut.both)
    return joined([lines.those(~through), before, after])


NO_ENDLESS: Final = endless_lines(())
