"""A part of the plan painted once and shown again while the pointer moves and the paper is moved.

A film is larger than the field by a margin on each side, so that moving the paper shows what is
painted already.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPixmap

from leakmap.desk.plan.camera import Camera

MARGIN_PX: Final = 160.0


class Film:
    """One film.

    Attributes:
        stale: Whether what it shows has changed, so that it must be painted anew.
        painted: How often it was painted.
    """

    def __init__(self) -> None:
        self.stale = True
        self.painted = 0
        self._pixmap = QPixmap()
        self._camera: Camera | None = None

    def show(self, painter: QPainter, camera: Camera, ratio: float, paint: Callable[[QPainter, Camera], None]) -> None:
        """Show what lies in the camera's field; ``paint`` is called when the film does not hold it."""
        if self._camera is None or self.stale or self._short_of(camera, ratio):
            self._paint(camera, ratio, paint)
        assert self._camera is not None
        left, top, _, _ = self._camera.field
        x0, y0 = self._camera.to_screen(camera.centre)
        x1, y1 = camera.middle
        painter.drawPixmap(QPointF(round(left + x1 - x0), round(top + y1 - y0)), self._pixmap)

    def _short_of(self, camera: Camera, ratio: float) -> bool:
        held = self._camera
        assert held is not None
        if held.px_per_m != camera.px_per_m or self._pixmap.devicePixelRatio() != ratio:
            return True
        x0, y0, x1, y1 = camera.shown
        a0, b0, a1, b1 = held.shown
        return x0 < a0 or y0 < b0 or x1 > a1 or y1 > b1

    def _paint(self, camera: Camera, ratio: float, paint: Callable[[QPainter, Camera], None]) -> None:
        left, top, right, bottom = camera.field
        wide = camera.filling((left - MARGIN_PX, top - MARGIN_PX, right + MARGIN_PX, bottom + MARGIN_PX))
        size = round((right - left + 2 * MARGIN_PX) * ratio), round((bottom - top + 2 * MARGIN_PX) * ratio)
        if (self._pixmap.width(), self._pixmap.height()) != size:
            self._pixmap = QPixmap(*size)
        self._pixmap.setDevicePixelRatio(ratio)
        self._pixmap.fill(Qt.GlobalColor.transparent)
        brush = QPainter(self._pixmap)
        brush.setRenderHint(QPainter.RenderHint.Antialiasing)
        brush.translate(MARGIN_PX - left, MARGIN_PX - top)
        paint(brush, wide)
        brush.end()
        self._camera, self.stale = wide, False
        self.painted += 1
