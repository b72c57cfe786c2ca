"""What zones cost, as the ledger shows it: each is priced once and again only when it or a rate changes, and what is said below."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from typing import Final

from leakmap.base.money import with_code
from leakmap.base.rounding import ZERO
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.repair.price import Prices, ZonePrice, leaks_not_priced, price_of, priced, zones_not_priced
from leakmap.repair.results import Repairs, Zone
from leakmap.work.check_list import Where
from leakmap.work.kept import Kept
from leakmap.work.ledger_notes import Note, Section, Sign

NOT_PRICED: Final = "not priced"
"""Stands for the price of a zone that no rate is for."""

_HEADING: Final = "Price of the whole job"
_MEND: Final = "P opens the rates · show on plan"


def zone_price(job: Job, zone: Zone, kept: Kept) -> ZonePrice:
    """What a zone costs; the very same while it, its joints and the rates are."""
    joints = kept.of(("joints of", zone.number), (zone,), lambda: tuple({row.joint: None for row in zone.rows}))
    values = (zone, job.rates, *map(job.joints.__getitem__, joints))
    return kept.of(("price", zone.number), values, partial(price_of, job, zone))


def kept_prices(job: Job, repairs: Repairs, kept: Kept) -> Prices:
    """What a job costs; zones that cost the same as before are not priced again."""

    def price(job: Job, zone: Zone) -> ZonePrice:
        return zone_price(job, zone, kept)

    return kept.of(("prices",), (job, repairs), lambda: priced(job, repairs, price=price))


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


def _made_of(job: Job, prices: Prices) -> str:
    """What zones cost, what of it is not sure, and what is asked once; empty where all is for firm zones."""
    once = sum((line.amount for line in prices.job_lines), ZERO)
    parts = [f"zones {_money(job, prices.total - once)}"]
    if prices.provisional:
        parts[0] += f", of it provisional {_money(job, prices.provisional)}"
    parts += [f"{in_trade_words(job.units, line.words)} {_money(job, line.amount)}" for line in prices.job_lines]
    return " · ".join(parts) if prices.provisional or prices.job_lines else ""


def _money(job: Job, amount: Decimal) -> str:
    return with_code(job.units.locale, amount, job.rates.currency)
