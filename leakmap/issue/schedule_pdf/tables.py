"""Tables of the paper: columns, rows that stay together, and how they go over pages.

Figures stand right, three decimals, in figures of equal width. A heading row repeats on each page; a
block of rows that belong together is not split unless it is high. Row heights are reckoned once, in
slices, and each page gets a table of its own rows: the library's own splitting reckons all rows that
are left again for each page.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from typing import Any, Final, TypeAlias

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import CondPageBreak, Flowable, Paragraph, Table

from leakmap.issue.schedule_pdf.furniture import WIDTH_MM
from leakmap.issue.schedule_pdf.ink import INK, PANEL, RULE
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.styles import (
    BODY,
    BOLD,
    COLUMN,
    COLUMN_RIGHT,
    HEADING,
    LEADING,
    MOST_HEIGHT,
    SIZE,
    SMALL,
    Bookmark,
    Setting,
)

_PAD: Final = 1.2 * MM
_GAP: Final = 4.5 * MM
"""Between a column of figures and the words beside it."""

_UP: Final = 0.75 * MM
_DENSE_UP: Final = 0.3 * MM
_AFTER: Final = 1.2 * MM
"""Between a table and what closes it."""

_MOST_TOGETHER: Final = 16
_SLICE: Final = 40
_FEWEST: Final = 3
"""Rows that stand with the heading of a table at the foot of a page, where they are not higher than ``_LOW`` points."""

_LOW: Final = 40 * MM
_SHORT: Final = 60 * MM
"""Height up to which a table is begun only where all of it fits."""

Cell: TypeAlias = "str | Flowable | list[Flowable]"


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading, width in mm, whether its figures stand right."""

    heading: str
    width_mm: float
    right: bool = False


@dataclass(frozen=True, slots=True)
class _Look:
    """A style command for columns ``first`` to ``last`` of one row."""

    name: str
    first: int
    last: int
    values: tuple[Any, ...] = ()

    def at(self, row: int) -> tuple[Any, ...]:
        """The command for the row's place in a table."""
        return (self.name, (self.first, row), (self.last, row), *self.values)


@dataclass
class Grid:
    """A table while it is filled row by row.

    Attributes:
        setting: Sets the cells.
        columns: From left to right; one may be 0 wide and takes what is left.
        dense: Whether its rows stand closer, as in long tables of one line a row.
    """

    setting: Setting
    columns: Sequence[Column]
    dense: bool = False
    _rows: list[list[Cell]] = field(default_factory=list)
    _looks: list[list[_Look]] = field(default_factory=list)
    _blocks: list[tuple[int, int]] = field(default_factory=list)
    _block: int = 0

    def row(self, *cells: Cell, bold: bool = False, rule: bool = True) -> None:
        """A row; words are set as given, cells left out are empty."""
        filled = [*cells, *[""] * (len(self.columns) - len(cells))]
        look = BOLD if bold else BODY
        self._rows.append([self._cell(index, cell, look) for index, cell in enumerate(filled)])
        self._looks.append([])
        if bold:
            self._look("FONTNAME", 0, -1, Face.BOLD.value)
        if rule:
            self._look("LINEABOVE", 0, -1, 0.18 * MM, Color(*RULE))

    def _look(self, name: str, first: int, last: int, *values: Any) -> None:  # noqa: ANN401 - as the library takes them
        self._looks[-1].append(_Look(name, first, last, values))

    def _cell(self, index: int, cell: Cell, look: Any) -> Cell:  # noqa: ANN401 - the library has no types
        if isinstance(cell, str) and cell and not self.columns[index].right:
            return self.setting.fitted(cell, look, self.widths[index] - _GAP - _PAD)
        return cell

    @cached_property
    def widths(self) -> list[float]:
        """Widths of the columns, points."""
        rest = WIDTH_MM - sum(column.width_mm for column in self.columns)
        return [(column.width_mm or rest) * MM for column in self.columns]

    def note(self, caption: str, words: Cell, *, first: int = 1) -> None:
        """A row whose words run from the column after ``first`` to the end, with a quiet caption in ``first``."""
        cells: list[Cell] = [""] * len(self.columns)
        cells[first] = self.setting.words(caption, SMALL)
        room = sum(self.widths[first + 1 :]) - 2 * _PAD
        cells[first + 1] = self.setting.fitted(words, BODY, room) if isinstance(words, str) else words
        self._rows.append(cells)
        self._looks.append([])
        self.spread(first + 1, -1)

    def spread(self, first: int, last: int) -> None:
        """Let the cell ``first`` of the newest row run on to ``last``."""
        self._look("SPAN", first, last)
        self._look("ALIGN", first, last, "LEFT")

    def total(self, *cells: Cell, strong: bool = True) -> None:
        """A row of sums under a rule, a strong one for the last; it stays with the row before."""
        self.row(*cells, bold=True, rule=False)
        self._look("LINEABOVE", 0, -1, (0.5 if strong else 0.25) * MM, Color(*INK))
        self._blocks.append((max(len(self._rows) - 2, 0), len(self._rows) - 1))

    def shade(self) -> None:
        """Lay a tint under the newest row."""
        self._look("BACKGROUND", 0, -1, Color(*PANEL))

    def begin_block(self) -> None:
        """Rows from here to ``end_block`` belong together."""
        self._block = len(self._rows)

    def end_block(self) -> None:
        """Close the block; a long one may break, but not after its first rows or before its last."""
        start, end = self._block, len(self._rows) - 1
        if end - start < _MOST_TOGETHER:
            self._blocks.append((start, end))
        else:
            self._blocks += [(start, start + 2), (end - 1, end)]

    @property
    def empty(self) -> bool:
        """Whether it has no row but its heading."""
        return not self._rows

    def slice(self, start: int, end: int) -> Table:
        """A table of the heading and the rows ``start`` to ``end``, the last left out."""
        looks = [COLUMN_RIGHT if column.right else COLUMN for column in self.columns]
        heading = [
            self.setting.words(self.setting.trade(self.setting.units.heading(item.heading)), look)
            for item, look in zip(self.columns, looks, strict=True)
        ]
        table = Table([heading, *self._rows[start:end]], colWidths=self.widths, hAlign="LEFT")
        rows = enumerate(self._looks[start:end], start=1)
        table.setStyle([*self._base(), *(look.at(row) for row, found in rows for look in found)])
        return table

    def _base(self) -> list[tuple[Any, ...]]:
        every = ((0, 0), (-1, -1))
        right = [index for index, column in enumerate(self.columns) if column.right]
        beside = [index + 1 for index in right if index + 1 < len(self.columns) and index + 1 not in right]
        return [
            ("FONTNAME", *every, Face.BODY.value),
            ("FONTSIZE", *every, SIZE),
            ("LEADING", *every, LEADING),
            ("TEXTCOLOR", *every, Color(*INK)),
            ("VALIGN", *every, "TOP"),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            ("LEFTPADDING", *every, _PAD),
            ("RIGHTPADDING", *every, _PAD),
            ("LEFTPADDING", (0, 0), (0, -1), 0),
            ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
            ("TOPPADDING", *every, _DENSE_UP if self.dense else _UP),
            ("BOTTOMPADDING", *every, _DENSE_UP if self.dense else _UP),
            ("LINEBELOW", (0, 0), (-1, 0), 0.35 * MM, Color(*INK)),
            ("LINEBELOW", (0, -1), (-1, -1), 0.18 * MM, Color(*RULE)),
            *(("ALIGN", (index, 0), (index, -1), "RIGHT") for index in right),
            *(("LEFTPADDING", (index, 0), (index, -1), _GAP) for index in beside),
        ]

    @cached_property
    def heights(self) -> tuple[float, list[float]]:
        """Height of the heading row, and of each row, points."""
        head, found = 0.0, []
        for start in range(0, len(self._rows), _SLICE):
            table = self.slice(start, start + _SLICE)
            table.wrap(WIDTH_MM * MM, 10_000)
            head, *rows = table._rowHeights  # noqa: SLF001 - the library gives row heights nowhere else
            found += rows
        return head, found

    @cached_property
    def breaks(self) -> list[int]:
        """Rows that a page may start with, ascending; the number of rows is the last."""
        heights = self.heights[1]
        kept = [block for block in self._blocks if sum(heights[block[0] : block[1] + 1]) <= MOST_HEIGHT]
        inside = {row for start, end in kept for row in range(start + 1, end + 1)}
        return [row for row in range(len(heights) + 1) if row not in inside]


