"""The one button of the window: a ruled cell with words, and where a letter takes it, its key in a box."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil
from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import control_px, scaled
from leakmap.desk.pens import CENTRE, across, frame, painting, when_pressed, width_of, write
from leakmap.desk.pressed import Pressed
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE

_KEY_BOX: Final = (26, 25)
_PAD: Final = 16
_KEY_PAD: Final = 8
_FOCUS_GAP: Final = 5.5
_UNDER: Final = 2.0  # from the line that letters stand on to that under the key
_UNDERLINE: Final = 1.2


class Button(Pressed):
    """A button that a mouse, a key, or Tab and Space or Enter press.

    Attributes:
        key: What stands in its box; empty for none.
        full: Whether it is the thing in hand: filled with ink.
        loud: Whether it is set in 600 with an ink frame, though not filled.
        short: Whether its key stands alone, because room is scarce; its words are its tip then.
        snug: Whether its key is underlined in its words, where it is a letter of theirs, and has no box.
        waits: Why it waits, as its tip says; empty when it can be pressed.
    """

    def __init__(
        self, words: str, press: Callable[[], object], parent: QWidget | None = None, *, key: str = ""
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)  # painted anew when the pointer comes or goes
        self.key = key
        self.full = False
        self.loud = False
        self.short = self.snug = False
        self.waits = ""
        self.wide = 0  # least width
        self.setText(words)
        self.setAccessibleName(words)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, press)
        self.resize(self.sizeHint())

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As wide as its words in 600, so that nothing moves when it is taken."""
        if self.short:
            return QSize(int(2 * _KEY_PAD + self._key_width()), control_px())
        words = width_of(self.text(), text(BODY_TYPE, strong=True))
        if self._underlined() >= 0:
            return QSize(ceil(words) + 2 * _KEY_PAD, control_px())
        pad = 2 * _PAD if not self.key else _KEY_PAD + self._key_width() + 12 + _PAD
        return QSize(max(int(words + pad + 1), self.wide), control_px())

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the cell."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            self._paint_ground(painter, room)
            self._paint_words(painter, room)
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)

    def _paint_ground(self, painter: QPainter, room: QRectF) -> None:
        full = self.full and self.isEnabled()  # what waits must not look live
        if full and self.hasFocus():  # the focus frame stands outside ink, with a gap
            painter.fillRect(room, QColor(tokens().sheet))
            room = room.adjusted(_FOCUS_GAP, _FOCUS_GAP, -_FOCUS_GAP, -_FOCUS_GAP)
        painter.fillRect(room, QColor(tokens().inv_bg if full else tokens().sheet))
        pointed = self.underMouse() and self.isEnabled()
        if not full:
            frame(painter, room, tokens().ink if self.loud or pointed else tokens().edge, 1.4 if self.loud else 1.0)

    def _paint_words(self, painter: QPainter, room: QRectF) -> None:
        ink = tokens().ink3 if not self.isEnabled() else tokens().inv_ink if self.full else tokens().ink
        font = text(BODY_TYPE, strong=self.full or self.loud)
        if not self.key:
            write(painter, room, self.text(), font, ink=ink, align=CENTRE)
            return
        at = self._underlined()
        if at >= 0 and not self.short:
            self._paint_underlined(painter, room, at, font, ink)
            return
        high = scaled(_KEY_BOX[1])
        box = QRectF(_KEY_PAD, (room.height() - high) / 2, self._key_width(), high)
        frame(painter, box, ink)
        write(painter, box, self.key, text(CAPTION_TYPE, strong=True), ink=ink, align=CENTRE)
        if not self.short:
            write(painter, room.adjusted(box.right() + 12, 0, 0, 0), self.text(), font, ink=ink)

    def _underlined(self) -> int:
        """Which letter of its words is its key and underlined; -1 for none."""
        return self.text().lower().find(self.key[-1:].lower()) if self.snug and self.key else -1

    def _paint_underlined(self, painter: QPainter, room: QRectF, at: int, font: QFont, ink: str) -> None:
        """Paint the words with one letter underlined, just below the line that they stand on."""
        write(painter, room, self.text(), font, ink=ink, align=CENTRE)
        metrics = QFontMetricsF(font)
        left = room.center().x() - metrics.horizontalAdvance(self.text()) / 2
        low, high = (left + metrics.horizontalAdvance(self.text()[:end]) for end in (at, at + 1))
        base = room.center().y() - metrics.height() / 2 + metrics.ascent()
        across(painter, round(base + scaled(_UNDER)), low, high, ink, px=scaled(_UNDERLINE))

    def _key_width(self) -> float:
        return max(scaled(_KEY_BOX[0]), width_of(self.key, text(CAPTION_TYPE, strong=True)) + 12)
