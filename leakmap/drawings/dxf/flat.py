"""From ink in space to lines and texts in plan, near a local origin."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10
from typing import Final

import numpy as np
import numpy.typing as npt

from leakmap.base.findings import Effect
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.dxf.endless import EndlessLines, ended, grown
from leakmap.drawings.dxf.ink import Ink
from leakmap.drawings.dxf.texts import flat_text
from leakmap.drawings.dxf.troubles import Troubles
from leakmap.drawings.shown import shown_box, stroke_boxes
from leakmap.geometry.path import Box, Point
from leakmap.model.drawing import FloatArray, IntArray, Layer, LayerState, Strokes, Text

FAR_FROM_ZERO: Final = 10.0
"""A drawing farther from zero than this many times its size gets a local origin."""

FARTHEST: Final = 1e15
"""Coordinates beyond this are no places; what has one is left out."""

_LEVEL: Final = 1e-6
_WORDS: Final = "Laying the lines flat"
_NO_PLACES: Final = "Lines left out, as their coordinates are no places: {n}."
_MERE_POINTS: Final = "Lines left out, as they are mere points in plan: {n}."
_HIGH: Final = "Lines that do not lie at height 0, drawn as seen from above: {n}."


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Lines and texts in plan.

    Attributes:
        origin: Drawing point that all else is relative to.
        strokes: Lines.
        texts: Texts.
        shown: Box round what is visible but for endless lines; None when nothing is.
        size: Longer side of that box, or of the box round everything when nothing is visible.
    """

    origin: Point
    strokes: Strokes
    texts: tuple[Text, ...]
    shown: Box | None
    size: float


def plan_of(ink: Ink, layers: tuple[Layer, ...], troubles: Troubles, progress: Progress = UNWATCHED) -> Plan:
    """The plan that ink makes, seen from above.

    Raises:
        Stopped: The watcher asked to stop.
    """
    progress.report(_WORDS, 0, 3)
    strokes = _strokes(ink, troubles)
    progress.report(_WORDS, 1, 3)
    texts = _texts(ink, troubles)
    progress.report(_WORDS, 2, 3)
    boxes = np.vstack((stroke_boxes(strokes), _text_boxes(texts)))
    owners = np.concatenate((strokes.layer, np.array([text.layer for text in texts], dtype=np.int32)))
    on = np.array([layer.state is LayerState.ON for layer in layers], dtype=np.bool_)
    shown, strays = shown_box(boxes[on[owners]])
    whole = shown if shown is not None else shown_box(boxes)[0]
    _note_view(shown, whole, strays, troubles)
    strokes = _with_endless(strokes, ink.endless, whole, troubles)
    origin = _origin(whole)
    return Plan(
        origin=origin,
        strokes=Strokes(strokes.xy - np.array(origin), strokes.starts, strokes.layer),
        texts=tuple(_moved(text, origin) for text in texts),
        shown=None if shown is None else _from_origin(shown, origin),
        size=0.0 if whole is None else max(whole[2] - whole[0], whole[3] - whole[1]),
    )


def _strokes(ink: Ink, troubles: Troubles) -> Strokes:
    """Polylines in plan, without those that have no place or no length there."""
    several = ink.counts > 1
    usable = several & _all_usable(ink.xyz, ink.counts)
    troubles.note("bad-coordinate", _NO_PLACES, count=int(np.count_nonzero(several & ~usable)))
    xyz, counts, layer = _kept(ink.xyz, ink.counts, ink.layer, usable)
    boxes = stroke_boxes(Strokes(xyz[:, :2], _starts(counts), layer))
    long = (boxes[:, :2] != boxes[:, 2:]).any(axis=1)
    troubles.note("no-length", _MERE_POINTS, effect=Effect.LOOK, count=int(np.count_nonzero(~long)))
    xyz, counts, layer = _kept(xyz, counts, layer, long)
    high = np.unique(np.repeat(np.arange(len(counts)), counts)[np.abs(xyz[:, 2]) > _LEVEL])
    troubles.note("heights-ignored", _HIGH, effect=Effect.LOOK, count=len(high))
    return Strokes(np.ascontiguousarray(xyz[:, :2]), _starts(counts), layer)


