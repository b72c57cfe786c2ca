"""What lies over the plan while the hand works: lines, grips, the snap ring and the live field."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.pens import CENTRE, RIGHT
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.ink import boxed
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, SECOND_TYPE, colour
from leakmap.desk.tools.tool import BESIDE_PX, Grip, LiveField, Overlay, OverlayGrip, OverlayLine, Stroke
from leakmap.geometry.path import Point
from leakmap.work.catch import Catch

_FIELD_HIGH_PX: Final = 30.0
_REASON_HIGH_PX: Final = 22.0
_BAR_HALF_PX: Final = 13.0
_SQUARE_PX: Final = 10.0
_OPEN_SQUARE_PX: Final = 9.0
_DOT_PX: Final = 3.3
_RELIEF_PX: Final = 5.2
_RING_PX: Final = 11.0
_CROSS_PX: Final = 9.0
_FIELD_OFF_PX: Final = 22.0
_DEGREES: Final = "°"
_BY_UNIT_PX: Final = 2.0
_ORDER: Final = (Stroke.MARKER, Stroke.INK, Stroke.REPAIR, Stroke.LIVE)


def paint_overlay(painter: QPainter, overlay: Overlay, camera: Camera, *, band_half_px: float) -> None:
    """Lines under, grips over."""
    for line in sorted(overlay.lines, key=lambda item: _ORDER.index(item.stroke)):
        _line(painter, line, camera)
    for grip in overlay.grips:
        if grip.seen:
            _grip(painter, grip, camera, band_half_px)


def _pen(ink: QColor, width: float) -> QPen:
    return QPen(QBrush(ink), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin)


def _stroke(stroke: Stroke) -> tuple[QColor, float]:
    """Colour and width of a line, px."""
    if stroke is Stroke.MARKER:
        return colour(tokens().mark, tokens().picked_alpha), 15.0
    if stroke is Stroke.LIVE:
        return colour(tokens().focus), 2.4
    return colour(tokens().ink if stroke is Stroke.INK else tokens().repair), 2.1


def on_screen(points: Iterable[Point], camera: Camera) -> QPolygonF:
    """Site points as pixels."""
    return QPolygonF([QPointF(*camera.to_screen(point)) for point in points])


def _line(painter: QPainter, line: OverlayLine, camera: Camera) -> None:
    ink, width = _stroke(line.stroke)
    points = on_screen((*line.points, line.points[0]) if line.closed else line.points, camera)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(ink, width))
    painter.drawPolyline(points)


def _grip(painter: QPainter, grip: OverlayGrip, camera: Camera, band_half_px: float) -> None:
    x, y = camera.to_screen(grip.at)
    if grip.grip is Grip.END:
        if grip.beside:
            end = x + grip.across[0] * BESIDE_PX, y - grip.across[1] * BESIDE_PX
            _bar(painter, (x - grip.across[0] * BESIDE_PX / 2, y + grip.across[1] * BESIDE_PX / 2), end)
            x, y = end
        else:
            _end(painter, (x, y), grip.across, max(band_half_px + 5.0, _BAR_HALF_PX))
        _square(painter, (x, y), _SQUARE_PX, colour(tokens().ink), colour(tokens().sheet))
    elif grip.grip is Grip.BEND:
        _square(painter, (x, y), _OPEN_SQUARE_PX, colour(tokens().sheet), colour(tokens().ink))
    elif grip.grip is Grip.JUNCTION:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour(tokens().ink))
        painter.drawEllipse(QPointF(x, y), _DOT_PX, _DOT_PX)
    else:
        painter.setPen(_pen(colour(tokens().ink), 1.8))
        painter.setBrush(colour(tokens().sheet))
        painter.drawEllipse(QPointF(x, y), _RELIEF_PX, _RELIEF_PX)
        painter.setBrush(colour(tokens().ink))
        painter.drawEllipse(QPointF(x, y), 0.8, 0.8)
    if grip.picked:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(_pen(colour(tokens().focus), 3.0))
        painter.drawRect(QRectF(x - 9.5, y - 9.5, 19.0, 19.0))


def _end(painter: QPainter, at: Point, across: Point, half: float) -> None:
    """A bar across the band: ink on wider paper."""
    dx, dy = across[0] * half, -across[1] * half
    _bar(painter, (at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy))


def _bar(painter: QPainter, start: Point, end: Point) -> None:
    """A line between two pixels: ink on wider paper."""
    ends = QPointF(*start), QPointF(*end)
    for ink, width in ((colour(tokens().sheet), 5.0), (colour(tokens().ink), 2.6)):
        painter.setPen(_pen(ink, width))
        painter.drawLine(*ends)


def _square(painter: QPainter, at: Point, px: float, fill: QColor, edge: QColor) -> None:
    x, y = at
    box = QRectF(x - px / 2, y - px / 2, px, px)
    boxed(painter, box.adjusted(-0.8, -0.8, 0.8, 0.8), fill, edge, 1.6)


# The hand ---------------------------------------------------------------------------------------


def paint_ring(painter: QPainter, catch: Catch, camera: Camera, room: QRectF, labels: Sequence[QRectF] = ()) -> QRectF:
    """One ring for every catch, and the reason in words beside it; gives the box round both.

    Args:
        painter: The painter.
        catch: What the pointer is caught on.
        camera: What is seen.
        room: Where the words stay.
        labels: What they rather do not cover.
    """
    x, y = camera.to_screen(catch.at)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for ink, width in ((colour(tokens().sheet), 6.0), (colour(tokens().focus), 2.4)):
        painter.setPen(_pen(ink, width))
        painter.drawEllipse(QPointF(x, y), _RING_PX, _RING_PX)
    font = text(SECOND_TYPE, strong=True)
    box = reason_box((x, y), QFontMetricsF(font).horizontalAdvance(catch.words) + 12.0, room, labels)
    painter.fillRect(box, colour(tokens().focus))
    painter.setFont(font)
    painter.setPen(colour(tokens().sheet))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, catch.words)
    return box.united(QRectF(x - _RING_PX - 3, y - _RING_PX - 3, 2 * _RING_PX + 6, 2 * _RING_PX + 6))


def reason_box(at: Point, wide: float, room: QRectF, labels: Sequence[QRectF] = ()) -> QRectF:
    """Where the reason of a catch stands: up to the right of the ring, else on the first side with room for it.

    Args:
        at: Middle of the ring, pixels.
        wide: Width of the words with their air.
        room: Where they stay.
        labels: What they rather do not cover.
    """
    (x, y), high = at, scaled(_REASON_HIGH_PX)
    lefts, tops = (x + 16.0, x - 16.0 - wide), (y - high - 4.0, y + 6.0)
    boxes = [QRectF(left, top, wide, high) for left in lefts for top in tops]
    inside = [box for box in boxes if room.contains(box)] or boxes[:1]
    return next((box for box in inside if not any(box.intersects(label) for label in labels)), inside[0])


def paint_cross(painter: QPainter, at: Point, camera: Camera) -> None:
    """The cross that arrow keys move."""
    x, y = camera.to_screen(at)
    for ink, width in ((colour(tokens().sheet), 6.0), (colour(tokens().focus), 2.4)):
        painter.setPen(_pen(ink, width))
        painter.drawLine(QPointF(x - _CROSS_PX, y), QPointF(x + _CROSS_PX, y))
        painter.drawLine(QPointF(x, y - _CROSS_PX), QPointF(x, y + _CROSS_PX))


def field_box(
    live: LiveField,
    camera: Camera,
    room: QRectF,
    pointer: Point | None,
    taken: QRectF | None,
    *,
    labels: Sequence[QRectF] = (),
) -> QRectF:
    """Where the live field stands: beside its place, clear of the ring and its words, inside the plan.

    Args:
        live: The field.
        camera: What is seen.
        room: Where it stays.
        pointer: The pixel that the hand is on.
        taken: The ring with its words.
        labels: What it rather does not cover.
    """
    x, y = camera.to_screen(live.at)
    wide = sum(_cell_wide(live, index) for index in range(len(live.texts))) + 8.0
    clear = QRectF(taken) if taken is not None else QRectF()
    if pointer is not None:
        clear = clear.united(QRectF(pointer[0] - 14.0, pointer[1] - 14.0, 28.0, 28.0))
    off, high = _FIELD_OFF_PX, scaled(_FIELD_HIGH_PX)
    spots = [(x + off, y + off), (x - off - wide, y + off), (x + off, y - off - high),
             (x - off - wide, y - off - high), (x - wide / 2, y + 2 * off), (x - wide / 2, y - off - high - 14.0)]  # fmt: skip
    boxes = [QRectF(left, top, wide, high) for left, top in spots]
    inside = [box for box in boxes if room.contains(box)] or [_pushed(boxes[0], room)]
    free = [box for box in inside if not box.intersects(clear)] or inside[:1]
    return next((box for box in free if not any(box.intersects(label) for label in labels)), free[0])


def _pushed(box: QRectF, room: QRectF) -> QRectF:
    left = min(max(box.left(), room.left()), room.right() - box.width())
    top = min(max(box.top(), room.top()), room.bottom() - box.height())
    return QRectF(left, top, box.width(), box.height())


def _parts(live: LiveField, index: int) -> tuple[str, str]:
    """A number and its unit; degrees are written to it, but where it has a frame."""
    number, unit = live.texts[index], live.units[index]
    return (f"{number}{unit}", "") if unit == _DEGREES and index != live.active else (number, unit)


def _cell_wide(live: LiveField, index: int) -> float:
    words, sign = _parts(live, index)
    number = QFontMetricsF(text(16, strong=True)).horizontalAdvance(words or " ")
    unit = QFontMetricsF(text(SECOND_TYPE)).horizontalAdvance(sign)
    least = 44.0 if index == live.active else 0.0
    return max(number + 16.0, least) + (unit + 12.0 if unit else 6.0)


def paint_field(painter: QPainter, live: LiveField, box: QRectF) -> None:
    """The fields side by side: each number in its frame, then its unit; the active one in focus blue."""
    boxed(painter, box, colour(tokens().sheet), colour(tokens().ink), 1.4)
    left = box.left() + 4.0
    for index in range(len(live.texts)):
        number, sign = _parts(live, index)
        wide, unit = _cell_wide(live, index), QFontMetricsF(text(SECOND_TYPE)).horizontalAdvance(sign)
        cell = QRectF(left, box.top() + 3.5, wide - (unit + 12.0 if unit else 6.0), box.height() - 7.0)
        active = index == live.active
        typed = active and live.typed
        boxed(painter, cell, colour(tokens().focus, 0.16) if typed else colour(tokens().sheet),
              colour(tokens().focus) if active else None, 2.4)  # fmt: skip
        painter.setFont(text(16, strong=True))
        painter.setPen(colour(tokens().ink))
        if sign and not active:  # without a frame round it a number stands by its unit
            painter.drawText(cell.adjusted(0, 0, -_BY_UNIT_PX, 0), RIGHT, number)
        else:
            painter.drawText(cell, CENTRE, number)
        painter.setFont(text(SECOND_TYPE if unit else BODY_TYPE))
        painter.setPen(colour(tokens().ink2))
        place = QRectF(cell.right() + 6.0, box.top(), unit + 6.0, box.height())
        painter.drawText(place, Qt.AlignmentFlag.AlignVCenter, sign)
        left += wide
