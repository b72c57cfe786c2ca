"""One choice of the tool in hand, as a cell of the action strip."""

from __future__ import annotations

from math import ceil
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QAccessible, QColor, QPaintEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import control_px, grown, scaled
from leakmap.desk.pens import CENTRE, frame, painting, when_pressed, width_of, write, write_lines
from leakmap.desk.pressed import Pressed
from leakmap.desk.signs import draw_sign
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE
from leakmap.desk.tools.tool import Choice

_CELL: Final = 64
_SIGN: Final = (44, 20)
_PAD: Final = 8


class ChoiceCell(Pressed):
    """One choice of a tool: a sign above its words.

    Attributes:
        short: Whether its key stands alone, because room is scarce; its words are its tip then.
    """

    heard_as = QAccessible.Role.RadioButton

    def __init__(self, choice: Choice, parent: QWidget, *, letters: bool = True) -> None:
        super().__init__(parent)
        self.choice = choice
        self.short = False
        alt = "Alt " if choice.alt or (choice.key.isalpha() and not letters) else ""
        self.setText(f"{alt}{choice.words}")
        self.setAccessibleName(choice.words)
        self.is_on = choice.chosen
        self.setAccessibleDescription(f"choice of the tool in hand, key {alt}{choice.key}" if choice.key else "choice")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, lambda: self.choice.take())  # noqa: PLW0108 - the choice may be given anew
        self.resize(self.sizeHint())

    def follow(self, choice: Choice) -> None:
        """Stand for a choice of the same words, which may be another tool's, or the chosen one now."""
        self.choice = choice
        self.turn(on=choice.chosen)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """64 × 40, or wider where the words are; words without a sign stand in two lines."""
        font = text(CAPTION_TYPE, strong=True)
        if self.short:
            return QSize(ceil(width_of(self._key(), font)) + 2 * _PAD, control_px())
        if self.choice.sign:
            return QSize(max(grown(_CELL), ceil(width_of(self.text(), font)) + 12), control_px())
        widest = min(max(width_of(line, font) for line in lines) for lines in _two_lines(self.text()))
        return QSize(max(grown(_CELL), ceil(widest) + 2 * _PAD), control_px())

    def shorten(self, short: bool) -> None:  # noqa: FBT001 - a switch
        """Let its key stand alone, or its words again."""
        self.short = short
        self.setToolTip(self.text() if short else "")
        self.update()

    def _key(self) -> str:
        """Its key, else the beginning of its words."""
        return self.choice.key or self.text()[:1]

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint sign and words."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().sheet))
            frame(painter, room, tokens().edge)
            if self.choice.chosen:
                frame(painter, room.adjusted(1, 1, -1, -1), tokens().ink, 2.4)
            font = text(CAPTION_TYPE, strong=self.choice.chosen)
            if self.short:
                write(painter, room, self._key(), font, align=CENTRE)
            elif self.choice.sign:
                write(
                    painter,
                    QRectF(2, room.height() - scaled(18), room.width() - 4, scaled(16)),
                    self.text(),
                    font,
                    align=CENTRE,
                )
                draw_sign(
                    painter, QRectF((room.width() - _SIGN[0]) / 2, room.height() / 2 - 17, *_SIGN), self.choice.sign
                )
            else:
                write_lines(painter, room.adjusted(4, 0, -4, 0), self.text(), font)
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)


def _two_lines(words: str) -> list[tuple[str, str]]:
    """Every way to break words into two lines; the whole on one where there is but one word.

    >>> _two_lines("2 slot")
    [('2 slot', ''), ('2', 'slot')]
    """
    parts = words.split(" ")
    return [(words, "")] + [(" ".join(parts[:at]), " ".join(parts[at:])) for at in range(1, len(parts))]
