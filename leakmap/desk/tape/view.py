"""The tape: the picked joint unrolled, metre by metre, and worked on like the plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Final
from uuid import UUID

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from leakmap.base.measures import System, Units
from leakmap.desk.faces import text
from leakmap.desk.larger import larger
from leakmap.desk.pens import dashed_frame, down, frame, height_of, painting, write_lines
from leakmap.desk.state import Desk
from leakmap.desk.surface import Surface
from leakmap.desk.tape.body import paint_body, paint_bright_numbers, paint_bubbles, paint_ground, paint_marker
from leakmap.desk.tape.hand import TapeHand
from leakmap.desk.tape.ink import measure_in
from leakmap.desk.tape.lanes import FIELD_PX, lanes_of
from leakmap.desk.tape.laying import Laying
from leakmap.desk.tape.live import paint_live
from leakmap.desk.tape.naming import show
from leakmap.desk.tape.reel import Reel
from leakmap.desk.tape.rows import paint_branches, paint_leaks, paint_marked_name, paint_names, paint_zones
from leakmap.desk.tape.shown import Shown
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, WIDE, Sizes
from leakmap.model.job import Job
from leakmap.repair.results import Repairs
from leakmap.repair.tape_layout import TapeLayout, laid_out
from leakmap.work.tape_words import described

_PIECE: Final = {System.METRIC: "metre by metre", System.IMPERIAL: "foot by foot"}
_TICK_PX: Final = 23.8


def nothing_words(units: Units) -> str:
    """What stands where no joint is picked."""
    return f"A joint you pick is laid out straight here, {_PIECE[units.system]}."


class TapeView(Surface):
    """The strip of the tape.

    Attributes:
        laying: Which joint lies there.
        reel: What part of it is shown; None: nothing lies there.
    """

    hand: TapeHand

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.sizes = WIDE
        self.laying = Laying(desk, self)
        self.reel: Reel | None = None
        self.hand = TapeHand(self)
        self._layout: tuple[Job, Repairs, UUID, TapeLayout] | None = None
        self._shown: tuple[tuple[object, ...], Shown] | None = None
        self._film: tuple[tuple[object, ...], QPixmap] | None = None
        self._listen()
        self.renew()

    def _listen(self) -> None:
        desk = self.desk
        self.laying.changed.connect(self._another)
        for signal in (desk.opened, desk.changed, desk.shown_changed, desk.stage_changed, desk.picked_changed):
            signal.connect(self.renew)
        for signal in (desk.pointed_changed, desk.tool_changed, desk.caught_changed):
            signal.connect(self.update)

    # What is shown ------------------------------------------------------------------------------

    @property
    def layout_of_joint(self) -> TapeLayout | None:
        """The joint on the tape laid out; made anew when the job as shown is another."""
        job, repairs, joint = self.desk.job, self.desk.repairs, self.laying.joint
        if job is None or repairs is None or joint is None or joint not in job.joints:
            return None
        held = self._layout
        if held is None or held[0] is not job or held[1] is not repairs or held[2] != joint:
            junctions = self.desk.junctions
            assert junctions is not None
            before = held[3] if held is not None and held[2] == joint else None
            layout = laid_out(job, repairs, joint, junctions.network, junctions.movement, before=before)
            self._layout = held = (job, repairs, joint, layout)
        return held[3]

    @property
    def shown(self) -> Shown | None:
        """Where everything stands; None: nothing lies there."""
        layout, reel, job = self.layout_of_joint, self.reel, self.desk.job
        if layout is None or reel is None or job is None:
            return None
        of = (layout, reel, self.desk.stage, self.sizes, self.height(), job.units, larger().share)
        held = self._shown
        if held is None or held[0][0] is not layout or held[0][1:] != of[1:]:
            lanes, measure = lanes_of(self.sizes, self.height()), measure_in(self.sizes.tape_type)
            held = (of, show(job, layout, reel, lanes, stage=self.desk.stage, measure=measure))
            self._shown = held
        return held[1]

    def set_sizes(self, sizes: Sizes) -> None:
        """Take the measures of a layout."""
        self.sizes = sizes
        self.renew()

    def renew(self, _rows: object = None) -> None:
        """Bring the tape up to date with the desk; a joint that grows stays in view whole."""
        layout = self.layout_of_joint
        if layout is None:
            self.reel = None
        else:
            length_m, right = layout.joint.length_m, max(self.width() - FIELD_PX, FIELD_PX + 1.0)
            fresh = Reel(length_m=length_m, left=FIELD_PX, right=right)
            kept = self.hand.has_moved and self.reel is not None
            self.reel = (
                replace(fresh, px_per_m=self.reel.px_per_m, from_m=self.reel.from_m) if kept and self.reel else fresh
            )
        self._tell()
        self.update()

    def look(self, reel: Reel) -> None:
        """Show another part of the joint."""
        self.reel = reel
        self.update()

    def fit(self) -> None:
        """Show all of the joint, also when it grows."""
        self.hand.has_moved = False
        self.renew()

    def _another(self) -> None:
        self.hand.has_moved = False
        self.renew()

    def _tell(self) -> None:
        """Say in words what the tape shows, for those who cannot see it."""
        job, layout = self.desk.job, self.layout_of_joint
        self.setAccessibleName("Tape" if layout is None else f"Tape of {layout.joint.ref}")
        if not self.desk.dragging:
            words = nothing_words(self.desk.units) if layout is None or job is None else described(job, layout)
            self.heard_details = words

    # Painting -----------------------------------------------------------------------------------

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the tape, or its empty room."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            shown = self.shown
            if shown is None:
                self._paint_empty(painter)
            else:
                self._paint(painter, shown)
            if self.shows_keyboard:
                frame(painter, QRectF(self.rect()), tokens().focus, 3.0)

    def _paint(self, painter: QPainter, shown: Shown) -> None:
        pointed = self.desk.pointed
        marked = dict.fromkeys((*self.desk.marked, *((pointed,) if pointed is not None else ())))
        paint_ground(painter, shown)
        for thing in marked:
            paint_marker(painter, shown, thing, pointed=thing == pointed)
        painter.drawPixmap(0, 0, self._film_of(shown))
        if pointed is not None:
            paint_bright_numbers(painter, shown, self.sizes, pointed)
        for thing in marked:
            paint_marked_name(painter, shown, thing, self.sizes, pointed=thing == pointed)
        paint_live(painter, shown, self)

    def _film_of(self, shown: Shown) -> QPixmap:
        """All that does not change while the pointer moves, on a clear ground; painted once."""
        ratio = self.devicePixelRatioF()
        of = (shown, tokens(), self.size(), ratio)
        held = self._film
        if held is None or held[0][0] is not shown or held[0][1:] != of[1:]:
            film = QPixmap(self.size() * ratio)
            film.setDevicePixelRatio(ratio)
            film.fill(Qt.GlobalColor.transparent)
            with painting(film) as painter:
                self._paint_film(painter, shown)
            held = self._film = (of, film)
        return held[1]

    def _paint_film(self, painter: QPainter, shown: Shown) -> None:
        seen = (0.0, float(self.width()))
        paint_bubbles(painter, shown)
        paint_leaks(painter, shown)
        paint_body(painter, shown, self.sizes)
        paint_zones(painter, shown, seen)
        paint_branches(painter, shown, seen, self.sizes)
        paint_names(painter, shown, self.sizes)

    def _paint_empty(self, painter: QPainter) -> None:
        middle = self.height() * 0.48
        tape = QRectF(FIELD_PX, middle - 17, self.width() - 2 * FIELD_PX, 34)
        dashed_frame(painter, tape)
        for number in range(1, int(tape.width() / _TICK_PX)):
            length = 12 if number % 5 == 0 else 6
            down(painter, tape.left() + number * _TICK_PX, tape.top(), tape.top() + length, tokens().ink3)
        words, font = nothing_words(self.desk.units), text(CAPTION_TYPE)
        room = QRectF(tape.left(), tape.bottom() + 8, tape.width(), max(height_of(words, font, tape.width()), 24))
        write_lines(painter, room, words, font, tokens().ink2)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep all of the joint in view where all of it was."""
        super().resizeEvent(event)
        self.renew()
