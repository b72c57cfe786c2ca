"""Signs of the trade in the frame's own cells: samples of joint lines, leaks by wetness, a zone.

They are the marks of the papers at the size of the cell, 4 px for a millimetre of paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from leakmap.desk.plan.ink import tones
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import colour
from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.course import Course, hatch_lines, polygons, strip
from leakmap.issue.marks.leaks import sleeve, strokes
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.primitives import Area, Disc, Label, Line, Pen, Polygon, Primitive, Tone
from leakmap.model.words import Kind, Wetness

PX_PER_MM: Final = 4.0
SCALE: Final = 1000.0 * PX_PER_MM
"""At this scale a metre of the site plane is a pixel."""

_HATCH_GAP: Final = 4.6
_COAT_HALF: Final = 17.0


def draw_sign(painter: QPainter, room: QRectF, sign: str) -> None:
    """Draw a sign in the middle of a room: "wetness-3", "kind-crack"; nothing for a word it does not know."""
    sort, _, what = sign.partition("-")
    if sort == "wetness" and what.isdigit():
        _draw(painter, room, wetness_sign(Wetness(int(what)), room.width()))
    elif sort == "kind" and what in set(Kind):
        _draw(painter, room, kind_sign(Kind(what), room.width()))


@cache
def wetness_sign(wetness: Wetness, width: float) -> tuple[Primitive, ...]:
    """A leak of a wetness on a piece of joint, round the origin."""
    joint = Path(((-width / 2, 0.0), (width / 2, 0.0)))
    wet = Path(((-width / 2 + 5, 0.0), (width / 2 - 5, 0.0)))
    lines = joint_lines(Kind.CONSTRUCTION, Course(joint), SCALE * 0.7) if wetness else ()
    return (*sleeve(wet, wetness, SCALE), *lines, *_one_group(wet, wetness))


@cache
def kind_sign(kind: Kind, width: float) -> tuple[Primitive, ...]:
    """A sample of the line of a kind, round the origin."""
    if kind is Kind.PIPE_COLLAR:
        return (Disc(centre=(0.0, 0.0), radius_m=7.0, pen=Pen(Tone.INK, 0.5)),)
    return joint_lines(kind, Course(Path(((-width / 2, 0.0), (width / 2, 0.0)))), SCALE)


@cache
def zone_sign(width: float) -> tuple[Primitive, ...]:
    """A small repair: two leaks on a joint, their overruns, and where these are merged."""
    half = width / 2
    wet = ((-half * 0.57, -half * 0.10, Wetness.DRIP), (half * 0.14, half * 0.43, Wetness.SEEP))
    low, high = -half * 0.71, half * 0.57
    joint = Path(((-half, 0.0), (half, 0.0)))
    return (
        Area(polygons=_strip(low, high), fill=Tone.BAND),
        *(Area(polygons=_strip(*ends), fill=Tone.WET_BAND) for *ends, _ in wet),
        *_hatch(low, wet[0][0], 135.0),
        *_hatch(wet[0][1], wet[1][0], 135.0, 45.0),
        *_hatch(wet[1][1], high, 135.0),
        Area(polygons=_strip(low, high), pen=Pen(Tone.REPAIR, 0.35)),
        *(mark for a, b, wetness in wet for mark in sleeve(_level(a, b), wetness, SCALE)),
        *joint_lines(Kind.CONSTRUCTION, Course(joint), SCALE),
        *(mark for a, b, wetness in wet for mark in strokes(_level(a, b), wetness, SCALE)),
    )


def paint(painter: QPainter, marks: Iterable[Primitive]) -> None:
    """Paint marks where a metre is a pixel and y points up."""
    inks = {**tones(), Tone.FAINT: colour(tokens().paperline)}
    for mark in marks:
        if isinstance(mark, Label):
            continue
        painter.setBrush(Qt.BrushStyle.NoBrush)
        pen = getattr(mark, "pen", None)
        painter.setPen(_pen(pen, inks[pen.tone].rgba()) if pen is not None else Qt.PenStyle.NoPen)
        if isinstance(mark, Line):
            points = mark.points if not mark.closed else (*mark.points, mark.points[0])
            painter.drawPolyline(_polygon(points))
        elif isinstance(mark, Disc):
            painter.setBrush(inks[mark.fill] if mark.fill else Qt.BrushStyle.NoBrush)
            painter.drawEllipse(QPointF(mark.centre[0], -mark.centre[1]), mark.radius_m, mark.radius_m)
        elif isinstance(mark, Area):
            painter.setBrush(inks[mark.fill] if mark.fill else Qt.BrushStyle.NoBrush)
            painter.drawPath(_outline(mark.polygons))


def _draw(painter: QPainter, room: QRectF, marks: tuple[Primitive, ...]) -> None:
    painter.save()
    painter.translate(room.center())
    paint(painter, marks)
    painter.restore()


def _one_group(path: Path, wetness: Wetness) -> tuple[Primitive, ...]:
    """One group of strokes, in the middle."""
    middle = path.length_m / 2
    start, end = path.point_at(middle - 12), path.point_at(middle + 12)
    return strokes(Path((start, end)), wetness, SCALE)


def _level(a: float, b: float) -> Path:
    return Path(((a, 0.0), (b, 0.0)))


def _strip(a: float, b: float) -> tuple[Polygon, ...]:
    return polygons(strip(((a, 0.0), (b, 0.0)), _COAT_HALF))


def _hatch(a: float, b: float, *turns_deg: float) -> list[Line]:
    shape = strip(((a, 0.0), (b, 0.0)), _COAT_HALF)
    pen = Pen(Tone.REPAIR, 0.25)
    return [Line(points=ends, pen=pen) for turn in turns_deg for ends in hatch_lines(shape, turn, _HATCH_GAP)]


@lru_cache(maxsize=1024)
def _polygon(points: tuple[Point, ...]) -> QPolygonF:
    return QPolygonF([QPointF(x, -y) for x, y in points])


def _outline(shapes: tuple[Polygon, ...]) -> QPainterPath:
    found = QPainterPath()
    for shape in shapes:
        for ring in shape:
            found.addPolygon(_polygon(ring))
            found.closeSubpath()
    return found


@lru_cache(maxsize=256)
def _pen(pen: Pen, rgba: int) -> QPen:
    made = QPen(QColor.fromRgba(rgba), pen.width_mm * PX_PER_MM)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    made.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if pen.dash_mm:
        dot = pen.width_mm * 1.1  # a dot is 0 long; with flat ends it needs a length
        made.setDashPattern([(length or dot) / pen.width_mm for length in pen.dash_mm])
    return made
