"""The box round what is visible and drawn, so that the first view of a drawing shows the plan.

Header extents are not asked. The box is made of visible lines and of the points where visible texts
stand (not of their widths). Two rules keep strays out of it; each is about a few things only:

* **Giants**: up to 1 % of the lines (at least one) that are each more than 20 times as large as the
  box round all smaller ones, such as a line that runs off to the origin of a survey.
* **Far off**: lines beyond empty strips that are each wider than 3 times the rest is large, if they are
  at most 10 % of the lines, such as an insert kilometres away. Plans that stand side by side are no
  strays: the strip between them is narrower.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from leakmap.geometry.path import Box
from leakmap.model.drawing import FloatArray, Strokes

GIANT_TIMES: Final = 20.0
GIANT_SHARE: Final = 0.01
FAR_TIMES: Final = 3.0
FAR_SHARE: Final = 0.10
MOST_GAPS: Final = 32

_BoolArray = npt.NDArray[np.bool_]


def stroke_boxes(strokes: Strokes) -> FloatArray:
    """Box of each polyline, ``(m, 4)``: min x, min y, max x, max y."""
    if not len(strokes):
        return np.empty((0, 4))
    firsts = strokes.starts[:-1]
    low = np.minimum.reduceat(strokes.xy, firsts, axis=0)
    high = np.maximum.reduceat(strokes.xy, firsts, axis=0)
    return np.hstack((low, high))


def shown_box(boxes: FloatArray) -> tuple[Box | None, int]:
    """The box round most of the boxes ``(m, 4)``, and how many strays it leaves out; None for no boxes."""
    if not len(boxes):
        return None, 0
    kept = boxes[_without_giants(boxes)]
    while len(near := kept[_near_ones(kept)]) < len(kept):
        kept = near
    low, high = kept[:, :2].min(axis=0).tolist(), kept[:, 2:].max(axis=0).tolist()
    return (low[0], low[1], high[0], high[1]), len(boxes) - len(kept)


def _without_giants(boxes: FloatArray) -> _BoolArray:
    sizes = np.maximum(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    order = np.argsort(sizes, kind="stable")
    low = np.minimum.accumulate(boxes[order, :2], axis=0)
    high = np.maximum.accumulate(boxes[order, 2:], axis=0)
    around_smaller = (high - low).max(axis=1)
    kept = np.ones(len(boxes), dtype=np.bool_)
    few = min(max(1, int(GIANT_SHARE * len(boxes))), len(boxes) - 1)
    for place in range(len(boxes) - few, len(boxes)):
        if around_smaller[place - 1] > 0 and sizes[order[place]] > GIANT_TIMES * around_smaller[place - 1]:
            kept[order[place:]] = False
            break
    return kept


def _near_ones(boxes: FloatArray) -> _BoolArray:
    """Which boxes belong to the main group, when all others are few and far off; else all."""
    for axis in (0, 1):
        order = np.argsort(boxes[:, axis], kind="stable")
        gaps = boxes[order[1:], axis] - np.maximum.accumulate(boxes[order, axis + 2])[:-1]
        widest = np.argsort(-gaps, kind="stable")[:MOST_GAPS]
        for many in range(1, len(widest) + 1):
            main = max(np.split(order, np.sort(widest[:many]) + 1), key=len)
            if gaps[widest[many - 1]] <= 0:
                break
            few_others = len(boxes) - len(main) <= FAR_SHARE * len(boxes)
            if few_others and gaps[widest[many - 1]] > FAR_TIMES * _size(boxes[main]) > 0:
                kept = np.zeros(len(boxes), dtype=np.bool_)
                kept[main] = True
                return kept
    return np.ones(len(boxes), dtype=np.bool_)


def _size(boxes: FloatArray) -> float:
    """Longer side of the box round some boxes."""
    return float((boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)).max())
