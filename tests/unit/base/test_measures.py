"""Figures as people read them, metric and imperial."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of, metres_so_far
from leakmap.base.measures import AREA, EIGHTH_M, INCH_M, VOLUME, Scale, Units, feet_inches

LENGTHS = st.decimals(min_value=-2000, max_value=2000, places=6)
SYSTEMS = st.sampled_from(Units.EACH)


@pytest.mark.parametrize(
    ("inches", "words"),
    [
        ("0", '0"'),
        ("0.0625", '1/8"'),
        ("0.0624", '0"'),
        ("-0.0624", '0"'),
        ("0.5", '1/2"'),
        ("11.9375", "1' 0\""),
        ("11.9374", '11 7/8"'),
        ("12", "1' 0\""),
        ("12.125", "1' 0 1/8\""),
        ("23.96875", "2' 0\""),
        ("30", "2' 6\""),
        ("-30", "−2' 6\""),
        ("1228.375", "102' 4 3/8\""),
    ],
)
def test_inches_are_rounded_half_up_and_carried(inches: str, words: str) -> None:
    """A sixteenth goes up to an eighth; twelve inches make a foot, also after rounding; nothing has no sign."""
    assert feet_inches(Decimal(inches) * INCH_M) == words


@given(LENGTHS, SYSTEMS)
def test_what_is_shown_reads_back_within_half_its_step(length_m: Decimal, units: Units) -> None:
    """What a paper shows, typed, is the length to half a step, and is shown the same again."""
    words = units.measured(length_m)
    read = metres_of(words, units)
    assert abs(read - Fraction(length_m)) <= Fraction(units.step_m) / 2
    assert units.measured(Decimal(read.numerator) / Decimal(read.denominator)) == words


@given(st.lists(st.integers(min_value=-5000, max_value=90_000), min_size=1, max_size=20), SYSTEMS)
def test_shown_rows_add_up_to_the_shown_sum(steps: list[int], units: Units) -> None:
    """Lengths that were rounded once are shown exactly, so whoever adds up the rows finds the sum."""
    rows = [units.step_m * count for count in steps]
    assert sum(metres_of(units.measured(row), units) for row in rows) == metres_of(units.measured(sum(rows)), units)


@pytest.mark.parametrize("quantity", [AREA, VOLUME], ids=["area", "volume"])
@given(counts=st.lists(st.integers(min_value=0, max_value=99_999), min_size=1, max_size=20), units=SYSTEMS)
def test_rounded_quantities_are_shown_exactly(quantity: Mapping[Units, Scale], counts: list[int], units: Units) -> None:
    """Areas and volumes that are multiples of their step lose nothing when they are shown, so they add up too."""
    scale = quantity[units]
    rows = [scale.step * count for count in counts]
    assert [Decimal(scale.shown(row)) for row in rows] == [Decimal(count).scaleb(-scale.places) for count in counts]
    assert sum(Decimal(scale.shown(row)) for row in rows) == Decimal(scale.shown(sum(rows, Decimal(0))))


@pytest.mark.parametrize("units", Units.EACH)
@pytest.mark.parametrize(
    ("typed", "metres"),
    [
        ("31.2 m", "31.2"),
        ("31,20m", "31.2"),
        ("312 cm", "3.12"),
        ("3120 mm", "3.12"),
        ("−3.6 metres", "-3.6"),
        ("102' 4 3/8\"", "31.200725"),
        ("102'-4 3/8\"", "31.200725"),
        ("102’ 4⅜”", "31.200725"),
        ("102′4-3/8″", "31.200725"),
        ("102 ft 4 in", "31.1912"),
        ("102FT 4.5 inches", "31.2039"),
        ("2' 6", "0.762"),
        ("2'6", "0.762"),
        ("-2' 6", "-0.762"),
        ("10.5'", "3.2004"),
        ("5 1/2 ft", "1.6764"),
        ('6 1/2"', "0.1651"),
        ("4 3/8 in", "0.111125"),
        ('½"', "0.0127"),
        ("2' ¾\"", "0.62865"),
        ("3''", "0.0762"),
        ('5/16"', "0.0079375"),
    ],
)
def test_a_length_with_a_unit_is_read_in_any_job(units: Units, typed: str, metres: str) -> None:
    """A unit says all: whatever the job is read in, the length is exact."""
    assert metres_of(typed, units) == Fraction(metres)


@pytest.mark.parametrize("typed", ["31.20", "31,20", " 31.2 ", "31.200"])
def test_a_length_without_a_unit_is_in_that_of_the_job(typed: str) -> None:
    """A bare figure is metres, or feet; a comma is a decimal point."""
    assert metres_of(typed, Units.METRIC) == Fraction("31.2")
    assert metres_of(typed, Units.IMPERIAL) == Fraction("31.2") * Fraction("0.3048")


@pytest.mark.parametrize(
    ("typed", "units", "sentence"),
    [
        ("abc", Units.METRIC, "“abc” is no length; type metres, such as 6.30."),
        ("", Units.METRIC, "“” is no length; type metres, such as 6.30."),
        ("1,234.5", Units.METRIC, "“1,234.5” is no length; type metres, such as 6.30."),
        ("5 km", Units.IMPERIAL, "“5 km” is no length; type feet and inches, such as 6' 4 1/2\"."),
        ("2' 14\"", Units.IMPERIAL, "“2' 14\"” has 14 inches behind its feet; there can be less than 12."),
        ("6 1/2", Units.IMPERIAL, "“6 1/2” may be feet or inches; type ' or \" behind it."),
        ('3/0"', Units.IMPERIAL, '“3/0"” divides by nothing; type feet and inches, such as 6\' 4 1/2".'),
        ("٣", Units.METRIC, "“٣” is no length; type metres, such as 6.30."),
    ],
)
def test_what_is_no_length_is_refused_in_one_sentence(typed: str, units: Units, sentence: str) -> None:
    """What cannot be read, or could be two lengths, is refused, and it is said how to type it."""
    with pytest.raises(BadValue, match=f"^{re.escape(sentence)}$"):
        metres_of(typed, units)


def test_a_half_typed_length_says_what_it_says_so_far() -> None:
    """While 2' 6 1/2" is being typed, a line follows it: 2 ft, 2 ft 6, and last 2 ft 6 1/2."""
    typed = "2' 6 1/2\""
    lengths = [metres_so_far(typed[:end], Units.IMPERIAL) for end in range(len(typed) + 1)]
    inches = [None if length is None else length / 0.0254 for length in lengths]
    assert inches == [None, *(pytest.approx(value) for value in (24, 24, 24, 30, 30, 30, 30, 30.5, 30.5))]


def test_an_eighth_of_an_inch_is_a_whole_number_of_millionths() -> None:
    """So lengths that are snapped to 1 µm and rounded to 1/8 inch stay exact in the job file."""
    assert Decimal("0.003175") == EIGHTH_M
