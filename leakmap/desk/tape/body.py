"""The tape itself: its body with ticks and metres, bends, grid bubbles, what is hidden, and the marker."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from leakmap.desk.faces import drafting, text
from leakmap.desk.larger import scaled
from leakmap.desk.tape.ink import dashes, say, width
from leakmap.desk.tape.shown import Shown
from leakmap.desk.theme import tokens
from leakmap.desk.things import Thing
from leakmap.desk.tokens import CAPTION_TYPE, Sizes, colour
from leakmap.repair.chainages import spans_of
from leakmap.repair.tape_ticks import Rank, Tick, ticks

_BUBBLE_PX: Final = 9.0
_HAT_PX: Final = (5.0, 5.5)
_UP: Final = {Rank.FINE: 0.15, Rank.HALF: 0.26, Rank.WHOLE: 0.44}
_DOWN: Final = {Rank.FINE: 0.06, Rank.HALF: 0.11, Rank.WHOLE: 0.22}
_NUMBER_PX: Final = 26.0


def paint_marker(painter: QPainter, shown: Shown, thing: Thing, *, pointed: bool) -> None:
    """The marker under a picked or pointed-at thing, from the leaks' lane down to its band."""
    ink = colour(tokens().mark, tokens().pointed_alpha if pointed else tokens().picked_alpha)
    top, bottom = shown.lanes.marked
    for low, high in shown.spans_of(thing):
        painter.fillRect(QRectF(low - 2.0, top, high - low + 4.0, bottom - top), ink)
    for left, upper, right, lower in shown.boxes_of(thing):
        painter.fillRect(QRectF(left - 3.0, upper - 4.0, right - left + 6.0, lower - upper + 8.0), ink)


def paint_bubbles(painter: QPainter, shown: Shown) -> None:
    """Axes of the grid where the joint crosses them; what would cover its neighbour has its line alone."""
    lanes, last, radius = shown.lanes, -1e9, scaled(_BUBBLE_PX)
    bubbles = [(shown.reel.x(bubble.at_m), bubble.name) for bubble in shown.layout.bubbles]
    for x, name in (each for each in bubbles if shown.seen(each[0], each[0])):
        painter.setPen(dashes(tokens().edge))
        painter.drawLine(QLineF(x, lanes.bubble + radius, x, lanes.body[0]))
        if x - last < 2 * radius + 2:
            continue
        last = x
        painter.setPen(QPen(colour(tokens().ink), 1.2))
        painter.setBrush(colour(tokens().sheet))
        painter.drawEllipse(QPointF(x, lanes.bubble), radius, radius)
        font = text(CAPTION_TYPE, strong=True)
        say(painter, name, QPointF(x - width(name, font) / 2, lanes.bubble), font, colour(tokens().ink))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _paint_ends(painter, shown)


def _paint_ends(painter: QPainter, shown: Shown) -> None:
    """Foot and head of a vertical joint."""
    joint = shown.layout.joint
    if not joint.vertical:
        return
    head = shown.job.sheets.get(joint.head_sheet) if joint.head_sheet is not None else None
    font = text(CAPTION_TYPE)
    words = ("foot", 0.0), (f"head, {head.name}" if head is not None else "head", joint.length_m)
    for name, at_m in words:
        x = shown.reel.x(at_m)
        if shown.seen(x, x):
            left = x if at_m == 0.0 else x - width(name, font)
            say(painter, name, QPointF(left, shown.lanes.bubble), font, colour(tokens().ink2))


def paint_ground(painter: QPainter, shown: Shown) -> None:
    """What the tape is made of; the marker lies on it, and under all else."""
    painter.fillRect(_box(shown), colour(tokens().tape))


def paint_body(painter: QPainter, shown: Shown, sizes: Sizes) -> None:
    """The ticks, numbered metres and bends of the tape."""
    box = _box(shown)
    painter.save()
    painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
    _paint_hidden(painter, shown)
    _paint_ticks(painter, shown)
    _paint_numbers(painter, shown, sizes, colour(tokens().ink))
    painter.restore()
    painter.setPen(QPen(colour(tokens().tape_edge), 1.0))
    painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
    _paint_hats(painter, shown)


def paint_bright_numbers(painter: QPainter, shown: Shown, sizes: Sizes, pointed: Thing) -> None:
    """Numbers on the marker of what is pointed at, in the ink that can be read there."""
    painter.save()
    for low, high in shown.spans_of(pointed):
        painter.setClipRect(QRectF(low, shown.lanes.body[0], high - low, shown.lanes.body[1] - shown.lanes.body[0]))
        _paint_numbers(painter, shown, sizes, colour(tokens().on_mark))
    painter.restore()


def _box(shown: Shown) -> QRectF:
    (left, right), (top, bottom) = shown.reel.ends, shown.lanes.body
    return QRectF(left, top, right - left, bottom - top)


def _paint_ticks(painter: QPainter, shown: Shown) -> None:
    reel, (top, bottom) = shown.reel, shown.lanes.body
    high = bottom - top
    painter.setPen(QPen(colour(tokens().ink), 1.0))
    lines = []
    for tick in _ticks(shown):
        x = round(reel.x(tick.at_m)) + 0.5
        up, down = _UP[tick.rank] * high, _DOWN[tick.rank] * high
        lines += [QLineF(x, top, x, top + up), QLineF(x, bottom - down, x, bottom)]
    painter.drawLines(lines)


def _paint_numbers(painter: QPainter, shown: Shown, sizes: Sizes, ink: QColor) -> None:
    reel, (top, bottom) = shown.reel, shown.lanes.body
    font = drafting(sizes.tape_type)
    for tick in _ticks(shown):
        x = reel.x(tick.at_m) + 4.0
        if tick.number and x + width(tick.number, font) <= reel.x(reel.length_m):
            say(painter, tick.number, QPointF(x, top + 0.68 * (bottom - top)), font, ink)


def _ticks(shown: Shown) -> Iterator[Tick]:
    reel = shown.reel
    room_m = 40.0 / reel.px_per_m
    low, high = max(reel.from_m - room_m, 0.0), min(reel.to_m + room_m, reel.length_m)
    return ticks(shown.layout.joint, low, high, reel.px_per_m, shown.job.units, number_px=scaled(_NUMBER_PX))


def _paint_hats(painter: QPainter, shown: Shown) -> None:
    """A hat above the body at each bend."""
    half, high = _HAT_PX
    foot = shown.lanes.body[0] - 1.0
    painter.setPen(QPen(colour(tokens().ink2), 1.4))
    for at_m in shown.layout.bends:
        x = shown.reel.x(at_m)
        if shown.seen(x, x):
            painter.drawPolyline([QPointF(x - half, foot), QPointF(x, foot - high), QPointF(x + half, foot)])


def _paint_hidden(painter: QPainter, shown: Shown) -> None:
    """Hidden stretches: the body is shaded, since no slot can be opened there."""
    top, bottom = shown.lanes.body
    for blind in shown.layout.row.blind:
        for low, high in spans_of(shown.layout.joint, blind.from_m, blind.to_m):
            x0, x1 = shown.reel.x(low), shown.reel.x(high)
            painter.fillRect(QRectF(x0, top, x1 - x0, bottom - top), colour(tokens().ink3, 0.30))
