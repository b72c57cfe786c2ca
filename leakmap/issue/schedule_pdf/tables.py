"""How tables and text of the paper are set: styles, columns, rows that stay together.

Figures stand right, three decimals, in figures of equal width. A heading row repeats on each page; a
block of rows that belong together is not split unless it is longer than half a page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final, TypeAlias

from reportlab.lib.colors import Color
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, Paragraph, Spacer, Table

from leakmap.base.rounding import rounded
from leakmap.issue.schedule_pdf.furniture import A4_MM, LEFT_MM, RIGHT_MM
from leakmap.issue.schedule_pdf.ink import INK, INK2, PANEL, REPAIR, RULE, Colour
from leakmap.issue.schedule_pdf.lettering import MM, Face, Lettering

WIDTH_MM: Final = A4_MM[0] - LEFT_MM - RIGHT_MM
SIZE: Final = 8.3
LEADING: Final = 10.6
_PAD: Final = 1.2 * MM
_GAP: Final = 4.5 * MM
"""Between a column of figures and the words beside it."""

_UP: Final = 0.75 * MM
_MOST_TOGETHER: Final = 16

MOST_HEIGHT: Final = 110 * MM
"""Height of the highest cell, and of the highest block of rows that is kept on one page."""

Cell: TypeAlias = "str | Flowable | list[Flowable]"
MILLI: Final = Decimal("0.001")


def figure(value: Decimal | float, step: Decimal = MILLI) -> str:
    """A figure as tables print it, with a true minus.

    >>> figure(Decimal("-3.6")), figure(0.0125), figure(Decimal("4.8"))
    ('−3.600', '0.013', '4.800')
    """
    return f"{rounded(value, step).quantize(step)}".replace("-", "−")


def style(
    face: Face = Face.BODY, size: float = SIZE, *, leading: float | None = None, ink: Colour = INK, right: bool = False
) -> ParagraphStyle:
    """A paragraph style."""
    return ParagraphStyle(
        name=f"{face}-{size}-{ink}-{right}",
        fontName=face.value,
        bulletFontName=face.value,
        fontSize=size,
        leading=leading or size * LEADING / SIZE,
        textColor=Color(*ink),
        alignment=2 if right else 0,
        splitLongWords=1,
    )


BODY: Final = style()
BOLD: Final = style(Face.BOLD)
QUIET: Final = style(ink=INK2)
LOUD: Final = style(Face.BOLD, ink=REPAIR)
SMALL: Final = style(size=7.4, ink=INK2)
COLUMN: Final = style(size=7.4, ink=INK2)
COLUMN_RIGHT: Final = style(size=7.4, ink=INK2, right=True)
RIGHT_BOLD: Final = style(Face.BOLD, right=True)
HEADING: Final = style(Face.BOLD, 13, leading=16)
HEADING.spaceBefore, HEADING.spaceAfter = 6 * MM, 1.6 * MM  # none before at the top of a page
SUBHEADING: Final = style(Face.BOLD, 9.5, leading=12)
TEXT: Final = style(size=9, leading=12.4)


class Bookmark(Flowable):  # type: ignore[misc] # the library has no types
    """A place that the outline of the paper leads to; it takes no room.

    Args:
        key: Unique in the paper.
        words: What the outline says.
        level: 0 for a part, 1 for a zone or sheet.
    """

    def __init__(self, key: str, words: str, level: int) -> None:
        super().__init__()
        self.key, self.words, self.level = key, words, level
        self.width = self.height = 0.0

    def wrap(self, *_room: float) -> tuple[float, float]:
        """No room at all."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Set the bookmark at the place on the page."""
        _, y = self.canv.absolutePosition(0, 0)
        self.canv.bookmarkPage(self.key, fit="XYZ", left=0, top=y + 12 * MM)
        self.canv.addOutlineEntry(self.words, self.key, self.level, closed=True)


