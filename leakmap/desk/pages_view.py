"""The pages of a file to choose from, in the place of plan or start sheet: thumbnails that appear as they are made.

A click picks a page, Ctrl and a click several; arrows go from page to page and Space picks. Enter or a double click
takes what is picked, else the page with the keyboard; Esc leaves. Each page that is taken becomes a level of its own.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QItemSelectionModel, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from leakmap.base.counted import many
from leakmap.desk.button import Button
from leakmap.desk.choice_pane import ChoicePane, foot_px
from leakmap.desk.faces import text
from leakmap.desk.larger import airy, grown
from leakmap.desk.ledger.thin_bar import ThinBar
from leakmap.desk.pages_in import PageChoice
from leakmap.desk.pens import CENTRE, draw_paper, frame, painting, write
from leakmap.desk.picture_list import PictureList, Place, as_large_as, picture_of, thing_of
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE
from leakmap.drawings.leafing import Leaf

HEADING: Final = "Which page shows the floor plan?"
HINT: Final = "Space, or Ctrl and a click, picks several; each becomes a level of its own."

_CELL: Final = QSize(264, 274)
_PICTURE: Final = 240
_LINE: Final = 20
"""Height of one of the two lines under a thumbnail."""

_HEAD: Final = 84
_STEPS: Final = frozenset(
    {
        Qt.Key.Key_Left,
        Qt.Key.Key_Right,
        Qt.Key.Key_Up,
        Qt.Key.Key_Down,
        Qt.Key.Key_Home,
        Qt.Key.Key_End,
        Qt.Key.Key_PageUp,
        Qt.Key.Key_PageDown,
    }
)


class PageCell(QStyledItemDelegate):
    """Paints a page: its thumbnail on paper, its number, how large it is and what is on it."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Place) -> QSize:  # noqa: N802, ARG002 - Qt's name; all are alike
        """All cells are alike."""
        return _CELL + QSize(0, 2 * grown(_LINE))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Place) -> None:
        """Paint the cell."""
        leaf = thing_of(index)
        assert isinstance(leaf, Leaf)
        room = QRectF(option.rect).adjusted(6, 6, -6, -6)
        state = option.state
        picked = bool(state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(room, QColor(tokens().mark if picked else tokens().board))
        if picked:
            frame(painter, room, tokens().ink, 2.4)  # without colour, too
        paper = QRectF(room.left() + 6, room.top() + 6, room.width() - 12, _PICTURE)
        self._paint_paper(painter, paper, picture_of(index))
        words = QRectF(room.left() + 8, paper.bottom() + 4, room.width() - 16, grown(_LINE))
        label = f" · {leaf.label}" if leaf.label else ""
        ink, quiet = (tokens().on_mark,) * 2 if picked else (tokens().ink, tokens().ink2)
        write(painter, words, f"page {leaf.page + 1}{label}", text(BODY_TYPE, strong=True), ink=ink)
        more = ", ".join(part for part in (leaf.size, leaf.kind) if part)
        write(painter, words.translated(0, words.height()), more, text(CAPTION_TYPE), ink=quiet)
        if state & QStyle.StateFlag.State_HasFocus:
            frame(painter, room.adjusted(-5.5, -5.5, 5.5, 5.5), tokens().focus, 3.0)  # clear of the marker
        painter.restore()

    def _paint_paper(self, painter: QPainter, room: QRectF, picture: QImage | None) -> None:
        if picture is None:
            frame(painter, room, tokens().rule)
            write(painter, room, "no picture of it", text(CAPTION_TYPE), ink=tokens().ink2, align=CENTRE)
            return
        place = as_large_as(room, picture)
        place.moveCenter(room.center())
        draw_paper(painter, place, picture)
        frame(painter, place, tokens().edge)


class PageList(PictureList):
    """The cells, in rows."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(PageCell, parent)
        self.setResizeMode(PageList.ResizeMode.Adjust)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setAccessibleName(HEADING)
        self._bar = ThinBar(self)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the scroll bar at the right."""
        super().resizeEvent(event)
        self._bar.lie_over(self.rect())

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows go from page to page, Space picks one besides others or lets go of it; Enter and Esc are the pane's."""
        item = self.currentItem()
        if event.key() == Qt.Key.Key_Space and item is not None:
            item.setSelected(not item.isSelected())
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape):
            event.ignore()
        elif event.key() in _STEPS and not event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            ctrl = Qt.KeyboardModifier.ControlModifier  # goes on without picking
            super().keyPressEvent(QKeyEvent(event.type(), event.key(), event.modifiers() | ctrl))
        else:
            super().keyPressEvent(event)


