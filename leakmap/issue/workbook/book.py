"""A workbook as it is written: tables of texts, figures, days and live formulas, laid out for a screen and for paper.

What a person typed is written as text and stays text: it is never taken for a formula, a number or a link, and what no
workbook can hold (control characters, halves of characters, more than 32,767 of them) is left out.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from io import BytesIO
from textwrap import wrap
from typing import Any, Final

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.utility import quote_sheetname, xl_range_abs, xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from leakmap.issue.heading import Heading

LONGEST_TEXT: Final = 32_767
"""Most characters of a cell (a limit of the file format, from memory)."""

DAY_FORMAT: Final = "dd mmm yyyy"
_NOT_IN_XML: Final = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_LIKE_A_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
_LONGEST_HEADER: Final = 120
_A4, _A3, _LETTER, _TABLOID = 9, 8, 1, 3
PAPERS: Final = {"A4": _A4, "A3": _A3, "Letter": _LETTER, "Tabloid": _TABLOID}
"""Papers of an office by the number that the file format gives them (from memory)."""

_NARROWEST, _WIDEST, _FIGURE_WIDTH = 7, 34, 9
_LINE_HEIGHT, _HIGHEST = 15, 409  # points; no row is higher (a limit of the file format, from memory)
_HEADING_HEIGHT: Final = 46  # three lines, points
_HEADING_FILL: Final = "#E6EBEF"


def harmless(words: str) -> str:
    r"""Words that a cell can hold.

    >>> harmless("a\x00b\nc")
    'a b\nc'
    """
    clean = _NOT_IN_XML.sub(" ", words.replace("\r\n", "\n"))
    return clean if len(clean) <= LONGEST_TEXT else f"{clean[: LONGEST_TEXT - 1]}…"


@dataclass(frozen=True, slots=True)
class Formula:
    """A live formula and its value, which stands there until it is reckoned again.

    Attributes:
        text: Without the sign of equality.
    """

    text: str
    value: float | str


Cell = str | float | int | date | Formula | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Attributes:
        words: Its heading.
        form: Number format of its figures; empty for words.
        wrapped: Whether long words go on in a second line.
        right: Whether its words stand at the right, as figures do.
    """

    words: str
    form: str = ""
    wrapped: bool = False
    right: bool = False


@dataclass(slots=True)
class Table:
    """A table on a sheet of its own: headings in row 1, rows below.

    Attributes:
        sheet: The sheet.
        columns: Its columns.
        rows: Rows written so far, the heading apart.
        widths: Letters that each column needs.
        wrapped: Words that may go on in further lines, with their row and column.
    """

    book: Book
    sheet: Worksheet
    columns: Sequence[Column]
    rows: int = 0
    widths: list[int] = field(default_factory=list)
    wrapped: list[tuple[int, int, str]] = field(default_factory=list)

    def row(self, *cells: Cell) -> int:
        """Write a row; gives its number in the file, the first of all being 1. A whole number (int) shows no decimals."""
        self.rows += 1
        for at, (cell, column) in enumerate(zip(cells, self.columns, strict=True)):
            self.book.cell(
                self.sheet,
                self.rows,
                at,
                cell,
                form=column.form.partition(".")[0] if isinstance(cell, int) else column.form,
                wrapped=column.wrapped,
                indented=not column.form,
            )
            self.widths[at] = max(self.widths[at], _width(cell))
            if column.wrapped and isinstance(cell, str):
                self.wrapped.append((self.rows, at, cell))
        return self.rows + 1

    def cell_of(self, column: int, row: int | None = None) -> str:
        """The address of a cell: of the next row, or of one by its number in the file."""
        return str(xl_rowcol_to_cell(self.rows + 1 if row is None else row - 1, column))

    def range_of(self, column: int, rows: int | None = None) -> str:
        """The addresses of a column from the first row to the last written, or of so many rows; with the sheet."""
        last = max(self.rows if rows is None else rows, 1)
        return f"{quote_sheetname(self.sheet.get_name())}!{xl_range_abs(1, column, last, column)}"

    def closed(self) -> None:
        """Set widths, and heights of rows whose words go on in further lines, when all rows are written."""
        widths = [min(max(width + 2, _NARROWEST), _WIDEST) for width in self.widths]
        for at, width in enumerate(widths):
            self.sheet.set_column(at, at, width)
        lines: dict[int, int] = {}
        for row, at, words in self.wrapped:
            lines[row] = max(lines.get(row, 1), _lines(harmless(words), widths[at] - 2))
        for row, count in lines.items():
            if count > 1:  # not every office program finds that height itself
                self.sheet.set_row(row, min(count * _LINE_HEIGHT, _HIGHEST))
        if self.rows:
            self.sheet.autofilter(0, 0, self.rows, len(self.columns) - 1)


