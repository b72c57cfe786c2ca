"""The ledger's rows as Qt's tables want them: lines, sums, headings and notes, one below the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import Enum, auto
from typing import Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from leakmap.base.measures import Units
from leakmap.desk.ledger.columns import Column
from leakmap.desk.things import Sort, Thing
from leakmap.work.aloud import aloud
from leakmap.work.check_list import Where
from leakmap.work.ledger_cells import cell_of
from leakmap.work.ledger_copied import copied
from leakmap.work.ledger_lines import Line, Table
from leakmap.work.ledger_notes import Note, Section
from leakmap.work.ledger_order import in_order_of

Index = QModelIndex | QPersistentModelIndex
Align = Qt.AlignmentFlag
ENTRY: Final = Qt.ItemDataRole.UserRole
_MOST_LINED: Final = 40_000
"""So many rows of lines are kept; more only while they are shown."""

_NOWHERE: Final = QModelIndex()


class Part(Enum):
    """What a row of the ledger is."""

    LINE = auto()
    SUM = auto()
    TOTAL = auto()
    HEADING = auto()
    NOTE = auto()


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the ledger: what it is, and its line, note or heading.

    Attributes:
        first: Whether a strong rule stands above it: it opens the sums.
        thing: What it stands for.
    """

    part: Part
    line: Line = Line()
    note: Note = Note(words="")
    first: bool = False
    thing: Thing | None = field(init=False, compare=False)

    def __post_init__(self) -> None:
        """Find what it stands for."""
        object.__setattr__(self, "thing", thing_of(self.note.where if self.part is Part.NOTE else self.line.where))

    @property
    def wide(self) -> bool:
        """Whether it goes across all columns."""
        return self.part in (Part.HEADING, Part.NOTE)


def thing_of(where: Where | None) -> Thing | None:
    """What the desk calls a place to look at."""
    return None if where is None else Thing(Sort(where.sort), where.key)


def _entries_of(
    table: Table, sections: Sequence[Section], above: Sequence[Section], entry_of: Callable[[Line], Entry]
) -> tuple[Entry, ...]:
    """Sections above, rows of a table, its sums, and the sections below."""
    found = [*_noted(above), *map(entry_of, table.lines)]
    for at, line in enumerate(table.sums):
        found.append(Entry(Part.TOTAL if at == len(table.sums) - 1 else Part.SUM, line, first=at == 0))
    return (*found, *_noted(sections))


def _noted(sections: Sequence[Section]) -> Iterator[Entry]:
    """Headings and notes of some sections."""
    for section in sections:
        if section.heading:
            yield Entry(Part.HEADING, note=Note(words=section.heading))
        yield from (Entry(Part.NOTE, note=note) for note in section.notes)


def _copied(column: Column, line: Line) -> str:
    """A cell as it is copied: figures with all their decimals and those and days as machines write them."""
    value = line.values.get(column.name)
    plain = replace(column, units=Units(column.units.system))
    return value.isoformat() if isinstance(value, date) else plain.cell(value, closely=True)


