"""Money against published tables, a published priced bill, and a library that had no part in it.

Minor units are those of ISO 4217, table A.1, as an open data set of the standard's list carries it (read). That
an item is quantity × rate and that items are carried to a total is shown by a contractor's priced bill in a textbook on
estimating and tendering for construction work, figure 5.8 (read), whose figures stand below.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from babel.numbers import format_currency, get_currency_precision, list_currencies
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.base.locales import MINUS, OFFERED, marks_of
from leakmap.base.money import (
    currencies,
    currency_named,
    minor_unit,
    suggested_currency,
    sum_of,
    to_minor_unit,
    with_code,
)
from leakmap.model.rates import Rates
from leakmap.repair.price import price_of
from leakmap.repair.work_out import repairs
from tests.helpers.jobs import job_of, leak, line

MINOR_UNITS = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF VND VUV XAF XOF XPF",
    2: "AUD BRL CAD CHF CNY CZK DKK EUR GBP ILS INR MXN NOK NZD PLN RON SEK TRY UAH USD ZAR",
    3: "BHD JOD KWD LYD OMR TND",
}
"""Codes by their minor units, ISO 4217."""

BILL = (
    ("332", "4.00", "1328.00"),
    ("248", "5.25", "1302.00"),
    ("112", "6.63", "742.56"),
    ("445", "17.91", "7969.95"),
    ("247", "4.34", "1071.98"),
    ("1330", "20.09", "26719.70"),
)
"""Quantity, rate and amount of each item of the published bill; carried to its summary are 39 134.19."""

LOCALES = [locale for locale in OFFERED if marks_of(locale).thousands != "’"]  # there the library loses the mark


@pytest.mark.parametrize(("places", "codes"), MINOR_UNITS.items())
def test_minor_units_are_those_of_the_standard(places: int, codes: str) -> None:
    """Amounts have as many decimals as the standard gives the currency; all of these are in use."""
    for code in codes.split():
        assert minor_unit(code) == Decimal(1).scaleb(-places), code
        assert code in currencies()
        assert to_minor_unit(Decimal("1.5555"), code).as_tuple().exponent == -places


def test_currencies_are_the_librarys_without_those_of_the_past() -> None:
    """Every one is known there with as many decimals; none that made way is offered or taken."""
    assert set(currencies()) < list_currencies()
    assert all(minor_unit(code) == Decimal(1).scaleb(-get_currency_precision(code)) for code in currencies())
    for past in ("DEM", "FRF", "HRK", "XAU", "EURO", "€", ""):
        with pytest.raises(BadValue, match="no currency in use"):
            currency_named(past)
    assert [suggested_currency(locale) for locale in ("de-AT", "fr-CH", "en-GB", "pt-BR", "sv", "")] == [
        "EUR", "CHF", "GBP", "BRL", "SEK", "",
    ]  # fmt: skip
    assert all(suggested_currency(locale) in currencies() for locale in OFFERED)


def test_a_published_bill_is_priced_to_its_figures() -> None:
    """Each quantity as the chargeable length of a zone by that rate gives that amount, and their sum is the published one."""
    job = job_of([line((0, 0), (4, 0))], [leak(1, 1.0, 2.0)])
    (zone,) = repairs(job).zones
    amounts = []
    for quantity, rate, amount in BILL:
        asked = replace(job, rates=Rates(currency="GBP", slot_plug=Decimal(rate)))
        found = price_of(asked, replace(zone, chargeable_m=Decimal(quantity)))
        assert str(found.price) == amount
        amounts += [line.amount for line in found.lines]
    assert str(sum_of(amounts, "GBP")) == "39134.19"


@given(st.fractions(0, 10**6), st.sampled_from(["EUR", "JPY", "TND"]))
@settings(max_examples=60)
def test_amounts_are_the_nearest_and_halves_go_up(amount: Fraction, code: str) -> None:
    """By exact fractions: an amount is off by half a minor unit at most, and by exactly that only upwards."""
    exact = Decimal(round(amount * 10**6)) / 10**6
    off = Fraction(to_minor_unit(exact, code)) - Fraction(exact)
    half = Fraction(minor_unit(code)) / 2
    assert -half < off <= half


@pytest.mark.parametrize("locale", LOCALES)
def test_an_amount_stands_as_the_locale_writes_it(locale: str) -> None:
    """The library gives the same amount with the code in place of the sign, but for its sorts of spaces."""
    for amount in (Decimal("1234567.50"), Decimal("0.05"), Decimal("0.00")):
        theirs = format_currency(amount, "EUR", format=_with_code(locale), locale=locale.replace("-", "_"))
        assert _plain(with_code(locale, amount, "EUR")) == _plain(theirs)


def _with_code(locale: str) -> str:
    """The library's own pattern of a locale with the code of the currency for its sign, and the minus before all."""
    from babel import Locale  # noqa: PLC0415 - for this alone

    pattern = Locale.parse(locale, sep="-").currency_formats["standard"].pattern.partition(";")[0]
    return pattern.replace("¤", "¤¤")


def _plain(words: str) -> str:
    """Words without spaces and marks of direction, with one sort of minus and apostrophe."""
    plain = words.replace(MINUS, "-").replace("’", "'")
    return "".join(sign for sign in plain if not sign.isspace() and sign not in "\u200e\u200f")
