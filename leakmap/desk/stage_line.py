"""The stage line at the top: the job, the six stages with their true shares, undo and redo, and the find box.

Every stage can be clicked at any time; nothing is locked.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAccessible, QColor, QPainter, QPainterPath, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import GLOVE_PX, control_px, larger, scaled
from leakmap.desk.pens import (
    across,
    dashed,
    down,
    fitting,
    frame,
    line,
    painting,
    when_pressed,
    write,
    write_fitting,
)
from leakmap.desk.pressed import Pressed
from leakmap.desk.stage_states import NO_JOB, StageState, stage_states
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Stage
from leakmap.desk.tokens import (
    BODY_TYPE,
    BUTTON,
    CAPTION_TYPE,
    JOB_TYPE,
    MARGIN,
    SECOND_TYPE,
    UNIT,
    WIDE,
    Sizes,
)
from leakmap.work.kept import Kept

_OPEN_DASH: Final = (12.0, 5.0)
_PAD: Final = 13
_TICK: Final = 16
_FOCUS_GAP: Final = 5.5


class StageCell(Pressed):
    """One stage: its name, its state in a sentence, and a line whose full part is done."""

    heard_as = QAccessible.Role.RadioButton

    def __init__(self, stage: Stage, press: Callable[[], object], parent: QWidget) -> None:
        super().__init__(parent)
        self.stage = stage
        self.state = NO_JOB[stage - 1]
        self.current = False
        self.sizes = WIDE
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, press)
        self.show_state(self.state, current=False)

    def show_state(self, state: StageState, *, current: bool) -> None:
        """Show how far the stage is, and whether the user is in it."""
        self.state, self.current = state, current
        self.setText(self.stage.title)
        self.setAccessibleName(f"{self.stage.title}. {state.sentence}".removesuffix(". "))
        self.setAccessibleDescription(f"stage {self.stage.value} of {len(Stage)}, key Ctrl {self.stage.value}")
        self.turn(on=current)
        self._tip()
        self.update()

    def _tip(self) -> None:
        """Say in a tip what has no room on the cell."""
        fits = self.sizes.wide and fitting(self._state_room(), self.state.sentence, (text(CAPTION_TYPE),))
        self.setToolTip("" if fits else self.state.sentence)

    def _state_room(self) -> QRectF:
        """Where its state stands: one line, two where letters are large."""
        high = self.height() - scaled(31) - 2 * UNIT if larger().large else 17.0
        return QRectF(_PAD, scaled(31), self.width() - _PAD - 4, high)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Another room for the words."""
        super().resizeEvent(event)
        self._tip()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the cell."""
        with painting(self) as painter:
            room = QRectF(self.rect()).adjusted(0, 0, 0, -1)
            if self.current:
                gap = _FOCUS_GAP if self.hasFocus() else 0.0  # the focus frame stands outside ink, with a gap
                painter.fillRect(room.adjusted(gap, gap, -gap, -gap), QColor(tokens().inv_bg))
            self._paint_words(painter, room)
            self._paint_share(painter, room)
            if not self.current and self.stage is not Stage.AS_BUILT:
                down(painter, self.width() - 1, room.bottom() - _TICK, room.bottom(), tokens().rule_strong)
            if self.hasFocus():
                frame(painter, room if self.current else room.adjusted(2, 2, -2, -2), tokens().focus, 3.0)

    def _paint_words(self, painter: QPainter, room: QRectF) -> None:
        wide = self.sizes.wide
        ink = tokens().inv_ink if self.current else tokens().ink
        second = tokens().inv_ink if self.current else tokens().ink2
        name = QRectF(_PAD, scaled(8 if wide else 6), room.width() - _PAD, scaled(24))
        write(painter, name, self.stage.title, text(self.sizes.stage_type, strong=self.current), ink=ink)
        if wide:
            write_fitting(painter, self._state_room(), self.state.sentence, (text(CAPTION_TYPE),), ink=second)

    def _paint_share(self, painter: QPainter, room: QRectF) -> None:
        thick = 5.0 if self.current else 2.2
        ink, still_open = (tokens().inv_ink, tokens().inv_ink) if self.current else (tokens().ink, tokens().ink3)
        left, right, y = float(_PAD), room.width() - 12, room.bottom() - UNIT
        split = left + (right - left) * self.state.share
        if split > left:
            line(painter, (left, y), (split, y), _flat(ink, thick))
        if split < right:
            line(painter, (split, y), (right, y), dashed(still_open, thick if self.current else 2.0, _OPEN_DASH))


def _flat(ink: str, px: float) -> QPen:
    pen = QPen(QColor(ink), px)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


class TurnButton(Pressed):
    """Undo or redo: a bent arrow; its tip says what would be undone."""

    def __init__(self, press: Callable[[], object], parent: QWidget, *, back: bool) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)  # painted anew when the pointer comes or goes
        self._back = back
        self.resize(self.sizeHint())
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, press)
        self.show_words(None)

    def show_words(self, words: str | None) -> None:
        """Show what a press would turn back; None: nothing."""
        plain = "Undo" if self._back else "Redo"
        tip = f"{plain} {words[:1].lower()}{words[1:]}" if words else f"Nothing to {plain.lower()}"
        self.setEnabled(words is not None)
        self.setToolTip(tip)
        self.setAccessibleName(tip)
        self.setAccessibleDescription(f"key {'Ctrl Z' if self._back else 'Ctrl Shift Z'}")

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the arrow in its cell."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().sheet))
            pointed = self.underMouse() and self.isEnabled()
            frame(painter, room, tokens().ink if pointed else tokens().edge)
            if not self._back:
                painter.translate(room.width(), 0)
                painter.scale(-1, 1)
            pen = _flat(tokens().ink if self.isEnabled() else tokens().ink3, 2.0)
            pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
            painter.setPen(pen)
            painter.translate((room.width() - BUTTON) / 2, (room.height() - BUTTON) / 2)
            painter.drawPath(_bent_arrow())
            painter.resetTransform()
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A square."""
        return QSize(turn_px(), turn_px())


