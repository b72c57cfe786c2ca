"""The rates of a job as lines that anyone can read and change: their currency, the length they are for, and each rate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Final

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.measures import Units
from leakmap.base.money import currencies, currency_words, suggested_currency, with_minor_unit, without_currency
from leakmap.base.sentences import capital
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.rates import RATE_WORDS, TAKEN, Per, Rates, Taken, usual_per
from leakmap.records.tables.rate_table import read_rates
from leakmap.work.declared import Line, figure_of
from leakmap.work.edits.edit import Edit, in_turn, together
from leakmap.work.edits.rates import set_currency, set_rate, set_rates_per, take_rates

RATES_HEADING: Final = "Rates of this job"
NOT_ENTERED: Final = "not entered"
"""Stands for a rate that nobody entered."""

_CURRENCY: Final = "currency"
_PER: Final = "per"
_CURRENCY_WORDS: Final = "code of three letters, such as EUR (ISO 4217)"
_TOLD: Final = {
    Taken.CHARGEABLE: "For each {length} of a zone's chargeable length where this is its method.",
    Taken.MEASURED: "For each {length} measured there, on top of the method; not entered: nothing is added.",
    Taken.RELIEF_POINT: "For each relief point, on top of the method; not entered: nothing is added.",
    Taken.ZONE: "Once for each zone that is priced; not entered: nothing is added.",
    Taken.JOB: "Once for the whole job; not entered: nothing is added.",
}
_LONGEST: Final = 20  # signs of a rate that is typed


def rate_lines(job: Job) -> tuple[Line, ...]:
    """The currency, the length that rates are for, then every rate."""
    rates, units = job.rates, job.units
    named = (
        f"{currency_words(rates.currency)}; {_CURRENCY_WORDS}." if rates.currency else f"{capital(_CURRENCY_WORDS)}."
    )
    length = in_trade_words(units, rates.per.value)
    currency = Line(
        name=_CURRENCY,
        group=RATES_HEADING,
        title="Currency",
        words=named,
        text=rates.currency,
        usual=suggested_currency(units.locale) or rates.currency,
    )
    per = Line(
        name=_PER,
        group=RATES_HEADING,
        title="Rates of lengths are for a",
        words="No rate is converted when this or the units of the job change.",
        text=length,
        usual=in_trade_words(units, usual_per(units).value),
        choices=tuple(in_trade_words(units, each.value) for each in Per),
    )
    return (currency, per, *_rates(job, length))


def change_rate(job: Job, *, name: str, text: str) -> Edit:
    """The deed that puts one line of ``rate_lines`` in force; the first rate brings the currency of the locale along.

    Raises:
        BadValue: The text is no such value.
        EditRefused: Nothing can be asked by it, or no currency is chosen.
    """
    if name == _CURRENCY:
        return set_currency(job, currency=text)
    if name == _PER:
        called = {word: each for each in Per for word in (each.value, in_trade_words(job.units, each.value))}
        if text not in called:
            raise BadValue(f"“{text}” is none of: {', '.join(in_trade_words(job.units, each.value) for each in Per)}.")
        return set_rates_per(job, per=called[text])
    words = text.strip()
    if words in {"", NOT_ENTERED}:
        return set_rate(job, name=name, value=None)
    suggested = suggested_currency(job.units.locale)
    value = _figure(job, name, words, job.rates.currency or suggested)
    if job.rates.currency or not suggested:
        return set_rate(job, name=name, value=value)
    first, then = in_turn(
        job, (lambda old: set_currency(old, currency=suggested), lambda old: set_rate(old, name=name, value=value))
    )
    edit = together((first, then), words=then.words)
    return replace(edit, said=(*edit.said, f"Rates are in {suggested}, as the locale of the job suggests."))


def rates_taken(job: Job, path: Path) -> Edit:
    """The deed that takes the rates of a file; what it says begins with what was taken, then what was not.

    Raises:
        UnusableTable: It is no table of rates.
        OSError: It cannot be read.
    """
    rates, findings = read_rates(path.read_bytes(), path.name, job.rates)
    edit = take_rates(job, rates=rates)
    taken = _taken(job, rates, path.name) if edit.changed else f"{path.name} changes nothing."
    return replace(edit, said=(taken, *(finding.text for finding in findings)))


def _taken(job: Job, rates: Rates, name: str) -> str:
    """What was taken of a file, and what rates are in where that is another than before."""
    changed = sum(rates.of(each) != job.rates.of(each) for each in RATE_WORDS)
    words = f"{many(changed, 'rate')} of {name} taken"
    if (rates.currency, rates.per) != (job.rates.currency, job.rates.per):
        words += f"; rates are in {rates.currency or 'no currency'}, for a {in_trade_words(job.units, rates.per.value)}"
        words += ", and none was converted" if job.rates.known else ""
    return f"{words}."


def rate_text(rates: Rates, units: Units, name: str) -> str:
    """A rate as a field holds it, with what it is in: EUR/m, or EUR."""
    value = rates.of(name)
    if value is None:
        return NOT_ENTERED
    return f"{units.entered(with_minor_unit(value, rates.currency))} {rates.unit_of(name)}"


def _rates(job: Job, length: str) -> Iterator[Line]:
    for name, words in RATE_WORDS.items():
        yield Line(
            name=name,
            group=RATES_HEADING,
            title=capital(in_trade_words(job.units, words)),
            words=_TOLD[TAKEN[name]].format(length=length),
            text=rate_text(job.rates, job.units, name),
            usual=NOT_ENTERED,
            figure=True,
            back="Clear",
        )


def _figure(job: Job, name: str, words: str, currency: str) -> Decimal:
    """The rate that was typed, with or without its currency and length.

    Raises:
        BadValue: It is no figure, or one in another currency or for another length.
    """
    figure, _, length = words.partition("/") if TAKEN[name].is_length else (words, "", "")
    other = next((word for word in figure.upper().split() if word != currency and word in currencies()), "")
    if other and currency:
        raise _elsewhere(words, f"in {other}", f"in {currency}")
    called = {each: in_trade_words(job.units, each.value) for each in Per}
    meant = next((each for each in Per if length.strip() in {each.symbol, called[each]}), None)
    if meant not in {None, job.rates.per}:
        raise _elsewhere(words, f"for a {called[meant]}", f"for a {called[job.rates.per]}")
    plain = without_currency(words if length and meant is None else figure, currency or other)
    return figure_of(plain or words, "", job.units, longest=_LONGEST)


def _elsewhere(words: str, there: str, here: str) -> BadValue:
    return BadValue(f"“{words[:20]}” is {there}, and rates here are {here}; type it {here}.")
