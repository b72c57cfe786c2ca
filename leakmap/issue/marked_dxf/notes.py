"""Words beside the plan: heading with the revision, the table of zones, and what needs another method."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from math import ceil
from typing import Final

from ezdxf.enums import MTextEntityAlignment

from leakmap.base.measures import Units
from leakmap.base.rounding import ZERO
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.issue.heading import Heading
from leakmap.issue.marked_dxf.facts import FactBook
from leakmap.issue.marked_dxf.paint import Painter
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.table_pages import Span, TableRow
from leakmap.issue.marked_dxf.width import width_mm
from leakmap.issue.marks.primitives import PAPER_SCALE
from leakmap.issue.other_words import quantity_words
from leakmap.repair.results import Zone

HEADING_MM: Final = 90.0
"""Width of the heading and of the key beneath it."""

_TITLE_MM: Final = 3.5
_TEXT_MM: Final = 2.5
_LINE_MM: Final = 4.2
_ROW_MM: Final = 6.0
_PAD_MM: Final = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place beside the plan that things are set from, in millimetres on paper.

    Attributes:
        painter: Its plane is the paper: at 1:1000 a metre is a millimetre, zero is the place itself.
    """

    painter: Painter

    def at(self, right_mm: float, down_mm: float) -> Point:
        """A point by its distances on paper."""
        return right_mm, -down_mm

    def moved(self, right_mm: float, down_mm: float) -> Spot:
        """A place farther right and down."""
        plane = self.painter.plane
        return Spot(painter=replace(self.painter, plane=paper_plane(plane, plane.place(self.at(right_mm, down_mm)))))


def paper_plane(plane: Plane, corner: Point) -> Plane:
    """The plane of the paper in a drawing: millimetres from a drawing point, in the size of another plane."""
    whole = 1 / plane.unit
    placement = Placement(origin=corner, x_m_per_unit=whole, y_m_per_unit=whole)
    return Plane(placement=placement, scale=PAPER_SCALE, whole=plane.whole)


def write_heading(spot: Spot, heading: Heading, sheet: str, scale: float, units: Units) -> float:
    """Set job, revision, purpose, day and people; the height that it took, mm on paper."""
    issued = f"issued to {heading.to_whom} by {heading.by}" if heading.to_whom else ""
    read_in = in_trade_words(units, f"Chainages and lengths in {units.words}.")
    lines = [
        (heading.job_name, _TITLE_MM),
        (f"Leak repair, level {sheet}", _TITLE_MM),
        (f"Revision {heading.revision}, {heading.purpose_words}, {heading.day}", _TEXT_MM),
        (issued, _TEXT_MM),
        (f"Marked with leakmap, symbols sized for 1:{scale:g}. {read_in}", _TEXT_MM),
        ("Overrun: extension of the repair past visible water.", _TEXT_MM),
        (caution_words(), _TEXT_MM),
    ]
    down = 0.0
    for words, cap_mm in lines:
        if words:
            spot.painter.words(words, spot.at(0, down), "NOTE-HEADING", cap_mm=cap_mm, width_mm=HEADING_MM)
            down += _height(words, cap_mm, HEADING_MM) + 1.2
    return down


def caution_words() -> str:
    """What nobody may overlook who has only the drawing."""
    return (
        "Cautions: see the repair schedule of the same revision."
        " Locate reinforcement, tendons and services before cutting."
    )


def _height(words: str, cap_mm: float, room_mm: float) -> float:
    return _count(words, cap_mm, room_mm) * cap_mm * _LINE_MM / _TEXT_MM


def _count(words: str, cap_mm: float, room_mm: float) -> int:
    return sum(max(ceil(width_mm(line, cap_mm) / room_mm), 1) for line in words.split("\n"))


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    title: str
    width_mm: float
    right: bool = True


ZONE_COLUMNS: Final = (
    Column("Zone", 19, right=False),
    Column("Joint", 17, right=False),
    Column("From m", 24),
    Column("To m", 24),
    Column("Length m", 24),
    Column("Depth mm", 25),
    Column("Chargeable m", 28),
)
OTHER_COLUMNS: Final = (
    Column("Leak", 19, right=False),
    Column("Joint", 17, right=False),
    Column("From m", 24),
    Column("To m", 24),
    Column("Why", 77, right=False),
)
TABLE_MM: Final = sum(column.width_mm for column in ZONE_COLUMNS)


