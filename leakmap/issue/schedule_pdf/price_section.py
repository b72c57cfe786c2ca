"""Price of the paper: what every zone costs line by line, the total, what is in none of it, and the rates."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from reportlab.platypus import Flowable, Spacer

from leakmap.base.money import with_minor_unit
from leakmap.base.sentences import capital
from leakmap.issue.price_words import item_words, line_words, sum_words
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.styles import BOLD, LOUD, RIGHT_BOLD, TEXT, Bookmark, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, marked, section
from leakmap.model.job import Job
from leakmap.model.rates import RATE_WORDS, TAKEN, Rates, Taken
from leakmap.repair.price import TAX, PriceLine, Prices, ZonePrice, not_priced_words, priced
from leakmap.repair.results import Repairs

HEADING: Final = "Price"
MOST_ZONES: Final = 150
"""Of more zones the paper prints a row for each, without its lines."""

_ELSEWHERE: Final = "The lines of each zone stand in the workbook and in price.csv."
_METHOD: Final = (
    "A zone is priced by its heaviest method and its chargeable length, additions by measured length. Each line is "
    "quantity times rate, rounded once; every sum is that of the printed rows."
)
_BY: Final = {
    Taken.CHARGEABLE: "{length} of chargeable length of a zone",
    Taken.MEASURED: "{length} measured there, added",
    Taken.RELIEF_POINT: "relief point, added",
    Taken.ZONE: "zone, added",
    Taken.JOB: "job",
}
_TOTAL: Final = "Total, without tax"
_NO_OTHERS: Final = "Nothing is asked for by a rate that does not stand here."


def price_sections(setting: Setting, job: Job, repairs: Repairs) -> list[Flowable]:
    """The part of the paper; nothing where the job has no rate."""
    if not job.rates.known:
        return []
    prices = priced(job, repairs)
    return marked(
        Bookmark("price", HEADING, 0),
        [
            *section(setting, HEADING, _zones(setting, prices), before=_before(setting, prices)),
            *section(setting, "Rates", _rates(setting, job.rates), after=_NO_OTHERS),
        ],
    )


def _before(setting: Setting, prices: Prices) -> list[Flowable]:
    """How the figures are meant, and what is in none of them."""
    elsewhere = (_ELSEWHERE,) if len(prices.zones) > MOST_ZONES else ()
    words = setting.trade(" ".join((TAX, _METHOD, *elsewhere)))
    missing = setting.trade(" ".join(not_priced_words(prices)))
    return [setting.words(words, TEXT), *([setting.words(missing, LOUD)] if missing else []), Spacer(1, 2 * MM)]


def _zones(setting: Setting, prices: Prices) -> Grid:
    short = len(prices.zones) > MOST_ZONES
    rated = [Column(f"{words} {prices.currency}", 24.0, right=True) for words in ("Rate", "Amount")]
    columns = [
        Column("Zone", 17.0),
        Column("What", 0),
        Column("Quantity", 22.0, right=True),
        Column("Unit", 13.0),
        *(() if short else rated),
        Column(f"Zone {prices.currency}", 27.0, right=True),
    ]
    grid = Grid(setting, columns, dense=True)
    for zone in prices.zones:
        _zone(setting, grid, zone, short=short)
    _totals(setting, grid, prices, short=short)
    return grid


def _zone(setting: Setting, grid: Grid, zone: ZonePrice, *, short: bool) -> None:
    """The lines of a zone, kept together, or its first alone; its price stands in the first."""
    ref, state = setting.link(zone.ref, f"zone-{zone.ref}", BOLD), "; provisional" if zone.provisional else ""
    if zone.price is None:
        grid.row(ref, setting.words(setting.trade(f"not priced: {zone.why}{state}"), LOUD))
        grid.spread(1, -1)
        return
    first, *more = zone.lines
    grid.begin_block()
    what, *figures = _cells(setting, first, short=short)
    grid.row(ref, f"{what}{state}", *figures, setting.words(setting.units.number(zone.price), RIGHT_BOLD))
    for line in () if short else more:
        grid.row("", *_cells(setting, line, short=short), rule=False)
    grid.end_block()


def _cells(setting: Setting, line: PriceLine, *, short: bool) -> list[str]:
    """What it is for, how much of it, and, where there is room for all lines, its rate and what that gives."""
    number = setting.units.number
    rated = [] if short else [number(line.rate), number(line.amount)]
    return [capital(line_words(setting.units, line)), number(line.quantity), line.unit, *rated]


def _totals(setting: Setting, grid: Grid, prices: Prices, *, short: bool) -> None:
    number, blank = setting.units.number, [""] * (len(grid.columns) - 3)
    if prices.job_lines or prices.provisional:
        grid.total("All zones", "", *blank, number(prices.of_zones), strong=False)
        grid.spread(0, 1)
    if prices.provisional:
        grid.row("", "of which provisional zones", *blank, number(prices.provisional), rule=False)
    for line in prices.job_lines:
        grid.row("The job", *_cells(setting, line, short=short), number(line.amount))
    grid.total(sum_words(whole=not prices.not_priced, of=_TOTAL), "", *blank, number(prices.total))
    grid.spread(0, 1)


def _rates(setting: Setting, rates: Rates) -> Grid:
    grid = Grid(
        setting, [Column("Rate", 62), Column("For each", 0), Column(rates.currency, 30, right=True)], dense=True
    )
    for name, by, figure in _entered(setting, rates):
        grid.row(name, by, figure)
    return grid


def _entered(setting: Setting, rates: Rates) -> Iterator[tuple[str, str, str]]:
    """The rates that were entered: what for, by what, and the figure."""
    for name in RATE_WORDS:
        rate = rates.of(name)
        if rate is not None:
            by = setting.trade(_BY[TAKEN[name]].format(length=rates.per.value))
            figure = setting.units.number(with_minor_unit(rate, rates.currency))
            yield item_words(setting.units, name), by, figure
