"""One line of a sheet of what is declared: what it is called, what it does, its value, and the way back to the usual."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAccessible, QFocusEvent, QFont, QKeyEvent, QMouseEvent, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QButtonGroup, QFileDialog, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.larger import larger, scaled
from leakmap.desk.ledger.head import Word
from leakmap.desk.pens import across, painting
from leakmap.desk.tokens import BODY_TYPE, SECOND_TYPE, UNIT
from leakmap.work.declared import USUAL_BACK, Line

_FIELD: Final = 200
_LONG_FIELD: Final = 300
_IN_A_ROW: Final = (5, 3)
"""Choices beside each other, as many as a series of papers has sizes; and in large letters."""

_BESIDE: Final = 700
"""From this width on the value stands beside the words, else under them."""

Take = Callable[[str], bool]
"""Puts a value in force, as text; whether it could be."""


class LineField(Field):
    """A field that steps with the arrows; what is typed counts at Enter or when the keyboard goes on.

    A click that brings the keyboard picks all of its words, as Tab does, so that what is typed takes their place.
    """

    reached = Signal(QWidget)

    def __init__(self, line: Line, take: Take) -> None:
        super().__init__(line.title, figure=line.figure)
        self._line, self._take = line, take
        self._clicked_into = False
        self.setAccessibleDescription(line.words)
        self.setMinimumWidth(_FIELD if line.steps else _LONG_FIELD)
        self.editingFinished.connect(self.keep)

    def show_line(self, line: Line) -> None:
        """Show its value, unless the hand is typing another."""
        typed = self.isModified() and self.hasFocus()
        self._line = line
        if not typed:
            self.setText(line.text)

    def keep(self) -> None:
        """Take what was typed; what cannot be is told, and the value stands there again."""
        if self.text() != self._line.text:
            self.setModified(False)
            if not self._take(self.text()):
                self.setText(self._line.text)

    def step(self, *, up: bool) -> None:
        """Take the next value up or down, where there are steps."""
        if self._line.steps:
            self.setModified(False)
            self._take(self._line.steps[0 if up else 1])

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows up and down step; Esc gives up what was typed, and else leaves the sheet."""
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down) and self._line.steps:
            self.step(up=event.key() == Qt.Key.Key_Up)
        elif event.key() == Qt.Key.Key_Escape and self.text() != self._line.text:
            self.setText(self._line.text)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Come into view."""
        self._clicked_into = event.reason() is Qt.FocusReason.MouseFocusReason
        super().focusInEvent(event)
        self.reached.emit(self)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Pick all words where the click brought the keyboard, unless it was drawn over some of them."""
        super().mouseReleaseEvent(event)
        if self._clicked_into and not self.hasSelectedText():
            self.selectAll()
        self._clicked_into = False


