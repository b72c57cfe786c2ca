"""The sheets of zones and of their measured stretches: what is charged follows from what is measured, by live formulas."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from leakmap.base.measures import PRESSURE
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.workbook.book import Book, Cell, Column, Formula, Table
from leakmap.issue.workbook.figures import Figures
from leakmap.issue.zone_sums import HEADED
from leakmap.model.job import Job
from leakmap.model.materials import in_filling_words
from leakmap.model.printed import chainage_m, printed
from leakmap.repair.results import Repairs, Stretch, Why, Zone

FIRM: Final = "firm"
PROVISIONAL: Final = "provisional"
STEP_NAME: Final = "chargeable_step"
"""Name of the cell of the rule that chargeable lengths are rounded up by."""

_VALUES: Final = (
    ("Blind m", "blind_m"),
    *HEADED,
)
_REF, _STATE, _FIRST_FIGURE = 0, 3, 4
_PLACES: Final = ("From", "To", "Length")
_STRETCH_ZONE, _FROM, _TO, _LENGTH, _WHY, _WET = 0, 3, 4, 5, 8, 9


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneTable:
    """Where the figures of zones stand, for whoever adds them up.

    Attributes:
        table: The table.
        columns: The column of a figure, by its name.
        states: Addresses of the words firm and provisional.
        figures: Addresses of a figure, by its name.
    """

    table: Table
    columns: dict[str, int]
    states: str
    figures: dict[str, str]

    def cell_of(self, name: str, row: int) -> str:
        """The address of a figure of the zone in a row, by the number of the row in the file."""
        return f"{self.table.sheet.get_name()}!{self.table.cell_of(self.columns[name], row)}"


def zone_table(book: Book, figures: Figures, job: Job, repairs: Repairs) -> ZoneTable:
    """Write the zones, and their stretches after them."""
    said = () if job.units.metric else ("Measured", "Chargeable")
    names = ("length_m", "chargeable_m", *said, "above", "wet_m", "bridged_m", *(name for _, name in _VALUES))
    form = figures.length_format
    table = book.table(
        "Zones",
        [
            Column(words="Zone"),
            Column(words="Levels"),
            Column(words=_words(figures, "Method")),
            Column(words="State"),
            Column(words=_words(figures, "Measured m"), form=form),
            Column(words=_words(figures, "Chargeable m"), form=form),
            *_columns_said(said),
            Column(words=_words(figures, "Chargeable less measured m"), form=form),
            Column(words=_words(figures, "Wet m"), form=form),
            Column(words=_words(figures, "Bridged m"), form=form),
            *(
                Column(
                    words=in_filling_words(job.materials.filling, _words(figures, words)), form=figures.format_of(name)
                )
                for words, name in _VALUES
            ),
            Column(words=f"Head {PRESSURE[job.units].symbol}", form="0.00"),
            Column(words="Relief points", wrapped=True),
            Column(words="Holds and remarks", wrapped=True),
        ],
    )
    stretches = _stretch_table(book, figures, job, repairs)
    for zone in repairs.zones:
        table.row(*_zone_cells(table, stretches, figures, job, zone))
    rows = table.rows
    columns = {name: at for at, name in enumerate(names, start=_FIRST_FIGURE)}
    where = {name: table.range_of(at, rows) for name, at in columns.items()}
    table.closed()
    stretches.closed()
    return ZoneTable(table=table, columns=columns, states=table.range_of(_STATE, rows), figures=where)


def _zone_cells(table: Table, stretches: Table, figures: Figures, job: Job, zone: Zone) -> list[Cell]:
    ref, measured, charged = (table.cell_of(at) for at in (_REF, _FIRST_FIGURE, _FIRST_FIGURE + 1))
    lengths, zones = stretches.range_of(_LENGTH), stretches.range_of(_STRETCH_ZONE)
    all_of = f"{lengths},{zones},{ref}"
    shown = figures.length
    above = zone.chargeable_m - zone.length_m
    reliefs = (f"{job.joints[one.joint].ref} {printed(job, job.joints[one.joint], one.at_m)}" for one in zone.relief)
    remarks = (*zone.holds, *((zone.why_provisional,) if zone.why_provisional else ()))
    more = 0 if job.units.metric else len(_PLACES)
    wet = f'SUMIFS({all_of},{stretches.range_of(_WET + more)},">=1")'
    bridged = f'SUMIFS({all_of},{stretches.range_of(_WHY + more)},"{Why.BRIDGE}")'
    return [
        zone.ref,
        ", ".join(job.sheets[sheet].name for sheet in zone.sheets),
        in_trade_words(job.units, zone.method.value),
        PROVISIONAL if zone.provisional else FIRM,
        Formula(figures.exactly(f"SUMIFS({all_of})"), shown(zone.length_m)),
        Formula(figures.charged(measured, STEP_NAME), shown(zone.chargeable_m)),
        *_said(figures, (measured, zone.length_m), (charged, zone.chargeable_m)),
        Formula(figures.exactly(f"{charged}-{measured}"), shown(above)),
        Formula(figures.exactly(wet), shown(zone.wet_m)),
        Formula(figures.exactly(bridged), shown(zone.bridged_m)),
        *(figures.of(name, getattr(zone, name)) for _, name in _VALUES),
        None if zone.head_kpa is None else float(PRESSURE[job.units].figure(zone.head_kpa)),
        "; ".join(reliefs),
        " ".join(remarks),
    ]


def _columns_said(names: Sequence[str]) -> Iterator[Column]:
    """Columns that say lengths in feet and inches, which decimal feet leave to be reckoned."""
    for name in names:
        yield Column(words=f"{name} ft in", right=True)


def _said(figures: Figures, *lengths: tuple[str, Decimal]) -> Iterator[Formula]:
    """Cells of decimal feet in feet and inches; none where the job is metric."""
    for cell, length_m in () if figures.units.metric else lengths:
        yield Formula(figures.feet_inches(cell), figures.units.measured(length_m))


def _words(figures: Figures, heading: str) -> str:
    return in_trade_words(figures.units, figures.heading(heading))


def _stretch_table(book: Book, figures: Figures, job: Job, repairs: Repairs) -> Table:
    form = figures.length_format
    table = book.table(
        "Stretches",
        [
            Column(words="Zone"),
            Column(words="Level"),
            Column(words="Joint"),
            Column(words=_words(figures, "From m"), form=form),
            Column(words=_words(figures, "To m"), form=form),
            Column(words=_words(figures, "Length m"), form=form),
            *_columns_said(() if job.units.metric else _PLACES),
            Column(words="Depth mm", form="0.0"),
            Column(words="Filling"),
            Column(words="Why"),
            Column(words="Wetness", form="0"),
            Column(words="Leaks", wrapped=True),
        ],
    )
    for zone in repairs.zones:
        for stretch in zone.stretches:
            if stretch.why is not Why.BLIND:
                table.row(*_stretch_cells(table, figures, job, zone, stretch))
    return table


def _stretch_cells(table: Table, figures: Figures, job: Job, zone: Zone, stretch: Stretch) -> list[Cell]:
    joint = job.joints[stretch.joint]
    ends_m = [chainage_m(job, joint, at_m) for at_m in (stretch.from_m, stretch.to_m)]
    cells = [table.cell_of(at) for at in (_FROM, _TO, _LENGTH)]
    length = figures.exactly(f"{table.cell_of(_TO)}-{table.cell_of(_FROM)}")
    return [
        zone.ref,
        job.sheet_of(joint).name,
        joint.ref,
        *map(figures.length, ends_m),
        Formula(length, figures.length(stretch.length_m)),
        *_said(figures, *zip(cells, (*ends_m, stretch.length_m), strict=True)),
        float(stretch.depth_mm),
        in_filling_words(job.materials.filling, "plug + dry-pack" if stretch.plugged else "all dry-pack"),
        stretch.why.value,
        None if stretch.wetness is None else int(stretch.wetness),
        ", ".join(job.leaks[leak].ref for leak in stretch.leaks),
    ]


def sum_of(figures: Figures, zones: ZoneTable, name: str, value: Decimal, *, state: str = "") -> Formula:
    """The live sum of a figure of zones: of all, or of those of one state."""
    of = zones.figures[name]
    text = f'SUMIFS({of},{zones.states},"{state}")' if state else f"SUM({of})"
    return Formula(figures.exactly(text, name), figures.of(name, value))