def turn_px() -> int:
    """Side of the square: it holds no letters, so it grows for gloves alone."""
    return GLOVE_PX if larger().glove else BUTTON


def _bent_arrow() -> QPainterPath:
    """An arrow that turns back to the left."""
    path = QPainterPath(QPointF(16.5, 12.0))
    path.lineTo(12.0, 16.5)
    path.lineTo(16.5, 21.0)
    path.moveTo(12.0, 16.5)
    path.lineTo(23.0, 16.5)
    path.cubicTo(29.5, 16.5, 29.5, 26.0, 23.0, 26.0)
    path.lineTo(17.0, 26.0)
    return path


class JobCell(Pressed):
    """The job's name; a click offers another."""

    def __init__(self, press: Callable[[], object], parent: QWidget) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, press)
        self.show_name(None)

    def show_name(self, name: str | None) -> None:
        """Show a job's name; None: that none is open."""
        self.setText(name or "No job open")
        self.setAccessibleName(f"Job: {self.text()}")
        self.setAccessibleDescription("offers other jobs, settings and rules")
        self.setToolTip(self.text() if name else "")
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint caption and name; a long name has the room of the caption, too."""
        with painting(self) as painter:
            width, middle = self.width() - MARGIN - 4, self.height() / 2
            line = QRectF(MARGIN, middle - scaled(5), width, scaled(24))
            fonts = [text(px, strong=True) for px in (JOB_TYPE, BODY_TYPE, SECOND_TYPE, CAPTION_TYPE)]
            if fitting(line, self.text(), fonts[:2]) is not None:
                caption = QRectF(MARGIN, middle - scaled(23), width, scaled(18))
                write(painter, caption, "Job", text(CAPTION_TYPE), ink=tokens().ink2)
                write_fitting(painter, line, self.text(), fonts[:2])
            else:
                write_fitting(painter, QRectF(MARGIN, 2, width, self.height() - 4), self.text(), fonts[1:])
            if self.hasFocus():
                frame(painter, QRectF(self.rect()).adjusted(2, 2, -2, -3), tokens().focus, 3.0)


class StageLine(QWidget):
    """The job, the stages, undo and redo."""

    heard_as: Final = QAccessible.Role.ToolBar
    job_pressed = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.setAccessibleName("Job and stages")
        self.sizes = WIDE
        self.job_cell = JobCell(self.job_pressed.emit, self)
        self.cells = [StageCell(stage, lambda stage=stage: desk.go_to(stage), self) for stage in Stage]  # type: ignore[misc] # the default binds each
        self.undo = TurnButton(lambda: desk.attempt(desk.undo), self, back=True)
        self.redo = TurnButton(lambda: desk.attempt(desk.redo), self, back=False)
        self.finder: QWidget | None = None
        self._kept = Kept()
        desk.opened.connect(self._kept.forget)
        for signal in (desk.opened, desk.changed, desk.stage_changed):
            signal.connect(self.refresh)
        self.set_sizes(WIDE)
        self.refresh()

    def give_place(self, finder: QWidget) -> None:
        """Give the find box its place behind redo."""
        self.finder = finder
        finder.setParent(self)
        self._lay_out()

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the line out for wide or compact."""
        self.sizes = sizes
        self.setFixedHeight(sizes.stage_line)
        for cell in self.cells:
            cell.sizes = sizes
        self._lay_out()

    def refresh(self) -> None:
        """Read everything anew from the desk."""
        open_job = self.desk.open_job
        states = NO_JOB if open_job is None else stage_states(open_job.job, open_job.repairs, self._kept)
        for cell, state in zip(self.cells, states, strict=True):
            cell.show_state(state, current=cell.stage is self.desk.stage)
        self.job_cell.show_name(open_job.job.name if open_job is not None else None)
        self.undo.show_words(open_job.undo_words if open_job is not None else None)
        self.redo.show_words(open_job.redo_words if open_job is not None else None)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the six stages equal."""
        super().resizeEvent(event)
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground and rules."""
        with painting(self) as painter:
            bottom = self.height() - 1
            painter.fillRect(self.rect(), QColor(tokens().panel))
            down(painter, self.sizes.job_cell - 1, 0, bottom)
            down(painter, self.width() - self.sizes.find_room, 0, bottom)
            across(painter, bottom, 0, self.width(), tokens().rule_strong)

    def _lay_out(self) -> None:
        height, wide = self.height(), self.sizes.wide
        self.job_cell.setGeometry(0, 0, self.sizes.job_cell - 1, height - 1)
        left = self.sizes.job_cell + (24 if wide else 16)
        room = self.width() - self.sizes.find_room - (14 if wide else 4) - left
        for number, cell in enumerate(self.cells):
            start, end = (left + round(room * k / len(self.cells)) for k in (number, number + 1))
            cell.setGeometry(start, 0, end - start, height)
        turns = self.width() - self.sizes.find_room + (14 if wide else 10)
        over = larger().large and 2 * turn_px() + UNIT <= height  # room for one over the other
        for number, button in enumerate((self.undo, self.redo)):
            button.resize(button.sizeHint())
            middle, step = (height - 1 - button.height()) // 2, button.height() + UNIT // 2
            at = (
                (turns, middle + (2 * number - 1) * step // 2)
                if over
                else (turns + number * (turn_px() + UNIT), middle)
            )
            button.move(*at)
        if self.finder is not None:
            high = control_px()
            left = turns + (1 if over else 2) * (turn_px() + UNIT) + (4 if wide else 0)
            right = self.width() - (MARGIN if wide else 10)
            self.finder.setGeometry(left, (height - 1 - high) // 2, right - left, high)
