"""Plans that stand side by side in one drawing, as proposals of which part to take.

Lines and texts that show are parted by empty strips, each at least ``STRIP_SHARE`` of the drawing wide, across and
down in turn, until none is left. What is left are heaps; those that reach ``PLAN_SHARE`` of the largest one's longer
side are plans, the others, such as titles and legends, go to the plan that is nearest. Frames round everything and
lines from end to end part nothing. The shares are ours: a proposal costs a look, and the user's rectangle decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Final

import numpy as np
import numpy.typing as npt

from leakmap.base.findings import Effect, Finding
from leakmap.drawings.shown import shown_box, stroke_boxes
from leakmap.geometry.path import Box, Point
from leakmap.model.drawing import Drawing, FloatArray, LayerState, Text

STRIP_SHARE: Final = 0.02
PLAN_SHARE: Final = 0.4

MOST_PLANS: Final = 40
"""So many heaps of like size are no plans, but things that are scattered, such as a legend."""

LEAST_LINES: Final = 8
"""A plan has at least so many lines."""

_BoolArray = npt.NDArray[np.bool_]
_Numbers = npt.NDArray[np.intp]
_END_TO_END: Final = 0.95
_DIGITS: Final = 3
_LONGEST_NAME: Final = 60


@dataclass(frozen=True, slots=True)
class PlanInDrawing:
    """One of several plans.

    Attributes:
        name: Its largest text; empty where it has none.
        box: Left, bottom, right, top; absolute drawing units, rounded outwards.
    """

    name: str
    box: Box


def plans_side_by_side(drawing: Drawing) -> tuple[PlanInDrawing, ...]:
    """The plans that stand side by side, from left to right and from the top down; none where there is one only."""
    lines, texts = _shown_lines(drawing), [text for text in drawing.texts if _shows(drawing, text.layer)]
    boxes = np.vstack((lines, np.array([(*text.at, *text.at) for text in texts]).reshape(-1, 4)))
    whole, _ = shown_box(boxes)
    if whole is None or len(lines) < 2 * LEAST_LINES:
        return ()
    size = max(whole[2] - whole[0], whole[3] - whole[1])
    inside = np.flatnonzero(_within(boxes, whole) & ~_end_to_end(boxes, whole))
    if not len(inside):
        return ()
    heaps = list(_heaps(boxes, inside, STRIP_SHARE * size, across=True))
    plans = _plans(boxes, heaps, len(lines))
    if not 1 < len(plans) <= MOST_PLANS:
        return ()
    digits = _DIGITS - floor(log10(size))
    found = []
    for heap in plans:
        own = [texts[number - len(lines)] for number in heap.tolist() if number >= len(lines)]
        found.append(PlanInDrawing(_name(own), _outwards(_around(boxes[heap]), drawing.origin, digits)))
    return tuple(sorted(found, key=lambda plan: (-round(plan.box[3] / size, 1), plan.box[0])))


def plans_finding(plans: tuple[PlanInDrawing, ...]) -> Finding:
    """The finding that several plans stand side by side, with the rectangle of each."""
    each = "; ".join(f"{plan.name or 'without a name'} at {_corners(plan.box)}" for plan in plans)
    text = f"{len(plans)} plans stand side by side; choose one by the rectangle round it, or all are one sheet: {each}."
    return Finding("plans-side-by-side", "", text, Effect.LOOK)


def _corners(box: Box) -> str:
    return ",".join(f"{value:.12g}" for value in box)


def _shows(drawing: Drawing, layer: int) -> bool:
    return drawing.layers[layer].state is LayerState.ON


def _shown_lines(drawing: Drawing) -> FloatArray:
    on = np.array([layer.state is LayerState.ON for layer in drawing.layers], dtype=np.bool_)
    boxes: FloatArray = stroke_boxes(drawing.strokes)[on[drawing.strokes.layer]]
    return boxes


def _within(boxes: FloatArray, whole: Box) -> _BoolArray:
    kept = (boxes >= (*whole[:2], *whole[:2])) & (boxes <= (*whole[2:], *whole[2:]))
    return np.asarray(kept.all(axis=1))


def _end_to_end(boxes: FloatArray, whole: Box) -> _BoolArray:
    """Which boxes reach from one end of the drawing to the other: frames and parts of them, axes, cutting lines."""
    extents = boxes[:, 2:] - boxes[:, :2]
    room = np.maximum(np.subtract(whole[2:], whole[:2]), np.finfo(np.float64).tiny)
    reach = extents >= _END_TO_END * room
    thin = extents <= STRIP_SHARE * room
    return np.asarray(reach.all(axis=1) | (reach & thin[:, ::-1]).any(axis=1))


def _heaps(
    boxes: FloatArray, chosen: _Numbers, strip: float, *, across: bool, stuck: bool = False
) -> Iterator[_Numbers]:
    """Heaps of boxes, by their numbers, parted by strips that no box reaches into."""
    axis = 0 if across else 1
    order = chosen[np.argsort(boxes[chosen, axis], kind="stable")]
    gaps = boxes[order[1:], axis] - np.maximum.accumulate(boxes[order, axis + 2])[:-1]
    parts = np.split(order, np.flatnonzero(gaps >= strip) + 1)
    if len(parts) == 1 and stuck:
        yield chosen
        return
    for part in parts:
        yield from _heaps(boxes, part, strip, across=not across, stuck=len(parts) == 1)


def _plans(boxes: FloatArray, heaps: list[_Numbers], lines: int) -> list[_Numbers]:
    """The heaps that are plans, each with the smaller heaps nearest to it."""
    around = np.array([_around(boxes[heap]) for heap in heaps])
    sizes = (around[:, 2:] - around[:, :2]).max(axis=1)
    enough = np.array([np.count_nonzero(heap < lines) >= LEAST_LINES for heap in heaps])
    large = np.flatnonzero(enough & (sizes >= PLAN_SHARE * sizes[enough].max(initial=0.0)))
    members = {int(plan): [heaps[plan]] for plan in large}
    for heap in set(range(len(heaps))) - set(members):
        apart = [_apart(around[heap], around[plan]) for plan in members]
        if apart:
            members[list(members)[int(np.argmin(apart))]].append(heaps[heap])
    return [np.concatenate(parts) for parts in members.values()]


def _around(boxes: FloatArray) -> FloatArray:
    found: FloatArray = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
    return found


def _apart(one: FloatArray, other: FloatArray) -> float:
    return float(np.hypot(*np.maximum(np.maximum(one[:2] - other[2:], other[:2] - one[2:]), 0)))


def _name(texts: list[Text]) -> str:
    largest = max(texts, key=lambda text: text.height, default=None)
    return "" if largest is None else " ".join(largest.words.split())[:_LONGEST_NAME]


def _outwards(around: FloatArray, origin: Point, digits: int) -> Box:
    """A box in absolute drawing units, its corners moved outwards by less than two steps to round numbers."""
    step = 10.0**-digits
    left, bottom, right, top = np.add(around, (*origin, *origin)).tolist()
    x0, y0 = ((floor(value / step) - 1) * step for value in (left, bottom))
    x1, y1 = ((ceil(value / step) + 1) * step for value in (right, top))
    decimals = max(digits, 0)
    return round(x0, decimals), round(y0, decimals), round(x1, decimals), round(y1, decimals)
