"""What the repair of a job costs by its rates: a line for each zone and rate, rounded once, and sums of those.

A zone is asked for by the rate of its heaviest method and its chargeable length; what lies on a wall, on a soffit, in a
corner or on a vertical joint is added by its measured length. A quantity is what is printed, each line is rounded once, half
up, to the minor unit of the currency, and every sum is that of the printed lines: whoever reckons a paper again finds its
figures. A zone whose method has no rate is not priced, never taken as nothing. Tax is in none of the figures.

Source: a bill of quantities gives quantity × rate = amount for each item and carries the amounts to a total; a published
one is reckoned again in the tests.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cached_property
from typing import Final, TypeVar

from leakmap.base.counted import many
from leakmap.base.money import sum_of, to_minor_unit, with_minor_unit
from leakmap.base.rounding import ZERO, decimal_of
from leakmap.base.sentences import listed
from leakmap.model.job import Job
from leakmap.model.rates import METHOD_RATES, RATE_WORDS, TAKEN, Per, Taken, addition_of
from leakmap.repair.results import Repairs, Zone

TAX: Final = "Tax is not in these sums."
"""What every paper says that shows a price."""

EACH: Final = "each"
"""The unit of what is counted."""

_STEPS: Final = {Per.METRE: Decimal("0.001"), Per.FOOT: Decimal("0.01")}
_NAMED: Final = 8  # references in a sentence; of more it says how many


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line: a quantity by a rate.

    Attributes:
        rate_name: The rate, by its field in ``Rates``.
        words: What it is for.
        quantity: As printed: metres to 0.001, feet to 0.01, or a number.
        unit: "m", "ft" or "each".
        rate: As entered, with the decimals of the currency at least.
        amount: Quantity × rate, rounded once to the minor unit.
    """

    rate_name: str
    words: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePrice:
    """What one zone costs.

    Attributes:
        lines: Empty where it is not priced.
        price: Sum of its lines; None where it is not priced.
        why: What there is no rate for; empty where it is priced.
    """

    ref: str
    provisional: bool
    lines: tuple[PriceLine, ...]
    price: Decimal | None
    why: str = ""


Z = TypeVar("Z", Zone, ZonePrice)


@dataclass(frozen=True, kw_only=True)  # without slots: it keeps what is asked again
class Prices:
    """What a job costs.

    Attributes:
        currency: Code of its currency; empty where no rate is entered and none was chosen.
        zones: As the zones of the repairs.
        job_lines: What is asked once for the whole job.
        another_method: Leaks under another method, which no rate is for.
        total: Sum of the zones that are priced, and of ``job_lines``.
        provisional: The part of it that provisional zones are.
    """

    currency: str
    per: Per
    zones: tuple[ZonePrice, ...]
    job_lines: tuple[PriceLine, ...]
    another_method: int
    total: Decimal
    provisional: Decimal

    @cached_property
    def by_ref(self) -> Mapping[str, ZonePrice]:
        """What each zone costs, by its reference."""
        return {zone.ref: zone for zone in self.zones}

    @cached_property
    def not_priced(self) -> tuple[ZonePrice, ...]:
        """Zones that no rate is for."""
        return tuple(zone for zone in self.zones if zone.price is None)

    @property
    def of_zones(self) -> Decimal:
        """The total without what is asked once for the whole job."""
        return self.total - sum((line.amount for line in self.job_lines), ZERO)

    @property
    def lines(self) -> Iterator[tuple[str, PriceLine]]:
        """Every line with the reference of its zone, empty for the job as a whole."""
        for zone in self.zones:
            for line in zone.lines:
                yield zone.ref, line
        for line in self.job_lines:
            yield "", line


def priced(job: Job, repairs: Repairs, *, price: Callable[[Job, Zone], ZonePrice] | None = None) -> Prices:
    """What the repairs of a job cost by its rates; ``price`` may know what a zone costs from before."""
    currency, of = job.rates.currency, price or price_of
    zones = tuple(of(job, zone) for zone in repairs.zones)
    own = tuple(_lines(job, {"job": Decimal(1)}))
    return Prices(
        currency=currency,
        per=job.rates.per,
        zones=zones,
        job_lines=own,
        another_method=len(repairs.another_method),
        total=_sum([zone.price for zone in zones] + [line.amount for line in own], currency),
        provisional=_sum([zone.price for zone in zones if zone.provisional], currency),
    )


