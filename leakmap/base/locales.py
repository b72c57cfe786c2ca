"""How figures and days are written where people read a job: decimal mark, mark of thousands, order of day, month, year.

A locale is a language, with its country where that matters, as BCP 47 writes it: de, de-AT, en-US. What each of them
writes is from the Unicode CLDR, through Babel. Where there is none, figures have a decimal point and no mark of
thousands, and days are those of no country (``leakmap.base.days``). Our own words stay English in every locale.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Final

from leakmap.base.errors import BadValue

if TYPE_CHECKING:
    from babel import Locale

MINUS: Final = "−"

OFFERED: Final = (
    "bg", "cs", "da", "de", "de-AT", "de-CH", "el", "en-AU", "en-CA", "en-GB", "en-US", "es", "et", "fi", "fr", "fr-CA",
    "fr-CH", "hr", "hu", "it", "lt", "lv", "nb", "nl", "pl", "pt", "pt-BR", "ro", "ru", "sk", "sl", "sr", "sv", "tr", "uk",
)  # fmt: skip
"""Locales that are named where one is asked for; every other one of the CLDR in these scripts is taken as well."""

_SCRIPTS: Final = frozenset({"Latn", "Grek", "Cyrl"})  # those that our fonts have
_DIGITS: Final = "latn"
_SPACES: Final = "\u00a0\u202f\u2009 "
_NO_BREAK: Final = str.maketrans({"\u202f": "\u00a0", "\u2009": "\u00a0", "'": "’"})
"""Narrow spaces, which few fonts have; and a straight apostrophe, which is the sign of the foot."""

_FIRST_GROUP: Final = dict.fromkeys(
    ("be", "bg", "es", "et", "hu", "ia", "ie", "it", "lv", "pl", "pt_PT", "ru_UA", "sl", "sq"), 2
) | {"es_419": 1, "pt_AO": 1}
"""Digits that a first group must have, where a locale says so; its children have the same. Unicode CLDR 48
(minimumGroupingDigits), which Babel leaves out."""

_LEAST_LETTERS: Final = 3
_YEAR_DIGITS: Final = 4


@dataclass(frozen=True, slots=True)
class Marks:
    """How a locale writes figures.

    Attributes:
        decimal: Its decimal mark.
        thousands: Its mark of thousands; empty: none.
        last: Digits of the last group before the decimal mark.
        others: Digits of the groups before that; fewer where lakhs are counted.
        first: Digits that a first group must have; of fewer no mark is written: 1234, but 12.345 in Spanish.
    """

    decimal: str = "."
    thousands: str = ""
    last: int = 3
    others: int = 3
    first: int = 1


def locale_named(words: str) -> str:
    """The locale that a person means, as BCP 47 writes it; empty for none.

    >>> locale_named("de_at"), locale_named("en-us"), locale_named(" ")
    ('de-AT', 'en-US', '')

    Raises:
        BadValue: There is no such locale, or it writes with other letters or digits than papers have.
    """
    text = words.strip().replace("_", "-")
    if not text:
        return ""
    found = _found(text)
    if found is None:
        raise BadValue(f"“{text[:20]}” is no locale that is known; give a language such as de, or de-AT for a country.")
    if _script(found) not in _SCRIPTS or found.default_numbering_system != _DIGITS:
        raise BadValue(f"{found.english_name} is not written in Latin, Greek or Cyrillic letters, which papers have.")
    return "-".join(part for part in (found.language, found.script, found.territory) if part)


def locale_words(locale: str) -> str:
    """A locale in words.

    >>> locale_words("de-AT"), locale_words("")
    ('German (Austria)', 'none')
    """
    return str(_locale(locale).english_name) if locale else "none"


def territory_of(locale: str) -> str:
    """The country of a locale, by its code; where none is said, that of most who speak the language.

    >>> territory_of("de-AT"), territory_of("de"), territory_of("sr-Latn")
    ('AT', 'DE', 'RS')
    """
    found = _locale(locale)
    return str(found.territory) if found.territory else _most_likely(found)[-1]


@cache
def marks_of(locale: str) -> Marks:
    """How a locale writes figures.

    >>> marks_of("de"), marks_of("")
    (Marks(decimal=',', thousands='.', last=3, others=3, first=1), Marks(decimal='.', thousands='', last=3, others=3, first=1))
    """
    if not locale:
        return Marks()
    found = _locale(locale)
    signs = found.number_symbols[_DIGITS]
    last, others = found.decimal_formats[None].grouping
    return Marks(signs["decimal"], signs["group"].translate(_NO_BREAK), last, others, _first_group(str(found)))


def figure_in(locale: str, figure: Decimal, *, grouped: bool = True) -> str:
    """A figure with all of its decimals, with a true minus, and none before nothing; its thousands grouped or not.

    Babel's own formatter takes a pair of apostrophes for quotes, and so loses the marks of 1’234’567 in de-CH.

    >>> figure_in("", Decimal("-1234.50")), figure_in("de", Decimal("-1234.50")), figure_in("hi-Latn", Decimal(1234567))
    ('−1234.50', '−1.234,50', '12,34,567')
    >>> figure_in("", Decimal("-0.00"))
    '0.00'
    """
    text = f"{figure + 0:f}"
    if not locale:
        return text.replace("-", MINUS)
    marks = marks_of(locale)
    whole, point, part = text.removeprefix("-").partition(".")
    whole = _grouped(whole, marks) if grouped else whole
    return f"{MINUS if text[0] == '-' else ''}{whole}{marks.decimal if point else ''}{part}"


def ungrouped(words: str, locale: str) -> str:
    """Typed words in which each figure that has marks of thousands is plain, with a decimal point.

    >>> ungrouped("1.234,5 m", "de"), ungrouped("1 234", "fr"), ungrouped("31,20", "de"), ungrouped("1.234", "")
    ('1234.5 m', '1234', '31,20', '1.234')

    Raises:
        BadValue: A lone mark could be one of thousands or a decimal one: it is read neither way.
    """
    marks = marks_of(locale)
    if not marks.thousands:
        return words
    alike = next((signs for signs in (_SPACES, "’'") if marks.thousands in signs), marks.thousands)
    sign = f"[{alike}]"
    found = rf"(?<![0-9.,])([1-9][0-9]{{0,2}}(?:{sign}[0-9]{{3}})+)(?:{re.escape(marks.decimal)}([0-9]+))?(?![0-9.,])"

    def plain(grouped: re.Match[str]) -> str:
        whole, part = re.sub(r"[^0-9]", "", grouped[1]), grouped[2]
        if part is None and len(grouped[1]) - len(whole) == 1 and marks.thousands in ".,":
            cut = grouped[1].replace(marks.thousands, marks.decimal)
            raise BadValue(f"“{grouped[0]}” may be {whole} or {cut}; type the one that is meant.")
        return whole if part is None else f"{whole}.{part}"

    return re.sub(found, plain, words)


def day_in(locale: str, day: date) -> str:
    """A day as a locale writes it in little room.

    >>> day_in("de", date(2026, 11, 2)), day_in("en-US", date(2026, 11, 2))
    ('02.11.2026', 'Nov 2, 2026')
    """
    from babel.dates import format_date  # noqa: PLC0415 - wanted only where a locale is chosen

    return format_date(day, "medium", locale=_locale(locale)).translate(_NO_BREAK)


def day_read(locale: str, words: str) -> date | None:
    """The day that typed words say: year first, or as the locale writes it; None where they say none.

    >>> [str(day_read("en-US", words)) for words in ("11/2/2026", "Nov 2, 2026", "2 Nov 2026", "2026-11-02")]
    ['2026-11-02', '2026-11-02', '2026-11-02', '2026-11-02']
    """
    numbers, month = re.findall(r"[0-9]+", words), _month_in(locale, words)
    if numbers and len(numbers[0]) == _YEAR_DIGITS:
        order = "yMd"
    elif month is not None or not locale:
        order = "dMy"
    else:
        order = "".join(re.findall("[dMy]", _squeezed(_locale(locale).date_formats["short"].pattern)))
    if month is not None:
        numbers.insert(1, str(month))
    said = dict(zip(order, map(int, numbers), strict=False))
    if len(numbers) != len(order) or said["y"] < 10 ** (_YEAR_DIGITS - 1):
        return None
    try:
        return date(said["y"], said["M"], said["d"])
    except ValueError:
        return None


def _grouped(whole: str, marks: Marks) -> str:
    """Digits with the mark of thousands between their groups; without any where the first would be too short."""
    if len(whole) < marks.last + marks.first:
        return whole
    groups, rest = [whole[-marks.last :]], whole[: -marks.last]
    while rest:
        groups.insert(0, rest[-marks.others :])
        rest = rest[: -marks.others]
    return marks.thousands.join(groups)


def _first_group(name: str) -> int:
    """Digits that a first group must have, from the locale itself or the nearest of its parents that says so."""
    from babel.core import get_global  # noqa: PLC0415 - as above

    parents = get_global("parent_exceptions")
    while name and name not in _FIRST_GROUP:
        name = parents.get(name) or name.rpartition("_")[0]
    return _FIRST_GROUP.get(name, 1)


def _month_in(locale: str, words: str) -> int | None:
    """The month whose name stands in words, whole or its first three letters at least."""
    letters = [word for word in re.findall(r"[^\W\d_]+", words.casefold()) if len(word) >= _LEAST_LETTERS]
    found = {
        month
        for name, month in _months(locale)
        for word in letters
        if name.startswith(word) or (len(name) >= _LEAST_LETTERS and word.startswith(name))
    }
    return found.pop() if len(found) == 1 else None


@cache
def _months(locale: str) -> tuple[tuple[str, int], ...]:
    """Names of months, long and short, in small letters without stops; English ones too."""
    names = set()
    for each in {locale or "en", "en"}:
        for forms in _locale(each).months.values():
            for width in ("abbreviated", "wide"):
                names |= {(name.casefold().strip("."), month) for month, name in forms[width].items()}
    return tuple(sorted(names))


def _squeezed(pattern: str) -> str:
    """A pattern of a day without words, each letter once."""
    return re.sub(r"(.)\1+", r"\1", re.sub("'[^']*'", "", pattern).replace("L", "M"))


def _script(found: Locale) -> str:
    return str(found.script) if found.script else next((part for part in _most_likely(found) if len(part) == 4), "")


def _most_likely(found: Locale) -> list[str]:
    """Language, script and country of most who speak a language, in its country where one is said."""
    from babel.core import get_global  # noqa: PLC0415 - as below

    likely = get_global("likely_subtags")
    most = likely.get(f"{found.language}_{found.territory}") or likely.get(found.language, "")
    return str(most).split("_")


@cache
def _found(name: str) -> Locale | None:
    from babel import Locale, UnknownLocaleError  # noqa: PLC0415 - wanted only where a locale is chosen

    try:
        return Locale.parse(name, sep="-")
    except (ValueError, UnknownLocaleError):
        return None


def _locale(name: str) -> Locale:
    found = _found(name)
    assert found is not None, "a locale of a job is one that locale_named gave"
    return found
