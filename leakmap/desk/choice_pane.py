"""A list to choose from in the place of plan or start sheet: a heading and a sentence over it, buttons below it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QAccessible, QPainter
from PySide6.QtWidgets import QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.larger import airy
from leakmap.desk.pens import height_of, write_fitting
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, MARGIN, SECOND_TYPE, TITLE_TYPE, UNIT

_FOOT: Final = 72


def foot_px() -> int:
    """Height of the foot with the buttons."""
    return round(airy(_FOOT))


class ChoicePane(QWidget):
    """Where the heading, the list and the buttons of a choice lie."""

    heard_as: Final = QAccessible.Role.Grouping

    def _lay_choice(self, listed: QWidget, head_px: int, *buttons: Button) -> None:
        """Lay the list under a head of so many pixels, and buttons below it, the first at the left.

        Where what a glove types with leaves no room below the head, buttons wait until it is put away.
        """
        foot = foot_px()
        listed.setGeometry(MARGIN, head_px, self.width() - 2 * MARGIN, max(self.height() - head_px - foot, 1))
        x = 2 * MARGIN
        for button in buttons:
            hint = button.sizeHint()
            button.setVisible(self.height() >= head_px + foot)
            button.setGeometry(x, self.height() - (foot + hint.height()) // 2, hint.width() + 16, hint.height())
            x += button.width() + UNIT

    def _paint_head(self, painter: QPainter, heading: str, sentence: str) -> None:
        """Paint a heading, and a sentence under it."""
        line = QRectF(2 * MARGIN, airy(14), self.width() - 4 * MARGIN, airy(30))
        fonts = [text(px, strong=True) for px in (TITLE_TYPE, BODY_TYPE)]
        write_fitting(painter, line, heading, fonts)
        under = QRectF(line.left(), line.bottom(), line.width(), self._sentence_px(sentence))
        write_fitting(painter, under, sentence, (text(SECOND_TYPE),), ink=tokens().ink2)

    def _sentence_px(self, sentence: str) -> float:
        """Height of the sentence under the heading, in as many lines as it needs."""
        return max(airy(30), height_of(sentence, text(SECOND_TYPE), self.width() - 4 * MARGIN))

    def _more_head(self, sentence: str) -> int:
        """How much higher than usual the head is for its sentence, px."""
        return round(self._sentence_px(sentence) - airy(30))