def price_of(job: Job, zone: Zone) -> ZonePrice:
    """What one zone of a job costs."""
    why = _why_not(job, zone)
    if why:
        return ZonePrice(ref=zone.ref, provisional=zone.provisional, lines=(), price=None, why=why)
    quantities = {
        METHOD_RATES[zone.method]: quantity_of(job.rates.per, zone.chargeable_m),
        **{place: quantity_of(job.rates.per, length_m) for place, length_m in _added(job, zone).items()},
        "relief_point": Decimal(len(zone.relief)),
        "zone": Decimal(1),
    }
    lines = tuple(_lines(job, quantities))
    price = _sum([line.amount for line in lines], job.rates.currency)
    return ZonePrice(ref=zone.ref, provisional=zone.provisional, lines=lines, price=price)


def _why_not(job: Job, zone: Zone) -> str:
    """Why a zone is not priced; empty where it is."""
    name = METHOD_RATES.get(zone.method, "")
    return "" if name and job.rates.of(name) is not None else f"no rate for {zone.method.value}"


def unpriced_words(job: Job, repairs: Repairs) -> str:
    """How many zones no rate is for, in one sentence; empty where all have one. Nothing is priced to know that."""
    count = Counter(why for zone in repairs.zones if (why := _why_not(job, zone)))
    if not count:
        return ""
    return f"{many(count.total(), 'zone')} {'is' if count.total() == 1 else 'are'} not priced: {listed(list(count))}."


def quantity_of(per: Per, length_m: Decimal) -> Decimal:
    """A length as it is asked for: metres to 0.001, which is exact in a metric job, or feet to 0.01, rounded half up.

    >>> quantity_of(Per.METRE, Decimal("4.9")), quantity_of(Per.FOOT, Decimal("3.048"))
    (Decimal('4.900'), Decimal('10.00'))
    """
    exact = length_m if per is Per.METRE else decimal_of(Fraction(length_m) / Fraction(per.metres))
    return exact.quantize(_STEPS[per], rounding=ROUND_HALF_UP)


def not_priced_words(prices: Prices) -> tuple[str, ...]:
    """Sentences that say what is in no sum; empty where all is."""
    found = [words for words, _ in _by_why((zone.why, zone) for zone in prices.not_priced)]
    if prices.another_method:
        found.append(leaks_not_priced(prices.another_method))
    return tuple(found)


def leaks_not_priced(count: int) -> str:
    """The sentence that says of so many leaks that they are under another method, which no rate is for."""
    needs, are = ("needs", "is") if count == 1 else ("need", "are")
    return f"{many(count, 'leak')} {needs} another method and {are} not priced."


def zones_not_priced(job: Job, repairs: Repairs) -> Iterator[tuple[str, Zone]]:
    """A sentence for each rate that is missing, which counts its zones and names them, and the first of those.

    Nothing is priced to know that.
    """
    return _by_why((why, zone) for zone in repairs.zones if (why := _why_not(job, zone)))


def _by_why(zones: Iterable[tuple[str, Z]]) -> Iterator[tuple[str, Z]]:
    """For each reason the sentence on its zones, and the first of them."""
    heaps: dict[str, list[Z]] = {}
    for why, zone in zones:
        heaps.setdefault(why, []).append(zone)
    for why, heap in heaps.items():
        yield _not_priced(why, [zone.ref for zone in heap]), heap[0]


def _not_priced(why: str, refs: Sequence[str]) -> str:
    more = len(refs) - _NAMED
    named = listed([*refs[:_NAMED], f"{more} more"] if more > 0 else refs)
    return f"{many(len(refs), 'zone')} {'is' if len(refs) == 1 else 'are'} not priced: {why} ({named})."


def _added(job: Job, zone: Zone) -> dict[str, Decimal]:
    """Measured lengths that something is added for, by the names of their rates, in the order of those."""
    found: dict[str, Decimal] = {}
    for row in zone.rows:
        place = addition_of(job.joints[row.joint])
        found[place] = found.get(place, ZERO) + row.length_m
    return {name: found[name] for name in RATE_WORDS if name in found}


def _lines(job: Job, quantities: Mapping[str, Decimal]) -> Iterator[PriceLine]:
    """Lines for quantities by the names of their rates; what has no rate has none, nor what is added for nothing."""
    for name, quantity in quantities.items():
        rate = job.rates.of(name)
        if rate is None or not (quantity or TAKEN[name] is Taken.CHARGEABLE):
            continue
        yield PriceLine(
            rate_name=name,
            words=RATE_WORDS[name],
            quantity=quantity,
            unit=job.rates.per.symbol if TAKEN[name].is_length else EACH,
            rate=with_minor_unit(rate, job.rates.currency),
            amount=to_minor_unit(quantity * rate, job.rates.currency),
        )


def _sum(amounts: list[Decimal | None], currency: str) -> Decimal:
    known = [amount for amount in amounts if amount is not None]
    return sum_of(known, currency) if currency else ZERO
