"""The drawing in blue over the one on the plan: of a level that is laid over it, or a new one of the level itself.

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
from leakmap.desk.plan.darkroom import Darkroom
from leakmap.desk.plan.look import Look, laid_over, strengths_of
from leakmap.desk.plan.pictures import Pictures, pictures_of
from leakmap.desk.state import Desk
from leakmap.desk.theme import theme
from leakmap.desk.tools.laid import Laid, Lays
from leakmap.geometry.path import Box
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet

_STILL: Final = 1e-9


class LaidOver(QObject):
    """The drawing of the level in blue; follows the tool in hand.

    Signals: ``ready`` when more of the drawing can be seen.

    Args:
        desk: The desk.
        darkroom: Makes the tiles of its pictures ready; one of its own where none is given.
    """

    ready = Signal()

    def __init__(self, desk: Desk, parent: QObject | None = None, *, darkroom: Darkroom | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self._darkroom = darkroom if darkroom is not None else Darkroom(self)
        self._backdrop: Backdrop | None = None
        self._pictures: Pictures | None = None
        self._of: tuple[object, ...] = ()
        desk.tool_changed.connect(self._let_go)
        theme().changed.connect(self._drop)

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
        if self._pictures is not None:
            self._pictures.paint(painter, seen_from(laid, camera))
        self._backdrop.paint(painter, seen_from(laid, camera))
        painter.restore()

    def settle(self, camera: Camera, ratio: float = 1.0) -> None:
        """Make all of it that the camera sees, at once; for pictures."""
        laid = self._laid()
        if laid is not None:
            self._put(laid)
            if self._pictures is not None:
                self._pictures.settle(seen_from(laid, camera), ratio)
            if self._backdrop is not None:
                self._backdrop.settle(seen_from(laid, camera), ratio)

    def _laid(self) -> Laid | None:
        tool = self.desk.tool
        return tool.laid() if isinstance(tool, Lays) else None

    def _let_go(self) -> None:
        """The drawing goes with the tool."""
        if not isinstance(self.desk.tool, Lays) and self._of:
            self._drop()

    def _put(self, laid: Laid) -> None:
        assert self.desk.open_job is not None
        sheet = self.desk.open_job.job.sheets[laid.sheet] if laid.new is None else laid.new[0]
        of = (sheet.source, sheet.placement, sheet.shown)
        if of != self._of:
            self._drop()
            self._of = of
            drawing = self._drawing(sheet) if laid.new is None else laid.new[1]
            if drawing is not None:
                self._take(sheet, drawing)

    def _drawing(self, sheet: Sheet) -> Drawing | None:
        assert self.desk.open_job is not None
        try:
            return self.desk.open_job.drawing(sheet.id)
        except LeakmapError:
            return None  # the plan says so where it shows that level

    def _take(self, sheet: Sheet, drawing: Drawing) -> None:
        look = Look(strengths=strengths_of(sheet, drawing), inks=laid_over())
        self._backdrop = Backdrop(drawing, sheet.placement, self)
        self._pictures = pictures_of(drawing, sheet.placement, self._darkroom, self)
        for each in (self._backdrop, self._pictures):
            if each is not None:
                each.set_look(look)
                each.ready.connect(self.ready)

    def _drop(self) -> None:
        self._of = ()
        if self._backdrop is not None:
            self._backdrop.setParent(None)
            self._backdrop.deleteLater()
            self._backdrop = None
        if self._pictures is not None:
            self._pictures.drop()
            self._pictures = None


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
