"""A field to type one line in: paper, a rule round it, the focus frame while it has the keyboard."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPaintEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import control_px, larger
from leakmap.desk.pens import frame, painting
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE


class Field(QLineEdit):
    """One line of words, or a figure.

    Args:
        name: What is typed in it, for who cannot see it.
        parent: Its owner.
        figure: Whether that is a figure, for which a glove gets digits.
    """

    def __init__(self, name: str, parent: QWidget | None = None, *, figure: bool = False) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        if figure:
            self.setInputMethodHints(Qt.InputMethodHint.ImhPreferNumbers)
        self.setFrame(False)
        self.setTextMargins(12, 0, 12, 0)
        self._grow()
        larger().changed.connect(self._grow)

    def _grow(self) -> None:
        """Take the size of letters and of controls that is in force."""
        self.setFont(text(BODY_TYPE))
        self.setFixedHeight(control_px())

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Take what is typed; Alt and a letter are for who reads letters with Alt, not for the words."""
        letter = event.text()
        if event.modifiers() == Qt.KeyboardModifier.AltModifier and letter.isascii() and letter.isalpha():
            event.ignore()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the line and its rule."""
        super().paintEvent(event)
        with painting(self) as painter:
            room = QRectF(self.rect())
            frame(painter, room, tokens().focus if self.hasFocus() else tokens().edge, 3.0 if self.hasFocus() else 1.0)
