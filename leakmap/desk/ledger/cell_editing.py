"""Editing cells of the ledger in place: what was typed becomes a deed, or stays with one sentence that says why not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QItemSelectionModel, QObject, Qt, Signal

from leakmap.base.counted import many
from leakmap.base.errors import LeakmapError
from leakmap.base.trade_words import in_trade_words
from leakmap.desk.ledger.cell_field import Below, CellField
from leakmap.desk.ledger.models import Entry, LedgerModel, Part
from leakmap.desk.pens import LEFT, RIGHT
from leakmap.desk.state import Desk
from leakmap.model.revision import Begun
from leakmap.work.check_list import Where
from leakmap.work.ledger_cells import Cell, begun_as_typed, cell_of, choices_shown, edit_of
from leakmap.work.ledger_lines import Line

if TYPE_CHECKING:
    from leakmap.desk.ledger.table import LedgerTable

_STILL = QItemSelectionModel.SelectionFlag.NoUpdate


@dataclass(frozen=True, slots=True)
class _Open:
    """The cell that is typed in.

    Attributes:
        line: Its row as it was.
        column: Name of its column.
        rows: The things that it is set on.
        words: What stood in it.
    """

    line: Line
    column: str
    cell: Cell
    rows: tuple[Where, ...]
    words: str
    field: CellField
    below: Below


class CellEditing(QObject):
    """The one cell that is typed in, if any.

    A refused deed leaves the field open with what was typed in it, wherever the keyboard is.
    """

    draft_edited = Signal()  # the revision that is being made has other words

    def __init__(self, desk: Desk, table: LedgerTable, model: LedgerModel) -> None:
        super().__init__(table)
        self._desk, self._table, self._rows = desk, table, model
        self._open: _Open | None = None
        table.verticalScrollBar().valueChanged.connect(self.place)
        desk.opened.connect(self.give_up)
        desk.stage_changed.connect(self.give_up)

    @property
    def field(self) -> CellField | None:
        """The field of the cell that is typed in; None: none is."""
        return None if self._open is None else self._open.field

    @property
    def below(self) -> Below | None:
        """What stands below it."""
        return None if self._open is None else self._open.below

    def open(self, row: int, section: int) -> bool:
        """Type in a cell; whether it can be typed in."""
        job = self._desk.open_job.job if self._desk.open_job is not None else None
        if job is None or (self._open is not None and not self.take()):
            return False
        entry, column = self._rows.entries[row], self._rows.columns[section]
        cell = cell_of(entry.line, column.name) if entry.part is Part.LINE else None
        if cell is None or not self._desk.may_change():
            return False
        index = self._rows.index(row, section)
        self._table.selectionModel().setCurrentIndex(index, _STILL)
        self._table.scrollTo(index)
        rows = self._rows_of(entry, column.name, cell)
        of = many(len(rows), rows[0].sort) if len(rows) > 1 else str(self._rows.index(row, 0).data())
        words = str(index.data(Qt.ItemDataRole.EditRole) or "")
        viewport = self._table.viewport()
        name, choices = f"{column.heard_heading} of {of}", choices_shown(job, cell)
        field = CellField(name, words, choices, viewport, figure=cell.figure)
        field.setTextMargins(4, 0, 4, 0)
        field.setAlignment(RIGHT if column.right else LEFT)
        below = Below(field, viewport)
        self._open = _Open(entry.line, column.name, cell, rows, words, field, below)
        self._hint()
        self._listen(field, below)
        self.place()
        field.show()
        below.show()
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def take(self) -> bool:
        """Do what stands in the field, and close it; False where that is refused, which stands below it then."""
        open_ = self._open
        if open_ is None:
            return True
        words = open_.field.text()
        if words == open_.words and len(open_.rows) <= 1:
            self.give_up()
            return True
        try:
            done = self._meant(open_, words)
        except LeakmapError as problem:
            open_.below.say(problem.message, wrong=True)
            self.place()
            return False
        self.give_up()
        return done is None or self._desk.attempt(done)

    def give_up(self) -> None:
        """Close the field; the cell stays as it was."""
        open_, self._open = self._open, None
        if open_ is None:
            return
        here = open_.field.hasFocus()
        for part in (open_.field, open_.below):
            part.hide()
            part.deleteLater()
        if here:
            self._table.setFocus(Qt.FocusReason.OtherFocusReason)

    def place(self) -> None:
        """Lay the field over its cell, wherever that is now; where its row is gone, it is given up."""
        if self._open is None:
            return
        at = self._place_of(self._open.line, self._open.column)
        if at is None:
            self.give_up()
            return
        room = self._table.beside_bar
        cell = self._table.visualRect(self._rows.index(*at))
        cell.setRight(min(cell.right(), room.right()))
        self._open.field.setFixedHeight(cell.height())
        self._open.field.setGeometry(cell)
        self._open.below.place(cell, room)
        self._open.field.raise_()
        self._open.below.raise_()

    def _listen(self, field: CellField, below: Below) -> None:
        field.taken.connect(self._taken)
        field.given_up.connect(self.give_up)
        field.left.connect(self.take)
        field.textEdited.connect(lambda _: self._hint())
        below.chosen.connect(self._choose)

    def _hint(self) -> None:
        """Say below the field what it takes, and on how much it is set."""
        if self._open is None:
            return
        takes, rows = in_trade_words(self._desk.units, self._open.cell.takes), self._open.rows
        all_of = f"; sets {self._open.cell.together} of all {len(rows)} picked" if len(rows) > 1 else ""
        was_wrong = self._open.below.wrong
        self._open.below.say(f"{takes[:1].upper()}{takes[1:]}{all_of}.")
        if was_wrong:
            self.place()

    def _choose(self, key: str) -> None:
        if self._open is not None:
            self._open.field.setText(self._open.field.choices[key])
            self._taken(0)

    def _taken(self, way: int) -> None:
        """Take what stands there; Tab goes on to the next cell that can be typed in."""
        open_ = self._open
        if open_ is not None and self.take() and way:
            self._go_on(open_, way)

    def _go_on(self, from_: _Open, way: int) -> None:
        at = self._place_of(from_.line, from_.column)
        if at is None:
            return
        for row, section in self._cells_from(*at, way):
            if self._rows.flags(self._rows.index(row, section)) & Qt.ItemFlag.ItemIsEditable:
                self._table.selectRow(row)
                self.open(row, section)
                return

    def _cells_from(self, row: int, section: int, way: int) -> Iterator[tuple[int, int]]:
        """Cells after one, or before it, as they are read."""
        count = len(self._rows.columns)
        at = row * count + section + way
        while 0 <= at < count * len(self._rows.entries):
            yield divmod(at, count)
            at += way

    def _meant(self, open_: _Open, words: str) -> Callable[[], object] | None:
        """What does what the words mean; None where they change nothing."""
        desk = self._desk
        assert desk.open_job is not None
        if open_.line.draft:
            assert desk.begun is not None
            begun = begun_as_typed(desk.begun, open_.column, words)
            return lambda: self._begin(begun)
        edit = edit_of(desk.open_job.job, desk.open_job.repairs, open_.rows, open_.column, words)
        return (lambda: desk.do(edit)) if edit.changed else None

    def _begin(self, begun: Begun) -> None:
        self._desk.begin_revision(begun.purpose, to_whom=begun.to_whom)
        self.draft_edited.emit()

    def _rows_of(self, entry: Entry, column: str, cell: Cell) -> tuple[Where, ...]:
        """What a cell is set on: its own thing, or where it is picked with others all of them."""
        own = entry.line.where
        if own is None:
            return ()
        chosen = sorted(index.row() for index in self._table.selectionModel().selectedRows())
        lines = [self._rows.entries[row].line for row in chosen if self._rows.entries[row].part is Part.LINE]
        found = [line.where for line in lines if line.where is not None and cell_of(line, column) is cell]
        return tuple(found) if cell.together and own in found else (own,)

    def _place_of(self, line: Line, column: str) -> tuple[int, int] | None:
        """Row and column of a cell now."""
        sections = [section for section, each in enumerate(self._rows.columns) if each.name == column]
        rows = (
            row
            for row, entry in enumerate(self._rows.entries)
            if entry.part is Part.LINE and (entry.line.draft if line.draft else entry.line.where == line.where)
        )
        row = next(rows, None)
        return None if row is None or not sections else (row, sections[0])
