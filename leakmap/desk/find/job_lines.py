"""The list of old jobs: a zone a row, with its job, levels, grid, length and years in columns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from leakmap.desk.faces import text
from leakmap.desk.larger import airy, scaled
from leakmap.desk.ledger.thin_bar import ThinBar
from leakmap.desk.pens import LEFT, RIGHT, across, frame, painting, write
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, MARGIN
from leakmap.work.register import Line, register_text

_ROW: Final = 34
_LINE: Final = Qt.ItemDataRole.UserRole
_COLUMNS: Final = ((0.30, True), (0.09, True), (0.12, False), (0.19, False), (0.12, False), (0.18, False))
"""Share of the width of each column, and whether it is set in 600: job, zone, level, grid, length, issued."""

_LENGTH: Final = 4
_STACKED: Final = ((0, 0.0, 0.72), (0, 0.72, 0.28), (1, 0.0, 0.2), (1, 0.2, 0.3), (1, 0.5, 0.25), (1, 0.75, 0.25))
"""Where room is scarce: in which of two lines each column stands, where it begins, and its share of the width."""

_ROOMY_PX: Final = 620
"""Width below which rows have two lines, at the usual size of letters."""

Place = QModelIndex | QPersistentModelIndex


HEADINGS: Final = ("Job", "Zone", "Level", "Grid", "Length", "Issued")


def columns_in(room: QRectF) -> list[tuple[QRectF, Qt.AlignmentFlag, bool]]:
    """The cells of a row in a room: where each lies, how its words stand, whether they are set in 600."""
    if stacked_in(room.width()):
        return list(_stacked(room))
    cells, x, wide = [], room.left() + MARGIN, room.width() - 2 * MARGIN
    for number, (share, strong) in enumerate(_COLUMNS):
        align = RIGHT if number == _LENGTH else LEFT
        gap = 28 if number == _LENGTH else 12
        cells.append((QRectF(x, room.top(), wide * share - gap, room.height() - 1), align, strong))
        x += wide * share
    return cells


def stacked_in(width: float) -> bool:
    """Whether rows of a width have two lines."""
    return width < scaled(_ROOMY_PX)


def _stacked(room: QRectF) -> Iterator[tuple[QRectF, Qt.AlignmentFlag, bool]]:
    left, wide, high = room.left() + MARGIN, room.width() - 2 * MARGIN, (room.height() - 1) / 2
    for (row, start, share), (_, strong) in zip(_STACKED, _COLUMNS, strict=True):
        yield QRectF(left + start * wide, room.top() + row * high, share * wide - 12, high), LEFT, strong


def cells_of(line: Line) -> tuple[str, ...]:
    """What a row says, column by column."""
    _, row = register_text((line,))
    return tuple(row[: len(_COLUMNS)])


class _Model(QAbstractListModel):
    """Lines of the register."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.lines: tuple[Line, ...] = ()

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def rowCount(self, parent: Place = QModelIndex()) -> int:  # noqa: N802, B008 - Qt's name and default
        """Number of rows."""
        return 0 if parent.isValid() else len(self.lines)

    def data(self, index: Place, role: int = Qt.ItemDataRole.DisplayRole) -> Any:  # noqa: ANN401 - Qt's values
        """A line, and what is said of it."""
        line = self.lines[index.row()]
        if role == _LINE:
            return line
        if role == Qt.ItemDataRole.ToolTipRole:
            return f"{', '.join(filter(None, cells_of(line)))}\n{line.job.file}"
        said = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole)
        return ", ".join(filter(None, cells_of(line))) if role in said else None


class _Cell(QStyledItemDelegate):
    """Paints a row."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Place) -> QSize:  # noqa: N802, ARG002 - Qt's name
        """All rows are alike."""
        view = self.parent()
        lines = 2 if isinstance(view, QWidget) and stacked_in(view.width()) else 1
        return QSize(100, round(airy(_ROW)) * lines)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Place) -> None:
        """Paint the row."""
        room = QRectF(option.rect)
        current = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.fillRect(room, QColor(tokens().mark if current else tokens().sheet))
        ink = tokens().on_mark if current else tokens().ink
        for (cell, align, strong), words in zip(columns_in(room), cells_of(index.data(_LINE)), strict=True):
            write(painter, cell, words, text(BODY_TYPE, strong=strong), ink=ink, align=align)
        across(painter, room.bottom(), room.left(), room.right())
        if current and option.state & QStyle.StateFlag.State_HasFocus:
            frame(painter, room, tokens().focus, 3.0)
        painter.restore()


class JobLines(QListView):
    """The list; the field above may keep the keyboard."""

    chosen = Signal(object)  # Line

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._model = _Model(self)
        self.setModel(self._model)
        self.setItemDelegate(_Cell(self))
        self.setUniformItemSizes(True)
        self.setResizeMode(QListView.ResizeMode.Adjust)  # rows may have two lines in another width
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.setAccessibleName("Zones of old jobs")
        self._bar = ThinBar(self)
        self.doubleClicked.connect(lambda _index: self._choose())

    @property
    def shown(self) -> tuple[Line, ...]:
        """The lines that are listed."""
        return self._model.lines

    @property
    def current(self) -> Line | None:
        """The line that Enter opens."""
        index = self.currentIndex()
        return self._model.lines[index.row()] if index.isValid() else None

    def show_lines(self, lines: tuple[Line, ...]) -> None:
        """List other lines, the first of them as the current one."""
        self._model.show_lines(lines)
        self.setCurrentIndex(self._model.index(0, 0))

    def step(self, by: int) -> None:
        """Go to the next line or the one before."""
        row = min(max(self.currentIndex().row() + by, 0), len(self.shown) - 1)
        self.setCurrentIndex(self._model.index(row, 0))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter opens."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._choose()
        elif event.key() == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Frame the list itself where it has the keyboard and no row that could be framed."""
        super().paintEvent(event)
        if self.hasFocus() and not self.shown:
            with painting(self.viewport()) as painter:
                frame(painter, self.viewport().rect().toRectF(), tokens().focus, 3.0)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the bar at the right."""
        super().resizeEvent(event)
        self._bar.lie_over(self.rect())

    def _choose(self) -> None:
        if self.current is not None:
            self.chosen.emit(self.current)
