"""The tape of long work in the band: it fills with ticks, and is a progress bar to who cannot see it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPaintEvent
from PySide6.QtWidgets import QProgressBar, QWidget

from leakmap.desk.pens import down, frame, painting
from leakmap.desk.theme import tokens

HIGH: Final = 30
"""Height with what the mark of how far it is stands out, px."""

_OUT: Final = 3
_TICK_EVERY: Final = 50  # thousandths of the work


class WorkTape(QProgressBar):
    """How far long work is, in thousandths."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._known = False
        self.setRange(0, 1000)
        self.setTextVisible(False)
        self.setAccessibleName("Long work")
        self.hide()

    def show_share(self, done: int, total: int) -> None:
        """Show how much is done of a total; 0 where that is not known."""
        self._known = total > 0
        self.setValue(round(1000 * done / total) if total else 0)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint tape, ticks and how far it is."""
        with painting(self) as painter:
            tape, share = QRectF(self.rect()).adjusted(0, _OUT, 0, -_OUT), self.value() / 1000
            painter.fillRect(tape, QColor(tokens().sheet))
            painter.fillRect(
                QRectF(tape.left(), tape.top(), tape.width() * share, tape.height()), QColor(tokens().tape)
            )
            frame(painter, tape, tokens().tape_edge)
            for number in range(1, 1000 // _TICK_EVERY * 2):
                x = tape.left() + tape.width() * number * _TICK_EVERY / 2000
                done = number * _TICK_EVERY / 2000 <= share
                length = 12 if number % 4 == 0 else 7
                down(painter, x, tape.top(), tape.top() + length, tokens().ink if done else tokens().rule)
            if self._known:
                down(painter, tape.width() * share, 0, self.height(), tokens().ink, px=3)
