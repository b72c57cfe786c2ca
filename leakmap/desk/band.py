"""The band at the foot of the plan: the only place that speaks to the user unasked, and never a box.

It tells, in this order of weight: what F1 asked for, long work that runs, a question or trouble with its
buttons, a sentence that a deed left. A sentence goes with the next deed, tool or stage, once the window was in
front; a question when it is answered or put away, and so what must be read; what F1 asked for with Esc or the next click.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QObject, QRect, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QAccessible, QColor, QFontMetrics, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.keyboard import escaped_in
from leakmap.desk.larger import band_px, control_px, scaled
from leakmap.desk.pens import CENTRE, across, painting, width_of, write, write_fitting
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE, UNIT
from leakmap.desk.tools.tool import Tool
from leakmap.desk.trouble import Answer, Trouble, Typing
from leakmap.desk.watched import Watched
from leakmap.desk.work_tape import HIGH, WorkTape

BUSY_MS: Final = 300
"""Work that takes longer turns the pointer busy."""

SHOW_MS: Final = 1000
"""Work that takes longer is shown in the band."""

_SQUARE: Final = 24
_GAP: Final = 12
_AIR: Final = 4
_TYPES: Final = (BODY_TYPE, SECOND_TYPE, CAPTION_TYPE)
_LEAST_TAPE: Final = 160
_FIELD: Final = 92
_SECRET: Final = 180


class Band(QWidget):
    """One sentence with its buttons, or long work with its tape.

    Attributes:
        sentence: What it says now; empty while it is hidden.
        buttons: Its buttons, left to right.
        field: The line of words that it asks for; None for none.
        tape: How far long work is.
    """

    heard_as: Final = QAccessible.Role.AlertMessage
    work_changed = Signal()  # long work began or ended
    keyboard_left = Signal()  # the button is gone that had it
    told = Signal(str)  # it says more of what is in hand, or shows long work, for who cannot see it
    covers = Signal(int)  # so many pixels of what it lies over

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.sentence = ""
        self.buttons: list[Button] = []
        self._answers: tuple[Answer, ...] = ()  # what the buttons give
        self.field: Field | None = None
        self._typing: Typing | None = None
        self._asked: tuple[Typing, str] | None = None
        self._trouble: Trouble | None = None
        self._hands_over = False
        self._said: list[str] = []
        self._unseen = False
        self._longer = ""
        self._tool: Tool | None = None
        self._work: Watched | None = None
        self._behind: list[Watched] = []  # works that began earlier and still run
        self._work_words = ""
        self._done, self._total = 0, 0
        self._work_shown = False
        self._busy = False
        self._covered = 0  # pixels of the pane below
        self.tape = WorkTape(self)
        desk.troubled.connect(self.tell)
        desk.said.connect(self.say)
        desk.working.connect(self.watch)
        desk.changed.connect(self._forget)
        desk.opened.connect(self._forget_old_job)
        desk.stage_changed.connect(self._forget)
        desk.tool_changed.connect(self._follow_tool)
        self.setFixedHeight(band_px())
        self.hide()

    @property
    def working(self) -> bool:
        """Whether long work runs."""
        return self._work is not None

    def tell(self, trouble: Trouble | None) -> None:
        """Show a trouble or a question until it is answered; None: it answered itself."""
        self._trouble = trouble
        self._hands_over = trouble is not None and trouble.keyboard
        self._note_whether_seen()
        self._refresh()

    def say(self, sentence: str) -> None:
        """Show a sentence until the next deed; those of one deed stand together."""
        self._said.append(sentence)
        self._note_whether_seen()
        self._refresh()

    def explain(self, sentence: str) -> None:
        """Say more of what is in hand, until Esc or the next click; once more: put it away."""
        self._show_longer("" if self._longer == sentence else sentence)
        if self._longer:
            self.told.emit(sentence)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """While it explains: a click goes on to what it is for, Esc only puts the explanation away."""
        if event.type() == QEvent.Type.MouseButtonPress:
            self._show_longer("")
        elif escaped_in(self.window(), watched, event):
            self._show_longer("")
            return True
        return super().eventFilter(watched, event)

    def event(self, event: QEvent) -> bool:
        """What was said while the window was not in front is seen once it is."""
        if event.type() == QEvent.Type.WindowActivate:
            self._unseen = False
        return super().event(event)

    def watch(self, work: Watched) -> None:
        """Show long work from its first second to its end; what began before it is shown again after it."""
        if self._work is not None:
            self._behind.append(self._work)
        self._work, self._work_words, self._done, self._total = work, "", 0, 0
        self._work_shown = False
        work.progressed.connect(lambda *told: self._progress(work, *told))
        work.finished.connect(lambda _outcome: self._end_work(work))
        work.failed.connect(lambda _sentence: self._end_work(work))
        work.stopped.connect(lambda: self._end_stopped(work))
        work.given_up.connect(lambda: self._end_work(work))
        self.work_changed.emit()
        QTimer.singleShot(BUSY_MS, self, lambda: self._turn_busy(work))
        QTimer.singleShot(SHOW_MS, self, lambda: self._show_work(work))

    def take_keyboard(self) -> None:
        """Give the keyboard to what is asked: the line of words, else the first button."""
        cells = (*(() if self.field is None else (self.field,)), *self.buttons)
        if cells:
            cells[0].setFocus(Qt.FocusReason.TabFocusReason)

    def stop(self) -> bool:
        """Stop the long work, else put the sentence away; whether there was anything to do."""
        if self._work is not None:
            self._work.stop()
            return True
        if self.sentence:
            self._leave()
            return True
        return False

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint ground, sentence and, for work, the tape."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            across(painter, 0, 0, self.width(), tokens().rule_strong)
            right = self._right()
            if self._work_shown and not self._longer:
                self._paint_work(painter, right)
            else:
                self._paint_sentence(painter, right)

    def lie_at_foot(self) -> None:
        """Lie over the foot of its pane: as high as usual, or higher where the sentence needs more lines."""
        pane = self.parentWidget()
        if pane is None:
            return
        self.resize(pane.width(), self.height())
        left = MARGIN + (_SQUARE + _GAP if self._trouble is not None and self._trouble.grave else 0)
        room = QRect(0, 0, max(self._right() - left, 1), pane.height())
        needed = QFontMetrics(text(BODY_TYPE)).boundingRect(room, Qt.TextFlag.TextWordWrap, self.sentence).height()
        high = min(max(band_px(), 0 if self._work_shown else needed + 4 * _AIR), pane.height())
        self.setFixedHeight(high)
        self.setGeometry(0, pane.height() - high, pane.width(), high)
        covered = 0 if self.isHidden() else high
        if covered != self._covered:
            self._covered = covered
            self.covers.emit(covered)

    def _right(self) -> int:
        """Where the words end: before what can be pressed or typed."""
        cells = (*self.buttons, *(() if self.field is None else (self.field,)))
        return min((cell.x() for cell in cells), default=self.width() - MARGIN) - MARGIN

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the buttons at the right."""
        super().resizeEvent(event)
        self._lay_out()

    def _paint_sentence(self, painter: QPainter, right: float) -> None:
        left = float(MARGIN)
        if self._trouble is not None and self._trouble.grave and not self._longer:
            square = QRectF(MARGIN, (self.height() - _SQUARE) / 2, _SQUARE, _SQUARE)
            painter.fillRect(square, QColor(tokens().repair))
            write(painter, square, "!", text(BODY_TYPE, strong=True), ink=tokens().sheet, align=CENTRE)
            left += _SQUARE + _GAP
        room = QRectF(left, _AIR, right - left, self.height() - 2 * _AIR)
        write_fitting(painter, room, self.sentence, [text(px) for px in _TYPES])

    def _paint_work(self, painter: QPainter, right: float) -> None:
        title, _, rest = self._work_words.partition(", ")
        words = self._words_px(right)
        write(painter, QRectF(MARGIN, scaled(10), words - 8, scaled(22)), title, text(BODY_TYPE, strong=True))
        write(painter, QRectF(MARGIN, scaled(33), words - 8, scaled(18)), rest, text(CAPTION_TYPE), ink=tokens().ink2)

    def _words_px(self, right: float) -> float:
        """Width of what is said of long work; the tape has the rest."""
        title, _, rest = self._work_words.partition(", ")
        words = max(width_of(title, text(BODY_TYPE, strong=True)), width_of(rest, text(CAPTION_TYPE)))
        return min(max(words + 24, 320.0), right - MARGIN - _LEAST_TAPE)

    def _lay_tape(self) -> None:
        """Lay the tape behind the words while long work is shown."""
        right = self._right()
        left = round(MARGIN + self._words_px(right))
        shown = self._work_shown and not self._longer and right - left > _LEAST_TAPE / 2
        if shown:
            self.tape.setGeometry(left, (band_px() - HIGH) // 2, right - left, HIGH)
            self.tape.setAccessibleName(self._work_words.partition(", ")[0] or "Long work")
            self.tape.show_share(self._done, self._total)
        self.tape.setVisible(shown)

    def _progress(self, work: Watched, words: str, done: int, total: int) -> None:
        if work is not self._work:
            return
        self._work_words, self._done, self._total = words, done, total
        if self._work_shown:
            self._refresh()

    def _turn_busy(self, work: Watched) -> None:
        if self._work is work and not self._busy:
            self._busy = True
            QApplication.setOverrideCursor(Qt.CursorShape.BusyCursor)

    def _show_work(self, work: Watched) -> None:
        if self._work is work:
            self._work_shown = True
            self._refresh()
            self.told.emit(f"{self.tape.accessibleName()}. Esc stops it.")

    def _end_work(self, work: Watched) -> None:
        if work is not self._work:
            self._behind.remove(work)
            return
        self._work, self._work_words, self._done, self._total = self._behind.pop() if self._behind else None, "", 0, 0
        self._work_shown = self._work_shown and self._work is not None
        self.work_changed.emit()
        if self._busy and self._work is None:
            self._busy = False
            QApplication.restoreOverrideCursor()
        self._refresh()

    def _end_stopped(self, work: Watched) -> None:
        self._end_work(work)
        self.desk.said.emit("Stopped. Nothing was changed.")

    def _forget(self) -> None:
        """Let go of what was said or offered, if it could be seen; a question waits."""
        if not self._unseen:
            self._said = []
            trouble = self._trouble
            if trouble is not None and not (trouble.lasts or (trouble.answers and trouble.waits)):
                self._trouble = None
        self._refresh()

    def _forget_old_job(self) -> None:
        """Once a job lies on the desk, let go of what was to be read before as well."""
        if self._trouble is not None and self._trouble.lasts and self.desk.job is not None:
            self._trouble = None
        self._forget()

    def _follow_tool(self) -> None:
        if self.desk.tool is not self._tool:
            self._tool = self.desk.tool
            if self._tool is not None:
                self._forget()

    def _note_whether_seen(self) -> None:
        self._unseen = self._unseen or not self.isActiveWindow()

    def _show_longer(self, sentence: str) -> None:
        app = QApplication.instance()
        assert app is not None
        if bool(sentence) != bool(self._longer):
            (app.installEventFilter if sentence else app.removeEventFilter)(self)
        self._longer = sentence
        self._refresh()

    def _leave(self) -> None:
        """Put everything away; a question is left without an answer."""
        trouble = self._trouble
        self._put_away()
        if trouble is not None and trouble.left is not None:
            trouble.left()

    def _put_away(self) -> None:
        self._trouble, self._said, self._unseen = None, [], False
        self._refresh()

    def _refresh(self) -> None:
        trouble = self._trouble
        asks = trouble is not None and not self._longer and not self._work_shown
        self._show_field(trouble.typing if trouble is not None and asks else None)
        if self._longer:
            self.sentence = self._longer
            self._show_buttons(())
        elif self._work_shown:
            self.sentence = self._work_words
            self._show_buttons((Answer(words="Stop", give=self._stop_pressed),), key="Esc")
        elif trouble is not None:
            self.sentence = trouble.sentence
            button = trouble.typing.button if trouble.typing is not None else ""
            takes = (Answer(words=button, give=self._enter),) if button else ()
            close = Answer(words="Close", give=trouble.left or self._nothing)
            self._show_buttons((*takes, *trouble.answers, close))
            self._hand_over()
        else:
            self.sentence = " ".join(self._said)
            self._show_buttons((Answer(words="Close", give=self._nothing),) if self._said else ())
        shown = bool(self.sentence or self._work_shown)
        if shown == self.isHidden():
            self.setVisible(shown)
        self.lie_at_foot()
        self.setAccessibleName(self.sentence)
        for cell in (*self.buttons, *(() if self.field is None else (self.field,))):
            cell.setAccessibleDescription("answers what the band says")  # a reader says that with the band
        self._lay_tape()
        self.raise_()
        self.update()

    def _hand_over(self) -> None:
        """Give the keyboard to a question that wants it, once its buttons are there: long work may have had the band."""
        if self._hands_over and not isinstance(QApplication.focusWidget(), QLineEdit):
            self.take_keyboard()
        self._hands_over = False

    def _nothing(self) -> None:
        """The band is gone already."""

    def _stop_pressed(self) -> None:
        self.stop()

    def _show_field(self, typing: Typing | None) -> None:
        """Show the line of words that is asked for; when it is new it takes the keyboard, unless that types elsewhere."""
        if typing is self._typing:
            return
        before, self._typing = self._typing, typing
        if self.field is not None:
            self._asked = None if before is None else (before, self.field.text())
            self.field.hide()
            self.field.deleteLater()
            self.field = None
        if typing is not None:
            field = self.field = Field(typing.name, self, figure=typing.figure)
            field.setPlaceholderText(typing.name)
            field.setFixedWidth(_SECRET if typing.secret else _FIELD)
            field.setEchoMode(Field.EchoMode.Password if typing.secret else Field.EchoMode.Normal)
            field.returnPressed.connect(self._entered)
            field.show()
            if not isinstance(QApplication.focusWidget(), QLineEdit):
                QTimer.singleShot(0, field, field.setFocus)

    def _enter(self) -> None:
        """Give what was typed to who asked."""
        if self._asked is not None:
            typing, words = self._asked
            typing.enter(words)

    def _entered(self) -> None:
        if self.field is not None and self.field.text().strip():
            self._put_away()
            self._enter()

    def _show_buttons(self, answers: tuple[Answer, ...], key: str = "") -> None:
        if answers != self._answers:  # another question may have the same words
            self._answers = answers
            had_keyboard = any(old.hasFocus() for old in self.buttons)
            for old in self.buttons:
                old.hide()
                old.deleteLater()
            self.buttons = [self._button(answer, key) for answer in answers]
            if had_keyboard:
                self.keyboard_left.emit()
        self._lay_out()

    def _button(self, answer: Answer, key: str) -> Button:
        def press() -> None:
            if not self._work_shown:
                self._put_away()
            answer.give()

        button = Button(answer.words, press, self, key=key)
        button.show()
        return button

    def _lay_out(self) -> None:
        x = self.width() - MARGIN
        for button in reversed(self.buttons):
            width = button.sizeHint().width()
            x -= width
            button.setGeometry(x, (self.height() - control_px()) // 2, width, control_px())
            x -= UNIT
        if self.field is not None:
            self.field.move(x - self.field.width(), (self.height() - control_px()) // 2)
