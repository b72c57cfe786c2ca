"""The plan: the sheet of one level with its drawing, its marks, and what the hand does on it.

Painted from below: drawing, grid axes, marker, marks with their references, overlay of the tool, rails.
The drawing and the marks lie on films; while the pointer moves, only marker and overlay are painted anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final
from uuid import UUID

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QTouchEvent,
)
from PySide6.QtWidgets import QWidget

from leakmap.desk.pens import frame
from leakmap.desk.plan.arrows import ARROWS
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.change_key import paint_change_key
from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import overlap
from leakmap.desk.plan.film import Film
from leakmap.desk.plan.hand import Hand
from leakmap.desk.plan.ink import (
    CAP_SHARE,
    area_path,
    in_batches,
    line_path,
    painted,
    to_screen,
    tones,
    width_of,
    write,
)
from leakmap.desk.plan.labels import Placed
from leakmap.desk.plan.overlay import field_box, paint_cross, paint_field, paint_overlay, paint_ring
from leakmap.desk.plan.paper import Paper
from leakmap.desk.plan.rails import extent_of as grid_extent
from leakmap.desk.plan.rails import paint_axes, paint_rails
from leakmap.desk.plan.references import LINE_SHARE, Lettering, extent_of, joined, shows, type_px
from leakmap.desk.plan.scene import Scene
from leakmap.desk.plan.touch import Touch
from leakmap.desk.state import Desk
from leakmap.desk.surface import Surface
from leakmap.desk.theme import theme, tokens
from leakmap.desk.things import Sort, Thing
from leakmap.desk.tokens import WIDE, Sizes, colour
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.primitives import Tone
from leakmap.model.sheet import Sheet, unscaled_unit

_JOINT_PICKED_PX: Final = 15.0
_POINTED_PX: Final = 20.0
_ZONE_RIM_PX: Final = 8.0
_ZONE_POINTED_PX: Final = 14.0
_ROUND_GRID_M: Final = 2.6
_LEADER_PX: Final = 1.0
_LOOKS_AT_ONCE: Final = 100
_SPOT_PX: Final = 13.0
_START_PX: Final = 11.0
_GROWN: Final = 1.1  # so much larger or smaller at once, a drawing no longer fills the plan as it did
_EMPTY_BOX: Final = (0.0, 0.0, 30.0, 20.0)


class PlanView(Surface):
    """The plan pane.

    Attributes:
        camera: What part of the site is shown; the field is what the rails leave free.
        covered_px: How much of its foot the band lies over.
    """

    hand: Hand
    touched = Signal()  # by a finger

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent, framed_at_first=True)  # until the mouse says where the hand is
        self.desk = desk
        self.sizes = WIDE
        self.camera = Camera()
        self.covered_px = 0
        self._paper = Paper(desk, self)
        self.scene = Scene(desk, self._paper, self)
        self.hand = Hand(self)
        self.touch = Touch(self.hand)
        self.setAttribute(Qt.WidgetAttribute.WA_AcceptTouchEvents)
        self._fitted: UUID | None = None
        self._sheet: Sheet | None = None  # the level on the plan, to tell what a deed did to its drawing
        self._marks = Film(self._paint_marks, self)
        self._let_go: frozenset[UUID] = frozenset()
        self._waits = False  # with painting, for what is being made for another zoom
        self.setMinimumSize(240, 200)
        self._listen()
        self._open()

    def _listen(self) -> None:
        desk = self.desk
        desk.opened.connect(self._open)
        desk.level_changed.connect(self._another_level)
        desk.changed.connect(self._changed)
        desk.shown_changed.connect(self.renew)
        desk.stage_changed.connect(self.renew)
        desk.faint_changed.connect(self.renew)
        desk.picked_changed.connect(self._picked)
        desk.look_at.connect(self.look_at)
        desk.spot_marked.connect(self._look_at_spot)
        desk.since.changed.connect(self.renew)
        for signal in (desk.pointed_changed, desk.tool_changed, desk.caught_changed):
            signal.connect(self.update)
        self.scene.changed.connect(self._more)
        self._paper.ready.connect(self.update)
        self._marks.ready.connect(self.update)
        theme().changed.connect(self._in_other_colours)

    # What is shown ------------------------------------------------------------------------------

    def set_sizes(self, sizes: Sizes) -> None:
        """Take the measures of a layout."""
        self.sizes = sizes
        self.scene.lettering = Lettering(px=sizes.plan_type, width_of=width_of)
        self._see(self.camera.filling(self._field()))

    def keep_clear(self, covered_px: int) -> None:
        """Keep the live field clear of what lies over so much of the foot."""
        self.covered_px = covered_px
        self.update()

    def fit(self) -> None:
        """Show all of the level, with words of its drawing that the edge would cut."""
        camera = self.camera.fitted(self.extent())
        camera = camera.fitted(joined((self.extent(), self._paper.texts_cut(camera.shown))) or _EMPTY_BOX)
        self._see(camera, edge=camera.shown)

    def look(self, camera: Camera) -> None:
        """Show another part of the site."""
        self._see(camera)

    def look_at(self, thing: Thing) -> None:
        """Bring something into view: where it lies outside, the paper moves so that it lies in the middle."""
        if self.scene.level.of(thing) is None:
            self.scene.finish()  # the level was put on the plan just now
        drawn = self.scene.level.of(thing)
        if drawn is None:
            return
        x0, y0, x1, y1 = drawn.box
        a0, b0, a1, b1 = self.camera.shown
        if x0 < a0 or y0 < b0 or x1 > a1 or y1 > b1:
            self.hand.has_moved = True
            self._see(replace(self.camera, centre=((x0 + x1) / 2, (y0 + y1) / 2)))

    def _look_at_spot(self) -> None:
        """Bring a marked spot into view, with some paper round it."""
        spot = self.desk.spot
        if spot is not None:
            x0, y0, x1, y1 = self.camera.shown
            rim_m = _SPOT_PX * 2 * self.camera.m_per_px
            if not (x0 + rim_m < spot[0] < x1 - rim_m and y0 + rim_m < spot[1] < y1 - rim_m):
                self.hand.has_moved = True
                self._see(replace(self.camera, centre=spot))
        self.update()

    def extent(self) -> Box:
        """Box round all of the level: its joints, the grid and the drawing."""
        job, level = self.desk.job, self.desk.level
        if job is None or level is None:
            return _EMPTY_BOX
        outer = grid_extent(job.grid, _ROUND_GRID_M) if job.grid is not None else None
        return joined((extent_of(job, level), outer, self._paper.box)) or _EMPTY_BOX

    def renew(self, _rows: object = None) -> None:
        """Bring the marks up to date with the desk."""
        self._paper.renew()
        if self.scene.renew():
            self._marks.touch(self.scene.take_touched())
        self.update()

    @property
    def at_work(self) -> bool:
        """Whether marks or pictures are still being made and painted."""
        return self._marks.busy or self._paper.at_work

    def _see(self, camera: Camera, *, edge: Box | None = None) -> None:
        """Show a part of the site; references keep within an edge, until another zoom."""
        zoomed = camera.px_per_m != self.camera.px_per_m
        self.scene.edge = edge if edge is not None or zoomed else self.scene.edge
        self.camera = replace(camera, nearest=self._paper.nearest)
        self.scene.look(camera.shown)
        self.scene.detail = Detail(px_per_m=camera.px_per_m, sign=self.sizes.sign)
        self.renew()
        self._waits = zoomed and self.scene.busy
        if zoomed:
            self.hand.look_again()

    def _open(self) -> None:
        self._fitted = None
        self._another_level()

    def _another_level(self) -> None:
        self.scene.forget()
        self._sheet = self._sheet_now()
        if self._fitted is not None or self.desk.level is None:
            self.renew()
            return
        self._fitted = self.desk.level
        self._paper.renew()  # its box says what all of the level is; the marks are made once, as they are fitted
        self.camera = self.camera.filling(self._field())  # which may have come while it was hidden
        self.fit()

    def _changed(self) -> None:
        """Take a deed; where the drawing of the level lies quite otherwise since, show all of it."""
        before, self._sheet = self._sheet, self._sheet_now()
        if before is not None and self._sheet is not None:
            self.hand.go_along(before, self._sheet)
        self.renew()
        if before is not None and self._sheet is not None and _lies_otherwise(before, self._sheet):
            self.fit()

    def _sheet_now(self) -> Sheet | None:
        job, level = self.desk.job, self.desk.level
        return job.sheets.get(level) if job is not None and level is not None else None

    def _picked(self) -> None:
        let_go = self.scene.strokes_let_go()
        if let_go != self._let_go:
            leaks = (self.scene.level.of(Thing(Sort.LEAK, leak)) for leak in let_go ^ self._let_go)
            self._marks.touch(leak.box for leak in leaks if leak is not None)
            self._let_go = let_go
        self.update()

    def _more(self) -> None:
        if self._marks.busy and self.scene.busy:
            return  # the film that is being painted comes first
        self._waits = False
        self._marks.touch(self.scene.take_touched())
        self.update()

    def _in_other_colours(self) -> None:
        self._marks.touch()
        self.renew()

    def _field(self) -> Box:
        rail = float(self.sizes.rail)
        return rail, rail, float(max(self.width(), rail + 1)), float(max(self.height(), rail + 1))

    # Painting -----------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint everything from below; films are painted only when they hold something else."""
        self.scene.painted()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), colour(tokens().sheet if self.desk.job is not None else tokens().board))
        ratio = self.devicePixelRatioF()
        job = self.desk.job
        room = QRectF(*self.camera.field[:2], self.width() - self.camera.field[0], self.height() - self.camera.field[1])
        painter.setClipRect(room)
        if self._paper.sketched:
            self._paper.paint_sketch(painter, self.camera)
            painter.setClipping(False)
            self._paint_focus(painter)
            painter.end()
            return
        self._paper.paint(painter, self.camera)
        if job is not None and job.grid is not None:
            paint_axes(painter, job.grid, self.camera)
        self._paint_marker(painter)
        self._marks.show(painter, self.camera, ratio, rest=self._waits)
        labels = self._paint_marked_labels(painter)
        if self.scene.changes is not None:
            taken = [self._box_of(label, self.camera) for label in self.scene.labels.values()]
            paint_change_key(painter, room.adjusted(0, 0, 0, -self.covered_px), self.scene.changes, taken)
        self._paint_hand(painter, room, labels)
        painter.setClipping(False)
        sheet = job.sheets.get(self.desk.level) if job is not None and self.desk.level is not None else None
        unscaled = unscaled_unit(sheet) if sheet is not None else None
        grid = job.grid if job else None
        paint_rails(
            painter, self.camera, grid, self.sizes.rail, self.hand.on_plan, units=self.desk.units, unscaled=unscaled
        )
        self._paint_focus(painter)
        painter.end()

    def _paint_focus(self, painter: QPainter) -> None:
        if self.shows_keyboard:
            frame(painter, QRectF(self.rect()).adjusted(0, 0, 0, -self.covered_px), tokens().focus, 3.0)

    def _show_frame(self, shown: bool) -> None:  # noqa: FBT001 - a switch
        if shown is not self._framed:
            self._framed = shown
            self.update()

    def _paint_marks(self, painter: QPainter, camera: Camera, box: Box) -> Iterator[None]:
        self._let_go = self.scene.strokes_let_go()
        px_per_mm, labels = self.scene.detail.px_per_mm, self.scene.labels
        looks = []
        for number, look in enumerate(self.scene.looks(box, self._let_go)):
            looks.append(look)
            if number % _LOOKS_AT_ONCE == 0:
                yield
        yield from painted(painter, in_batches(looks), to_screen(camera), px_per_mm)
        for label in list(labels.values()):
            if overlap(label.reach(camera.px_per_m), box):
                self._write(painter, label, camera)
                yield

    @staticmethod
    def _box_of(label: Placed, camera: Camera) -> QRectF:
        x, y = camera.to_screen(label.anchor)
        x0, y0, x1, y1 = label.box
        return QRectF(x + x0, y - y1, x1 - x0, y1 - y0)

    def _write(self, painter: QPainter, label: Placed, camera: Camera, *, marked: bool = False) -> None:
        wish = label.wish
        x, y = camera.to_screen(label.anchor)
        box = self._box_of(label, camera)
        ink, halo = tones()[wish.tone], colour(tokens().sheet)
        if marked:
            painter.fillRect(box.adjusted(-2, 0, 2, 0), colour(tokens().mark))  # no higher: words may stand over it
        if label.leader:
            painter.setPen(QPen(ink, _LEADER_PX))
            painter.drawPolyline([QPointF(x + dx, y - dy) for dx, dy in label.leader])
        if marked:
            ink = colour(tokens().repair_on_mark if wish.tone is Tone.REPAIR else tokens().on_mark)
        px = type_px(wish)
        lines = wish.words.split("\n")
        for index, words in enumerate(lines):
            base = box.bottom() - 3.0 - (len(lines) - 1 - index) * px * LINE_SHARE
            write(painter, words, QPointF(box.left() + 3.0, base), px, ink, halo=None if marked else halo)

    def _paint_marker(self, painter: QPainter) -> None:
        pointed = self.desk.pointed
        for thing in self.desk.marked:
            if thing != pointed:
                self._mark(painter, thing, pointed=False)
        if pointed is not None:
            self._mark(painter, pointed, pointed=True)
        if self.desk.spot is not None:
            self._mark_spot(painter, self.desk.spot)

    def _mark_spot(self, painter: QPainter, spot: Point) -> None:
        """A spot under the marker, ringed in ink so that it is seen without colour."""
        painter.setPen(QPen(colour(tokens().ink), 1.4))
        painter.setBrush(colour(tokens().mark, tokens().picked_alpha))
        painter.drawEllipse(QPointF(*self.camera.to_screen(spot)), _SPOT_PX, _SPOT_PX)
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _mark(self, painter: QPainter, thing: Thing, *, pointed: bool) -> None:
        drawn = self.scene.level.of(thing)
        if drawn is None or not shows((str(thing.sort), thing.key), drawn, self.scene.show):
            return
        joint = thing.sort is Sort.JOINT
        strong = pointed or not joint
        ink = colour(tokens().mark, tokens().pointed_alpha if strong else tokens().picked_alpha)
        width = _POINTED_PX if strong else _JOINT_PICKED_PX
        to_pixels = to_screen(self.camera)
        if drawn.band:
            path = to_pixels.map(area_path(drawn.band))
            painter.strokePath(path, _round_pen(ink, _ZONE_POINTED_PX if pointed else _ZONE_RIM_PX))
            return
        for points in drawn.marker:
            painter.strokePath(to_pixels.map(line_path(points)), _round_pen(ink, width * self.sizes.sign))

    def _paint_marked_labels(self, painter: QPainter) -> list[QRectF]:
        """Paint the references of what is picked or pointed at; gives their boxes."""
        found = []
        marked = self.desk.marked
        things = dict.fromkeys((*marked, *((self.desk.pointed,) if self.desk.pointed else ())))
        for thing in things:
            label = self.scene.marked_label(thing)
            if label is not None:
                self._write(painter, label, self.camera, marked=True)
                found.append(self._box_of(label, self.camera))
            if thing in marked:
                self._paint_start(painter, thing, found)
        return found

    def _paint_start(self, painter: QPainter, thing: Thing, labels: list[QRectF]) -> None:
        """A 0 where the chainage of a picked joint starts, unless references leave it no room."""
        joint = self.desk.job.joints.get(thing.key) if self.desk.job is not None else None  # type: ignore[arg-type] # a zone's number is the key of no joint
        if joint is None or joint.path is None or joint.sheet != self.desk.level:
            return
        start, direction = self.camera.to_screen(joint.path.point_at(0.0)), joint.path.direction_at(0.0)
        wide, high = width_of("0", self.sizes.plan_type), self.sizes.plan_type * CAP_SHARE
        taken = [*labels, *(self._box_of(label, self.camera) for label in self.scene.labels.values())]
        room = start_room(start, direction, (wide, high), taken)
        if room is None:
            return
        base = room.bottomLeft()
        write(painter, "0", base, self.sizes.plan_type, colour(tokens().ink), halo=colour(tokens().sheet))

    def _paint_hand(self, painter: QPainter, room: QRectF, labels: list[QRectF]) -> None:
        tool, caught = self.desk.tool or self.hand.at_rest, self.desk.caught
        if tool is None:
            return
        overlay = tool.overlay()
        job = self.desk.job
        band_px = (job.rules.band_m if job is not None else 0.0) * self.camera.px_per_m
        paint_overlay(painter, overlay, self.camera, band_half_px=band_px / 2)
        taken: QRectF | None = None
        if caught is not None and caught.catch is not None:
            taken = paint_ring(painter, caught.catch, self.camera, room, labels)
        if self.hand.arrows.cross is not None:
            paint_cross(painter, self.hand.arrows.cross, self.camera)
        elif self.touch.ring is not None and taken is None:
            paint_cross(painter, self.camera.to_site(self.touch.ring), self.camera)  # a finger shows no pointer
        if overlay.field is not None:
            seen = room.adjusted(0, 0, 0, -self.covered_px)
            box = field_box(overlay.field, self.camera, seen, self.hand.on_plan, taken, labels=labels)
            paint_field(painter, overlay.field, box)

    # Events; the hand takes all others ------------------------------------------------------------

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the middle, or all of the plan where all of it was shown."""
        del event
        camera = self.camera.filling(self._field())
        if self._fitted is None or self.hand.has_moved:
            self._see(camera)
            return
        self.camera = camera
        self.fit()

    def event(self, event: QEvent) -> bool:
        """Give touches to the fingers."""
        if isinstance(event, QTouchEvent):
            self.touched.emit()
            self.touch.take(event)
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button went down: the mouse says where the hand is."""
        self._show_frame(False)
        super().mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key went down; arrows work where the keyboard is."""
        if event.key() in ARROWS:
            self._show_frame(True)
        super().keyPressEvent(event)


def _round_pen(ink: QColor, width: float) -> QPen:
    return QPen(ink, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin)


def _lies_otherwise(before: Sheet, now: Sheet) -> bool:
    """Whether a drawing was cropped, laid flat, turned by a quarter or given another scale, or that was taken back."""
    if before.source is None or now.source is None:
        return False
    part, quarters = now.source.reading, round(now.placement.turn_deg / 90.0)
    grown = now.placement.x_m_per_unit / before.placement.x_m_per_unit
    return (
        (part.crop, part.corners) != (before.source.reading.crop, before.source.reading.corners)
        or quarters != round(before.placement.turn_deg / 90.0)
        or not 1 / _GROWN < grown < _GROWN
    )


def start_room(start: Point, direction: Point, size: tuple[float, float], taken: Iterable[QRectF]) -> QRectF | None:
    """Where the 0 at the start of a joint stands, clear of all boxes: beside the joint, else before its start; None: nowhere.

    Args:
        start: The start on the screen, px.
        direction: In which the joint leaves it on the site, of length 1.
        size: Width and height of the 0, px.
        taken: Boxes of references, px.
    """
    (x, y), (dx, dy), (wide, high), boxes = start, direction, size, list(taken)
    for along, left in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        middle_x = x + (along * dx - left * dy) * _START_PX
        middle_y = y - (along * dy + left * dx) * _START_PX
        room = QRectF(middle_x - wide / 2, middle_y - high / 2, wide, high)
        if not any(box.intersects(room) for box in boxes):
            return room
    return None
