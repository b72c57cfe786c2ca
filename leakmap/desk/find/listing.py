"""The list under the find box: references with what they are, and what can be done with its key at the right."""

from __future__ import annotations

from typing import Any, Final

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from leakmap.desk.faces import text
from leakmap.desk.find.rows import Look, Row
from leakmap.desk.keyboard import BY_KEY
from leakmap.desk.larger import airy, scaled
from leakmap.desk.ledger.thin_bar import ThinBar
from leakmap.desk.pens import RIGHT, across, frame, height_of, painting, width_of, write, write_fitting
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE

_WIDE: Final = 480
_ROWS: Final = {Look.HEADING: 32, Look.PLACE: 34, Look.DOING: 34, Look.NOTE: 48}
_TITLE: Final = 62
_GAP: Final = 14
_AIR: Final = 8  # over and under words in more lines than one
_ROW: Final = Qt.ItemDataRole.UserRole
Place = QModelIndex | QPersistentModelIndex


def wide_px() -> int:
    """Width of the list."""
    return round(airy(_WIDE))


def _high(row: Row) -> int:
    """Height of a row: as its kind has it, or as its words need it in more lines."""
    least, inner = round(airy(_ROWS[row.look])), wide_px() - 2 * MARGIN
    if row.look is Look.HEADING:
        return least
    if row.look is Look.NOTE:
        return max(least, height_of(row.title, text(SECOND_TYPE), inner) + _AIR)
    left, width = _words_at(row, inner - _kept(row))
    words = row.title if row.look is Look.DOING else row.words
    return max(least, height_of(words, text(BODY_TYPE), width - left) + _AIR) if words else least


def _kept(row: Row) -> float:
    """What the right end of a row is kept for: its key, or Enter while it is the current one."""
    return max(width_of(key, text(CAPTION_TYPE)) for key in (row.key, "Enter")) + _GAP


def _words_at(row: Row, width: float) -> tuple[float, float]:
    """Where the words beside a reference begin, and where they end."""
    if row.look is Look.DOING:
        return 0.0, width
    return min(max(width_of(row.title, text(BODY_TYPE, strong=True)) + _GAP, scaled(_TITLE)), width * 0.6), width


class FindModel(QAbstractListModel):
    """Rows of the list."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.rows: tuple[Row, ...] = ()

    def show_rows(self, rows: tuple[Row, ...]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Place = QModelIndex()) -> int:  # noqa: N802, B008 - Qt's name and default
        """Number of rows."""
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Place, role: int = Qt.ItemDataRole.DisplayRole) -> Any:  # noqa: ANN401 - Qt's values
        """A row, and what is said of it."""
        row = self.rows[index.row()]
        if role == _ROW:
            return row
        said = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole)
        return row.said if role in said else None

    def flags(self, index: Place) -> Qt.ItemFlag:
        """Only what can be gone to or done is picked."""
        able = self.rows[index.row()].go is not None
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable if able else Qt.ItemFlag.NoItemFlags


class FindCell(QStyledItemDelegate):
    """Paints a row."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Place) -> QSize:  # noqa: N802, ARG002 - Qt's name
        """As high as its kind."""
        return QSize(wide_px(), _high(index.data(_ROW)))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Place) -> None:
        """Paint the row."""
        row: Row = index.data(_ROW)
        room, inner = QRectF(option.rect), QRectF(option.rect).adjusted(MARGIN, 0, -MARGIN, 0)
        painter.save()
        if row.look is Look.HEADING:
            write(painter, inner.adjusted(0, 4, 0, 0), row.title, text(CAPTION_TYPE), ink=tokens().ink2)
            across(painter, room.bottom() - 1, inner.left(), inner.right())
        elif row.look is Look.NOTE:
            write_fitting(painter, inner, row.title, [text(SECOND_TYPE), text(CAPTION_TYPE)], ink=tokens().ink2)
        else:
            self._paint_hit(painter, room, inner, row, current=bool(option.state & QStyle.StateFlag.State_Selected))
        painter.restore()

    def _paint_hit(self, painter: QPainter, room: QRectF, inner: QRectF, row: Row, *, current: bool) -> None:
        ink, second = (tokens().on_mark, tokens().on_mark) if current else (tokens().ink, tokens().ink2)
        if current:
            painter.fillRect(room, QColor(tokens().mark))
        write(painter, inner, "Enter" if current else row.key, text(CAPTION_TYPE), ink=second, align=RIGHT)
        left, width = _words_at(row, inner.width() - _kept(row))
        words = QRectF(inner.left() + left, inner.top(), width - left, inner.height())
        if row.look is Look.DOING:
            write_fitting(painter, words, row.title, (text(BODY_TYPE),), ink=ink)
            return
        fonts = [text(px, strong=True) for px in (BODY_TYPE, SECOND_TYPE, CAPTION_TYPE)]
        write_fitting(painter, QRectF(inner.left(), inner.top(), left - 4, inner.height()), row.title, fonts, ink=ink)
        write_fitting(painter, words, row.words, (text(BODY_TYPE),), ink=ink)


