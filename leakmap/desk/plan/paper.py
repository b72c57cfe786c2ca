"""The imported drawing of the level on the plan: which one, where it lies, and how strongly it shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QPainter

from leakmap.base.errors import LeakmapError
from leakmap.desk.plan.backdrop import Backdrop
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.detail import shown_in
from leakmap.desk.plan.look import DIMMED, STRONG, Look, strengths_of
from leakmap.desk.plan.sheaf import placed
from leakmap.desk.state import Desk
from leakmap.desk.trouble import trouble_of
from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet

_WIDE: Final = 0.85  # width of a drafting letter, in heights of capitals
_LINE: Final = 1.6  # from baseline to baseline


class Paper(QObject):
    """The drawing under the plan; follows the desk when told to ``renew``.

    Signals: ``ready`` when more of the drawing can be seen.
    """

    ready = Signal()

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self._backdrop: Backdrop | None = None
        self._drawing: Drawing | None = None
        self._of: tuple[object, ...] = ()
        self._boxes: list[Box] | None = None

    @property
    def box(self) -> Box | None:
        """Box of the site round the drawing; None where there is none."""
        return self._backdrop.box if self._backdrop is not None else None

    @property
    def drawing(self) -> Drawing | None:
        """The drawing of the level as read; None for a blank sheet, or where it could not be had."""
        return self._drawing

    def text_boxes(self) -> Sequence[Box]:
        """Boxes of the site round the texts that the drawing shows, for references to stand beside them."""
        if self._boxes is None:
            self._boxes = list(self._texts())
        return self._boxes

    def _texts(self) -> Iterator[Box]:
        job, level = self.desk.job, self.desk.level
        if self._drawing is None or job is None or level is None:
            return
        drawing, placement = self._drawing, job.sheets[level].placement
        strengths = strengths_of(job.sheets[level], drawing)
        for text in drawing.texts:
            if strengths[text.layer]:
                high = text.height * (1 + _LINE * text.words.count("\n"))
                wide = text.height * _WIDE * max(len(line) for line in text.words.split("\n"))
                low, left = text.at[1] - text.up * high, text.at[0] - text.across * wide
                corners = [(left, low), (left + wide, low), (left + wide, low + high), (left, low + high)]
                turned = [_turned(corner, text.at, text.turn_deg) for corner in corners]
                site = placed(placement, drawing.origin, np.array(turned, dtype=np.float64))
                (x0, y0), (x1, y1) = site.min(axis=0).tolist(), site.max(axis=0).tolist()
                yield x0, y0, x1, y1

    def renew(self) -> None:
        """Take the drawing of the level on the plan, in its place and look."""
        job, level = self.desk.job, self.desk.level
        sheet = job.sheets.get(level) if job is not None and level is not None else None
        if sheet is None or sheet.source is None or self.desk.open_job is None:
            self._put(None, None, ())
            return
        of = (self.desk.open_job, sheet.source, sheet.placement)
        if of != self._of:
            self._put(self._read(sheet), sheet.placement, of)
        if self._backdrop is not None and self._drawing is not None:
            inks = STRONG if shown_in(self.desk.stage).full_drawing else DIMMED
            self._backdrop.set_look(Look(strengths=strengths_of(sheet, self._drawing), inks=inks))

    def paint(self, painter: QPainter, camera: Camera) -> None:
        """Paint what there is of it."""
        if self._backdrop is not None:
            self._backdrop.paint(painter, camera)

    def settle(self, camera: Camera, ratio: float = 1.0) -> None:
        """Make all of it that the camera sees, at once; for pictures."""
        if self._backdrop is not None:
            self._backdrop.settle(camera, ratio)

    def _read(self, sheet: Sheet) -> Drawing | None:
        assert self.desk.open_job is not None
        try:
            return self.desk.open_job.drawing(sheet.id)
        except LeakmapError as problem:
            self.desk.troubled.emit(trouble_of(problem))
            return None

    def _put(self, drawing: Drawing | None, placement: Placement | None, of: tuple[object, ...]) -> None:
        self._of, self._drawing, self._boxes = of, drawing, None
        if self._backdrop is not None:
            self._backdrop.setParent(None)
            self._backdrop.deleteLater()
            self._backdrop = None
        if drawing is not None:
            self._backdrop = Backdrop(drawing, placement, self)
            self._backdrop.ready.connect(self.ready)


def _turned(point: Point, about: Point, turn_deg: float) -> Point:
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    x, y = point[0] - about[0], point[1] - about[1]
    return about[0] + c * x - s * y, about[1] + s * x + c * y
