"""The price of a job, in words and as rows for machines, as every paper gives it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from leakmap.base.csv_text import table_text
from leakmap.base.json_text import Json
from leakmap.base.measures import Units
from leakmap.base.money import with_code, with_minor_unit
from leakmap.base.sentences import capital, small
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.rates import RATE_WORDS
from leakmap.repair.price import TAX, PriceLine, Prices, ZonePrice, not_priced_words, priced
from leakmap.repair.results import Repairs
from leakmap.repair.sides import Differences

PRICE: Final = "Price, without tax"
"""What sums are called beside others; ``TAX`` says it as a sentence."""

COLUMNS: Final = (
    "zone", "provisional", "item", "what", "quantity", "unit", "rate", "amount", "currency", "not_priced",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceChange:
    """The prices of two jobs that are compared.

    Attributes:
        whole: Whether every zone of both is priced.
    """

    before: Decimal
    after: Decimal
    currency_before: str
    currency: str
    whole: bool

    @property
    def words(self) -> str:
        """What the two are."""
        return sum_words(whole=self.whole)


def sum_words(*, whole: bool, of: str = PRICE) -> str:
    """What a sum is called, beside others unless ``of`` says how; ``whole``: whether every zone is priced."""
    return of if whole else f"{of}; not all zones are priced"


def price_csv(job: Job, repairs: Repairs) -> str:
    """Every line as CSV text, decimal points in any locale; a zone that is not priced is a row that says why.

    The amounts add up to the total.
    """
    return table_text(COLUMNS, _rows(priced(job, repairs)))


def price_json(job: Job, repairs: Repairs) -> dict[str, Json]:
    """The price as JSON holds it, with the rates that it follows from; figures are exact decimals."""
    prices, rates = priced(job, repairs), job.rates
    known = ((name, rates.of(name)) for name in RATE_WORDS)
    return {
        "currency": prices.currency,
        "per": prices.per.value,
        "rates": {name: with_minor_unit(rate, rates.currency) for name, rate in known if rate is not None},
        "zones": [_zone(zone) for zone in prices.zones],
        "job": [_line(line) for line in prices.job_lines],
        "provisional": prices.provisional,
        "total": prices.total,
        "not_priced": list(not_priced_words(prices)),
        "tax": TAX,
    }


def price_text(job: Job, prices: Prices) -> Iterator[str]:
    """The price for a terminal: sums, what is in none of them, and that tax is not."""
    units = job.units
    provisional = f" (provisional {units.number(prices.provisional)})" if prices.provisional else ""
    yield "Price:"
    yield f"  zones {units.number(prices.of_zones)}{provisional}"
    yield from (f"  {line_words(units, line)} {units.number(line.amount)}" for line in prices.job_lines)
    yield f"  total {with_code(units.locale, prices.total, prices.currency)}"
    yield from (f"  {in_trade_words(units, words)}" for words in not_priced_words(prices))
    yield f"  {TAX}"


def zone_price_words(units: Units, prices: Prices, zone: ZonePrice) -> str:
    """What one zone costs, or why it is not priced, as one clause."""
    if zone.price is None:
        return in_trade_words(units, f"not priced: {zone.why}")
    return f"price {with_code(units.locale, zone.price, prices.currency)}"


def line_words(units: Units, line: PriceLine) -> str:
    """What a line is for."""
    return in_trade_words(units, line.words)


def item_words(units: Units, name: str) -> str:
    """What a rate is for, as a line of its own begins."""
    return capital(in_trade_words(units, RATE_WORDS[name]))


def price_change(found: Differences) -> PriceChange | None:
    """The prices of both sides of a comparison; None where either has no rate."""
    old, new = found.old.job, found.new.job
    if not old.rates.known or not new.rates.known:
        return None
    before, after = priced(old, found.old_repairs), priced(new, found.new_repairs)
    return PriceChange(
        before=before.total,
        after=after.total,
        currency_before=before.currency,
        currency=after.currency,
        whole=not before.not_priced and not after.not_priced,
    )


def price_change_text(units: Units, change: PriceChange) -> str:
    """Both prices as one line."""
    before, after = (
        with_code(units.locale, amount, currency)
        for amount, currency in ((change.before, change.currency_before), (change.after, change.currency))
    )
    return f"{small(change.words)}: {before} to {after}"


def _rows(prices: Prices) -> Iterator[tuple[str, ...]]:
    for zone in prices.zones:
        provisional = "yes" if zone.provisional else "no"
        if zone.price is None:
            yield (zone.ref, provisional, *[""] * 6, prices.currency, zone.why)
        yield from (_cells(prices, zone.ref, provisional, line) for line in zone.lines)
    yield from (_cells(prices, "", "no", line) for line in prices.job_lines)


def _cells(prices: Prices, ref: str, provisional: str, line: PriceLine) -> tuple[str, ...]:
    figures = (f"{line.quantity:f}", line.unit, f"{line.rate:f}", f"{line.amount:f}")
    return (ref, provisional, line.rate_name, line.words, *figures, prices.currency, "")


def _zone(zone: ZonePrice) -> dict[str, Json]:
    return {
        "zone": zone.ref,
        "provisional": zone.provisional,
        "lines": [_line(line) for line in zone.lines],
        "price": zone.price,
        "not_priced": zone.why,
    }


def _line(line: PriceLine) -> dict[str, Json]:
    return {
        "item": line.rate_name,
        "what": line.words,
        "quantity": line.quantity,
        "unit": line.unit,
        "rate": line.rate,
        "amount": line.amount,
    }
