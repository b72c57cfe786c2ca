"""Marks as paths of Qt: what has one look in one coat is one path, so that a level is a few strokes of the pen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from itertools import groupby
from typing import Final, TypeAlias

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF, QTransform

from leakmap.desk.faces import text
from leakmap.desk.plan.camera import Camera
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import Tokens, colour
from leakmap.geometry.path import Point
from leakmap.issue.marks.primitives import Area, Coat, Disc, Hatch, Label, Line, Pen, Polygon, Primitive, Tone

CAP_SHARE: Final = 0.700
"""Height of a capital as a share of the size, from the face's own table."""

_MEASURED_PX: Final = 100
_BATCH: Final = 32  # paths painted as one: with 16 or 64 a level of 2,000 leaks takes a little, with all twice as long

Look: TypeAlias = tuple[Coat, int, Tone | None, Pen | None]
"""Coat, turn within the thing, fill or pen."""


def tones() -> dict[Tone, QColor]:
    """The colour of each tone on the screen."""
    return _tones_of(tokens())


@cache
def _tones_of(of: Tokens) -> dict[Tone, QColor]:
    found = {
        Tone.INK: colour(of.ink),
        Tone.FAINT: colour(of.ink3),
        Tone.WATER: colour(of.water),
        Tone.REPAIR: colour(of.repair),
        Tone.PAPER: colour(of.sheet),
        Tone.BAND: colour(of.repair, of.band_alpha),
        Tone.WET_BAND: colour(of.repair, of.wet_part_alpha),
    }
    wets = (Tone.W1, Tone.W2, Tone.W3, Tone.W4, Tone.W5)
    return found | {tone: colour(token) for tone, token in zip(wets, of.wet, strict=True)}


def looks_of(coats: Iterable[tuple[Coat, tuple[Primitive, ...]]]) -> Iterator[tuple[Look, QPainterPath]]:
    """Paths of a thing, in metres of the site, by how they look; later turns of a coat lie over earlier ones."""
    for coat, primitives in coats:
        runs = groupby((look for part in primitives for look in _looks(part)), key=lambda look: look[0])
        for turn, ((fill, pen), group) in enumerate(runs):
            path = QPainterPath()
            path.setFillRule(Qt.FillRule.WindingFill if fill is None else Qt.FillRule.OddEvenFill)
            for _, part in group:
                path.addPath(part)
            yield (coat, turn, fill, pen), path


def _looks(part: Primitive) -> Iterator[tuple[tuple[Tone | None, Pen | None], QPainterPath]]:
    if isinstance(part, Line):
        yield (None, part.pen), line_path(part.points, closed=part.closed)
    elif isinstance(part, Hatch):
        path = QPainterPath()
        for (x0, y0), (x1, y1) in part.lines:
            path.moveTo(x0, y0)
            path.lineTo(x1, y1)
        yield (None, part.pen), path
    elif isinstance(part, Area | Disc):
        path = area_path(part.polygons) if isinstance(part, Area) else _disc(part)
        if part.fill is not None:
            yield (part.fill, None), path
        if part.pen is not None:
            yield (None, part.pen), path
    else:
        assert isinstance(part, Label)  # the screen places its own labels


def line_path(points: Iterable[Point], *, closed: bool = False) -> QPainterPath:
    """A polyline as a path."""
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    if closed:
        path.closeSubpath()
    return path


def area_path(polygons: Iterable[Polygon]) -> QPainterPath:
    """Polygons with their holes as a path."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for polygon in polygons:
        for ring in polygon:
            path.addPolygon(QPolygonF([QPointF(x, y) for x, y in ring]))
            path.closeSubpath()
    return path


def _disc(part: Disc) -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QPointF(*part.centre), part.radius_m, part.radius_m)
    return path


def in_batches(looks: Iterable[tuple[Look, QPainterPath]]) -> Iterator[tuple[Look, QPainterPath]]:
    """Paths in paint order, those of one look in batches: long paths take Qt longer than their parts do."""
    found: dict[Look, list[QPainterPath]] = {}
    for look, path in looks:
        found.setdefault(look, []).append(path)
    for look in sorted(found, key=_turn):
        for first in range(0, len(found[look]), _BATCH):
            batch = QPainterPath(found[look][first])
            for path in found[look][first + 1 : first + _BATCH]:
                batch.addPath(path)
            yield look, batch


def _turn(look: Look) -> tuple[int, int, bool, str]:
    coat, turn, fill, pen = look
    return coat, turn, pen is not None, str(fill or (pen.tone if pen else ""))


def to_screen(camera: Camera) -> QTransform:
    """Site metres to pixels."""
    x, y = camera.to_screen((0.0, 0.0))
    return QTransform(camera.px_per_m, 0.0, 0.0, -camera.px_per_m, x, y)


def painted(
    painter: QPainter, looks: Iterable[tuple[Look, QPainterPath]], transform: QTransform, px_per_mm: float
) -> Iterator[None]:
    """Paint paths, one at each step; pens keep their width on the screen."""
    inks = tones()
    for (_, _, fill, pen), path in looks:
        shown = transform.map(path)
        if fill is not None:
            painter.fillPath(shown, inks[fill])
        elif pen is not None:
            painter.strokePath(shown, pen_of(pen, px_per_mm, inks))
        yield


def pen_of(pen: Pen, px_per_mm: float, inks: dict[Tone, QColor]) -> QPen:
    """A pen of the plan as a pen of Qt, logical pixels."""
    width = max(pen.width_mm * px_per_mm, 1.0)
    ink = QColor(inks[pen.tone])
    if pen.tone is Tone.REPAIR and not pen.dash_mm and pen.width_mm < 0.2:
        ink.setAlphaF(tokens().hatch_alpha)
    made = QPen(QBrush(ink), width)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    made.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if pen.dash_mm:
        made.setDashPattern([max(length * px_per_mm, width if index % 2 == 0 else 0.0) / width
                             for index, length in enumerate(pen.dash_mm)])  # fmt: skip
    return made


# Words ------------------------------------------------------------------------------------------


@cache
def _metrics() -> QFontMetricsF:
    return QFontMetricsF(_face())


@cache
def _face() -> QFont:
    return text(_MEASURED_PX, strong=True, exact=True)


def width_of(words: str, px: float) -> float:
    """Width of the longest line of words set in a size."""
    return max(_metrics().horizontalAdvance(line) for line in words.split("\n")) * px / _MEASURED_PX


@cache
def word_path(words: str) -> QPainterPath:
    """Outlines of words, 100 px high, from their baseline."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.WindingFill)
    path.addText(0.0, 0.0, _face(), words)
    return path


def write(painter: QPainter, words: str, at: QPointF, px: float, ink: QColor, *, halo: QColor | None = None) -> None:
    """Words from the left end of their baseline, with a halo of paper where they stand on the drawing."""
    path = QTransform(px / _MEASURED_PX, 0, 0, px / _MEASURED_PX, at.x(), at.y()).map(word_path(words))
    if halo is not None:
        painter.strokePath(path, QPen(QBrush(halo), 4.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))  # fmt: skip
    painter.fillPath(path, ink)


def boxed(painter: QPainter, box: QRectF, fill: QColor, edge: QColor | None = None, width: float = 1.0) -> None:
    """A box with a frame inside its edge."""
    painter.fillRect(box, fill)
    if edge is not None:
        half = width / 2
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QBrush(edge), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin))  # fmt: skip
        painter.drawRect(box.adjusted(half, half, -half, -half))
