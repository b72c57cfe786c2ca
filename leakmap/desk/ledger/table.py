"""The ledger's table: hovering, picking, sorting, copying, removing; it tells the desk and follows it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import (
    QEvent,
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QRect,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QGuiApplication,
    QInputDevice,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPalette,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QFrame, QTableView, QWidget

from leakmap.desk.faces import text
from leakmap.desk.keyboard import framed
from leakmap.desk.larger import grown, larger
from leakmap.desk.ledger.answers import show_level_of
from leakmap.desk.ledger.cell_editing import CellEditing
from leakmap.desk.ledger.columns import Column, widths_of
from leakmap.desk.ledger.header import HeaderRow
from leakmap.desk.ledger.models import Entry, LedgerModel, Part
from leakmap.desk.ledger.removing import remove_picked
from leakmap.desk.ledger.row_look import RowLook, around, height_of
from leakmap.desk.ledger.thin_bar import ThinBar
from leakmap.desk.pens import width_of
from leakmap.desk.roles import tell_focus
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tokens import BODY_TYPE, WIDE, Sizes

_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F2)
_ENDS: Final = (Qt.Key.Key_Home, Qt.Key.Key_End)
_ROWS: Final = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
_OPEN: Final = 110
"""Least width of the open column before letters grow."""


def _by_finger(event: QMouseEvent) -> bool:
    """Whether a touch screen sends what looks like a mouse."""
    return event.pointingDevice().type() is QInputDevice.DeviceType.TouchScreen


class LedgerTable(QTableView):
    """Rows of the ledger, in step with the plan through the desk.

    Attributes:
        editing: The cell that is typed in.
    """

    acted = Signal(object)  # Entry: a note was clicked that does something
    sorted_by = Signal()
    told = Signal(str)  # what a row says now, after what it offers was done

    def __init__(self, desk: Desk, model: LedgerModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._rows = desk, model
        self._sizes: Sizes = WIDE
        self._following = False
        self._by_key = False
        self._coming = False  # whether the keyboard is just coming, and the first row becomes the current one
        self._close: Entry | None = None
        self._touched: tuple[Entry, int] | None = None  # a note under a finger, and how far the rows had slid
        self._high: set[int] = set()  # rows that ever had a height of their own
        self._bar = ThinBar(self)
        self.setModel(model)
        model.has_room = self._has_room
        self.setItemDelegate(RowLook(self, self))
        self.setHorizontalHeader(HeaderRow(model, self))
        self._dress()
        self.editing = CellEditing(desk, self, model)
        self.horizontalHeader().sectionClicked.connect(self._sort)
        self.selectionModel().selectionChanged.connect(self._picked_here)
        self.take_sizes(WIDE)

    def _dress(self) -> None:
        """Take everything away that the design does not have."""
        self.setAccessibleName("Ledger")
        self.setAccessibleDescription("arrows pick a row, Enter edits it or does what it says, Ctrl C copies")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setMinimumSectionSize(10)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        self.setMouseTracking(True)
        self.viewport().setMouseTracking(True)
        palette = QPalette()  # what is not said in it is the application's
        palette.setColor(QPalette.ColorRole.Highlight, QColor(Qt.GlobalColor.transparent))  # the marker is painted
        self.setPalette(palette)

    # What the look of the rows asks -------------------------------------------------------------

    def marker(self, entry: Entry) -> float:
        """How strong the marker lies under a row: what is pointed at stands out from what is picked; 0 for none.

        In stage Drawing the level on the plan counts as picked.
        """
        thing = entry.thing
        if thing is None:
            return 0.0
        if thing == self._desk.pointed:
            return tokens().row_pointed_alpha
        return tokens().row_alpha if self.is_picked(entry) else 0.0

    def is_picked(self, entry: Entry) -> bool:
        """Whether what a row stands for is picked, by the name that the rows give it, or in stage Drawing on the plan."""
        return entry.thing is not None and (entry.thing in self._rows.picked or self._on_plan(entry))

    def _on_plan(self, entry: Entry) -> bool:
        levels = self._desk.stage is Stage.DRAWING and entry.part is Part.LINE
        return levels and entry.thing == Thing(Sort.SHEET, self._desk.level or 0)

    def shown_closely(self, entry: Entry) -> bool:
        """Whether a row's figures show the third decimal: those of what is pointed at, and of sums pointed at here."""
        if entry is self._close:
            return True
        return entry.thing is not None and entry.thing == self._desk.pointed

    def focus_row(self) -> int:
        """The row with the keyboard, where keys brought it here."""
        return self.currentIndex().row() if self._by_key and self.hasFocus() else -1

    def focus_section(self) -> int:
        """The column of the cell that Enter would edit; -1 for none."""
        index = self.currentIndex()
        return index.column() if self._rows.flags(index) & Qt.ItemFlag.ItemIsEditable else -1

    def column_at(self, section: int) -> Column:
        """A column."""
        return self._rows.columns[section]

    def _has_room(self, section: int, words: str) -> bool:
        """Whether words fit into a column, behind the sign that stands there."""
        column = self._rows.columns[section]
        return width_of(words, text(BODY_TYPE)) <= self.columnWidth(section) - around(
            column, section, self.is_last(section)
        )

    def is_last(self, section: int) -> bool:
        """Whether a column is the last."""
        return section == len(self._rows.columns) - 1

    # Shape --------------------------------------------------------------------------------------

    @property
    def beside_bar(self) -> QRect:
        """The room of the rows that the scroll bar does not lie over."""
        room = self.viewport().rect()
        return room.adjusted(0, 0, -self._bar.width(), 0) if not self._bar.isHidden() else room

    def take_sizes(self, sizes: Sizes) -> None:
        """Take the sizes of another layout."""
        self._sizes = sizes
        self.horizontalHeader().setFixedHeight(sizes.row_head)
        self.shape()

    def shape(self) -> None:
        """Set widths, heights, and rows that go across; after other rows, or another width."""
        width = self.viewport().width()
        self._set_widths(width)
        self.verticalHeader().setDefaultSectionSize(self._sizes.row)
        self.clearSpans()
        wide = len(self._rows.columns) > 1
        for row, entry in enumerate(self._rows.entries):
            if entry.wide:
                if wide:
                    self.setSpan(row, 0, 1, len(self._rows.columns))
                self.setRowHeight(row, height_of(entry, self._sizes.row, width))
                self._high.add(row)
            elif row in self._high:
                self.setRowHeight(row, self._sizes.row)
        self.editing.place()

    def _set_widths(self, width: int) -> None:
        """Fill the width; larger letters keep what their columns need, and the table scrolls aside."""
        columns, share = self._rows.columns, larger().share
        needed = grown(sum(column.px for column in columns) + _OPEN) if larger().large else 0
        for section, px in enumerate(widths_of(columns, round(max(width, needed) / share))):
            self.setColumnWidth(section, grown(px))
        policies = Qt.ScrollBarPolicy
        policy = policies.ScrollBarAsNeeded if needed > width else policies.ScrollBarAlwaysOff
        if policy is not self.horizontalScrollBarPolicy():
            self.setHorizontalScrollBarPolicy(policy)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Fill the new width."""
        super().resizeEvent(event)
        self._bar.lie_over(self.viewport().geometry())
        if event.size().width() != event.oldSize().width():
            self.shape()

    # In step with the desk ----------------------------------------------------------------------

    def follow(self) -> None:
        """Select the rows of what is picked, and bring the last of them into view."""
        rows = self.keep()
        if rows:
            self.scrollTo(self._rows.index(rows[-1], 0))

    def keep(self) -> list[int]:
        """Select the rows of what is picked, wherever they are now."""
        marked = self._desk.marked
        self._rows.picked = frozenset(marked)
        rows = self._rows.rows_of(marked)
        chosen = QItemSelection()
        last = max(len(self._rows.columns) - 1, 0)
        for row in rows:
            chosen.select(self._rows.index(row, 0), self._rows.index(row, last))
        self._following = True
        self.selectionModel().select(chosen, _ROWS)
        if rows and not self.hasFocus():
            current = self._rows.index(rows[-1], max(self.currentIndex().column(), 0))
            self.selectionModel().setCurrentIndex(current, QItemSelectionModel.SelectionFlag.NoUpdate)
        self._following = False
        self.viewport().update()
        return rows

    def _picked_here(self) -> None:
        """Tell the desk what the hand picked here."""
        if self._following:
            return
        entries = [self._rows.entries[index.row()] for index in self.selectionModel().selectedRows()]
        things = [entry.thing for entry in entries]
        self._desk.pick(*dict.fromkeys(thing for thing in things if thing is not None))
        if entries:
            self._show_level(entries[-1])

    def _show_level(self, entry: Entry) -> None:
        """Put the level of a row on the plan."""
        if entry.thing is not None:
            show_level_of(self._desk, entry.thing)

    def _sort(self, section: int) -> None:
        self._rows.sort_by(self._rows.columns[section].name)
        self.follow()
        self.horizontalHeader().viewport().update()
        self.sorted_by.emit()

    # What the hand does -------------------------------------------------------------------------

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Point at the thing of the row under the pointer; a finger slides the rows and picks none on its way."""
        if _by_finger(event):
            return
        super().mouseMoveEvent(event)
        entry = self._entry_at(event.position().toPoint())
        hand = entry is not None and acts(entry)
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if hand else Qt.CursorShape.ArrowCursor)
        self._look_closely(entry)
        self._desk.point_at(entry.thing if entry is not None else None)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Do what a note does that a finger touched."""
        touched, self._touched = self._touched, None
        if touched is not None and touched[1] == self.verticalScrollBar().value():
            self.acted.emit(touched[0])
        else:
            super().mouseReleaseEvent(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Point at nothing."""
        self._look_closely(None)
        self._desk.point_at(None)
        super().leaveEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Pick a row; a note that does something does it, under a finger once that is lifted and has slid nothing."""
        self._by_key = False
        entry = self._entry_at(event.position().toPoint())
        if entry is not None and acts(entry) and event.button() is Qt.MouseButton.LeftButton:
            if _by_finger(event):
                self._touched = entry, self.verticalScrollBar().value()
            else:
                self.acted.emit(entry)  # other rows may lie under the pointer now
            return
        if entry is None:
            self._desk.pick()
        super().mousePressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Bring the thing of a row into view on the plan."""
        entry = self._entry_at(event.position().toPoint())
        if entry is not None and entry.part is Part.NOTE:
            self.mousePressEvent(event)  # two quick clicks are two clicks
        elif entry is not None and entry.thing is not None:
            self._desk.look_at.emit(entry.thing)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Rows answer to their own keys; letters and digits go on to the window."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_rows()
            return
        if event.matches(QKeySequence.StandardKey.SelectAll):
            self.pick_all()
            return
        row = self.currentIndex().row()
        if self._desk.offered is not None and self._answered(event):
            return
        if event.key() in _ENTER and row >= 0:
            if self._rows.entries[row].part is Part.NOTE:
                self.acted.emit(self._rows.entries[row])
            else:
                self.edit_row(row)
            return
        if event.key() == Qt.Key.Key_Delete and remove_picked(self._desk):
            return
        if event.text().strip() or event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            event.ignore()
            return
        self._by_key = True
        if event.key() in _ENDS:
            self._go_to_end(event)
        else:
            super().keyPressEvent(event)

    def _go_to_end(self, event: QKeyEvent) -> None:
        """To the first or last row, not to an end of the row; with Shift every row as far as there."""
        lines = [row for row, entry in enumerate(self._rows.entries) if entry.part is Part.LINE]
        if not lines:
            return
        here = self.currentIndex()
        goal = self._rows.index(lines[0 if event.key() == Qt.Key.Key_Home else -1], max(here.column(), 0))
        far = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier) and here.isValid()
        self.selectionModel().select(QItemSelection(here if far else goal, goal), _ROWS)
        self.selectionModel().setCurrentIndex(goal, QItemSelectionModel.SelectionFlag.NoUpdate)

    def _answered(self, event: QKeyEvent) -> bool:
        """Give a key to the tool whose offer is listed, as the plan does; whether it was used."""
        tool, key, row = self._desk.tool, event.key(), self.currentIndex().row()
        if tool is None or (row >= 0 and self._by_key and self._rows.entries[row].part is Part.NOTE):
            return False
        if key in _ENTER[:2]:
            return tool.entered(both=bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier))
        if key == Qt.Key.Key_Delete:
            return tool.deleted()
        if key == Qt.Key.Key_Backspace:
            return tool.erased()
        return bool(event.text().strip()) and tool.typed(event.text())

    def edit_row(self, row: int) -> None:
        """Edit the current cell of a row in place, or the next one after it that can be edited."""
        first, count = self.currentIndex().column(), len(self._rows.columns)
        for step in range(count):
            index = self._rows.index(row, (first + step) % count)
            if self._rows.flags(index) & Qt.ItemFlag.ItemIsEditable:
                self.editing.open(index.row(), index.column())
                return

    def pick_all(self) -> None:
        """Pick every row above the sums that stands for something."""
        things = (entry.thing for entry in self._rows.entries if entry.part is Part.LINE)
        self._desk.pick(*dict.fromkeys(thing for thing in things if thing is not None))

    def keyboardSearch(self, _search: str) -> None:  # noqa: N802 - Qt's name
        """Letters take actions; they search nothing."""

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show where the keyboard is, when keys brought it."""
        self._by_key = framed(event.reason(), before=self._by_key)
        self._rows.along = False
        if not self.currentIndex().isValid() and self._rows.entries:
            self._coming = True
            self.selectionModel().setCurrentIndex(self._rows.index(0, 0), QItemSelectionModel.SelectionFlag.NoUpdate)
            self._coming = False
        super().focusInEvent(event)
        self.viewport().update()
        QTimer.singleShot(0, self, self._tell_row)

    def tell_changed(self, before: Entry) -> None:
        """Tell what the current row says where that is another thing than a note said before."""
        row = self.currentIndex().row()
        if self.hasFocus() and 0 <= row < len(self._rows.entries):
            now = self._rows.entries[row]
            if now.part is Part.NOTE and now.note != before.note:
                self.told.emit(self._rows.heard(row, self.currentIndex().column()))

    def _tell_row(self) -> None:
        """Tell the current row to who cannot see it: when the keyboard comes, Qt tells of the table alone, or last."""
        here = self.currentIndex()
        if self.hasFocus() and here.isValid():  # cells are counted with both rows of headings
            tell_focus(self, (here.row() + 1) * (self.model().columnCount() + 1) + here.column() + 1)

    def currentChanged(  # noqa: N802 - Qt's name
        self, current: QModelIndex | QPersistentModelIndex, previous: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Paint every cell anew that the frame of the keyboard leaves or comes to: Qt does so with one of each row."""
        self._rows.current = (current.row(), current.column())
        self._rows.along = previous.isValid() and previous.row() == current.row()
        if not self._coming:  # else Qt would tell the row, and then the table once more
            super().currentChanged(current, previous)
        self.viewport().update()

    def copy_rows(self) -> None:
        """Put the picked rows, or all, on the clipboard as tab-separated text with headings."""
        rows = sorted(index.row() for index in self.selectionModel().selectedRows())
        words = self._rows.text_of(rows)
        if words:
            QGuiApplication.clipboard().setText(words)

    def _look_closely(self, entry: Entry | None) -> None:
        if entry is not self._close:
            self._close = entry
            self.viewport().update()

    def thing_at(self, place: QPoint) -> Thing | None:
        """What the row at a place of the viewport stands for; None where there is none."""
        entry = self._entry_at(place) if self.viewport().rect().contains(place) else None
        return None if entry is None else entry.thing

    def _entry_at(self, place: QPoint) -> Entry | None:
        row = self.rowAt(place.y())
        return self._rows.entries[row] if 0 <= row < len(self._rows.entries) else None


def acts(entry: Entry) -> bool:
    """Whether a click on a row does something besides picking it."""
    note = entry.note
    leads = note.shows and note.where is not None
    return entry.part is Part.NOTE and (bool(note.layer) or note.each_way or note.paper is not None or leads)
