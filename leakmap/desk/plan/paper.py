"""The imported drawing of the level on the plan: which one, where it lies, and how strongly it shows."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QPainter

from leakmap.base.errors import LeakmapError
from leakmap.desk.plan.backdrop import Backdrop
from leakmap.desk.plan.camera import MOST_PX_PER_M, Camera
from leakmap.desk.plan.darkroom import Darkroom
from leakmap.desk.plan.detail import MIDDLE, shown_in
from leakmap.desk.plan.laid_over import LaidOver
from leakmap.desk.plan.look import Look, dimmed, strengths_of, strong, under_new
from leakmap.desk.plan.pictures import LARGEST_PX, Pictures, pictures_of
from leakmap.desk.plan.wording import Standing, standing
from leakmap.desk.state import Desk
from leakmap.desk.tools.laid import Lays
from leakmap.desk.trouble import trouble_of
from leakmap.geometry.path import Box
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import Sheet


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
        self._standing: Standing | None = None
        self._sketch: Backdrop | None = None
        self._pictures: Pictures | None = None
        self._darkroom = Darkroom(self)
        self._laid = LaidOver(desk, self, darkroom=self._darkroom)
        self._laid.ready.connect(self.ready)
        self._under_new = False
        desk.working.connect(self._watch)
        desk.tool_changed.connect(self._turn_tone)

    @property
    def box(self) -> Box | None:
        """Box of the site round the drawing; None where there is none."""
        return self._backdrop.box if self._backdrop is not None else None

    @property
    def nearest(self) -> float:
        """Pixels for one metre that zooming in ends at: nearer, a picture without lines shows nothing but squares."""
        if self._pictures is None or self._drawing is None or len(self._drawing.strokes):
            return MOST_PX_PER_M
        return min(MOST_PX_PER_M, LARGEST_PX / self._pictures.px_m)

    @property
    def at_work(self) -> bool:
        """Whether tiles of its pictures are still to come, or being painted."""
        return self._pictures is not None and self._pictures.busy

    @property
    def drawing(self) -> Drawing | None:
        """The drawing of the level as read; None for a blank sheet, or where it could not be had."""
        return self._drawing

    @property
    def standing(self) -> Standing:
        """Where the texts that the drawing shows stand, for references to stand beside them."""
        if self._standing is None:
            self._standing = self._stand()
        return self._standing

    def texts_cut(self, box: Box) -> Box | None:
        """Box of the site round the texts that the edge of a box of the site goes through; None: through none."""
        return self.standing.cut(box)

    def _stand(self) -> Standing:
        job, level = self.desk.job, self.desk.level
        if self._drawing is None or job is None or level is None:
            return Standing()
        sheet = job.sheets[level]
        return standing(self._drawing, sheet.placement, strengths_of(sheet, self._drawing))

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
            full = shown_in(self.desk.stage).full_drawing
            inks, texts_from = (strong(), 0.0) if full else (dimmed(), MIDDLE)
            inks = under_new() if self._under_new else inks
            faint = self.desk.faint_layers(sheet.id)
            look = Look(strengths=strengths_of(sheet, self._drawing, faint), inks=inks, texts_from=texts_from)
            self._backdrop.set_look(look)
            if self._pictures is not None:
                self._pictures.set_look(look)

    @property
    def sketched(self) -> bool:
        """Whether a drawing that is being read is shown as far as it is read."""
        return self._sketch is not None and self._sketch.box is not None

    def _turn_tone(self) -> None:
        """Take another tone while a new drawing lies over this one, and the old tone after that."""
        tool = self.desk.tool
        under_new = isinstance(tool, Lays) and tool.under_new
        if under_new != self._under_new:
            self._under_new = under_new
            self.renew()
            self.ready.emit()

    def _watch(self, work: object) -> None:
        """Show a drawing while it is read; its unit and place are not known yet."""
        from leakmap.desk.reading import Reading  # noqa: PLC0415 - late

        if not isinstance(work, Reading):
            return
        self._drop_sketch()
        self._sketch = Backdrop(None, parent=self)
        self._sketch.ready.connect(self.ready)
        work.piece.connect(self._sketch.grow)
        work.when_ended(self._drop_sketch)

    def _drop_sketch(self, _outcome: object = None) -> None:
        if self._sketch is not None:
            self._sketch.deleteLater()
            self._sketch = None
            self.ready.emit()

    def paint_sketch(self, painter: QPainter, camera: Camera) -> None:
        """Paint all that is read so far, as large as the field allows."""
        if self._sketch is not None and self._sketch.box is not None:
            self._sketch.paint(painter, camera.fitted(self._sketch.box, least_m=0.0))

    def paint(self, painter: QPainter, camera: Camera) -> None:
        """Paint what there is of it, and of the level that is being laid over it."""
        if self._pictures is not None:
            self._pictures.paint(painter, camera)
        if self._backdrop is not None:
            self._backdrop.paint(painter, camera)
        self._laid.paint(painter, camera)

    def settle(self, camera: Camera, ratio: float = 1.0) -> None:
        """Make all of it that the camera sees, at once; for pictures."""
        if self._pictures is not None:
            self._pictures.settle(camera, ratio)
        if self._backdrop is not None:
            self._backdrop.settle(camera, ratio)
        self._laid.settle(camera, ratio)

    def _read(self, sheet: Sheet) -> Drawing | None:
        assert self.desk.open_job is not None
        try:
            return self.desk.open_job.drawing(sheet.id)
        except LeakmapError as problem:
            self.desk.troubled.emit(trouble_of(problem))
            return None

    def _put(self, drawing: Drawing | None, placement: Placement | None, of: tuple[object, ...]) -> None:
        self._of, self._drawing, self._standing = of, drawing, None
        if self._backdrop is not None:
            self._backdrop.setParent(None)
            self._backdrop.deleteLater()
            self._backdrop = None
        former, self._pictures = self._pictures, None
        if drawing is not None:
            self._backdrop = Backdrop(drawing, placement, self)
            self._backdrop.ready.connect(self.ready)
            self._pictures = pictures_of(drawing, placement, self._darkroom, self)
        if self._pictures is not None:
            self._pictures.ready.connect(self.ready)
        if former is not None:
            former.drop()  # after the new ones, so that tiles of the same pictures stay
