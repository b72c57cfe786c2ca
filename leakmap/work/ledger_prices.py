"""What zones cost, as the ledger shows it: each is priced once and again only when it or a rate changes, and what is said below."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from typing import Final

from leakmap.base.counted import many
from leakmap.base.money import with_code
from leakmap.base.rounding import ZERO
from leakmap.base.sentences import capital
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.repair.price import (
    EACH,
    PriceLine,
    Prices,
    ZonePrice,
    leaks_not_priced,
    not_priced_words,
    price_of,
    priced,
    zones_not_priced,
)
from leakmap.repair.results import Repairs, Zone
from leakmap.work.check_list import Where
from leakmap.work.issued_sums import IssuedSum
from leakmap.work.kept import Kept
from leakmap.work.ledger_notes import Note, Section, Sign
from leakmap.work.settings import Role

NOT_PRICED: Final = "not priced"
"""Stands for the price of a zone that no rate is for."""

_HEADING: Final = "Price of the whole job"
_MOST: Final = 30
"""Zones that are listed one by one; more are only added up."""

_MEND: Final = "P opens the rates · show on plan"


def shows_prices(job: Job | None, role: Role) -> bool:
    """Whether what zones cost is shown: only to who asks for it, and once the job has a rate."""
    return role is Role.ESTIMATOR and job is not None and job.rates.known


def zone_price(job: Job, zone: Zone, kept: Kept) -> ZonePrice:
    """What a zone costs; the very same while it, its joints and the rates are."""
    joints = kept.of(("joints of", zone.number), (zone,), lambda: tuple({row.joint: None for row in zone.rows}))
    values = (zone, job.rates, *map(job.joints.__getitem__, joints))
    return kept.of(("price", zone.number), values, partial(price_of, job, zone))


def kept_prices(job: Job, repairs: Repairs, kept: Kept) -> Prices:
    """What a job costs; zones that cost the same as before are not priced again."""
    return kept.of(("prices",), (job, repairs), lambda: _prices(job, repairs, kept))


def _prices(job: Job, repairs: Repairs, kept: Kept) -> Prices:
    """Prices of which those of zones that are the very same are found by these, while rates and joints are."""
    made: dict[int, tuple[Zone, ZonePrice]] = kept.of(("prices of zones",), (job.rates, job.joints), dict)

    def price(job: Job, zone: Zone) -> ZonePrice:
        held = made.get(id(zone))
        if held is None:
            held = made[id(zone)] = zone, zone_price(job, zone, kept)
        return held[1]

    found = priced(job, repairs, price=price)
    for left in made.keys() - set(map(id, repairs.zones)):
        del made[left]
    return found


def price_section(job: Job, repairs: Repairs, prices: Prices | None) -> Section:
    """What the whole job costs and what that is made of, then what is not priced and why, each with the first zone of it.

    Args:
        job: The job.
        repairs: Its work-out.
        prices: What it costs; None: that is not known yet.
    """
    if prices is None:
        return Section(heading=_HEADING, notes=(Note(words="Zones are being priced"),))
    whole = not (prices.not_priced or prices.another_method)
    words = f"{'' if whole else 'from '}{_money(job, prices.total)}, without tax"
    total = Note(words=words, more=_made_of(job, prices))
    notes = [
        Note(
            words=in_trade_words(job.units, said.removesuffix(".")),
            more=_MEND,
            sign=Sign.LOOK,
            where=Where("zone", first.number),
            shows=True,
        )
        for said, first in zones_not_priced(job, repairs)
    ]
    if prices.another_method:
        notes.append(Note(words=leaks_not_priced(prices.another_method).removesuffix("."), sign=Sign.LOOK))
    return Section(heading=_HEADING, notes=(total, *notes))


def picked_section(job: Job, repairs: Repairs, picked: frozenset[int], prices: Prices | None) -> Section | None:
    """What zones that are picked cost: one line by line, several one by one and together; None where none is priced.

    Args:
        job: The job.
        repairs: Its work-out.
        picked: Numbers of zones.
        prices: What the job costs; None: that is not known yet.
    """
    zones = [zone for zone in repairs.zones if zone.number in picked]
    if prices is None or not zones:
        return None
    costs = [prices.by_ref[zone.ref] for zone in zones]
    known = [cost.price for cost in costs if cost.price is not None]
    if len(costs) == 1:
        notes = tuple(_line_note(job, line) for line in costs[0].lines)
        return Section(heading=f"Price of {costs[0].ref}", notes=notes) if notes else None
    each = tuple(_zone_note(job, cost) for cost in costs[:_MOST])
    together = Note(words=f"Together, {_money(job, sum(known, ZERO))}", more=_left_out(len(costs) - len(known)))
    return Section(heading=f"Price of {len(costs)} zones", notes=(*each, together)) if known else None


def then_and_now(job: Job, then: IssuedSum, prices: Prices) -> Note:
    """What a revision came to beside what the job costs now, and by how much that is more or less where both tell.

    They tell where the same is missing in both, and where both are in one currency.
    """
    now = IssuedSum(currency=prices.currency, total=prices.total, not_priced=not_priced_words(prices))
    told = (each.words(job.units, named=True) for each in (then, now))
    words = "{} as issued, {} now".format(*told)
    by = now.total - then.total
    if (then.currency, then.not_priced) != (now.currency, now.not_priced):
        return Note(words=words)
    more = f"{_money(job, abs(by))} {'more' if by > 0 else 'less'}, without tax" if by else "the same, without tax"
    return Note(words=words, more=more)


def _line_note(job: Job, line: PriceLine) -> Note:
    units, words = job.units, capital(in_trade_words(job.units, line.words))
    length = "" if line.unit == EACH else f" {line.unit}"
    return Note(
        words=f"{words}, {_money(job, line.amount)}",
        more=f"{units.number(line.quantity)}{length} × {units.number(line.rate)}",
    )


def _zone_note(job: Job, cost: ZonePrice) -> Note:
    return Note(words=f"{cost.ref}, {NOT_PRICED if cost.price is None else _money(job, cost.price)}")


def _left_out(count: int) -> str:
    return "" if not count else f"{many(count, 'zone')} not priced, not in it"


def _made_of(job: Job, prices: Prices) -> str:
    """What zones cost, what of it is not sure, and what is asked once; empty where all is for firm zones."""
    parts = [f"zones {_money(job, prices.of_zones)}"]
    if prices.provisional:
        parts[0] += f", of it provisional {_money(job, prices.provisional)}"
    parts += [f"{in_trade_words(job.units, line.words)} {_money(job, line.amount)}" for line in prices.job_lines]
    return " · ".join(parts) if prices.provisional or prices.job_lines else ""


def _money(job: Job, amount: Decimal) -> str:
    return with_code(job.units.locale, amount, job.rates.currency)
