"""The field in a cell of the ledger, and what stands below it: what it takes, what can be chosen, or why not."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPoint, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPaintEvent, QPalette
from PySide6.QtWidgets import QWidget

from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.larger import GLOVE_PX, grown, larger
from leakmap.desk.ledger.row_look import wrapped
from leakmap.desk.pens import frame, painting, width_of, write
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, SECOND_TYPE
from leakmap.work.ledger_cells import Choices, meant

_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_STEPS: Final[dict[int, int]] = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
_LINE: Final = 20
_CHOICE: Final = 28
_PAD: Final = 10
_KEY: Final = 24
_LEAST: Final = 220


class CellField(Field):
    """One line typed in a cell. It keeps every key to itself, so that none of them works the table meanwhile."""

    taken = Signal(int)  # Enter: 0; Tab: 1; Shift Tab: -1, the way to the next cell
    given_up = Signal()
    left = Signal()

    def __init__(self, name: str, words: str, choices: Choices, parent: QWidget, *, figure: bool = False) -> None:
        super().__init__(name, parent, figure=figure)
        self.choices = choices
        palette = self.palette()  # the rows hide what is selected, the field must not
        palette.setColor(QPalette.ColorRole.Highlight, QColor(tokens().mark))
        palette.setColor(QPalette.ColorRole.HighlightedText, QColor(tokens().on_mark))
        self.setPalette(palette)
        self.setText(words)
        self.selectAll()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter and Tab take what stands here, Esc gives it up, up and down go along the choices."""
        key = event.key()
        if key in _ENTER:
            self.taken.emit(0)
        elif key == Qt.Key.Key_Escape:
            self.given_up.emit()
        elif key in _STEPS and self.choices:
            self._step(_STEPS[key])
        else:
            super().keyPressEvent(event)
        event.accept()

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: N802, FBT001 - Qt's name and order
        """Tab goes to the next cell."""
        self.taken.emit(1 if forward else -1)
        return True

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Elsewhere in the window: what stands here is taken."""
        super().focusOutEvent(event)
        if event.reason() not in (Qt.FocusReason.ActiveWindowFocusReason, Qt.FocusReason.PopupFocusReason):
            self.left.emit()

    def _step(self, step: int) -> None:
        keys, now = list(self.choices), meant(self.choices, self.text())
        at = keys.index(now[0]) + step if len(now) == 1 else 0
        self.setText(self.choices[keys[at % len(keys)]])
        self.selectAll()
        self.textEdited.emit(self.text())


class Below(QWidget):
    """Sentences and choices below a field, over the rows there.

    Attributes:
        sentence: What the field takes, or why what stands in it cannot be taken.
        wrong: Whether the sentence says why not.
    """

    chosen = Signal(str)  # the key of a choice that was clicked

    def __init__(self, field: CellField, parent: QWidget) -> None:
        super().__init__(parent)
        self._field = field
        self.sentence, self.wrong = "", False
        self.setCursor(Qt.CursorShape.ArrowCursor)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(field)  # or a click here would leave the field

    def say(self, sentence: str, *, wrong: bool = False) -> None:
        """Say a sentence; a reader hears it with the field."""
        self.sentence, self.wrong = sentence, wrong
        self._field.setAccessibleDescription(sentence)
        self.update()

    def place(self, cell: QRect, room: QRect) -> None:
        """Lie below a cell, or above it where there is no room below.

        Args:
            cell: The cell.
            room: The room of all cells.
        """
        wide = min(max(cell.width(), self._wanted()), room.width() - 8)
        left = min(max(cell.left(), 4), room.width() - wide - 4)
        high = self._high(wide)
        top = cell.bottom() + 1
        if top + high > room.height() and cell.top() >= high:
            top = cell.top() - high
        self.setGeometry(left, top, wide, high)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint them."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().sheet))
            y, inner = 6.0, room.width() - 2 * _PAD
            font = text(SECOND_TYPE)
            for line in wrapped(self.sentence, font, inner):
                ink = tokens().repair if self.wrong else tokens().ink2
                write(painter, QRectF(_PAD, y, inner, grown(_LINE)), line, font, ink=ink)
                y += grown(_LINE)
            now = meant(self._field.choices, self._field.text()) if self._field.text().strip() else ()
            for key, place in self._places().items():
                if now == (key,):
                    painter.fillRect(place, QColor(tokens().mark))
                ink = tokens().on_mark if now == (key,) else tokens().ink
                body = text(BODY_TYPE)
                write(painter, place.adjusted(_PAD, 0, 0, 0), key, text(BODY_TYPE, strong=True), ink=ink)
                write(painter, place.adjusted(_PAD + grown(_KEY), 0, 0, 0), self._field.choices[key], body, ink=ink)
            frame(painter, room, tokens().repair if self.wrong else tokens().edge, 1.4)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A click takes a choice."""
        for key, place in self._places().items():
            if place.contains(event.position()):
                self.chosen.emit(key)
        event.accept()

    def middle_of(self, key: str) -> QPoint:
        """The middle of a choice."""
        return self._places()[key].center().toPoint()

    def _places(self) -> dict[str, QRectF]:
        top = self._said(self.width())
        high = _choice_px()
        return {
            key: QRectF(1, top + number * high, self.width() - 2, high)
            for number, key in enumerate(self._field.choices)
        }

    def _wanted(self) -> int:
        widest = max((width_of(words, text(BODY_TYPE)) for words in self._field.choices.values()), default=0.0)
        return max(round(widest) + 2 * _PAD + grown(_KEY), grown(_LEAST))

    def _said(self, wide: int) -> int:
        lines = len(wrapped(self.sentence, text(SECOND_TYPE), wide - 2 * _PAD)) if self.sentence else 0
        return lines * grown(_LINE) + 10

    def _high(self, wide: int) -> int:
        return self._said(wide) + len(self._field.choices) * _choice_px() + 2


def _choice_px() -> int:
    """Height of a choice."""
    return max(grown(_CHOICE), GLOVE_PX if larger().glove else 0)
