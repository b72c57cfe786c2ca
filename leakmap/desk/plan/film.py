"""A part of the plan painted once and shown again while the pointer moves and the paper is moved or zoomed.

A film is larger than the field by a margin on each side, so that moving the paper shows what is painted
already. It is painted a little at a time: until a new one is done, the one before is shown, moved and sized to
the camera. Where only a few places have changed, these are painted anew on the film that is there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import ceil, floor
from time import perf_counter
from typing import Final, TypeAlias

from PySide6.QtCore import QObject, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPixmap

from leakmap.desk.plan.camera import Camera
from leakmap.geometry.path import Box

MARGIN_PX: Final = 160.0
AHEAD_PX: Final = 60.0
"""A new film is begun when the paper was moved so close to the edge of the one that is shown."""

AT_ONCE_S: Final = 0.012
SLICE_S: Final = 0.008
MOST_PATCHES: Final = 12
_MOST_BOXES: Final = 48
_MOST_SHARE: Final = 0.15  # of the film: where more has changed, all of it is painted anew
_EDGE_PX: Final = 2.0

Painting: TypeAlias = Callable[[QPainter, Camera, Box], Iterator[None]]
"""Paints what a camera sees in a box of the site, a little at each step."""


@dataclass(slots=True)
class _Exposure:
    """A film and what it shows; ``steps`` are left to be painted."""

    pixmap: QPixmap
    camera: Camera
    steps: Iterator[None] | None = None


class Film(QObject):
    """One film.

    Signals: ``ready`` when a new film is there.

    Args:
        painting: Paints it.
        at_once_s: What a frame may spend on a film that is not done.

    Attributes:
        painted: How often it was painted.
    """

    ready = Signal()

    def __init__(self, painting: Painting, parent: QObject | None = None, *, at_once_s: float = AT_ONCE_S) -> None:
        super().__init__(parent)
        self._at_once_s = at_once_s
        self.painted = 0
        self._painting = painting
        self._shown: _Exposure | None = None
        self._making: _Exposure | None = None
        self._all = True
        self._touched: list[Box] = []
        self._timer = QTimer(self, singleShot=True)
        self._timer.timeout.connect(self._go_on)

    @property
    def busy(self) -> bool:
        """Whether a new film is being painted."""
        return self._making is not None

    def touch(self, boxes: Iterable[Box] | None = None) -> None:
        """Say that something is drawn otherwise in some boxes of the site; None: everywhere."""
        if boxes is None:
            self._all = True
        else:
            self._touched.extend(boxes)

    def show(self, painter: QPainter, camera: Camera, ratio: float, *, rest: bool = False) -> None:
        """Show what lies in the camera's field.

        Args:
            painter: The painter.
            camera: What is to be seen.
            ratio: Device pixels of a pixel.
            rest: Whether more is about to change, so that what is shown will do for a while if it covers the field.
        """
        if not _fits(self._making or self._shown, camera, ratio):
            self._all = True
        elif self._touched and not self._all and self._making is None:
            self._patch()
        shown, fits = self._shown, _fits(self._shown, camera, ratio)
        covers = shown is not None and _holds(shown.camera, camera)
        due = self._all or not covers or not _holds(_less(shown.camera, AHEAD_PX), camera)  # type: ignore[union-attr] # it covers
        if self._making is None and due and not (rest and covers and not fits):
            self._begin(camera, ratio)
        if self._making is not None:
            self._work(self._at_once_s)
            self._timer.start(0)
        if self._shown is not None:
            _draw(painter, self._shown, camera)

    def finish(self, camera: Camera, ratio: float) -> None:
        """Paint all that is due now; for pictures."""
        while self._making is not None:
            self._work(1.0)
        self._begin(camera, ratio)
        self._work(float("inf"))

    def _begin(self, camera: Camera, ratio: float) -> None:
        left, top, right, bottom = camera.field
        wide = camera.filling((left - MARGIN_PX, top - MARGIN_PX, right + MARGIN_PX, bottom + MARGIN_PX))
        pixmap = QPixmap(round((right - left + 2 * MARGIN_PX) * ratio), round((bottom - top + 2 * MARGIN_PX) * ratio))
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        self._making = _Exposure(pixmap, wide)
        self._making.steps = self._steps(self._making, wide.shown)
        self._all, self._touched = False, []

    def _steps(self, exposure: _Exposure, box: Box) -> Iterator[None]:
        with _brush(exposure) as brush:
            yield from self._painting(brush, exposure.camera, box)

    def _work(self, seconds: float) -> None:
        making, end = self._making, perf_counter() + seconds
        assert making is not None
        assert making.steps is not None
        for _ in making.steps:
            if perf_counter() >= end:
                return
        making.steps = None
        self._shown, self._making = making, None
        self.painted += 1

    def _go_on(self) -> None:
        if self._making is not None:
            self._work(SLICE_S)
        if self._making is not None:
            self._timer.start(0)
        else:
            self.ready.emit()

    def _patch(self) -> None:
        """Paint anew only where something has changed, unless that is much or in many places."""
        assert self._shown is not None
        shown, boxes = self._shown, self._touched
        self._touched = []
        if len(boxes) > _MOST_BOXES:
            self._all = True
            return
        size = shown.pixmap.size() / _ratio(shown)
        whole = QRectF(0, 0, size.width(), size.height())
        rooms = _apart([room for box in boxes if not (room := _room(shown, box) & whole).isEmpty()])
        share = sum(room.width() * room.height() for room in rooms) / (whole.width() * whole.height())
        if len(rooms) > MOST_PATCHES or share > _MOST_SHARE:
            self._all = True
            return
        for room in rooms:
            with _brush(shown) as brush:
                origin = shown.camera.field[:2]
                brush.setClipRect(room.translated(*origin))
                brush.setCompositionMode(QPainter.CompositionMode.CompositionMode_Clear)
                brush.fillRect(room.translated(*origin), Qt.GlobalColor.transparent)
                brush.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)
                for _ in self._painting(brush, shown.camera, _site(shown, room)):
                    pass


@contextmanager
def _brush(exposure: _Exposure) -> Iterator[QPainter]:
    """A painter on a film, in pixels of its camera's field."""
    painter = QPainter(exposure.pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    left, top, _, _ = exposure.camera.field
    painter.translate(-left, -top)
    try:
        yield painter
    finally:
        painter.end()


def _fits(exposure: _Exposure | None, camera: Camera, ratio: float) -> bool:
    """Whether a film shows things as large as they are to be seen."""
    return exposure is not None and exposure.camera.px_per_m == camera.px_per_m and _ratio(exposure) == ratio


def _draw(painter: QPainter, shown: _Exposure, camera: Camera) -> None:
    """Draw a film where it belongs, to the pixel; one of another zoom is sized."""
    left, top, right, bottom = shown.camera.field
    x, y = camera.to_screen(shown.camera.to_site((left, top)))
    if shown.camera.px_per_m == camera.px_per_m:
        painter.drawPixmap(QPointF(round(x), round(y)), shown.pixmap)
        return
    factor = camera.px_per_m / shown.camera.px_per_m
    room = QRectF(x, y, (right - left) * factor, (bottom - top) * factor)
    painter.drawPixmap(room, shown.pixmap, QRectF(shown.pixmap.rect()))


def _ratio(shown: _Exposure) -> float:
    return shown.pixmap.devicePixelRatio()


def _holds(held: Camera, camera: Camera) -> bool:
    """Whether a film shows all that another camera's field does."""
    x0, y0, x1, y1 = camera.shown
    a0, b0, a1, b1 = held.shown
    return x0 >= a0 and y0 >= b0 and x1 <= a1 and y1 <= b1


def _less(held: Camera, by_px: float) -> Camera:
    """A camera without an edge of its field."""
    left, top, right, bottom = held.field
    return held.filling((left + by_px, top + by_px, right - by_px, bottom - by_px))


def _room(shown: _Exposure, box: Box) -> QRectF:
    """The pixels of a film that a box of the site covers, from the film's own corner, to whole device pixels."""
    ratio = _ratio(shown)
    left, top, _, _ = shown.camera.field
    x0, y1 = shown.camera.to_screen(box[:2])
    x1, y0 = shown.camera.to_screen(box[2:])
    a, b = (floor((low - edge - _EDGE_PX) * ratio) / ratio for low, edge in ((x0, left), (y0, top)))
    c, d = (ceil((high - edge + _EDGE_PX) * ratio) / ratio for high, edge in ((x1, left), (y1, top)))
    return QRectF(a, b, c - a, d - b)


def _site(shown: _Exposure, room: QRectF) -> Box:
    """The box of the site that a room of a film shows."""
    left, top, _, _ = shown.camera.field
    low = shown.camera.to_site((left + room.left(), top + room.bottom()))
    return (*low, *shown.camera.to_site((left + room.right(), top + room.top())))


def _apart(rooms: list[QRectF]) -> list[QRectF]:
    """Rooms that do not meet: those that do become one."""
    found: list[QRectF] = []
    for room in rooms:
        met = [other for other in found if other.intersects(room)]
        for other in met:
            found.remove(other)
            room = room | other  # noqa: PLW2901 - it grows
        found.append(room)
    return found