class ChoiceWord(Word):
    """A word that comes into view with the keyboard."""

    reached = Signal(QWidget)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Come into view."""
        super().focusInEvent(event)
        self.reached.emit(self)


class LineRow(QWidget):
    """A line: title and sentence, and beside or under them its value and the way back.

    Attributes:
        words: The words of which one is chosen; none where the value is typed.
        field: Where the value is typed; None where one of a few is chosen.
        beside: Buttons that step it, or choose a folder.
        usual: The button that brings the usual value back.
    """

    heard_as: Final = QAccessible.Role.Grouping

    reached = Signal(QWidget)

    def __init__(self, line: Line, take: Take) -> None:
        super().__init__()
        self.setAccessibleName(line.words if line.choices else "")  # a field says its words itself
        self.line, self._take = line, take
        self.words: tuple[ChoiceWord, ...] = ()
        self.field: LineField | None = None
        self.beside: tuple[Button, ...] = ()
        self._group = QButtonGroup(self)
        self.usual = Button(USUAL_BACK, self._go_back)
        self.usual.wide = self.usual.sizeHint().width()  # so that values of all lines begin at one place
        self.usual.setText(line.back)
        self._across = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._across.setContentsMargins(0, UNIT, 0, UNIT)
        self._across.setSpacing(2 * UNIT)
        told = QVBoxLayout()
        told.setSpacing(2)
        told.addStretch(1)
        told.addWidget(wrapped_words(line.title, text(BODY_TYPE, strong=True)))
        told.addWidget(wrapped_words(line.words, text(SECOND_TYPE), quiet=True))
        told.addStretch(1)
        self._across.addLayout(told, 1)
        self._across.addLayout(self._value(), 1)
        self.show_line(line)

    @property
    def first(self) -> QWidget:
        """What takes the keyboard first."""
        return self.field or next((word for word in self.words if word.isChecked()), self.words[0])

    @property
    def last(self) -> QWidget:
        """What takes the keyboard last of its value; behind it stands the way back."""
        return self.field or self.words[-1]

    def _go_back(self) -> None:
        """Take the usual value; its button goes, and the keyboard to the value."""
        if self._take(self.line.usual):
            self.first.setFocus(Qt.FocusReason.TabFocusReason)
            if self.field is not None:
                self.field.selectAll()

    def _value(self) -> QBoxLayout:
        rows = QVBoxLayout()
        rows.setSpacing(UNIT)
        if self.line.choices:
            self.words = tuple(self._word(choice) for choice in self.line.choices)
            beside = _IN_A_ROW[larger().large]
            for first in range(0, len(self.words), beside):
                rows.addLayout(_row(self.words[first : first + beside]))
        else:
            field = self.field = LineField(self.line, self._take)
            field.reached.connect(self.reached)
            self.beside = self._beside(field)
            rows.addLayout(_row((*self.beside, field)))
        value = self._beneath = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        value.addLayout(rows, 1)
        value.addWidget(self.usual, 0, Qt.AlignmentFlag.AlignLeft)
        return value

    def _beside(self, field: LineField) -> tuple[Button, ...]:
        """The buttons that a finger needs: steps of a number, or a folder to choose."""
        if self.line.steps:
            less = Button("−", lambda: field.step(up=False))
            more = Button("+", lambda: field.step(up=True))
            less.setAccessibleName(f"{self.line.title}: less")
            more.setAccessibleName(f"{self.line.title}: more")
            for button in (less, more):
                button.setAccessibleDescription(self.line.words)
            return less, more
        choose = Button("Choose", self._choose)
        choose.setAccessibleName(f"{self.line.title}: choose")
        choose.setAccessibleDescription(self.line.words)
        return (choose,) if self.line.folder else ()

    def _choose(self) -> None:
        folder = QFileDialog.getExistingDirectory(self.window(), self.line.title, self.line.text)
        if folder:
            self._take(folder)

    def _word(self, choice: str) -> ChoiceWord:
        word = ChoiceWord(choice, BODY_TYPE, self)
        word.setAccessibleDescription(self.line.title)
        word.reached.connect(self.reached)
        self._group.addButton(word)

        def chosen() -> None:
            if not self._take(choice):
                self.show_line(self.line)

        word.clicked.connect(chosen)
        return word

    def show_line(self, line: Line) -> None:
        """Show another value."""
        self.line = line
        for word in self.words:
            word.setChecked(word.text() == line.text)
        if self.field is not None:
            self.field.show_line(line)
        self.usual.setToolTip(f"Back to {line.usual or 'none'}")
        self.usual.setAccessibleName(f"{line.title}: back to {line.usual or 'none'}")
        self._keep_room()
        self.usual.setVisible(line.text != line.usual)

    def _keep_room(self) -> None:
        """Keep the room of the way back where it stands beside the value, so that nothing moves when it comes."""
        room = self.usual.sizePolicy()
        room.setRetainSizeWhenHidden(self._across.direction() is QBoxLayout.Direction.LeftToRight)
        self.usual.setSizePolicy(room)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the value under the words where there is no room beside them."""
        super().resizeEvent(event)
        ways = QBoxLayout.Direction
        way = ways.LeftToRight if self.width() >= scaled(_BESIDE) else ways.TopToBottom
        if way is not self._across.direction():
            self._across.setDirection(way)
            self._beneath.setDirection(way)
            self._keep_room()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Rule the lower edge."""
        with painting(self) as painter:
            across(painter, self.height() - 1, 0, self.width())


def _row(widgets: Iterable[QWidget]) -> QHBoxLayout:
    """Widgets beside each other, at the left."""
    row = QHBoxLayout()
    row.setSpacing(UNIT)
    for widget in widgets:
        row.addWidget(widget)
    row.addStretch(1)
    return row


def wrapped_words(said: str, font: QFont, *, quiet: bool = False) -> QLabel:
    """Words that wrap, in the colours of the theme."""
    label = QLabel(said)
    label.setFont(font)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    if quiet:
        label.setForegroundRole(QPalette.ColorRole.PlaceholderText)
    return label