class Book:
    """A workbook in memory. The same rows give the same bytes.

    Args:
        heading: What every sheet says of itself.
        title: Title among the properties of the file.
        paper: A name of ``PAPERS``.
    """

    def __init__(self, heading: Heading, title: str, *, paper: str) -> None:
        self._out = BytesIO()
        plain = {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
        self.book = xlsxwriter.Workbook(self._out, plain)
        self._formats: dict[tuple[tuple[str, Any], ...], Format] = {}
        self.heading, self._paper = heading, paper
        at = heading.at.astimezone(UTC).replace(tzinfo=None)
        self.book.set_properties({"title": harmless(title), "author": harmless(heading.by), "created": at})

    def look(self, **facts: Any) -> Format:  # noqa: ANN401 - facts of a format
        """A format, made once for its facts."""
        key = tuple(sorted(facts.items()))
        if key not in self._formats:
            self._formats[key] = self.book.add_format({"valign": "top", **facts})
        return self._formats[key]

    def sheet(self, name: str) -> Worksheet:
        """A new sheet, set up for the paper of the job: across, as wide as one page."""
        sheet = self.book.add_worksheet(name)
        sheet.set_landscape()
        sheet.set_paper(PAPERS[self._paper])
        sheet.fit_to_pages(1, 0)
        sheet.set_margins(left=0.6, right=0.5, top=0.8, bottom=0.7)
        words = f"{self.heading.job_name}, {name}"
        right = f"{self.heading.revision}, {self.heading.day}, {self.heading.purpose_words}"
        sheet.set_header(f"&L{_in_header(words)}&R{_in_header(right)}")
        sheet.set_footer("&RPage &P of &N")
        return sheet

    def table(self, name: str, columns: Sequence[Column]) -> Table:
        """A new sheet with a table: its headings stay in view and stand on every page."""
        sheet = self.sheet(name)
        sheet.freeze_panes(1, 0)
        sheet.repeat_rows(0)
        look = {"bold": True, "bg_color": _HEADING_FILL, "bottom": 1, "text_wrap": True}
        sheet.set_row(0, _HEADING_HEIGHT)
        for at, column in enumerate(columns):
            aside = {"align": "right"} if column.form or column.right else {"indent": 1, "align": "left"}
            sheet.write_string(0, at, column.words, self.look(**look, **aside))
        return Table(self, sheet, columns, widths=[_longest_word(column.words) for column in columns])

    def cell(
        self, sheet: Worksheet, row: int, column: int, cell: Cell, *, form: str = "",
        wrapped: bool = False, indented: bool = False,
    ) -> None:  # fmt: skip
        """Write a cell, rows and columns counted from 0; nothing is written for None."""
        facts: dict[str, Any] = {}
        match cell:
            case None:
                pass
            case Formula():
                facts |= {"num_format": form} if form else {"align": "right"}
                sheet.write_formula(row, column, f"={cell.text}", self.look(**facts), cell.value)
            case str():
                words = harmless(cell)
                if words.startswith(_LIKE_A_FORMULA):
                    facts["quote_prefix"] = True  # stays text when somebody types in the cell
                facts |= {"text_wrap": True} if wrapped else {}
                facts |= {"indent": 1, "align": "left"} if indented else {}
                sheet.write_string(row, column, words, self.look(**facts))
            case date():
                day = datetime(cell.year, cell.month, cell.day)  # noqa: DTZ001 - a day has no zone
                sheet.write_datetime(row, column, day, self.look(num_format=DAY_FORMAT, align="left", **facts))
            case _:
                sheet.write_number(row, column, cell, self.look(**({"num_format": form} if form else {}), **facts))

    def written(self) -> bytes:
        """The finished file."""
        self.book.close()
        return self._out.getvalue()


def _width(cell: Cell) -> int:
    if isinstance(cell, str):
        return max(map(len, cell[:200].split("\n")))
    return 0 if cell is None else _FIGURE_WIDTH


def _lines(words: str, width: int) -> int:
    """How many lines words take in a column of so many letters, about."""
    return sum(max(len(wrap(line, width)), 1) for line in words.split("\n"))


def _longest_word(words: str) -> int:
    return max(map(len, words.split()))


def _in_header(words: str) -> str:
    """Words of a header, where & begins a command and 255 characters are all there is room for (from memory)."""
    return harmless(words)[:_LONGEST_HEADER].replace("\n", " ").replace("&", "&&")
