"""The ledger's head: what is listed, of which level, and whose columns are shown."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QAccessible, QColor, QFocusEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QWidget

from leakmap.desk.faces import text
from leakmap.desk.keyboard import framed
from leakmap.desk.larger import GLOVE_PX, grown, larger, scaled
from leakmap.desk.pens import CENTRE, RIGHT, across, frame, painting, width_of, write
from leakmap.desk.pressed import Pressed
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import MARGIN, SECOND_TYPE, TITLE_TYPE, WIDE, Sizes
from leakmap.work.settings import Role

_APART: Final = 24
_TITLE_Y: Final = 34
_UNDERLINE: Final = 3
_CAPTION: Final = "Columns for"


class Word(Pressed):
    """One word of a few, of which one is chosen: 600 and underlined.

    Args:
        words: The word.
        px: Its type size.
        underline: Height of the line under the chosen one, px.
        pad: Height beyond the type size, px.
        hangs: Whether it stands at the top of what a glove presses, not in its middle.
    """

    def __init__(
        self, words: str, px: float, parent: QWidget, *, underline: int = _UNDERLINE, pad: int = 14, hangs: bool = False
    ) -> None:
        super().__init__(parent)
        self._px, self._underline, self._pad, self._hangs = px, underline, pad, hangs
        self._by_key = False
        self.setText(words)
        self.setAccessibleName(words)
        self.setCheckable(True)
        self.setAutoExclusive(True)  # by which Qt knows that it is one of a few; its group says of which
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As wide as its word in 600, so that nothing moves when it is chosen."""
        high = max(self._line_px(), GLOVE_PX if larger().glove else 0)
        return QSize(int(width_of(self.text(), text(self._px, strong=True)) + 5), high)

    def _line_px(self) -> int:
        """Height of the word and its line."""
        return grown(self._px + self._pad)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the word."""
        with painting(self) as painter:
            whole = QRectF(self.rect())
            top = 0.0 if self._hangs else max((whole.height() - self._line_px()) / 2, 0.0)
            room = QRectF(0, top, whole.width(), min(self._line_px(), whole.height()))
            strong = self.isChecked()
            ink = tokens().ink if strong or self.underMouse() else tokens().ink2
            write(
                painter,
                room.adjusted(0, 0, 0, -(self._underline + self._pad // 5)),
                self.text(),
                text(self._px, strong=strong),
                ink=ink,
                align=CENTRE,
            )
            if strong:
                across(painter, room.bottom() - self._underline, 0, room.right(), tokens().ink, px=self._underline)
            if self.hasFocus() and self._by_key:
                frame(painter, room, tokens().focus, 3.0)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show the focus where keys brought it."""
        self._by_key = framed(event.reason(), before=self._by_key)
        super().focusInEvent(event)


class LedgerHead(QWidget):
    """Title, level and the line that chooses columns."""

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._title, self._level = "", ""
        self._sizes: Sizes = WIDE
        self._group = QButtonGroup(self)
        self._words = {role: self._word(role) for role in Role}
        desk.role_changed.connect(self._follow)
        self._follow()
        self.take_sizes(WIDE)

    def _word(self, role: Role) -> Word:
        word = Word(role.value, SECOND_TYPE, self)
        word.setAccessibleDescription(_CAPTION)
        self._group.addButton(word)

        def chosen() -> None:
            self._desk.take_role(role)

        word.clicked.connect(chosen)
        return word

    def _follow(self) -> None:
        self._words[self._desk.role].setChecked(True)

    @property
    def words(self) -> tuple[Word, ...]:
        """The words that choose columns."""
        return tuple(self._words.values())

    def show_words(self, title: str, level: str) -> None:
        """Say what is listed, and of which level."""
        if (title, level) != (self._title, self._level):
            self._title, self._level = title, level
            self.setAccessibleName(f"{title}, {level}" if level else title)
            self._tip()
            self.update()

    def _tip(self) -> None:
        """Say in a tip a level that has no room beside the title."""
        room = self.width() - 2 * MARGIN - width_of(self._title, text(TITLE_TYPE, strong=True)) - _APART
        self.setToolTip("" if width_of(self._level, text(SECOND_TYPE)) <= room else self._level)

    def take_sizes(self, sizes: Sizes) -> None:
        """Take the sizes of another layout."""
        self._sizes = sizes
        self.be_short(False)

    @property
    def short_px(self) -> int:
        """Height of the title alone."""
        return round(8 + scaled(_TITLE_Y))

    def be_short(self, short: bool) -> None:  # noqa: FBT001 - a switch
        """Leave the choice of columns to the find box and the settings, where rows need its room; or bring it back."""
        for word in self._words.values():
            word.setVisible(not short)
        self.setFixedHeight(self.short_px if short else self._sizes.ledger_head)
        self._place()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Place the words anew."""
        super().resizeEvent(event)
        self._place()
        self._tip()

    def _place(self) -> None:
        hints = [word.sizeHint() for word in self._words.values()]
        left = MARGIN + width_of(_CAPTION, text(SECOND_TYPE)) + _APART - 4
        if left + sum(hint.width() + 4 for hint in hints) > self.width() - MARGIN:
            left = MARGIN  # the words stand alone
        room = self.width() - MARGIN - left - sum(hint.width() for hint in hints)
        apart = min(_APART - 5, max(room / max(len(hints) - 1, 1), 4))
        for word, hint in zip(self._words.values(), hints, strict=True):
            word.setGeometry(round(left), self.height() - hint.height() - 6, hint.width(), hint.height())
            left += hint.width() + apart

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint title, level and captions."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().panel))
            top = QRectF(MARGIN, 8, room.width() - 2 * MARGIN, scaled(_TITLE_Y - 2))
            write(painter, top, self._title, text(TITLE_TYPE, strong=True))
            top.setLeft(top.left() + width_of(self._title, text(TITLE_TYPE, strong=True)) + _APART)
            write(painter, top, self._level, text(SECOND_TYPE), ink=tokens().ink2, align=RIGHT)
            word = next(iter(self._words.values()))
            line = QRectF(MARGIN, word.y(), word.x() - MARGIN, word.height() - 6)
            if not word.isHidden() and line.width() > 0:
                write(painter, line, _CAPTION, text(SECOND_TYPE), ink=tokens().ink2)
            across(painter, room.bottom() - 1, 0, room.right())
