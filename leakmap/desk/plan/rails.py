"""The rails on the plan's top and left: letters and numbers of the grid, bay lengths, and where the pointer is.

Without a grid the rails show metres; where nothing says how large the drawing is, its pixels or millimetres. The axes themselves are drawn as narrow long-dash-dot lines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, floor, hypot, log10
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen, QPolygonF

from leakmap.base.measures import FOOT_M, System, Units
from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.plan.camera import Camera
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, colour
from leakmap.geometry.path import Box, Point
from leakmap.model.grid import Axes, Axis, Grid, crossings, line_of

_BUBBLE_PX: Final = 9.5
_BUBBLES_APART_PX: Final = 20.5
_ASIDE_PX: Final = 15.0
_TRIANGLE_PX: Final = 8.0
_PIN_PX: Final = 18.0  # from the end of a rail to the name of an axis that lies beyond it
_TICKS_APART_PX: Final = 90.0
_AXIS_DASH: Final = (18.0, 4.0, 1.0, 4.0)
_AXIS_PAST_PX: Final = 36.0
_ALONE_M: Final = 50.0
_BAY_LEAST: Final = {System.METRIC: 44.0, System.IMPERIAL: 84.0}
"""Pixels that a bay must have on a rail for its length to stand there."""

_ONE: Final = {System.METRIC: (1.0, ""), System.IMPERIAL: (float(FOOT_M), "'")}
"""What stands on rails without a grid: how many metres it has, and its sign."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A place on a rail: a bubble with a name, or bare words.

    Attributes:
        beyond: Of an axis that lies outside of what is seen: -1 before it, 1 behind it; 0 of all else.
    """

    at_px: float
    words: str
    bubble: bool
    beyond: int = 0


def crossing_of(axes: Axes, grid: Grid, camera: Camera, *, top: bool) -> list[tuple[str, float]]:
    """Names of axes with the pixel at which each meets the rail; those that never do are left out."""
    left, upper, _, _ = camera.field
    found = []
    for axis in axes.each:
        at, (dx, dy) = line_of(grid, axes, axis)
        (x, y), turned = camera.to_screen(at), (dx, -dy)
        steep = abs(turned[1]) >= abs(turned[0])
        if top and steep:
            found.append((axis.name, x + turned[0] / turned[1] * (upper - y)))
        elif not top and not steep:
            found.append((axis.name, y + turned[1] / turned[0] * (left - x)))
    return sorted(found, key=_place)


def axis_at(grid: Grid, camera: Camera, pixel: Point) -> str | None:
    """Name of the axis whose bubble on a rail a pixel is on; None where it is on none."""
    left, upper, _, _ = camera.field
    for top, on_rail, along in ((True, pixel[1] < upper, pixel[0]), (False, pixel[0] < left, pixel[1])):
        if on_rail:
            met = [at for axes in (grid.letters, grid.numbers) for at in crossing_of(axes, grid, camera, top=top)]
            near = [(abs(at_px - along), name) for name, at_px in met if abs(at_px - along) <= scaled(_ASIDE_PX)]
            return min(near)[1] if near else None
    return None


def ticks(
    grid: Grid | None,
    camera: Camera,
    *,
    top: bool,
    units: Units = Units.METRIC,
    unscaled: tuple[float, str] | None = None,
) -> list[Tick]:
    """What stands on a rail: axes and bay lengths, or metres where no grid is set.

    Args:
        grid: The grid; None for none.
        camera: What is seen.
        top: Whether it is the rail at the top.
        units: In what lengths are shown.
        unscaled: What stands in the stead of metres: how many are taken for one, and its symbol.
    """
    if grid is not None and grid.axes:
        bays = {axis.name: axis.at_m for axis in grid.axes}
        axes = [*crossing_of(grid.letters, grid, camera, top=top), *crossing_of(grid.numbers, grid, camera, top=top)]
        found = [Tick(at_px=at, words=name, bubble=True) for name, at in _apart(axes)]
        for (one, a), (other, b) in pairwise(axes):
            low, high = _seen(a, b, camera, top=top)
            if high - low >= scaled(_BAY_LEAST[units.system]):
                words = _bay_words(units, abs(bays[other] - bays[one]))
                found.append(Tick(at_px=(low + high) / 2, words=words, bubble=False))
        return [*found, *_beyond(axes, *_edges(camera, top=top))]
    return list(_metres(units, camera, *(unscaled or _ONE[units.system]), top=top))


def _bay_words(units: Units, bay_m: float) -> str:
    """A bay as a rail says it, in little room: to the decimetre, or to 1/8 inch."""
    return units.fixed(bay_m, 1) if units.metric else units.shown(bay_m)


def _apart(axes: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """Axes of which the bubbles do not lie over each other: first and last, and between them as many as have room."""
    if not axes:
        return []
    ordered = sorted(axes, key=_place)
    last = ordered[-1]
    kept = [ordered[0]]
    for axis in ordered[1:-1]:
        if axis[1] - kept[-1][1] >= scaled(_BUBBLES_APART_PX) and last[1] - axis[1] >= scaled(_BUBBLES_APART_PX):
            kept.append(axis)
    if last[1] - kept[-1][1] >= scaled(_BUBBLES_APART_PX):
        kept.append(last)
    return kept


def _beyond(axes: list[tuple[str, float]], low: float, high: float) -> Iterator[Tick]:
    """The axes on either side of what is seen, at the ends of the rail, where none is in view."""
    if any(low <= at <= high for _, at in axes):
        return
    before, behind = ([axis for axis in axes if axis[1] < low], [axis for axis in axes if axis[1] > high])
    if before:
        yield Tick(at_px=low + scaled(_PIN_PX), words=max(before, key=_place)[0], bubble=False, beyond=-1)
    if behind:
        yield Tick(at_px=high - scaled(_PIN_PX), words=min(behind, key=_place)[0], bubble=False, beyond=1)


def _place(axis: tuple[str, float]) -> float:
    return axis[1]


def _edges(camera: Camera, *, top: bool) -> tuple[float, float]:
    """Where a rail begins and ends."""
    left, upper, right, lower = camera.field
    return (left, right) if top else (upper, lower)


def _seen(a: float, b: float, camera: Camera, *, top: bool) -> tuple[float, float]:
    """The part of a bay that can be seen."""
    low, high = _edges(camera, top=top)
    return max(a, low), min(b, high)


def _metres(units: Units, camera: Camera, of_m: float, symbol: str, *, top: bool) -> Iterator[Tick]:
    """Metres, or something of so many metres with its symbol."""
    x0, y0, x1, y1 = camera.shown
    low, high = (x0, x1) if top else (y0, y1)
    step = _step_m(scaled(_TICKS_APART_PX) / camera.px_per_m / of_m)
    for index in range(ceil(low / of_m / step), floor(high / of_m / step) + 1):
        value = index * step
        x, y = camera.to_screen((value * of_m, value * of_m))
        words = f"{units.fixed(value, max(0, -floor(log10(step))))} {symbol}".rstrip().replace(" '", "'")
        yield Tick(at_px=x if top else y, words=words, bubble=False)


def _step_m(least: float) -> float:
    """The shortest of 1, 2 or 5 times a power of ten that is at least so long."""
    power = 10.0 ** floor(log10(least))
    return next(figure * power for figure in (1, 2, 5, 10) if figure * power >= least * 0.999)


def extent_of(grid: Grid, margin_m: float = 0.0) -> Box | None:
    """Box of the site round all crossings of the grid; None where no axes cross."""
    points = [crossing.at for crossing in crossings(grid)]
    if not points:
        return None
    xs, ys = zip(*points, strict=True)
    return min(xs) - margin_m, min(ys) - margin_m, max(xs) + margin_m, max(ys) + margin_m


def paint_axes(painter: QPainter, grid: Grid, camera: Camera) -> None:
    """The axes, from a little before their first crossing to a little past their last."""
    pen = QPen(QBrush(colour(tokens().paperline, 0.7)), 1.0, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.FlatCap)
    pen.setDashPattern(list(_AXIS_DASH))
    painter.setPen(pen)
    past = _AXIS_PAST_PX * camera.m_per_px
    for axes, others in ((grid.letters, grid.numbers), (grid.numbers, grid.letters)):
        for axis in axes.each:
            start, end = _ends(grid, axes, axis, others)
            (x0, y0), (x1, y1) = start, end
            length = hypot(x1 - x0, y1 - y0) or 1.0
            dx, dy = (x1 - x0) / length * past, (y1 - y0) / length * past
            a, b = camera.to_screen((x0 - dx, y0 - dy)), camera.to_screen((x1 + dx, y1 + dy))
            painter.drawLine(QPointF(*a), QPointF(*b))


def _ends(grid: Grid, axes: Axes, axis: Axis, others: Axes) -> tuple[Point, Point]:
    """First and last crossing of an axis with the other family; 50 m each way where there is none."""
    (x, y), (dx, dy) = line_of(grid, axes, axis)
    nx, ny = others.towards
    share = dx * nx + dy * ny
    places = [
        (other.at_m - (x - grid.origin[0]) * nx - (y - grid.origin[1]) * ny) / share for other in others.each
    ] or [-_ALONE_M, _ALONE_M]
    return (x + min(places) * dx, y + min(places) * dy), (x + max(places) * dx, y + max(places) * dy)


def paint_rails(
    painter: QPainter,
    camera: Camera,
    grid: Grid | None,
    rail: float,
    pointer: Point | None,
    *,
    units: Units = Units.METRIC,
    unscaled: tuple[float, str] | None = None,
) -> None:
    """Both rails over the plan's edges; ``pointer`` in pixels, None when it is not on the plan; else as for ``ticks``."""
    left, top, right, bottom = camera.field
    panel, strong = colour(tokens().panel), colour(tokens().rule_strong)
    painter.fillRect(QRectF(left - rail, top - rail, right - left + rail, rail), panel)
    painter.fillRect(QRectF(left - rail, top - rail, rail, bottom - top + rail), panel)
    painter.fillRect(QRectF(left - rail, top - 1, right - left + rail, 1), strong)
    painter.fillRect(QRectF(left - 1, top - rail, 1, bottom - top + rail), strong)
    painter.setFont(text(CAPTION_TYPE))
    for is_top in (True, False):
        low, high = _edges(camera, top=is_top)
        hand = None if pointer is None else pointer[0 if is_top else 1]
        stand = ticks(grid, camera, top=is_top, units=units, unscaled=unscaled)
        for tick in aside(stand, hand, painter.fontMetrics().horizontalAdvance):
            if low + 8 <= tick.at_px <= high - 8:
                _paint_tick(painter, tick, camera, rail, top=is_top)
        if hand is not None and low <= hand <= high:
            _triangle(painter, hand, camera, top=is_top)


