"""The imported drawing under the marks: its own lines thin and grey, its texts in grey.

Strokes go to the page as one block of whole hundredths of a point, clipped to the field of the plan;
a drawing of 100,000 segments is a few joined strings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Any, Final

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.issue.schedule_pdf.ink import DRAWN, DRAWN_TEXT, Onto, set_words
from leakmap.issue.schedule_pdf.lettering import CAP_SHARE, MM, Face, Lettering
from leakmap.model.drawing import Drawing, FloatArray, LayerState, Text
from leakmap.model.sheet import Sheet

LINE_MM: Final = 0.13
LEAST_TEXT_MM: Final = 0.7
"""Texts with lower capitals on paper are left out: nobody can read them."""

_LINE_SPACING: Final = 1.6
_BATCH: Final = 2000
_FINE: Final = 100


def shown_layers(sheet: Sheet, drawing: Drawing) -> frozenset[int]:
    """Indices of the layers that show: as the file says, unless the user said otherwise."""
    wish = dict(sheet.shown)
    return frozenset(
        index for index, layer in enumerate(drawing.layers) if wish.get(layer.name, layer.state is LayerState.ON)
    )


def placed(placement: Placement, drawing: Drawing, xy: FloatArray) -> FloatArray:
    """Site positions ``(n, 2)``, metres, of points in drawing units relative to the drawing's origin."""
    c, s = cos(radians(placement.turn_deg)), sin(radians(placement.turn_deg))
    off = np.subtract(drawing.origin, placement.origin)
    scaled = (xy + off) * (placement.x_m_per_unit, placement.y_m_per_unit)
    turned: FloatArray = scaled @ np.array([[c, s], [-s, c]]) + placement.at_m
    return turned


def shown_box(sheet: Sheet, drawing: Drawing) -> Box | None:
    """Box on the site plane round what the drawing shows; None when it shows nothing."""
    if drawing.shown is None:
        return None
    x0, y0, x1, y1 = drawing.shown
    corners = placed(sheet.placement, drawing, np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=np.float64))
    low, high = corners.min(axis=0), corners.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedText:
    """A line of a text of the drawing as it stands on the site plane.

    Attributes:
        at: Its point on the baseline.
        across: 0 left, 0.5 middle, 1 right: which part of its width lies at the point.
    """

    words: str
    at: Point
    cap_height_m: float
    turn_deg: float
    across: float


def texts_of(sheet: Sheet, drawing: Drawing) -> list[PlacedText]:
    """Every line of every shown text."""
    shown = shown_layers(sheet, drawing)
    return [line for text in drawing.texts if text.layer in shown for line in _lines(sheet.placement, drawing, text)]


def _lines(placement: Placement, drawing: Drawing, text: Text) -> Iterator[PlacedText]:
    x, y = placed(placement, drawing, np.array([text.at], dtype=np.float64))[0]
    cap, turn = text.height * placement.y_m_per_unit, text.turn_deg + placement.turn_deg
    lines = text.words.split("\n")
    step, down = cap * _LINE_SPACING, radians(turn)
    top = (len(lines) - 1) * step - text.up * (cap + (len(lines) - 1) * step)
    for index, words in enumerate(lines):
        rise = top - index * step
        at = (float(x) - sin(down) * rise, float(y) + cos(down) * rise)
        if words.strip():
            yield PlacedText(words=words, at=at, cap_height_m=cap, turn_deg=turn, across=text.across)


def text_box(text: PlacedText, lettering: Lettering) -> Box:
    """Box on the site plane round a line of text."""
    width = lettering.width(text.words, Face.DRAFTING, text.cap_height_m / CAP_SHARE[Face.DRAFTING])
    c, s = cos(radians(text.turn_deg)), sin(radians(text.turn_deg))
    along = (-text.across * width, (1 - text.across) * width)
    corners = [
        (text.at[0] + c * u - s * v, text.at[1] + s * u + c * v) for u in along for v in (0.0, text.cap_height_m)
    ]
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def draw_strokes(
    canvas: Canvas, sheet: Sheet, drawing: Drawing, onto: Onto, *, within: Box | None = None
) -> None:  # fmt: skip
    """Put the drawing's lines on the page; the caller has set the clip.

    Args:
        canvas: The canvas, on the page to be drawn.
        sheet: The sheet.
        drawing: Its drawing.
        onto: Placement of the site plane on the page.
        within: What is seen of the site plane, where that is a part only: lines outside are left out.
    """
    xy = placed(sheet.placement, drawing, drawing.strokes.xy)
    page = np.rint(((xy - onto.origin) * onto.k + onto.at) * _FINE)
    page = np.clip(page, -2e7, 2e7).astype(np.int64)
    shown = np.isin(drawing.strokes.layer, list(shown_layers(sheet, drawing)))
    if within is not None and len(xy):
        shown &= _seen(xy, drawing.strokes.starts, within)
    block = _operators(page, drawing.strokes.starts, shown)
    if not block:
        return
    red, green, blue = DRAWN
    pen = f"{red:.4f} {green:.4f} {blue:.4f} RG {LINE_MM * MM * _FINE:.1f} w [] 0 d 1 J 1 j"
    canvas._code.append(f"q {1 / _FINE} 0 0 {1 / _FINE} 0 0 cm {pen}\n{block}\nQ")  # noqa: SLF001 - bulk content


def _seen(xy: FloatArray, starts: Any, within: Box) -> Any:  # noqa: ANN401 - integer and truth arrays
    """Which polylines have a box that meets another."""
    filled = np.diff(starts) > 0
    low, high = (way.reduceat(xy, starts[:-1][filled], axis=0) for way in (np.minimum, np.maximum))
    seen = np.zeros(len(filled), dtype=bool)
    seen[filled] = ((low <= within[2:]) & (high >= within[:2])).all(axis=1)
    return seen


def _operators(page: Any, starts: Any, shown: Any) -> str:  # noqa: ANN401 - integer arrays
    """Path operators of the shown polylines; points that fall on the one before are left out."""
    first = np.zeros(len(page), dtype=bool)
    first[starts[:-1][np.diff(starts) > 0]] = True
    keep = np.repeat(shown, np.diff(starts))
    moved = np.ones(len(page), dtype=bool)
    moved[1:] = (page[1:] != page[:-1]).any(axis=1)
    last = np.roll(first, -1)
    keep &= first | moved | last
    xs, ys = page[keep, 0].tolist(), page[keep, 1].tolist()
    ops = np.where(first[keep], "m", "l").tolist()
    parts = [f"{x} {y} {op}" for x, y, op in zip(xs, ys, ops, strict=True)]
    begins = np.flatnonzero(first[keep]).tolist()
    blocks, at = [], 0
    for begin in [*begins[1:], len(parts)]:
        if begin - at >= _BATCH or begin == len(parts):
            blocks.append("\n".join(parts[at:begin]) + "\nS")
            at = begin
    return "\n".join(blocks) if parts else ""


def draw_texts(canvas: Canvas, texts: list[PlacedText], onto: Onto, lettering: Lettering) -> None:
    """Put the drawing's texts on the page."""
    for text in texts:
        cap = text.cap_height_m * onto.k
        if cap >= LEAST_TEXT_MM * MM:
            set_words(
                canvas,
                lettering,
                text.words,
                at=onto(text.at),
                face=Face.DRAFTING,
                cap=cap,
                fill=DRAWN_TEXT,
                across=text.across,
                turn_deg=text.turn_deg,
            )