@dataclass(slots=True)
class Table:
    """A ruled table that grows downwards.

    Attributes:
        spot: Its upper left corner.
        columns: Left to right.
        down_mm: Height so far.
        rows: Where each row stands, under which head; the heads themselves are no rows.
    """

    spot: Spot
    columns: Sequence[Column]
    down_mm: float = 0.0
    rows: list[TableRow] = field(default_factory=list)
    head: Span = (0.0, 0.0)

    @property
    def width_mm(self) -> float:
        """Width on paper."""
        return sum(column.width_mm for column in self.columns)

    def title(self, words: str) -> None:
        """Set the title, then the heads of the columns."""
        top, painter = self.down_mm, self.spot.painter
        painter.words(words, self.spot.at(0, self.down_mm), "NOTE-TABLE", cap_mm=_TITLE_MM, width_mm=self.width_mm)
        self.down_mm += _height(words, _TITLE_MM, self.width_mm) + 1.5
        self.rule()
        self._set([column.title for column in self.columns])
        self.rule()
        self.head = top, self.down_mm

    def rule(self) -> None:
        """Draw a line across."""
        ends = self.spot.at(0, self.down_mm), self.spot.at(self.width_mm, self.down_mm)
        self.spot.painter.line(ends, "NOTE-TABLE")

    def row(self, cells: Sequence[str]) -> None:
        """Set a row; a cell that is too long is broken, and the row grows."""
        top = self.down_mm
        self._set(cells)
        self.rows.append(TableRow((top, self.down_mm), self.head))

    def _set(self, cells: Sequence[str]) -> None:
        left, height = 0.0, _ROW_MM
        for column, words in zip(self.columns, cells, strict=True):
            if words:
                self._cell(column, words, left)
                height = max(height, _height(words, _TEXT_MM, column.width_mm - 2 * _PAD_MM) + 2 * _PAD_MM)
            left += column.width_mm
        self.down_mm += height

    def _cell(self, column: Column, words: str, left_mm: float) -> None:
        right = left_mm + column.width_mm - _PAD_MM
        at = self.spot.at(right if column.right else left_mm + _PAD_MM, self.down_mm + _PAD_MM + 0.2)
        hold = MTextEntityAlignment.TOP_RIGHT if column.right else MTextEntityAlignment.TOP_LEFT
        room = column.width_mm - 2 * _PAD_MM
        self.spot.painter.words(words, at, "NOTE-TABLE", hold=hold, width_mm=room)


def write_tables(spot: Spot, book: FactBook) -> tuple[TableRow, ...]:
    """Set the zones of a sheet, and its leaks that need another method; where each row stands.

    A zone's chargeable length stands with its first row, on the sheet of that row.
    """
    units = book.job.units
    table = Table(spot, _headed(ZONE_COLUMNS, units))
    table.title(f"Repair zones, level {book.sheet.name}")
    zones = [zone for zone in book.repairs.zones if book.sheet.id in zone.sheets]
    for zone in zones:
        for cells in _zone_rows(zone, book):
            table.row(cells)
        table.rule()
    _total(table, zones, book)
    others = list(_other_rows(book))
    if not others:
        return tuple(table.rows)
    below = Table(spot, _headed(OTHER_COLUMNS, units), table.down_mm + 2 * _ROW_MM)
    below.title("Needs another method")
    for cells in others:
        below.row(cells)
    below.rule()
    return (*table.rows, *below.rows)


def _headed(columns: Iterable[Column], units: Units) -> tuple[Column, ...]:
    return tuple(replace(column, title=units.heading(column.title)) for column in columns)


def _zone_rows(zone: Zone, book: FactBook) -> Iterable[tuple[str, ...]]:
    """Printed rows of a zone on this sheet; its reference stands with the first."""
    units = book.job.units
    rows = [row for row in zone.rows if book.on_sheet(row.joint)]
    ref = f"{zone.ref} provisional" if zone.provisional else zone.ref
    for index, row in enumerate(rows):
        first = index == 0
        yield (
            ref if first else "",
            book.job.joints[row.joint].ref,
            book.place(row.joint, row.from_m),
            book.place(row.joint, row.to_m),
            units.measured(row.length_m),
            units.depth(row.depth_mm),
            _chargeable(zone, book) if first else "",
        )


def _chargeable(zone: Zone, book: FactBook) -> str:
    """The zone's chargeable length, or the sheet whose table says it."""
    if book.on_sheet(zone.rows[0].joint):
        return book.job.units.shown(zone.chargeable_m)
    return f"see {book.job.sheet_of(book.job.joints[zone.rows[0].joint]).name}"


def _total(table: Table, zones: Iterable[Zone], book: FactBook) -> None:
    held = list(zones)
    rows = [row for zone in held for row in zone.rows if book.on_sheet(row.joint)]
    chargeable = [zone.chargeable_m for zone in held if zone.rows and book.on_sheet(zone.rows[0].joint)]
    if not rows:
        table.row(("none", "", "", "", "", "", ""))
        return
    length, charged = sum((row.length_m for row in rows), ZERO), sum(chargeable, ZERO)
    table.row(("Total", "", "", "", book.job.units.measured(length), "", book.job.units.shown(charged)))
    table.rule()


def _other_rows(book: FactBook) -> Iterable[tuple[str, ...]]:
    """Leaks of this sheet that need another method, then tie holes, honeycomb and the like."""
    for other in book.repairs.another_method:
        if book.on_sheet(other.joint):
            leak = book.job.leaks[other.leak]
            ends = book.place(leak.joint, leak.from_m), book.place(leak.joint, leak.to_m)
            yield leak.ref, book.job.joints[leak.joint].ref, *ends, other.why
    for item in book.job.others.values():
        if item.sheet == book.sheet.id:
            yield "", "", "", "", f"{item.what}: {' '.join(quantity_words(book.job.units, item))}"
