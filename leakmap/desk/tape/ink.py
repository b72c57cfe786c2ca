"""Painting what lies on a joint laid out straight: leaks, bands of zones, relief points, cuts, words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from math import ceil, sqrt
from typing import Final, TypeAlias

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.signs import SCALE, paint
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, colour
from leakmap.geometry.path import Path
from leakmap.issue.marks.leaks import sleeve, strokes
from leakmap.issue.marks.primitives import Primitive
from leakmap.issue.marks.signs import relief_sign
from leakmap.issue.marks.zones import TURNS
from leakmap.model.words import Wetness
from leakmap.repair.results import Piece, Why
from leakmap.repair.tape_layout import ByHand, Run

Signs: TypeAlias = tuple[Primitive, ...]
Band: TypeAlias = tuple[float, float]
"""Top and bottom, px."""

HATCH_GAP_PX: Final = 4.6
_OUTLINE_PX: Final = 1.4
_PROVISIONAL_PX: Final = (8.0, 4.0)
_HAND_PX: Final = 6.0
_FINE_PX: Final = 6.0  # what is narrower has no room for strokes, hatch and outline
_SLEEVE_PX: Final = 4.2


@lru_cache(maxsize=512)
def wet_signs(wide: float, wetness: Wetness) -> tuple[Signs, Signs]:
    """The sleeve and the strokes of a leak, from the origin to the right; ``wide`` in px, greater than zero."""
    path = Path(((0.0, 0.0), (wide, 0.0)))
    return sleeve(path, wetness, SCALE), strokes(path, wetness, SCALE)


@cache
def _relief() -> Signs:
    return relief_sign((0.0, 0.0), (0.0, -1.0), SCALE)


def paint_at(painter: QPainter, signs: Signs, x: float, y: float) -> None:
    """Paint signs with their origin at a pixel."""
    painter.translate(x, y)
    paint(painter, signs)
    painter.translate(-x, -y)


def paint_wet(
    painter: QPainter, spans: Sequence[tuple[float, float, Wetness]], y: float, line: tuple[float, float]
) -> None:
    """Leaks on their joint: all sleeves, the line of the joint, all strokes.

    Args:
        painter: The painter.
        spans: Left, right and wetness of each.
        y: Height of the joint.
        line: Where its line starts and stops.
    """
    for low, high, wetness in spans:
        if high - low < _FINE_PX:
            fill = tokens().wet[wetness - 1] if wetness else tokens().water
            painter.fillRect(QRectF(low, y - _SLEEVE_PX, high - low, 2 * _SLEEVE_PX), colour(fill))
    shown = [span for span in spans if span[1] - span[0] >= _FINE_PX]
    signs = [(low, wet_signs(round(high - low, 1), wetness)) for low, high, wetness in shown]
    for low, (sleeves, _) in signs:
        paint_at(painter, sleeves, low, y)
    painter.fillRect(QRectF(line[0], y - 1.0, line[1] - line[0], 2.0), colour(tokens().ink))
    for low, (_, groups) in signs:
        paint_at(painter, groups, low, y)


def paint_run(
    painter: QPainter, run: Run, x_of: Callable[[float], float], band: Band, seen: tuple[float, float]
) -> None:
    """The band of a run: tint, its wet part deeper, what is dry hatched as on the plan; outline."""
    top, bottom = band
    left, right = x_of(run.from_m), x_of(run.to_m)
    box = QRectF(left, top, right - left, bottom - top)
    painter.fillRect(box, colour(tokens().repair, tokens().band_alpha))
    if right - left < _FINE_PX:
        return
    for piece in run.pieces:
        _paint_piece(
            painter, piece, QRectF(x_of(piece.from_m), top, x_of(piece.to_m) - x_of(piece.from_m), bottom - top), seen
        )
    pen = QPen(colour(tokens().repair), _OUTLINE_PX)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if run.zone.provisional:
        pen.setDashPattern([length / _OUTLINE_PX for length in _PROVISIONAL_PX])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)


def _paint_piece(painter: QPainter, piece: Piece, box: QRectF, seen: tuple[float, float]) -> None:
    if piece.why is Why.BLIND:
        middle = box.center().y()
        painter.setPen(_dashes(tokens().repair, 1.0, (1.5, 3.0)))
        painter.drawLine(QLineF(box.left(), middle, box.right(), middle))
    elif piece.why in TURNS:
        _paint_hatch(painter, box, seen, TURNS[piece.why])
    elif piece.wetness is not None and piece.wetness > Wetness.SUSPECT:
        painter.fillRect(box, colour(tokens().repair, tokens().wet_part_alpha))


def _paint_hatch(painter: QPainter, box: QRectF, seen: tuple[float, float], turns: Sequence[float]) -> None:
    part = box.intersected(QRectF(seen[0], box.top(), max(seen[1] - seen[0], 0.0), box.height()))
    if part.isEmpty():
        return
    painter.save()
    painter.setClipRect(part, Qt.ClipOperation.IntersectClip)
    painter.setPen(QPen(colour(tokens().repair, tokens().hatch_alpha), 1.0))
    painter.drawLines([line for turn in turns for line in band_lines(box, part, turn)])
    painter.restore()


def band_lines(box: QRectF, part: QRectF, turn: float) -> list[QLineF]:
    """Lines of a hatch that reach into a part of a box, 4.6 px apart; they keep to the box when it is moved.

    Args:
        box: What is hatched; greater than nothing.
        part: The part of it that is seen.
        turn: Against the joint, degrees: 0 along it, 45 falling to the right, 90 across it, 135 rising.
    """
    high, top, bottom = box.height(), box.top(), box.bottom()
    if turn == 0.0:
        rows = [top + HATCH_GAP_PX * k for k in range(1, ceil(high / HATCH_GAP_PX))]
        return [QLineF(part.left(), y, part.right(), y) for y in rows]
    slant, step = (0.0, HATCH_GAP_PX) if turn == 90.0 else (high, HATCH_GAP_PX * sqrt(2))
    count = ceil((part.width() + slant) / step) + 1
    start = box.left() + (part.left() - slant - box.left()) // step * step
    feet = [start + step * k for k in range(count + 1)]
    if turn == 135.0:
        return [QLineF(x, bottom, x + slant, top) for x in feet]
    return [QLineF(x, top, x + slant, bottom) for x in feet]


def paint_relief(painter: QPainter, x: float, band: Band) -> None:
    """A relief point in the middle of a band, its stem downwards."""
    paint_at(painter, _relief(), x, sum(band) / 2)


def paint_cut(painter: QPainter, x: float, band: Band) -> None:
    """A bar across a band, on a gap of paper: zones are kept apart here."""
    for ink, px in ((tokens().panel, 5.0), (tokens().ink, 2.1)):
        painter.fillRect(QRectF(x - px / 2, band[0] - 4.0, px, band[1] - band[0] + 8.0), colour(ink))


def paint_by_hand(painter: QPainter, mark: ByHand, words: str, x: float, band: Band) -> None:
    """A black square and the overrun under the end of a band that a person set."""
    font = text(CAPTION_TYPE)
    wide = _HAND_PX + 4.0 + width(words, font)
    left, middle = x - wide if mark.end.up else x, band[1] + scaled(8.0)
    painter.fillRect(QRectF(left, middle - _HAND_PX / 2, _HAND_PX, _HAND_PX), colour(tokens().ink))
    say(painter, words, QPointF(left + _HAND_PX + 4.0, middle), font, colour(tokens().ink2))


def say(painter: QPainter, words: str, at: QPointF, font: QFont, ink: QColor) -> None:
    """Words from a left end, in the middle of their height."""
    painter.setFont(font)
    painter.setPen(ink)
    painter.drawText(QPointF(at.x(), at.y() + 0.35 * font.pixelSize()), words)


@lru_cache(maxsize=2048)
def _width(words: str, strong: bool, px: float, _shown_px: float) -> float:  # noqa: FBT001 - a key of the cache
    return QFontMetricsF(text(px, strong=strong)).horizontalAdvance(words)


def width(words: str, font: QFont) -> float:
    """Width of words, px."""
    return QFontMetricsF(font).horizontalAdvance(words)


def measure_in(px: float) -> Callable[[str, bool], float]:
    """What measures words in a size, strong or not."""
    return lambda words, strong: _width(words, strong, px, scaled(px)) if words else 0.0


def _dashes(token: str, px: float, dashes: tuple[float, float]) -> QPen:
    pen = QPen(colour(token), px)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setDashPattern([length / px for length in dashes])
    return pen


def dashes(token: str, px: float = 1.0) -> QPen:
    """The pen of lines that lead to a bubble."""
    return _dashes(token, px, (4.0, 3.0))