class PagesView(ChoicePane):
    """The pages that the desk offers.

    Attributes:
        list: Their cells.
        take: The button that takes what is picked.
        back: The button that leaves.
    """

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.list = PageList(self)
        self.take = Button("Take it", self._take, self)
        self.back = Button("Back", self._leave, self)
        self.take.full = True
        self._choice: PageChoice | None = None
        self.setFocusProxy(self.list)
        self.list.setAccessibleDescription(HINT)
        self.take.setAccessibleDescription("makes a level of each page that is picked")
        self.back.setAccessibleDescription("takes none of the pages")
        self.list.itemSelectionChanged.connect(self._follow)
        self.list.currentRowChanged.connect(lambda _row: self._follow())
        self.list.itemDoubleClicked.connect(lambda _item: self._take())
        desk.pages_offered.connect(self._show)
        self._show()

    @property
    def picked(self) -> tuple[int, ...]:
        """Pages that are picked, 0 first, in their order; where none is, the one with the keyboard."""
        rows = sorted(self.list.row(item) for item in self.list.selectedItems())
        return tuple(rows) if rows or self.list.currentRow() < 0 else (self.list.currentRow(),)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter takes, Esc leaves; what is neither goes to the window."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._take()
        elif event.key() == Qt.Key.Key_Escape:
            self._leave()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep heading, cells and buttons in their places."""
        super().resizeEvent(event)
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the board, the heading and the hint."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().board))
            foot = foot_px()
            painter.fillRect(QRect(0, self.height() - foot, self.width(), foot), QColor(tokens().panel))
            if self._choice is None:
                return
            self._paint_head(painter, HEADING, self._known(self._choice))
            left = self.back.geometry().right() + MARGIN
            hint = QRectF(left, self.height() - foot, self.width() - left - MARGIN, foot)
            write(painter, hint, HINT, text(SECOND_TYPE), ink=tokens().ink2)

    @staticmethod
    def _known(choice: PageChoice) -> str:
        """The file, and how many of its pages are seen."""
        seen = "" if len(choice.leaves) == choice.of else f", {len(choice.leaves)} of them seen"
        return f"{choice.file}: {many(choice.of, 'page')}{seen}"

    def _show(self) -> None:
        """Show another file's pages, or none."""
        self.list.clear()
        self._choice = self.desk.page_choice
        if self._choice is not None:
            self._choice.grown.connect(self._grow)
            self._grow()
            self.list.setCurrentRow(0, QItemSelectionModel.SelectionFlag.NoUpdate)
        self._follow()

    def _grow(self) -> None:
        """Show the pages that are known now."""
        if self._choice is None or self._choice is not self.desk.page_choice:
            return
        for leaf, png in list(zip(self._choice.leaves, self._choice.pictures, strict=True))[self.list.count() :]:
            self.list.add(f"page {leaf.page + 1}, {leaf.label} {leaf.size} {leaf.kind}", leaf, png)
        self.setAccessibleName(self._known(self._choice))
        self.update()

    def _follow(self) -> None:
        """Say on the button what it takes."""
        picked = self.picked
        self.take.setEnabled(bool(picked))
        self.take.setText(
            f"Take {len(picked)} pages"
            if len(picked) > 1
            else f"Take page {picked[0] + 1}"
            if picked
            else "Pick a page"
        )
        self._lay_out()
        self.update()

    def _lay_out(self) -> None:
        self._lay_choice(self.list, round(airy(_HEAD)), self.take, self.back)

    def _take(self) -> None:
        if self._choice is not None and self.picked:
            self._choice.take(self.picked)

    def _leave(self) -> None:
        if self._choice is not None:
            self._choice.leave()
