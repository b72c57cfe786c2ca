"""The sheets of the price: every line a live product of its quantity and its rate, and the rates, each in one cell.

A quantity that is a zone's chargeable length is taken from the sheet of zones; whoever types another rate has the whole
price reckoned anew. A spreadsheet reckons in binary; what it rounds to the minor unit is the amount that papers print.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from leakmap.base.measures import FOOT_M
from leakmap.base.money import minor_unit, with_minor_unit
from leakmap.base.sentences import capital
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.price_words import item_words, line_words
from leakmap.issue.workbook.book import Book, Cell, Column, Formula, Table
from leakmap.issue.workbook.figures import Figures
from leakmap.issue.workbook.zones import FIRM, PROVISIONAL, ZoneTable
from leakmap.model.job import Job
from leakmap.model.rates import RATE_WORDS, TAKEN, Per, Rates, Taken
from leakmap.repair.price import PriceLine, Prices, ZonePrice, priced
from leakmap.repair.results import Repairs

_ZONE, _STATE, _QUANTITY, _RATE, _AMOUNT = 0, 1, 3, 5, 6
_JOB: Final = "job"
_BY: Final = {Taken.RELIEF_POINT: "relief point", Taken.ZONE: "zone", Taken.JOB: "job"}
_PLACES: Final = {Per.METRE: 3, Per.FOOT: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceTable:
    """Where the amounts stand, for whoever adds them up.

    Attributes:
        prices: What stands there.
        states: Addresses of the words firm, provisional and job.
        amounts: Addresses of the amounts.
        places: Decimals of an amount.
    """

    prices: Prices
    states: str
    amounts: str
    places: int

    @property
    def form(self) -> str:
        """Number format of an amount."""
        return _form(self.places)

    @property
    def sums(self) -> tuple[Formula, Formula, Formula]:
        """Live sums of what is firm, of what is provisional, and of all."""
        whole, part = f"SUM({self.amounts})", f'SUMIFS({self.amounts},{self.states},"{PROVISIONAL}")'
        total, provisional = self.prices.total, self.prices.provisional
        return (
            self._rounded(f"{whole}-{part}", total - provisional),
            self._rounded(part, provisional),
            self._rounded(whole, total),
        )

    def _rounded(self, text: str, value: Decimal) -> Formula:
        return Formula(f"ROUND({text},{self.places})", float(value))


def price_tables(book: Book, figures: Figures, job: Job, repairs: Repairs, zones: ZoneTable) -> PriceTable | None:
    """Write both sheets; None where the job has no rate."""
    if not job.rates.known:
        return None
    prices = priced(job, repairs)
    places = _decimals(minor_unit(prices.currency))
    table = book.table("Price", _columns(job.rates, places))
    sheet = _Sheet(table, figures, job, prices, _rate_table(book, job), zones, places)
    for at, zone in enumerate(prices.zones):
        sheet.zone(zone, row=at + 2)
    for line in prices.job_lines:
        table.row("", _JOB, *sheet.line(line), sheet.sum_of("", line.amount), "")
    table.closed()
    return PriceTable(prices=prices, states=table.range_of(_STATE), amounts=table.range_of(_AMOUNT), places=places)


def _columns(rates: Rates, places: int) -> list[Column]:
    money = _form(places)
    return [
        Column(words="Zone"),
        Column(words="State"),
        Column(words="What", wrapped=True),
        Column(words="Quantity", form=_form(_PLACES[rates.per])),
        Column(words="Unit"),
        Column(words=f"Rate {rates.currency}", form=_rate_form(rates)),
        Column(words=f"Amount {rates.currency}", form=money),
        Column(words=f"Zone {rates.currency}", form=money),
        Column(words="Not priced", wrapped=True),
    ]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """The sheet of the price while it is filled; ``rates`` holds the cell of each rate."""

    table: Table
    figures: Figures
    job: Job
    prices: Prices
    rates: dict[str, str]
    zones: ZoneTable
    places: int

    def zone(self, zone: ZonePrice, *, row: int) -> None:
        """Write a zone; ``row`` is its row on the sheet of zones."""
        state = PROVISIONAL if zone.provisional else FIRM
        if zone.price is None:
            why = in_trade_words(self.job.units, zone.why)
            self.table.row(zone.ref, state, "", None, "", None, None, None, why)
        for at, line in enumerate(zone.lines):
            price = self.sum_of(zone.ref, zone.price) if at == 0 and zone.price is not None else None
            self.table.row(zone.ref, state, *self.line(line, row=row), price, "")

    def line(self, line: PriceLine, *, row: int | None = None) -> tuple[Cell, ...]:
        """What it is for, quantity, unit, rate and amount."""
        quantity, rate = (self.table.cell_of(at) for at in (_QUANTITY, _RATE))
        shown: Cell = float(line.quantity) if TAKEN[line.rate_name].is_length else int(line.quantity)
        if row is not None and TAKEN[line.rate_name] is Taken.CHARGEABLE:
            shown = Formula(self._quantity(row), float(line.quantity))
        return (
            capital(line_words(self.job.units, line)),
            shown,
            line.unit,
            Formula(self.rates[line.rate_name], float(line.rate)),
            Formula(f"ROUND({quantity}*{rate},{self.places})", float(line.amount)),
        )

    def sum_of(self, ref: str, price: Decimal) -> Formula:
        """The live price of the zone in the row that is written; of the job's own line its amount."""
        zone, amount = self.table.cell_of(_ZONE), self.table.cell_of(_AMOUNT)
        if not ref:
            return Formula(amount, float(price))
        return Formula(f"ROUND(SUMIFS($G:$G,$A:$A,{zone}),{self.places})", float(price))

    def _quantity(self, row: int) -> str:
        """A zone's chargeable length from the sheet of zones, in what rates are for."""
        cell = self.zones.cell_of("chargeable_m", row)
        per, metric = self.job.rates.per, self.job.units.metric
        other = f"/{FOOT_M}" if metric else f"*{FOOT_M}"
        return f"ROUND({cell}{'' if metric is (per is Per.METRE) else other},{_PLACES[per]})"


def _rate_table(book: Book, job: Job) -> dict[str, str]:
    """Write the rates that were entered; gives the cell of each by its name."""
    rates = job.rates
    columns = [Column(words="Rate"), Column(words="For each"), Column(words=rates.currency, form=_rate_form(rates))]
    table, found = book.table("Rates", columns), {}
    for name in RATE_WORDS:
        rate = rates.of(name)
        if rate is not None:
            by = in_trade_words(job.units, _BY.get(TAKEN[name], rates.per.value))
            row = table.row(item_words(job.units, name), by, float(rate))
            found[name] = f"Rates!$C${row}"
    table.closed()
    return found


def _rate_form(rates: Rates) -> str:
    """Number format of the rates: as many decimals as the finest has, and the minor unit at least."""
    known = (rates.of(name) for name in RATE_WORDS)
    return _form(max(_decimals(with_minor_unit(rate, rates.currency)) for rate in known if rate is not None))


def _form(places: int) -> str:
    return f"#,##0.{'0' * places}" if places else "#,##0"


def _decimals(figure: Decimal) -> int:
    exponent = figure.as_tuple().exponent
    assert isinstance(exponent, int)
    return -exponent