def aside(stand: Sequence[Tick], hand: float | None, width_of: Callable[[str], float]) -> Iterator[Tick]:
    """What stands on a rail while the hand points there: words step aside for its triangle, never over a bubble.

    Args:
        stand: What stands there otherwise.
        hand: Where the hand points along the rail; None where it does not.
        width_of: How wide words are, px.
    """
    bubbles = [tick.at_px for tick in stand if tick.bubble]
    for tick in stand:
        half = width_of(tick.words) / 2
        if hand is None or tick.bubble or abs(hand - tick.at_px) >= half + _TRIANGLE_PX:
            yield tick
            continue
        away = (half + _TRIANGLE_PX) * (1 if tick.at_px >= hand else -1)
        clear = half + scaled(_BUBBLE_PX) + 2.0
        free = (at for at in (hand + away, hand - away) if all(abs(at - other) >= clear for other in bubbles))
        place = next(free, None)
        if place is not None:
            yield replace(tick, at_px=place)


def _paint_tick(painter: QPainter, tick: Tick, camera: Camera, rail: float, *, top: bool) -> None:
    left, upper, _, _ = camera.field
    at = tick.at_px
    middle = QPointF(at, upper - rail / 2) if top else QPointF(left - rail / 2, at)
    painter.setPen(QPen(QBrush(colour(tokens().ink if tick.bubble else tokens().ink2)), 1.2))
    if tick.bubble:
        painter.setBrush(colour(tokens().sheet))
        painter.drawEllipse(middle, scaled(_BUBBLE_PX), scaled(_BUBBLE_PX))
        painter.setFont(text(CAPTION_TYPE, strong=True))
        _words(painter, middle, tick.words)
        painter.setFont(text(CAPTION_TYPE))
        return
    if tick.beyond:
        _paint_beyond(painter, middle, tick, top=top)
        return
    painter.save()
    painter.translate(middle)
    if not top:
        painter.rotate(-90)
    _words(painter, QPointF(0, 0), tick.words)
    painter.restore()


