"""Deeds on the rates of a job: one rate, their currency, the length that they are for, or all of them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from leakmap.base.money import currency_named
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.rates import RATE_WORDS, Per, Rates
from leakmap.work.edits.edit import Edit, deed, edited, refused


@deed
def set_rate(job: Job, *, name: str, value: Decimal | None) -> Edit:
    """Set one rate; None: there is none.

    Args:
        job: The job.
        name: A name of ``RATE_WORDS``.
        value: In the currency of the rates, for the length that they are for.

    Raises:
        EditRefused: There is no such rate, nothing can be asked by it, or no currency is chosen.
    """
    if name not in RATE_WORDS:
        raise refused(f"There is no rate {name}.", where=name)
    return take_rates(
        job, rates=job.rates.with_rate(name, value), words=f"set rate: {in_trade_words(job.units, RATE_WORDS[name])}"
    )


@deed
def set_currency(job: Job, *, currency: str) -> Edit:
    """Say in which currency the rates are; no figure is changed.

    Raises:
        EditRefused: No such currency is in use, or rates would be without one.
    """
    code = currency_named(currency, before=job.rates.currency) if currency.strip() else ""
    return _unconverted(job, take_rates(job, rates=replace(job.rates, currency=code), words="set the currency"))


@deed
def set_rates_per(job: Job, *, per: Per) -> Edit:
    """Say for which length the rates are; no figure is changed."""
    length = in_trade_words(job.units, per.value)
    edit = take_rates(job, rates=replace(job.rates, per=per), words=f"set rates for the {length}")
    return _unconverted(job, edit)


@deed
def take_rates(job: Job, *, rates: Rates, words: str = "take a table of rates") -> Edit:
    """Put all rates into the job."""
    return edited(job, words=words, rates=rates)


def _unconverted(job: Job, edit: Edit) -> Edit:
    """With the sentence that no figure was changed, where there is one."""
    told = edit.changed and job.rates.known
    return replace(edit, said=("Rates stay as they were entered; none was converted.",)) if told else edit