class PagedTable(Flowable):  # type: ignore[misc] # the library has no types
    """The rows of a grid from one row on, which go over as many pages as they need.

    Args:
        grid: The filled grid.
        start: The first row.
        after: What closes it; it stands on a page with the last rows.
    """

    def __init__(self, grid: Grid, start: int = 0, after: Paragraph | None = None) -> None:
        super().__init__()
        self.grid, self.start, self.after = grid, start, after
        self.head, heights = grid.heights
        self.tops = list(accumulate(heights[start:], initial=self.head))
        self.tail = 0.0 if after is None else _AFTER + float(after.wrap(WIDTH_MM * MM, 10_000)[1])

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """All that is left."""
        return width, self.tops[-1] + self.tail

    @property
    def least(self) -> float:
        """Height of the heading and the first rows: all in a short table, three where they are low, else up to where a page may end."""
        whole = self.tops[-1] + self.tail
        if whole <= _SHORT:
            return whole
        ends = [self.tops[row - self.start] for row in self.grid.breaks if row > self.start]
        ends[-1:] = [end + self.tail for end in ends[-1:]]
        return max([*ends[:1], *(top for top in ends[:_FEWEST] if top <= _LOW)], default=self.head)

    def split(self, _width: float, height: float) -> list[Flowable]:
        """As many rows as fit, and the rest; nothing when not even the first rows fit."""
        most = self.start + bisect_right(self.tops, height) - 1
        ends = [row for row in self.grid.breaks if self.start < row <= most and row < self._all]
        if not ends:
            return []
        return [self.grid.slice(self.start, ends[-1]), PagedTable(self.grid, ends[-1], self.after)]

    @property
    def _all(self) -> int:
        """How many rows the grid has."""
        return len(self.tops) - 1 + self.start

    def drawOn(self, canvas: Canvas, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - the library's names
        """Draw all that is left."""
        table = self.grid.slice(self.start, self._all)
        table.wrapOn(canvas, WIDTH_MM * MM, 10_000)
        table.drawOn(canvas, x, y + self.tail)
        if self.after is not None:
            self.after.drawOn(canvas, x, y)


def section(
    setting: Setting, heading: str, grid: Grid, *, before: Sequence[Flowable] = (), after: str = ""
) -> list[Flowable]:
    """A heading with its table: started on a page only where both and the first rows fit."""
    table = PagedTable(grid, after=setting.words(after, SMALL) if after else None)
    need = table.least + sum(float(item.wrap(WIDTH_MM * MM, 10_000)[1]) for item in before) + 14 * MM
    head = setting.words(heading, HEADING)
    return [CondPageBreak(min(need, 230 * MM)), head, *before, table]


def marked(bookmark: Bookmark, story: Sequence[Flowable]) -> list[Flowable]:
    """A part of the paper with its bookmark, which stands after the heading that the part may start with."""
    at = 2 if story and isinstance(story[0], CondPageBreak) else 0
    return [*story[:at], bookmark, *story[at:]]