@dataclass(slots=True)
class Setting:
    """Sets paragraphs of a paper.

    Attributes:
        lettering: Cuts words into runs of faces.
    """

    lettering: Lettering

    def words(self, words: str, look: ParagraphStyle = BODY) -> Paragraph:
        """A paragraph of plain words."""
        return Paragraph(self.lettering.markup(words, Face(look.fontName)), look)

    def fitted(self, words: str, look: ParagraphStyle, width: float, height: float = MOST_HEIGHT) -> Paragraph:
        """A paragraph of plain words, cut with an ellipsis where it would be higher than ``height`` points."""
        made, kept = self.words(words, look), words
        while (need := float(made.wrap(width, 10_000)[1])) > height:
            kept = kept[: int(len(kept) * 0.95 * height / need)]
            made = self.words(f"{kept.rstrip()}…", look)
        if kept is not words:
            self.lettering.cut.add(words[:40])
        return made

    def marked(self, parts: Iterable[tuple[str, bool]], look: ParagraphStyle = BODY) -> Paragraph:
        """A paragraph of words, of which some are bold."""
        text = "".join(
            f'<font name="{Face.BOLD.value}">{self.lettering.markup(words, Face.BOLD)}</font>'
            if bold
            else self.lettering.markup(words, Face(look.fontName))
            for words, bold in parts
        )
        return Paragraph(text, look)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading, width in mm, whether its figures stand right."""

    heading: str
    width_mm: float
    right: bool = False


@dataclass(slots=True)
class Grid:
    """A table while it is filled row by row.

    Attributes:
        setting: Sets the cells.
        columns: From left to right; the last may be 0 wide and takes what is left.
    """

    setting: Setting
    columns: Sequence[Column]
    _rows: list[list[Cell]] = field(default_factory=list)
    _styles: list[tuple[Any, ...]] = field(default_factory=list)
    _blocks: list[tuple[int, int]] = field(default_factory=list)
    _block: int | None = None

    def __post_init__(self) -> None:
        """Set the heading row."""
        looks = [COLUMN_RIGHT if column.right else COLUMN for column in self.columns]
        self._rows.append(
            [self.setting.words(column.heading, look) for column, look in zip(self.columns, looks, strict=True)]
        )

    def row(self, *cells: Cell, bold: bool = False, rule: bool = True) -> None:
        """A row; words are set as given, cells left out are empty."""
        at = len(self._rows)
        filled = [*cells, *[""] * (len(self.columns) - len(cells))]
        look = BOLD if bold else BODY
        self._rows.append([self._cell(cell, column, look) for cell, column in zip(filled, self.columns, strict=True)])
        if bold:
            self._styles.append(("FONTNAME", (0, at), (-1, at), Face.BOLD.value))
        if rule:
            self._styles.append(("LINEABOVE", (0, at), (-1, at), 0.25 * MM * 0.7, Color(*RULE)))

    def _cell(self, cell: Cell, column: Column, look: ParagraphStyle) -> Cell:
        if isinstance(cell, str) and cell and not column.right:
            return self.setting.fitted(cell, look, self._width(self.columns.index(column)) - _GAP - _PAD)
        return cell

    def _width(self, index: int) -> float:
        """Width of a column, points."""
        fixed = sum(column.width_mm for column in self.columns)
        return (self.columns[index].width_mm or WIDTH_MM - fixed) * MM

    def note(self, caption: Cell, words: Cell, *, first: int = 1) -> None:
        """A row whose words run from the column after ``first`` to the end, with a quiet caption in ``first``."""
        at = len(self._rows)
        cells: list[Cell] = [""] * len(self.columns)
        cells[first] = self.setting.words(caption, SMALL) if isinstance(caption, str) else caption
        room = sum(self._width(index) for index in range(first + 1, len(self.columns))) - 2 * _PAD
        cells[first + 1] = self.setting.fitted(words, BODY, room) if isinstance(words, str) else words
        self._rows.append(cells)
        self._styles += [("SPAN", (first + 1, at), (-1, at)), ("ALIGN", (first + 1, at), (-1, at), "LEFT")]

    def spread(self, first: int, last: int) -> None:
        """Let the cell ``first`` of the newest row run on to ``last``."""
        at = len(self._rows) - 1
        self._styles += [("SPAN", (first, at), (last, at)), ("ALIGN", (first, at), (last, at), "LEFT")]

    def total(self, *cells: Cell) -> None:
        """A row of sums under a strong rule; it stays with the row before."""
        self.row(*cells, bold=True, rule=False)
        at = len(self._rows) - 1
        self._styles.append(("LINEABOVE", (0, at), (-1, at), 0.5 * MM, Color(*INK)))
        self._blocks.append((max(at - 1, 1), at))

    def shade(self) -> None:
        """Lay a tint under the newest row."""
        at = len(self._rows) - 1
        self._styles.append(("BACKGROUND", (0, at), (-1, at), Color(*PANEL)))

    def begin_block(self) -> None:
        """Rows from here to ``end_block`` belong together."""
        self._block = len(self._rows)

    def end_block(self) -> None:
        """Close the block; a long one may break, but not after its first rows or before its last."""
        assert self._block is not None
        start, end = self._block, len(self._rows) - 1
        if end - start < _MOST_TOGETHER:
            self._blocks.append((start, end))
        else:
            self._blocks += [(start, start + 2), (end - 1, end)]
        self._block = None

    @property
    def empty(self) -> bool:
        """Whether it has no row but its heading."""
        return len(self._rows) == 1

    def table(self) -> Table:
        """The finished table, as wide as the text."""
        widths = [self._width(index) for index in range(len(self.columns))]
        rights = [
            ("ALIGN", (index, 0), (index, -1), "RIGHT") for index, column in enumerate(self.columns) if column.right
        ]
        after_right = [
            ("LEFTPADDING", (index, 0), (index, -1), _GAP)
            for index, column in enumerate(self.columns)
            if index and self.columns[index - 1].right and not column.right
        ]
        base: list[tuple[Any, ...]] = [
            ("FONTNAME", (0, 0), (-1, -1), Face.BODY.value),
            ("FONTSIZE", (0, 0), (-1, -1), SIZE),
            ("LEADING", (0, 0), (-1, -1), LEADING),
            ("TEXTCOLOR", (0, 0), (-1, -1), Color(*INK)),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            ("LEFTPADDING", (0, 0), (-1, -1), _PAD),
            ("RIGHTPADDING", (0, 0), (-1, -1), _PAD),
            ("LEFTPADDING", (0, 0), (0, -1), 0),
            ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), _UP),
            ("BOTTOMPADDING", (0, 0), (-1, -1), _UP),
            ("LINEBELOW", (0, 0), (-1, 0), 0.35 * MM, Color(*INK)),
            ("LINEBELOW", (0, -1), (-1, -1), 0.25 * MM * 0.7, Color(*RULE)),
        ]
        table = Table(self._rows, colWidths=widths, repeatRows=1, hAlign="LEFT")
        table.setStyle([*base, *rights, *after_right, *self._styles])
        table.wrap(WIDTH_MM * MM, 10_000)
        heights = table._rowHeights  # noqa: SLF001 - the library gives row heights nowhere else
        whole = [block for block in self._blocks if sum(heights[block[0] : block[1] + 1]) <= MOST_HEIGHT]
        table.setStyle([("NOSPLIT", (0, start), (-1, end)) for start, end in whole])
        return table

    @property
    def first_block(self) -> int:
        """Number of rows, heading included, that a page must hold before the table may start on it."""
        start, end = min(self._blocks, default=(1, 1))
        return end + 1 if start == 1 else 2


def section(
    setting: Setting, heading: str, grid: Grid, *, before: Sequence[Flowable] = (), after: str = ""
) -> list[Flowable]:
    """A heading with its table: started on a page only where both and the first rows fit."""
    table = grid.table()
    need = sum(table._rowHeights[: grid.first_block])  # noqa: SLF001 - the library gives row heights nowhere else
    need += sum(float(item.wrap(WIDTH_MM * MM, 10_000)[1]) for item in before) + 14 * MM
    head = setting.words(heading, HEADING)
    tail = [Spacer(1, 1.2 * MM), setting.words(after, SMALL)] if after else []
    return [CondPageBreak(min(need, 230 * MM)), head, *before, table, *tail]


def marked(bookmark: Bookmark, story: Sequence[Flowable]) -> list[Flowable]:
    """A part of the paper with its bookmark, which stands after the heading that the part may start with."""
    at = 2 if story and isinstance(story[0], CondPageBreak) else 0
    return [*story[:at], bookmark, *story[at:]]