class FindList(QListView):
    """The list itself; it lies over the window, and the box above keeps the keyboard unless Tab enters it."""

    chosen = Signal(object)  # Row
    left = Signal()
    back = Signal(str)  # the keyboard goes back to the box, with what was typed

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.hits = FindModel(self)
        self.setModel(self.hits)
        self.setItemDelegate(FindCell(self))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.setMouseTracking(True)
        self.setAccessibleName("Found")
        self.setAccessibleDescription("arrows choose, Enter takes, Esc leaves")
        self._bar = ThinBar(self)
        self.clicked.connect(self._clicked)
        self.entered.connect(self._pointed)
        self.hide()

    def show_rows(self, rows: tuple[Row, ...]) -> None:
        """Show other rows, with the first that can be taken as the current one."""
        self.hits.show_rows(rows)
        self._go(next((number for number, row in enumerate(rows) if row.go is not None), -1))
        self.scrollToTop()

    @property
    def current(self) -> Row | None:
        """The row that Enter takes."""
        index = self.currentIndex()
        return self.hits.rows[index.row()] if index.isValid() else None

    @property
    def place(self) -> str:
        """Which of the rows that can be taken is the current one, in words."""
        able = [number for number, row in enumerate(self.hits.rows) if row.go is not None]
        here = self.currentIndex().row()
        return f"{able.index(here) + 1} of {len(able)}" if here in able else ""

    @property
    def wanted_height(self) -> int:
        """Height of all rows."""
        return sum(_high(row) for row in self.hits.rows) + 4

    def step(self, by: int) -> None:
        """Go to the next row that can be taken, or the one before; past the last comes the first."""
        able = [number for number, row in enumerate(self.hits.rows) if row.go is not None]
        if able:
            here = self.currentIndex().row()
            at = able.index(here) if here in able else -1 if by > 0 else 0
            self._go(able[(at + by) % len(able)])

    def take(self) -> None:
        """Take the current row."""
        if self.current is not None:
            self.chosen.emit(self.current)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Up and down step, Enter takes, Esc leaves; what is typed goes to the box."""
        key = event.key()
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.step(1 if key == Qt.Key.Key_Down else -1)
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.take()
        elif key == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.text().isprintable() and event.text():
            self.back.emit(event.text())
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Close where Tab goes on past it."""
        super().focusOutEvent(event)
        if event.reason() in BY_KEY:
            self.hide()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the bar at the right."""
        super().resizeEvent(event)
        self._bar.lie_over(self.rect())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the rows and the frame round them."""
        super().paintEvent(event)
        with painting(self.viewport()) as painter:
            room = QRectF(self.viewport().rect())
            frame(painter, room, tokens().rule_strong)
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)

    def _go(self, number: int) -> None:
        self.setCurrentIndex(self.hits.index(number, 0))

    def _clicked(self, index: QModelIndex) -> None:
        if self.hits.rows[index.row()].go is not None:
            self._go(index.row())
            self.take()

    def _pointed(self, index: QModelIndex) -> None:
        if self.hits.rows[index.row()].go is not None:
            self._go(index.row())
