"""The level that lies over the one on the plan, in blue, while a level is laid over another.

Its drawing is painted from tiles of its own, made once where it lies now: while it follows the hand, the painter is
turned and moved and the tiles stay.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from typing import Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QPainter

from leakmap.base.errors import LeakmapError
from leakmap.desk.plan.backdrop import Backdrop
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.look import LAID_OVER, Look, strengths_of
from leakmap.desk.state import Desk
from leakmap.desk.tools.lay_over import Laid, LayOver
from leakmap.geometry.path import Box
from leakmap.model.sheet import Sheet

_STILL: Final = 1e-9


class LaidOver(QObject):
    """The drawing of the level in blue; follows the tool in hand.

    Signals: ``ready`` when more of the drawing can be seen.
    """

    ready = Signal()

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self._backdrop: Backdrop | None = None
        self._of: tuple[object, ...] = ()
        desk.tool_changed.connect(self._let_go)

    def paint(self, painter: QPainter, camera: Camera) -> None:
        """Paint what there is of it where the tool lays it."""
        laid = self._laid()
        if laid is None:
            return
        self._put(laid)
        if self._backdrop is None:
            return
        painter.save()
        _turn(painter, laid, camera)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        self._backdrop.paint(painter, seen_from(laid, camera))
        painter.restore()

    def settle(self, camera: Camera, ratio: float = 1.0) -> None:
        """Make all of it that the camera sees, at once; for pictures."""
        laid = self._laid()
        if laid is not None:
            self._put(laid)
            if self._backdrop is not None:
                self._backdrop.settle(seen_from(laid, camera), ratio)

    def _laid(self) -> Laid | None:
        tool = self.desk.tool
        return tool.laid() if isinstance(tool, LayOver) else None

    def _let_go(self) -> None:
        """The drawing goes with the tool."""
        if not isinstance(self.desk.tool, LayOver) and self._of:
            self._drop()

    def _put(self, laid: Laid) -> None:
        assert self.desk.open_job is not None
        sheet = self.desk.open_job.job.sheets[laid.sheet]
        of = (sheet.source, sheet.placement, sheet.shown)
        if of != self._of:
            self._drop()
            self._of, self._backdrop = of, self._drawn(sheet)

    def _drawn(self, sheet: Sheet) -> Backdrop | None:
        assert self.desk.open_job is not None
        try:
            drawing = self.desk.open_job.drawing(sheet.id)
        except LeakmapError:
            return None  # the plan says so where it shows that level
        if drawing is None:
            return None
        backdrop = Backdrop(drawing, sheet.placement, self)
        backdrop.set_look(Look(strengths=strengths_of(sheet, drawing), inks=LAID_OVER))
        backdrop.ready.connect(self.ready)
        return backdrop

    def _drop(self) -> None:
        self._of = ()
        if self._backdrop is not None:
            self._backdrop.setParent(None)
            self._backdrop.deleteLater()
            self._backdrop = None


def _times(laid: Laid) -> float:
    """How many times as large the level would be."""
    return laid.shown.x_m_per_unit / laid.kept.x_m_per_unit


def _turn_deg(laid: Laid) -> float:
    return laid.shown.turn_deg - laid.kept.turn_deg


def seen_from(laid: Laid, camera: Camera) -> Camera:
    """The camera that sees, where a level lies now, what the plan's camera sees of it as it would lie."""
    centre = laid.kept.to_site(laid.shown.to_drawing(camera.centre))
    if abs(_turn_deg(laid)) < _STILL and abs(_times(laid) - 1) < _STILL:
        return replace(camera, centre=centre)
    return replace(camera, centre=centre, field=_round(camera, _times(laid)))


def _round(camera: Camera, times: float) -> Box:
    """A field about the same middle that covers the camera's however it is turned."""
    left, top, right, bottom = camera.field
    (x, y), half = camera.middle, hypot(right - left, bottom - top) / 2 / times
    return x - half, y - half, x + half, y + half


def _turn(painter: QPainter, laid: Laid, camera: Camera) -> None:
    """Turn and scale the painter about the middle of the plan; the site's y goes up, the painter's down."""
    x, y = camera.middle
    painter.translate(x, y)
    painter.rotate(-_turn_deg(laid))
    painter.scale(_times(laid), _times(laid))
    painter.translate(-x, -y)
