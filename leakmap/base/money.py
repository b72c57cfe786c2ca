"""Money: currencies by their codes (ISO 4217), amounts rounded to a currency's minor unit, and how they are written.

Which currencies are in use, their names, and how many decimals their amounts have is from the Unicode CLDR, through
Babel. It follows ISO 4217, but for currencies whose minor unit nobody uses any more (COP, HUF, IDR), which it counts
in whole units. An amount is a Decimal, never a float. Beside it stands the code and no sign, for a dollar is one of
many countries, and fonts lack some signs.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.base.locales import figure_in, territory_of
from leakmap.base.rounding import ZERO

_NO_BREAK: Final = "\u00a0"
_SIGN: Final = "¤"  # where a pattern of the CLDR puts the currency


@cache
def currencies() -> tuple[str, ...]:
    """Codes of all currencies that are legal tender somewhere, in the order of letters.

    >>> {"EUR", "JPY", "TND", "USD"} <= set(currencies()), "DEM" in currencies()
    (True, False)
    """
    from babel.core import get_global  # noqa: PLC0415 - wanted only where money is

    uses = [use for every in get_global("territory_currencies").values() for use in every]
    return tuple(sorted({code for code, _, until, tender in uses if until is None and tender}))


def currency_named(words: str, *, before: str = "") -> str:
    """The code of the currency that a person means.

    Args:
        words: What the person says.
        before: The currency until then; said again it stays, though it made way meanwhile.

    >>> currency_named(" eur "), currency_named("hrk", before="HRK")
    ('EUR', 'HRK')

    Raises:
        BadValue: No such currency is in use.
    """
    code = words.strip().upper()
    if not code or code not in {before, *currencies()}:
        raise BadValue(f"“{words.strip()[:20]}” is no currency in use; give its code of three letters, such as EUR.")
    return code


def currency_words(currency: str) -> str:
    """A currency in words.

    >>> currency_words("CHF"), currency_words("XQX")
    ('Swiss Franc', 'XQX')
    """
    from babel.numbers import get_currency_name  # noqa: PLC0415 - as above

    return str(get_currency_name(currency, locale="en"))


def without_currency(words: str, currency: str) -> str:
    """Typed words without the code or the sign of a currency at either end.

    >>> without_currency("€ 61.50", "EUR"), without_currency("61.50 eur", "EUR"), without_currency("5", "")
    ('61.50', '61.50', '5')
    """
    from babel.numbers import get_currency_symbol  # noqa: PLC0415 - as above

    text = words.strip()
    for sign in (currency, currency.lower(), get_currency_symbol(currency, locale="en") if currency else ""):
        text = text.removeprefix(sign).removesuffix(sign).strip()
    return text


def suggested_currency(locale: str) -> str:
    """The currency of the country of a locale, or of the country where most of those live who speak its language.

    >>> suggested_currency("de-CH"), suggested_currency("de"), suggested_currency("en-US"), suggested_currency("")
    ('CHF', 'EUR', 'USD', '')
    """
    if not locale:
        return ""
    from babel.core import get_global  # noqa: PLC0415 - as above

    uses = get_global("territory_currencies").get(territory_of(locale), ())
    return next((str(code) for code, _, until, tender in uses if until is None and tender), "")


@cache
def minor_unit(currency: str) -> Decimal:
    """The least amount of a currency: what every amount of it is a multiple of.

    >>> minor_unit("EUR"), minor_unit("JPY"), minor_unit("TND")
    (Decimal('0.01'), Decimal('1'), Decimal('0.001'))
    """
    from babel.core import get_global  # noqa: PLC0415 - as above; the library's function for it loads twice as much

    digits = get_global("currency_fractions")
    return Decimal(1).scaleb(-int(digits.get(currency, digits["DEFAULT"])[0]))


def to_minor_unit(amount: Decimal, currency: str) -> Decimal:
    """An amount rounded half up to the minor unit of its currency.

    >>> to_minor_unit(Decimal("12.345"), "EUR"), to_minor_unit(Decimal("12.5"), "EUR"), to_minor_unit(Decimal("12.5"), "JPY")
    (Decimal('12.35'), Decimal('12.50'), Decimal('13'))
    """
    return amount.quantize(minor_unit(currency), rounding=ROUND_HALF_UP)


def sum_of(amounts: Iterable[Decimal], currency: str) -> Decimal:
    """A sum of amounts that were rounded, with the decimals of the currency.

    >>> sum_of([], "EUR"), sum_of([Decimal("0.10"), Decimal("0.20")], "EUR")
    (Decimal('0.00'), Decimal('0.30'))
    """
    return sum(amounts, ZERO).quantize(minor_unit(currency))


def with_minor_unit(amount: Decimal, currency: str) -> Decimal:
    """An amount with the decimals of its currency at least; a finer one, as a rate may be, keeps its own.

    >>> [str(with_minor_unit(Decimal(text), "EUR")) for text in ("61.5", "0.0125", "100")]
    ['61.50', '0.0125', '100.00']
    """
    least = minor_unit(currency)
    return amount if amount != amount.quantize(least) else amount.quantize(least)


def with_code(locale: str, amount: Decimal, currency: str) -> str:
    r"""An amount with the code of its currency, before or after it as the locale puts a sign; a space holds them together.

    >>> [with_code(locale, Decimal("1234.50"), "EUR") for locale in ("", "de", "en-GB")]
    ['1234.50\xa0EUR', '1.234,50\xa0EUR', 'EUR\xa01,234.50']
    """
    figure = figure_in(locale, amount)
    before = bool(locale) and _sign_stands_before(locale)
    return f"{currency}{_NO_BREAK}{figure}" if before else f"{figure}{_NO_BREAK}{currency}"


@cache
def _sign_stands_before(locale: str) -> bool:
    from babel import Locale  # noqa: PLC0415 - as above

    pattern = Locale.parse(locale, sep="-").currency_formats["standard"].pattern
    return str(pattern).partition(";")[0].startswith(_SIGN)