def _paint_beyond(painter: QPainter, middle: QPointF, tick: Tick, *, top: bool) -> None:
    """The name of an axis outside of what is seen, and a triangle that points there."""
    painter.setPen(colour(tokens().ink))
    painter.setFont(text(CAPTION_TYPE, strong=True))
    _words(painter, middle, tick.words)
    painter.setFont(text(CAPTION_TYPE))
    half = scaled(_TRIANGLE_PX) / 2
    foot = painter.fontMetrics().horizontalAdvance(tick.words) / 2 + half if top else scaled(_BUBBLE_PX)
    tip = foot + half
    corners = [(foot, -half), (foot, half), (tip, 0.0)]
    turned = [(along, across) if top else (across, along) for along, across in corners]
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour(tokens().ink))
    painter.drawPolygon(QPolygonF([middle + QPointF(x, y) * float(tick.beyond) for x, y in turned]))


def _words(painter: QPainter, middle: QPointF, words: str) -> None:
    painter.drawText(
        QRectF(middle.x() - scaled(40), middle.y() - scaled(10), scaled(80), scaled(20)),
        Qt.AlignmentFlag.AlignCenter,
        words,
    )


def _triangle(painter: QPainter, hand: float, camera: Camera, *, top: bool) -> None:
    left, upper, _, _ = camera.field
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour(tokens().focus))
    if top:
        points = [(hand - 6, upper - 9), (hand + 6, upper - 9), (hand, upper - 1)]
    else:
        points = [(left - 9, hand - 6), (left - 9, hand + 6), (left - 1, hand)]
    painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
