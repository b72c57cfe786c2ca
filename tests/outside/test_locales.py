"""Figures and days in locales, against the Unicode CLDR as Babel carries it."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from babel import Locale
from babel.dates import format_date
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of
from leakmap.base.locales import MINUS, OFFERED, day_in, day_read, figure_in, locale_named, marks_of, ungrouped
from leakmap.base.measures import AREA, System, Units
from leakmap.work.typed import Entry, day_of, grown, metres_so_far

LOCALES = st.sampled_from(OFFERED)
FIGURES = st.decimals(min_value=-9_999_999, max_value=9_999_999, places=3)
DAYS = st.dates(min_value=date(1990, 1, 1), max_value=date(2099, 12, 31))


def of_library(text: str) -> str:
    """Text as we write it: a true minus, one sort of space, an apostrophe that is no sign of the foot."""
    return re.sub("^-", MINUS, text).translate(str.maketrans({"\u202f": "\u00a0", "'": "’"}))


@pytest.mark.parametrize(
    ("locale", "figure", "day"),
    [
        ("de", "−1.234,50", "02.11.2026"),
        ("fr", "−1\u00a0234,50", "2 nov. 2026"),
        ("en-US", "−1,234.50", "Nov 2, 2026"),
        ("el", "−1.234,50", "2 Νοε 2026"),
        ("ru", "−1\u00a0234,50", "2 нояб. 2026\u00a0г."),
        ("tr", "−1.234,50", "2 Kas 2026"),
        ("", "−1234.50", None),
    ],
)
def test_figures_and_days_are_those_of_the_cldr(locale: str, figure: str, day: str | None) -> None:
    """Six locales, from the charts of the Unicode CLDR (numbers: symbols and standard pattern; dates: medium format).

    Source: Unicode CLDR as Babel carries it; the marks of de, fr, en-US are from memory as well.
    """
    assert figure_in(locale, Decimal("-1234.50")) == figure
    assert day is None or day_in(locale, date(2026, 11, 2)) == day


@given(LOCALES, FIGURES)
def test_every_offered_locale_writes_figures_as_the_library_does(locale: str, figure: Decimal) -> None:
    """Marks and groups are those that the library's own formatter writes, but for its slip with apostrophes."""
    theirs = of_library(format_decimal(figure, format="#,##0.000", locale=Locale.parse(locale, sep="-")))
    if marks_of(locale).thousands == "’":  # the library takes a pair of apostrophes for quotes
        theirs, figure_text = theirs.replace("’", ""), figure_in(locale, figure).replace("’", "")
    else:
        figure_text = figure_in(locale, figure)
    if marks_of(locale).first > 1 and abs(figure) < 10_000:  # which the library does not know
        theirs = theirs.replace(marks_of(locale).thousands, "")
    assert figure_text == (theirs if figure else theirs.removeprefix(MINUS))


@pytest.mark.parametrize(
    ("locales", "four", "five"),
    [
        ("es es-PH it sl", "1234", "12.345"),
        ("bg et hu lv pl pt-PT pt-CH ru-UA sq-MK", "1234", "12\u00a0345"),
        ("it-CH", "1234", "12’345"),
        ("de es-AR hr pt-BR", "1.234", "12.345"),
        ("en-US es-419 es-MX es-US", "1,234", "12,345"),
        ("fr pt-AO ru", "1\u00a0234", "12\u00a0345"),
    ],
)
def test_four_digits_are_grouped_where_the_cldr_does(locales: str, four: str, five: str) -> None:
    """A first group is as long as the CLDR wants it (minimumGroupingDigits), in a locale and in its children.

    Source: Unicode CLDR 48 as the formatter of a JavaScript engine writes it (ICU 78, read).
    """
    for locale in locales.split():
        assert [figure_in(locale, Decimal(figure)) for figure in (1234, 12345, 999)] == [four, five, "999"]
        assert figure_in(locale, Decimal("-1234.5")).count(marks_of(locale).thousands) == len(four) - 4
        assert ungrouped(figure_in(locale, Decimal(12345)) + marks_of(locale).decimal + "5", locale) == "12345.5"


@given(LOCALES, DAYS)
def test_every_offered_locale_writes_days_as_the_library_does_and_reads_them_again(locale: str, day: date) -> None:
    """A day as shown is read as that day, and so is the short one of the library; year first is read everywhere."""
    shown = day_in(locale, day)
    assert shown == of_library(format_date(day, "medium", locale=Locale.parse(locale, sep="-")))
    assert day_read(locale, shown) == day
    assert day_of(day.isoformat(), locale) == day


@given(LOCALES, st.decimals(min_value=0, max_value=99_999, places=3))
def test_what_is_shown_in_a_locale_can_be_typed_again(locale: str, length: Decimal) -> None:
    """A measured length as papers print it means the same when it is typed, with and without its unit."""
    units = Units(System.METRIC, locale)
    assert metres_of(units.measured(length), units) == Fraction(length)
    assert metres_of(units.printed(length), units) == Fraction(length)


@given(LOCALES, st.decimals(min_value=0, max_value=999, places=2))
def test_a_point_is_taken_everywhere(locale: str, length: Decimal) -> None:
    """The decimal point is read in every locale, and so is its own mark; one typed by one in a field they are the same."""
    units = Units(System.METRIC, locale)
    mark = marks_of(locale).decimal
    assert metres_of(f"{length}", units) == metres_of(f"{length}".replace(".", mark), units) == Fraction(length)
    text = ""
    for letter in f"{length}":
        text = grown(Entry.LENGTH, text, letter, units) or ""
    assert text == f"{length}".replace(".", mark)
    assert metres_so_far(text, units) == float(length)


@pytest.mark.parametrize(("locale", "words"), [("de", "1.234"), ("en-US", "1,234"), ("tr", "12.500")])
def test_a_lone_mark_of_thousands_is_read_neither_way(locale: str, words: str) -> None:
    """What may be a thousand or one and a bit is refused with both readings, never guessed."""
    plain = re.sub("[.,]", "", words)
    with pytest.raises(BadValue, match=f"may be {plain} or "):
        ungrouped(words, locale)


@pytest.mark.parametrize(
    ("words", "said"),
    [("xx-QQ", "no locale"), ("ar", "not written in Latin"), ("ja", "not written"), ("a" * 90, "no locale")],
)
def test_a_locale_that_papers_cannot_show_is_refused(words: str, said: str) -> None:
    """An unknown locale, and one with other letters or digits than the fonts have, is refused in a sentence."""
    with pytest.raises(BadValue, match=said):
        locale_named(words)


def test_every_offered_locale_is_named_as_it_is_kept() -> None:
    """Names of locales are those that are kept, so that choosing one again changes nothing."""
    assert [locale_named(name.lower()) for name in OFFERED] == list(OFFERED)


def test_without_a_locale_nothing_is_written_otherwise() -> None:
    """No locale: figures and days are what they were before jobs had one."""
    assert Units.METRIC.shown(31.2) == "31.20"
    assert Units.METRIC.measured(1234.5) == "1234.500"
    assert Units.METRIC.day(date(2026, 11, 2)) == "02 Nov 2026"
    assert AREA[Units(System.METRIC, "de")].shown(1234.5) == "1.234,500"
    assert Units(System.IMPERIAL, "de").shown(31.2) == Units.IMPERIAL.shown(31.2)