class LedgerModel(QAbstractTableModel):
    """Rows of the ledger; sorted by a column where the user asked for it."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.columns: tuple[Column, ...] = ()
        self.entries: tuple[Entry, ...] = ()
        self.compact = False
        self.picked: frozenset[Thing | None] = frozenset()  # what is heard as picked
        self.current = (-1, -1)  # row and column with the keyboard
        self.along = False  # whether it came there along its row: then the cell is heard alone
        self.has_room: Callable[[int, str], bool] = lambda _section, _words: True  # whether words fit into a column
        self.order: tuple[str, bool] | None = None  # column, falling; None: as the rows come
        self._rows: dict[Thing, int] | None = None
        self._lined: dict[int, Entry] = {}
        self._given: tuple[Table, tuple[Section, ...], tuple[Section, ...]] = (Table(lines=()), (), ())

    def show(
        self,
        columns: tuple[Column, ...],
        table: Table,
        sections: Sequence[Section],
        *,
        compact: bool,
        above: Sequence[Section] = (),
    ) -> bool:
        """Show other rows; whether their shape changed, so that the view starts afresh."""
        self._given = (table, tuple(sections), tuple(above))
        self.compact = compact
        return self._put(columns, self._entries(columns))

    def sort_by(self, column: str) -> None:
        """Sort by a column: rising, falling, then as the rows come."""
        if self.order == (column, False):
            self.order = (column, True)
        elif self.order == (column, True):
            self.order = None
        else:
            self.order = (column, False)
        self._put(self.columns, self._entries(self.columns))
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(self.columns) - 1)

    def sense_of(self, column: Column) -> int:
        """1 where rows rise by a column, -1 where they fall, 0 where they are not sorted by it."""
        if self.order is None or self.order[0] != column.name:
            return 0
        return -1 if self.order[1] else 1

    def _entries(self, columns: Sequence[Column]) -> tuple[Entry, ...]:
        table, sections, above = self._given
        if self.order is not None and any(map(self.sense_of, columns)):
            table = Table(lines=in_order_of(table.lines, self.order[0], falling=self.order[1]), sums=table.sums)
        return _entries_of(table, sections, above, self.entry_of)

    def entry_of(self, line: Line) -> Entry:
        """The row of a line: the very same while the line is, in whichever stage it was shown."""
        held = self._lined.get(id(line))
        if held is None:
            held = self._lined[id(line)] = Entry(Part.LINE, line)
        return held

    def _put(self, columns: tuple[Column, ...], entries: tuple[Entry, ...]) -> bool:
        if len(self._lined) > _MOST_LINED:
            self._lined = {id(entry.line): entry for entry in entries if entry.part is Part.LINE}
        alike = columns == self.columns and [e.part for e in entries] == [e.part for e in self.entries]
        if alike:
            pairs = enumerate(zip(self.entries, entries, strict=True))
            changed = [row for row, (old, new) in pairs if old is not new and old != new]
            self.entries, self._rows = entries, None
            if changed:
                self.dataChanged.emit(self.index(changed[0], 0), self.index(changed[-1], len(columns) - 1))
            return False
        self.beginResetModel()
        self.columns, self.entries, self._rows = columns, entries, None
        self.endResetModel()
        return True

    def rows_of(self, things: Sequence[Thing]) -> list[int]:
        """Rows that stand for some things: their lines, or where there is no line their notes."""
        if not things:
            return []
        if self._rows is None:
            last_first = reversed(list(enumerate(self.entries)))
            self._rows = {entry.thing: row for row, entry in last_first if entry.thing is not None}
        return sorted(self._rows[thing] for thing in dict.fromkeys(things) if thing in self._rows)

    def text_of(self, rows: Sequence[int]) -> str:
        """Rows with their headings as tab-separated text; all rows where none is given."""
        entries = [self.entries[row] for row in rows] if rows else self.entries
        lines = [entry.line for entry in entries if not entry.wide]
        cells = ([_copied(column, line) for column in self.columns] for line in lines)
        return copied([column.title for column in self.columns], cells) if lines else ""

    def rowCount(self, parent: Index = _NOWHERE) -> int:  # noqa: N802 - Qt's name
        """Number of rows."""
        return 0 if parent.isValid() else len(self.entries)

    def columnCount(self, parent: Index = _NOWHERE) -> int:  # noqa: N802 - Qt's name
        """Number of columns."""
        return 0 if parent.isValid() else len(self.columns)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:  # noqa: N802 - Qt's name
        """Headings."""
        if orientation is not Qt.Orientation.Horizontal or section >= len(self.columns):
            return None
        column = self.columns[section]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.words(compact=self.compact)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return column.heard_heading + {0: "", 1: ", rising", -1: ", falling"}[self.sense_of(column)]
        return column if role == ENTRY else None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """A cell: its words, its tip, what a screen reader says, or the whole entry."""
        entry = self.entries[index.row()]
        if role == ENTRY:
            return entry
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            return self._words(entry, index.column(), closely=role == Qt.ItemDataRole.EditRole)
        if role == Qt.ItemDataRole.ToolTipRole:
            return self._tip(entry, index.column()) or None
        return self.heard(index.row(), index.column()) if role == Qt.ItemDataRole.AccessibleTextRole else None

    def _words(self, entry: Entry, section: int, *, closely: bool) -> str:
        """What a cell says."""
        if entry.wide:
            return entry.note.words
        column = self.columns[section]
        return column.cell(entry.line.values.get(column.name), closely=closely)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Rows that stand for something can be picked."""
        entry = self.entries[index.row()]
        plain = not (entry.note.layer or entry.note.each_way)
        if entry.thing is None and plain and entry.note.paper is None and not entry.line.draft:
            return Qt.ItemFlag.ItemIsEnabled
        found = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if entry.part is Part.LINE and cell_of(entry.line, self.columns[index.column()].name):
            found |= Qt.ItemFlag.ItemIsEditable
        return found

    def _tip(self, entry: Entry, section: int) -> str:
        """What has no room in the cell, and what is to be said of its row."""
        words = "" if entry.wide else self._words(entry, section, closely=False)
        cut = f"{words}." if words and not self.has_room(section, words) else ""
        hand = f"Set by hand: {entry.line.by_hand}." if entry.line.by_hand else ""
        return " ".join(part for part in (cut, entry.line.tip, hand) if part)

    def heard(self, row: int, section: int) -> str:
        """What a screen reader says of a cell: of the first, and of the one with the keyboard, all of its row.

        Along a row each cell is said with its heading instead, so that the row is not said over and over.
        """
        entry, column = self.entries[row], self.columns[section]
        here = (row, section) == self.current
        if (here and not self.along) or (section == 0 and not here):
            return self._said(entry)
        if entry.wide:
            return self._said(entry) if here else ""
        value = column.heard(entry.line.values.get(column.name)) or "none"
        return f"{column.heard_heading}, {value}" if here else value

    def _said(self, entry: Entry) -> str:
        if entry.wide:
            return aloud(", ".join(part for part in (entry.note.words, entry.note.more) if part))
        cells = (column.heard(entry.line.values.get(column.name)) for column in self.columns)
        by_hand = f"set by hand: {entry.line.by_hand}" if entry.line.by_hand else ""
        return ", ".join(part for part in (*cells, by_hand, "picked" if entry.thing in self.picked else "") if part)
