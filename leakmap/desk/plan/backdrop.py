"""The imported drawing under the plan, painted from tiles that are made a little at a time.

A *tile* is a square of the drawing at one zoom. Panning puts the same tiles elsewhere; after zooming
the tiles of the zoom before are shown, stretched, until fresh ones are there. Tiles are made from a
timer, a few milliseconds at a time, and while nothing else is to do those beside the view are made too.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from math import ceil, floor
from time import perf_counter
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPen, QPixmap

from leakmap.desk.plan.batches import drawn, seen
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.look import Look, Strength
from leakmap.desk.plan.sheaf import Sheaf, bundles, placed
from leakmap.desk.plan.wording import Wording
from leakmap.geometry.path import Box
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, FloatArray, IntArray

TILE_PX: Final = 512
_BROKEN: Final = (7.0, 3.0)
AT_ONCE_S: Final = 0.006
"""Work between two looks at the event loop."""

FIRST_S: Final = 0.010
"""Work that a paint may do itself, so that a small drawing is whole in its first frame."""

SAY_EVERY_S: Final = 0.05
"""Repaints are asked for no more often than this while tiles are made."""

_KEPT: Final = 96
_OVERVIEW_PX: Final = 768
_MOST_TIMES: Final = 8.0  # a tile is never put together from ones so much finer: there would be no end of them
_TEXTS_AT_ONCE: Final = 60
_NO_BOX: Final = (np.inf, np.inf, -np.inf, -np.inf)

Spot = tuple[float, int, int]
"""Which tile: pixels for one metre, column and row, counted from the zero of the site, rows downwards."""


@dataclass(slots=True, eq=False)
class _Tile:
    """A tile under work.

    Attributes:
        pixmap: What is drawn so far.
        sheaves: How many sheaves are drawn.
        lettered: Whether its texts are drawn.
        fit: Whether it was once complete, so that it may be shown.
        work: What is left of the sheaf or the texts being drawn.
    """

    pixmap: QPixmap
    sheaves: int = 0
    lettered: bool = False
    fit: bool = False
    work: Iterator[None] | None = None


class Backdrop(QObject):
    """A drawing in its place on the site.

    Args:
        drawing: The drawing; None for a sketch that grows while a file is read.
        placement: Where the drawing lies.
    """

    ready = Signal()  # more can be seen than at the last paint

    def __init__(
        self, drawing: Drawing | None, placement: Placement | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._placement = placement if placement is not None else Placement()
        self._drawing = drawing
        self._wording = Wording(drawing, self._placement) if drawing is not None and drawing.texts else None
        self._coming = bundles(drawing.strokes) if drawing is not None else iter(())
        self._all_there = drawing is None
        self._sheaves: list[Sheaf] = []
        self._box: Box = _NO_BOX
        self._look = Look()
        self._tiles: OrderedDict[Spot, _Tile] = OrderedDict()
        self._stale: dict[Spot, _Tile] = {}
        self._zooms: list[float] = []  # whose tiles may stand in, newest first
        self._camera: Camera | None = None
        self._ratio = 1.0
        self._timer = QTimer(self)
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._go_on)
        self._said = 0.0

    @property
    def box(self) -> Box | None:
        """Box of the site round what is visible of the drawing, or round all that a sketch holds; None when empty."""
        if self._drawing is None:
            return self._box if self._sheaves else None
        if self._drawing.shown is None:
            return None
        x0, y0, x1, y1 = self._drawing.shown
        corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=np.float64)
        site = placed(self._placement, self._drawing.origin, corners)
        (left, low), (right, high) = site.min(axis=0).tolist(), site.max(axis=0).tolist()
        return left, low, right, high

    @property
    def busy(self) -> bool:
        """Whether something of the view is not drawn yet."""
        return self._next_work(only_seen=True) is not None

    def set_look(self, look: Look) -> None:
        """Show layers, strengths and colours from now on; what was drawn before stands in until it is redrawn."""
        if look == self._look:
            return
        self._look = look
        self._stale = {**self._stale, **{spot: tile for spot, tile in self._tiles.items() if tile.fit}}
        self._tiles.clear()
        self._timer.start()
        self.ready.emit()

    def grow(self, lines: FloatArray) -> None:
        """Add lines ``(n, 4)`` in drawing units to a sketch."""
        if len(lines):
            self._add(lines, np.zeros(len(lines), dtype=np.int32))
            self._timer.start()
            self.ready.emit()

    def paint(self, painter: QPainter, camera: Camera) -> None:
        """Paint what there is on the camera's field; what is missing follows, and ``ready`` is emitted."""
        self._look_through(camera, painter.device().devicePixelRatioF())
        self._work_for(FIRST_S, only_seen=True)
        painter.save()
        left, top, right, bottom = camera.field
        painter.setClipRect(QRectF(left, top, right - left, bottom - top), Qt.ClipOperation.IntersectClip)
        for spot in self._seen_spots():
            self._paint_spot(painter, spot)
        painter.restore()
        if self._next_work(only_seen=False) is not None:
            self._timer.start()

    def paint_whole(self, painter: QPainter, camera: Camera) -> None:
        """Paint everything at once, without tiles: slow, for pictures and papers."""
        while not self._all_there:
            self._add_next()
        left, top, right, bottom = camera.field
        painter.save()
        painter.setClipRect(QRectF(left, top, right - left, bottom - top), Qt.ClipOperation.IntersectClip)
        corner = _rounded_corner(camera)
        painter.translate(corner[0], corner[1])
        shown = camera.shown
        for sheaf in self._sheaves:
            for _ in self._draw_lines(painter, sheaf, shown, camera.px_per_m, (0.0, 0.0)):
                pass
        for _ in self._draw_texts(painter, shown, camera.px_per_m, (0.0, 0.0)):
            pass
        painter.restore()

    def settle(self, camera: Camera, ratio: float = 1.0) -> None:
        """Make every tile that the camera sees, at once; for tests and pictures."""
        self._look_through(camera, ratio)
        while (work := self._next_work(only_seen=True)) is not None:
            self._advance(work)

    # Sheaves -----------------------------------------------------------------------------------

    def _add_next(self) -> None:
        """Sort the next lines of the drawing into a sheaf."""
        bundle = next(self._coming, None)
        if bundle is None:
            self._all_there = True
        elif len(bundle[0]):
            self._add(*bundle)

    def _add(self, lines: FloatArray, layer: IntArray) -> None:
        origin = self._drawing.origin if self._drawing is not None else (0.0, 0.0)
        site = placed(self._placement, origin, lines.reshape(-1, 2)).reshape(-1, 4)
        sheaf = Sheaf(site, layer)
        self._sheaves.append(sheaf)
        (x0, y0, x1, y1), (a0, b0, a1, b1) = self._box, sheaf.box
        self._box = (min(x0, a0), min(y0, b0), max(x1, a1), max(y1, b1))

    # What is seen ------------------------------------------------------------------------------

    def _look_through(self, camera: Camera, ratio: float) -> None:
        """Take note of the camera; a new zoom makes the one before stand in."""
        before = self._camera
        if before is not None and before.px_per_m != camera.px_per_m and self._whole_at(before):
            self._zooms = [before.px_per_m, *(zoom for zoom in self._zooms if zoom != before.px_per_m)][:3]
        if ratio != self._ratio:
            self._tiles.clear()
            self._stale.clear()
        self._camera, self._ratio = camera, ratio

    def _whole_at(self, camera: Camera) -> bool:
        spots = _spots(camera.px_per_m, camera.shown)
        return all((tile := self._tiles.get(spot)) is not None and tile.fit for spot in self._drawn(spots))

    def _drawn(self, spots: list[Spot]) -> list[Spot]:
        """Spots that the drawing reaches."""
        if not self._all_there:
            return spots
        return [spot for spot in spots if _meet(_box_of(spot), self._reach())]

    def _reach(self) -> Box:
        """Box that lines and texts may reach."""
        if self._wording is None:
            return self._box
        x0, y0, x1, y1 = self._wording.box
        return min(x0, self._box[0]), min(y0, self._box[1]), max(x1, self._box[2]), max(y1, self._box[3])

    def _seen_spots(self) -> list[Spot]:
        assert self._camera is not None
        return self._drawn(_spots(self._camera.px_per_m, self._camera.shown))

    def _spare_spots(self) -> list[Spot]:
        """Spots of the whole drawing seen small, and those beside the view."""
        assert self._camera is not None
        x0, y0, x1, y1 = self._camera.shown
        beside = TILE_PX / 2 * self._camera.m_per_px
        near = _spots(self._camera.px_per_m, (x0 - beside, y0 - beside, x1 + beside, y1 + beside))
        small = _spots(self._overview_zoom(), self._box) if self._sheaves else []
        return [*small, *self._drawn(near)]

    def _overview_zoom(self) -> float:
        size = max(self._box[2] - self._box[0], self._box[3] - self._box[1])
        return _OVERVIEW_PX / max(size, 1.0)

    def _paint_spot(self, painter: QPainter, spot: Spot) -> None:
        assert self._camera is not None
        tile = self._tiles.get(spot)
        corner = _rounded_corner(self._camera)
        at = (corner[0] + spot[1] * TILE_PX, corner[1] + spot[2] * TILE_PX)
        if tile is not None and tile.fit:
            painter.drawPixmap(QPointF(*at), tile.pixmap)
        elif (former := self._stale.get(spot)) is not None:
            painter.drawPixmap(QPointF(*at), former.pixmap)
        elif not self._stand_in(painter, spot, at) and tile is not None:
            painter.drawPixmap(QPointF(*at), tile.pixmap)

    def _stand_in(self, painter: QPainter, spot: Spot, at: tuple[float, float]) -> bool:
        """Paint tiles of another zoom, stretched, where a tile is missing; False where there are none."""
        box = _box_of(spot)
        for zoom in (*self._zooms, self._overview_zoom()):
            if zoom > _MOST_TIMES * spot[0]:
                continue
            spots = [other for other in self._drawn(_spots(zoom, box)) if other != spot]
            tiles = [self._tiles.get(other) or self._stale.get(other) for other in spots]
            if not spots or not all(tile is not None and tile.fit for tile in tiles):
                continue
            painter.save()
            painter.setClipRect(QRectF(*at, TILE_PX, TILE_PX), Qt.ClipOperation.IntersectClip)
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            times = spot[0] / zoom
            painter.translate(at[0] - spot[1] * TILE_PX, at[1] - spot[2] * TILE_PX)
            painter.scale(times, times)
            for other, tile in zip(spots, tiles, strict=True):
                assert tile is not None
                painter.drawPixmap(QPointF(other[1] * TILE_PX, other[2] * TILE_PX), tile.pixmap)
            painter.restore()
            return True
        return False

    # Work --------------------------------------------------------------------------------------

    def _go_on(self) -> None:
        """Work a little; called by the timer."""
        if self._camera is None or not self._work_for(AT_ONCE_S, only_seen=False):
            self._timer.stop()
            self._forget()
            self.ready.emit()
            return
        now = perf_counter()
        if now - self._said >= SAY_EVERY_S and self.busy:
            self._said = now
            self.ready.emit()

    def _work_for(self, seconds: float, *, only_seen: bool) -> bool:
        """Work for some time; False when nothing is left to do."""
        end = perf_counter() + seconds
        while (work := self._next_work(only_seen=only_seen)) is not None:
            self._advance(work)
            if perf_counter() >= end:
                return True
        return False

    def _next_work(self, *, only_seen: bool) -> Spot | bool | None:
        """The spot that is not complete, True when lines are to be sorted first, None when all is done."""
        if self._camera is None:
            return None
        seen_spots = self._seen_spots()
        for spot in seen_spots:
            if not self._complete(spot):
                return spot
        if not self._all_there:
            return True
        if only_seen:
            return None
        return next((spot for spot in self._spare_spots() if not self._complete(spot)), None)

    def _complete(self, spot: Spot) -> bool:
        tile = self._tiles.get(spot)
        return tile is not None and tile.sheaves == len(self._sheaves) and (tile.lettered or not self._all_there)

    def _advance(self, work: Spot | bool) -> None:  # noqa: FBT001 - what ``_next_work`` gives
        """One step of work: some milliseconds at most."""
        if isinstance(work, bool):
            self._add_next()
            return
        tile = self._tiles.get(work)
        if tile is None:
            tile = self._tiles[work] = self._new_tile()
        if tile.work is None:
            tile.work = self._work_on(work, tile)
        if next(tile.work, tile) is tile:  # this piece of work is done
            tile.work = None
            if self._complete(work):
                tile.fit = True
                self._stale.pop(work, None)

    def _new_tile(self) -> _Tile:
        pixmap = QPixmap(ceil(TILE_PX * self._ratio), ceil(TILE_PX * self._ratio))
        pixmap.setDevicePixelRatio(self._ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        return _Tile(pixmap)

    def _work_on(self, spot: Spot, tile: _Tile) -> Iterator[None]:
        """Draw the next sheaf into a tile, or its texts."""
        corner = (float(spot[1] * TILE_PX), float(spot[2] * TILE_PX))
        letters = tile.sheaves == len(self._sheaves)
        painter = QPainter()
        if letters:
            steps = self._draw_texts(painter, _box_of(spot), spot[0], corner)
        else:
            steps = self._draw_lines(painter, self._sheaves[tile.sheaves], _box_of(spot), spot[0], corner)
        while True:
            painter.begin(tile.pixmap)
            try:
                over = next(steps, steps) is steps
            finally:
                painter.end()
            if over:
                break
            yield
        if letters:
            tile.lettered = True
        else:
            tile.sheaves += 1

    def _draw_lines(
        self, painter: QPainter, sheaf: Sheaf, box: Box, px_per_m: float, corner: tuple[float, float]
    ) -> Iterator[None]:
        """Draw the lines of a sheaf that meet a box, a batch a step; ``corner`` is the painter's zero in pixels of the site."""
        near = sheaf.meeting(_wider(box, 2 / px_per_m))
        if not len(near):
            return
        strengths = np.array(self._look.strengths, dtype=np.int8)
        layer = sheaf.layer[near]
        strength = np.full(len(near), int(Strength.FULL), dtype=np.int8)
        known = layer < len(strengths)
        strength[known] = strengths[layer[known]]
        zero = np.array([corner[0], corner[1], corner[0], corner[1]])
        for which, ink in ((Strength.FAINT, self._look.inks.faint_line), (Strength.FULL, self._look.inks.line)):
            chosen = near[strength == int(which)]
            if not len(chosen):
                continue
            pixels = seen(sheaf.lines[chosen] * np.array([px_per_m, -px_per_m, px_per_m, -px_per_m]) - zero)
            pen = QPen(QColor(ink), 1)
            pen.setCosmetic(True)
            if self._look.inks.broken:
                pen.setDashPattern(_BROKEN)
            steps = drawn(painter, pixels)
            over = False
            while not over:
                painter.setRenderHint(QPainter.RenderHint.Antialiasing)
                painter.setPen(pen)
                over = next(steps, steps) is steps
                yield

    def _draw_texts(self, painter: QPainter, box: Box, px_per_m: float, corner: tuple[float, float]) -> Iterator[None]:
        """Set the texts that meet a box, some a step."""
        if self._wording is None or self._drawing is None or px_per_m < self._look.texts_from:
            return
        strengths = self._look.strengths
        shown = np.array(
            [index >= len(strengths) or strengths[index] > 0 for index in range(len(self._drawing.layers))]
        )
        numbers = self._wording.meeting(box, px_per_m, shown)
        at = (corner[0] / px_per_m, -corner[1] / px_per_m)
        for begin in range(0, len(numbers), _TEXTS_AT_ONCE):
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._wording.write(painter, numbers[begin : begin + _TEXTS_AT_ONCE], px_per_m, at, self._look)
            yield

    def _forget(self) -> None:
        """Let go of the tiles that were not used for longest."""
        if self._camera is None:
            return
        self._stale.clear()
        used = list(chain(self._spare_spots(), self._seen_spots()))
        for spot in used:
            if spot in self._tiles:
                self._tiles.move_to_end(spot)
        while len(self._tiles) > max(_KEPT, len(used)):
            self._tiles.popitem(last=False)


def _rounded_corner(camera: Camera) -> tuple[int, int]:
    """Pixels at which the zero of the site lies, whole ones, so that tiles stay sharp."""
    x, y = camera.to_screen((0.0, 0.0))
    return round(x), round(y)


def _spots(px_per_m: float, box: Box) -> list[Spot]:
    """Tiles of a zoom that meet a box of the site, those in the middle first."""
    step = TILE_PX / px_per_m
    columns = range(floor(box[0] / step), floor(box[2] / step) + 1)
    rows = range(floor(-box[3] / step), floor(-box[1] / step) + 1)
    middle = ((columns[0] + columns[-1]) / 2, (rows[0] + rows[-1]) / 2)
    spots = [(px_per_m, column, row) for row in rows for column in columns]
    spots.sort(key=lambda spot: abs(spot[1] - middle[0]) + abs(spot[2] - middle[1]))
    return spots


def _box_of(spot: Spot) -> Box:
    """The part of the site that a tile shows."""
    step = TILE_PX / spot[0]
    return spot[1] * step, -(spot[2] + 1) * step, (spot[1] + 1) * step, -spot[2] * step


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _wider(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by
