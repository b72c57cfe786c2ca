"""What is typed into a live field."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of, metres_so_far, why_no_length
from leakmap.base.measures import Units
from leakmap.work.typed import Entry, day_of, figure, grown, typed_length


def typed(entry: Entry, words: str, units: Units = Units.METRIC) -> str:
    """What stands in a field after typing; characters that it does not take are left out."""
    text = ""
    for letter in words:
        text = grown(entry, text, letter, units) or text
    return text


@pytest.mark.parametrize(
    ("entry", "words", "stands"),
    [
        (Entry.LENGTH, "6.30", "6.30"),
        (Entry.LENGTH, "6,30", "6.30"),
        (Entry.LENGTH, "1.234,5", "1.2345"),
        (Entry.LENGTH, "-m6x", "6"),
        (Entry.LENGTH, "312cm", "312cm"),
        (Entry.LENGTH, "2' 6-1/2\"", "2' 6-1/2\""),
        (Entry.LENGTH, "10’ 4⅜”", "10' 4⅜\""),
        (Entry.LENGTH, "6 1/2", "61/2"),
        (Entry.FIGURE, "4.5m", "4.5"),
        (Entry.LEVEL, "-11' 9 3/4\"", "-11' 9 3/4\""),
        (Entry.LENGTH, ".5", "0.5"),
        (Entry.FIGURE, "1234567890123", "123456789012"),
        (Entry.SIGNED, "-3.60", "-3.60"),
        (Entry.SIGNED, "−,5", "-0.5"),
        (Entry.SIGNED, "3-6", "36"),
        (Entry.NAME, " Pump hall", "Pump hall"),
        (Entry.AXIS, "c'", "C"),
        (Entry.AXIS, "é1", "É1"),
        (Entry.LENGTH, "٣", ""),
        (Entry.NAME, "\n\t", ""),
    ],
)
def test_fields_take_what_belongs_to_them(entry: Entry, words: str, stands: str) -> None:
    """A comma is a decimal point, a figure has one of them, a sign stands first; the rest is not taken."""
    assert typed(entry, words) == stands


@given(st.sampled_from((Entry.FIGURE, Entry.SIGNED)), st.text(max_size=20))
def test_whatever_is_typed_is_a_number_or_none(entry: Entry, words: str) -> None:
    """No sequence of characters makes a figure that cannot be read, and flows are never below zero."""
    number = figure(typed(entry, words))
    assert number is None or entry is Entry.SIGNED or number >= 0


@given(
    st.sampled_from((Entry.LENGTH, Entry.LEVEL)),
    st.text(alphabet="0123456789.,'\" -/mcftin½", max_size=20),
    st.sampled_from(Units.EACH),
)
def test_a_typed_length_is_read_or_refused_in_words(entry: Entry, words: str, units: Units) -> None:
    """What a field holds says a length so far, or none; it is never below zero unless it may be, and never fails."""
    text = typed(entry, words, units)
    so_far = metres_so_far(text, units)
    assert so_far is None or entry is Entry.LEVEL or so_far >= 0
    if text and not why_no_length(text, units):
        assert so_far == float(metres_of(text, units))


def test_a_space_is_taken_where_feet_are() -> None:
    """In an imperial job inches and their fraction are parted by a space; in a metric one the space bar puts a point."""
    assert typed(Entry.LENGTH, '6 1/2"', Units.IMPERIAL) == '6 1/2"'
    assert typed(Entry.LENGTH, "6 ", Units.METRIC) == "6"


def test_a_length_of_nothing_is_refused_in_words() -> None:
    """0 is no length; nothing typed is none yet."""
    assert typed_length("", Units.METRIC) is None
    assert typed_length("6.", Units.METRIC) == 6.0
    with pytest.raises(BadValue, match="greater than zero"):
        typed_length("0'", Units.METRIC)


def test_a_day_that_is_none_is_refused_in_words() -> None:
    """The sentence says how days are typed; the thirtieth of February is no day."""
    assert (day_of("30.11.2026"), day_of("2 September 2026")) == (date(2026, 11, 30), date(2026, 9, 2))
    for words in ("30 Feb 2026", "yesterday", "2026"):
        with pytest.raises(BadValue, match=f"“{words}” is no day; type it as 2026-11-02 or 2 Nov 2026"):
            day_of(words)