def _with_endless(strokes: Strokes, lines: EndlessLines, box: Box | None, troubles: Troubles) -> Strokes:
    """Strokes, and after them what shows of endless lines near the box of all else."""
    if not len(lines):
        return strokes
    lines = _usable_endless(lines, troubles)
    if box is None or box[:2] == box[2:]:
        text = "Endless construction lines left out, as nothing else is drawn that says how far they go: {n}."
        troubles.note("endless-line", text, count=len(lines))
        return strokes
    ends, through = ended(lines, grown(box))
    text = "Endless construction lines, drawn a little farther than all else reaches: {n}; nothing on site ends where they do."
    troubles.note("endless-line", text, effect=Effect.LOOK, count=len(ends))
    text = "Endless construction lines that pass by all else that is drawn, left out: {n}."
    troubles.note("endless-line", text, count=len(lines) - len(ends))
    return Strokes(
        np.concatenate((strokes.xy, ends[:, :, :2].reshape(-1, 2))),
        np.concatenate((strokes.starts, strokes.starts[-1] + 2 * np.arange(1, len(ends) + 1))).astype(np.int32),
        np.concatenate((strokes.layer, lines.layer[through])),
    )


def _usable_endless(lines: EndlessLines, troubles: Troubles) -> EndlessLines:
    """Endless lines without those that have no place, or no way in plan."""
    usable = np.abs(np.column_stack((lines.at, lines.way))).max(axis=1) < FARTHEST
    troubles.note("bad-coordinate", _NO_PLACES, count=int(np.count_nonzero(~usable)))
    lines = lines.those(usable)
    long = np.hypot(*lines.way[:, :2].T) > 0
    troubles.note("no-length", _MERE_POINTS, effect=Effect.LOOK, count=int(np.count_nonzero(~long)))
    lines = lines.those(long)
    high = np.maximum(np.abs(lines.at[:, 2]), np.abs(lines.way[:, 2])) > _LEVEL
    troubles.note("heights-ignored", _HIGH, effect=Effect.LOOK, count=int(np.count_nonzero(high)))
    return lines


def _all_usable(xyz: FloatArray, counts: IntArray) -> npt.NDArray[np.bool_]:
    """Whether all points of each polyline are places; not-a-number fails the comparison."""
    bad = ~(np.abs(xyz) < FARTHEST).all(axis=1)
    owners = np.repeat(np.arange(len(counts)), counts)
    usable: npt.NDArray[np.bool_] = np.bincount(owners[bad], minlength=len(counts)) == 0
    return usable


def _kept(
    xyz: FloatArray, counts: IntArray, layer: IntArray, kept: npt.NDArray[np.bool_]
) -> tuple[FloatArray, IntArray, IntArray]:
    if kept.all():
        return xyz, counts, layer
    return xyz[np.repeat(kept, counts)], counts[kept], layer[kept]


def _starts(counts: IntArray) -> IntArray:
    return np.concatenate(([0], np.cumsum(counts))).astype(np.int32)


def _texts(ink: Ink, troubles: Troubles) -> tuple[Text, ...]:
    texts = [flat_text(lettering) for lettering in ink.letterings]
    kept = tuple(text for text in texts if text is not None and max(map(abs, text.at)) < FARTHEST)
    text = "Texts left out, as their letters have no height in plan or no place: {n}."
    troubles.note("text-no-height", text, count=len(texts) - len(kept))
    return kept


def _text_boxes(texts: tuple[Text, ...]) -> FloatArray:
    return np.array([(*text.at, *text.at) for text in texts], dtype=np.float64).reshape(-1, 4)


def _note_view(shown: Box | None, whole: Box | None, strays: int, troubles: Troubles) -> None:
    text = "Lines and texts far from the rest, which the first view of the drawing leaves out: {n}."
    troubles.note("far-away", text, effect=Effect.LOOK, count=strays)
    if shown is None and whole is not None:
        text = "All layers with lines are off or frozen; show the layers that you need."
        troubles.note("nothing-visible", text, effect=Effect.LOOK)


def _origin(box: Box | None) -> Point:
    """Zero, or for a drawing far from zero its lower left, rounded down to a round number."""
    if box is None:
        return (0.0, 0.0)
    size = max(box[2] - box[0], box[3] - box[1])
    if max(map(abs, box)) <= FAR_FROM_ZERO * size or size == 0:
        return (0.0, 0.0)
    step = 10.0 ** floor(log10(size))
    return (floor(box[0] / step) * step, floor(box[1] / step) * step)


def _moved(text: Text, origin: Point) -> Text:
    at = (text.at[0] - origin[0], text.at[1] - origin[1])
    return Text(at, text.height, text.turn_deg, text.across, text.up, text.words, text.layer)


def _from_origin(box: Box, origin: Point) -> Box:
    return (box[0] - origin[0], box[1] - origin[1], box[2] - origin[0], box[3] - origin[1])
