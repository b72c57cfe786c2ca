"""The room of the tape: honest while it is empty."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.faces import text
from leakmap.desk.pens import CENTRE, dashed_frame, down, painting, write
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, MARGIN, SECOND_TYPE, WIDE, Sizes

NOT_YET: Final = "The tape is still to come: a picked joint will be laid out straight here, metre by metre."
_TICK: Final = 23.8


class TapeRoom(QWidget):
    """Where the picked joint will lie straight."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sizes = WIDE
        self.setAccessibleName(f"Tape. {NOT_YET}")

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the room out for wide or compact."""
        self.sizes = sizes
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint an empty tape and its sentence."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            down(painter, self.sizes.tape_head, 0, self.height())
            head = QRectF(MARGIN, 12, self.sizes.tape_head - MARGIN, 22)
            write(painter, head, "Tape", text(SECOND_TYPE), ink=tokens().ink2)
            self._paint_tape(painter)

    def _paint_tape(self, painter: QPainter) -> None:
        left, middle = self.sizes.tape_head + 24, self.height() * 0.48
        tape = QRectF(left, middle - 17, self.width() - left - 24, 34)
        dashed_frame(painter, tape)
        for number in range(1, int(tape.width() / _TICK)):
            length = 12 if number % 5 == 0 else 6
            down(painter, tape.left() + number * _TICK, tape.top(), tape.top() + length, tokens().ink3)
        words = QRectF(tape.left(), tape.bottom() + 8, tape.width(), 24)
        write(painter, words, NOT_YET, text(CAPTION_TYPE), ink=tokens().ink2, align=CENTRE)
