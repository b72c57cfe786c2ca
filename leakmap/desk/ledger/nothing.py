"""What the ledger says where there is nothing to list: one sentence, and the buttons that help."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QAccessible, QColor, QFontMetrics, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.ledger.listing import Answer
from leakmap.desk.pens import height_of, painting, write_lines
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, MARGIN

_TYPE: Final = BODY_TYPE + 1
_SENTENCE: Final = 72
_WIDEST: Final = 280


class Nothing(QWidget):
    """A sentence in the middle of the ledger."""

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.sentence = ""
        self.buttons: tuple[Button, ...] = ()

    def say(self, sentence: str, answers: Sequence[Answer]) -> None:
        """Say a sentence, with its buttons."""
        if sentence == self.sentence and [button.text() for button in self.buttons] == [words for words, _ in answers]:
            return
        for button in self.buttons:
            button.hide()
            button.deleteLater()
        self.sentence = sentence
        self.setAccessibleName(sentence)
        self.buttons = tuple(self._button(answer) for answer in answers)
        self._place()
        self.update()

    def _button(self, answer: Answer) -> Button:
        words, do = answer

        def press() -> None:
            do(self._desk)

        button = Button(words, press, self)
        button.show()
        return button

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Place the buttons anew."""
        super().resizeEvent(event)
        self._place()

    def _top(self) -> float:
        """Top of the sentence, so that it and its buttons stand in the middle."""
        return max((self.height() - self._high() - len(self.buttons) * 56) / 2, 0)

    def _high(self) -> int:
        """Height of the sentence."""
        return max(_SENTENCE, height_of(self.sentence, text(_TYPE), min(_WIDEST, self.width() - 2 * MARGIN)))

    def _place(self) -> None:
        y = self._top() + self._high() + 12
        for button in self.buttons:
            hint = button.sizeHint()
            button.setGeometry((self.width() - hint.width()) // 2, round(y), hint.width(), hint.height())
            y += hint.height() + 8

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the sentence."""
        with painting(self) as painter:
            painter.fillRect(QRectF(self.rect()), QColor(tokens().panel))
            wide = _even(self.sentence, min(_WIDEST, self.width() - 2 * MARGIN))
            room = QRectF((self.width() - wide) / 2, self._top(), wide, self._high())
            write_lines(painter, room, self.sentence, text(_TYPE), tokens().ink2)


def _even(words: str, widest: int) -> int:
    """The least width at which a sentence takes no more lines than at the widest, so that no line stands short."""
    metrics = QFontMetrics(text(_TYPE))

    def high(width: int) -> int:
        return metrics.boundingRect(QRect(0, 0, width, 999), Qt.TextFlag.TextWordWrap, words).height()

    narrowest = widest // 2
    return narrowest + bisect_left(range(narrowest, widest), True, key=lambda width: high(width) <= high(widest))
