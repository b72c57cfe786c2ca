"""A table (CSV) as people and spreadsheets write it: read into rows of named cells.

Comma or semicolon, UTF-8 with or without byte order mark, any line end. Row 1 is the heading, as a
spreadsheet numbers rows. A cell between quotes is kept to the letter; spaces before an unquoted cell
are left out. Numbers have a decimal point.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from io import StringIO
from math import isfinite
from typing import Final, TypeVar

from leakmap.base.errors import BadValue, UnusableTable
from leakmap.base.findings import Effect, Finding

SUPERSEDED: Final = "superseded"
"""The column by which copies of old tables say that they are old."""

_NUMBER: Final = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")
_DECIMAL_COMMA: Final = re.compile(r"[+-]?[0-9]*,[0-9]+")
_LONGEST_CELL: Final = 2**31 - 1
_YES_NO: Final = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
Word = TypeVar("Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class Cells:
    """The cells of one row, read by column; a missing column and an empty cell mean the default.

    Attributes:
        row: Row in the file; the heading is row 1.
        table: Name of the file.
        cells: Column to cell, as written.
    """

    row: int
    table: str
    cells: Mapping[str, str]

    @property
    def where(self) -> str:
        """The row as people name it: "row 7 of leaks.csv"."""
        return f"row {self.row} of {self.table}"

    def text(self, column: str) -> str:
        """The cell as written; empty when there is none."""
        return self.cells.get(column, "")

    def named(self, column: str) -> str:
        """The cell as written.

        Raises:
            BadValue: It is empty.
        """
        if not self.text(column).strip():
            raise BadValue(f"{column} is empty.")
        return self.text(column)

    def exact(self, column: str) -> Decimal | None:
        """The number in the cell, exactly as written; None when it is empty.

        Raises:
            BadValue: It is no plain finite number with a decimal point.
        """
        cell = self.text(column).strip()
        if not cell:
            return None
        if _DECIMAL_COMMA.fullmatch(cell):
            raise BadValue(f'{column} is "{cell}", with a decimal comma; write {cell.replace(",", ".")}.')
        if not _NUMBER.fullmatch(cell) or not isfinite(float(cell)):
            raise BadValue(f'{column} is "{cell}", which is not a number.')
        return Decimal(cell)

    def number(self, column: str) -> float | None:
        """The number in the cell; None when it is empty.

        Raises:
            BadValue: It is no plain finite number with a decimal point.
        """
        value = self.exact(column)
        return None if value is None else float(value)

    def word(self, column: str, words: type[Word]) -> Word | None:
        """The word of a closed list in the cell, in any case; None when it is empty.

        Raises:
            BadValue: The list has no such word.
        """
        cell = self.text(column).strip().lower()
        if not cell:
            return None
        try:
            return words(cell)
        except ValueError:
            raise BadValue(f'{column} is "{cell}"; it must be one of: {", ".join(words)}.') from None

    def yes(self, column: str) -> bool:
        """Whether the cell says yes; an empty one says no.

        Raises:
            BadValue: It says neither yes nor no.
        """
        cell = self.text(column).strip().lower()
        if cell and cell not in _YES_NO:
            raise BadValue(f'{column} is "{cell}"; write yes or no.')
        return _YES_NO.get(cell, False)

    def day(self, column: str) -> date | None:
        """The day in the cell, such as 2026-11-25; None when it is empty.

        Raises:
            BadValue: It is no such day.
        """
        cell = self.text(column).strip()
        try:
            return date.fromisoformat(cell) if cell else None
        except ValueError:
            raise BadValue(f'{column} is "{cell}"; write the day as 2026-11-25.') from None


@dataclass(frozen=True, slots=True)
class Table:
    """A table as read: its rows, and what was noticed while cutting it into cells."""

    name: str
    rows: tuple[Cells, ...]
    findings: tuple[Finding, ...] = ()


def read_table(content: bytes, name: str, *, columns: Sequence[str], needed: Sequence[Sequence[str]]) -> Table:
    """Cut a table into rows of cells.

    Args:
        content: The file.
        name: Its name, for what is said of it.
        columns: Columns that have a meaning; others are a finding.
        needed: Choices of columns, of which one must be there whole.

    Raises:
        UnusableTable: It is no table, or it lacks a column that must be there.
    """
    records = _records(_decoded(content, name), name)
    if not records or not any(cell.strip() for cell in records[0]):
        raise UnusableTable(f"{name} has no heading; its first row must name the columns: {', '.join(columns)}.")
    heading = [cell.strip().lower() for cell in records[0]]
    _check_heading(heading, name, needed)
    unknown = [column for column in heading if column and column not in (*columns, SUPERSEDED)]
    findings = [_unknown_column(column, name) for column in unknown]
    rows = []
    for number, record in enumerate(records[1:], start=2):
        if not any(cell.strip() for cell in record):
            continue
        if any(cell.strip() for cell in record[len(heading) :]):
            findings.append(_too_long(number, name, len(record), len(heading)))
        else:
            rows.append(Cells(number, name, dict(zip(heading, record, strict=False))))
    if SUPERSEDED in heading:
        findings.append(_superseded(name, rows))
    return Table(name, tuple(rows), tuple(findings))


def left_out(cells: Cells, problem: BadValue) -> Finding:
    """The finding that a row could not be kept, and why."""
    words = f"{cells.where}: {problem}"
    return Finding("row-left-out", cells.where, f"{words[0].upper()}{words[1:]} The row is left out.", Effect.LOST)


def _decoded(content: bytes, name: str) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise UnusableTable(f"{name} is not text in UTF-8; save it as CSV in UTF-8 and try again.")
    return text


def _records(text: str, name: str) -> list[list[str]]:
    first = text.lstrip().partition("\n")[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    csv.field_size_limit(_LONGEST_CELL)
    try:
        return list(csv.reader(StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True, strict=True))
    except csv.Error as problem:
        raise UnusableTable(f"{name} is not a table that can be read: {problem}.") from None


def _check_heading(heading: Sequence[str], name: str, needed: Sequence[Sequence[str]]) -> None:
    twice = sorted({column for column in heading if column and heading.count(column) > 1})
    if twice:
        raise UnusableTable(f"{name} has two columns called {twice[0]}; leave one of them out.")
    if any(set(choice) <= set(heading) for choice in needed):
        return
    lacking = [", ".join(column for column in choice if column not in heading) for choice in needed]
    raise UnusableTable(f"{name} lacks columns that it must have: {' (or: '.join(lacking)}{')' * (len(lacking) - 1)}.")


def _unknown_column(column: str, name: str) -> Finding:
    text = f'{name} has a column "{column}", which means nothing here; it is left out.'
    return Finding("unknown-column", name, text, Effect.LOST)


def _superseded(name: str, rows: Sequence[Cells]) -> Finding:
    """The finding that a table comes from papers of an old revision."""
    said = next((text for row in rows if (text := row.text(SUPERSEDED).strip())), "a later revision took its place")
    return Finding("superseded", name, f"{name} comes from an old revision: {said}.", Effect.LOOK)


def _too_long(row: int, name: str, cells: int, columns: int) -> Finding:
    text = (
        f"Row {row} of {name}: it has {cells} cells under {columns} columns; "
        "a decimal comma or an unquoted comma may be why. The row is left out."
    )
    return Finding("row-left-out", f"row {row} of {name}", text, Effect.LOST)
