"""What is typed into a live field, character by character, and what it says.

Lengths, levels and positions are metric or imperial, as ``leakmap.base.length_text`` reads them; angles and
flows are decimal figures. Point and comma are both taken for the decimal mark, which stands as the locale writes it; so
no figure has a mark of thousands.
"""

from __future__ import annotations

import re
from datetime import date
from enum import Enum
from typing import Final

from leakmap.base.days import day_words
from leakmap.base.errors import BadValue
from leakmap.base.length_text import FRACTIONS, metres_so_far, plain_signs
from leakmap.base.locales import day_read, marks_of
from leakmap.base.measures import Units


class Entry(Enum):
    """What a field takes."""

    LENGTH = "length"  # a length without a sign
    LEVEL = "level"  # a length that may be below zero: a level, a position
    FIGURE = "figure"  # a figure without a sign: a flow
    SIGNED = "signed"  # a figure that may be below zero: an angle
    NAME = "name"  # the name of a level
    AXIS = "axis"  # a letter or a number, in capitals
    DAY = "day"  # 2026-11-02 or 2 Nov 2026
    WORDS = "words"  # a note


LENGTHS: Final = frozenset({Entry.LENGTH, Entry.LEVEL})
"""Entries that are read in the units of the job."""

_LONGEST: Final = {
    Entry.LENGTH: 16, Entry.LEVEL: 16, Entry.FIGURE: 12, Entry.SIGNED: 12, Entry.NAME: 24, Entry.AXIS: 4, Entry.DAY: 24,
    Entry.WORDS: 400,
}  # fmt: skip
_WORDED: Final = frozenset({Entry.NAME, Entry.DAY, Entry.WORDS})


def grown(entry: Entry, text: str, typed: str, units: Units = Units.METRIC) -> str | None:
    """What stands in a field after one more character; None where the field does not take it.

    A length takes the letters of its unit as soon as a figure stands in it; a space only where feet do or could, for
    elsewhere the space bar puts points.

    >>> grown(Entry.LENGTH, "6", ","), grown(Entry.LENGTH, "6.3", "."), grown(Entry.LENGTH, "", "-")
    ('6.', None, None)
    >>> grown(Entry.SIGNED, "", "-"), grown(Entry.SIGNED, "", "."), grown(Entry.AXIS, "", "c")
    ('-', '0.', 'C')
    >>> grown(Entry.LENGTH, "6", "'"), grown(Entry.LENGTH, "6'", " "), grown(Entry.LENGTH, "6", " ")
    ("6'", "6' ", None)
    """
    if len(typed) != 1 or not typed.isprintable() or len(text) >= _LONGEST[entry]:
        return None
    if entry in _WORDED:
        return text + typed if text or typed != " " else None
    if entry is Entry.AXIS:
        return text + typed.upper() if typed.isalnum() else None
    if entry in LENGTHS:
        return _grown_length(text, typed, units, signed=entry is Entry.LEVEL)
    return _grown_figure(text, typed, units, signed=entry is Entry.SIGNED)


def figure(text: str) -> float | None:
    """The number that a field says; None while it says none.

    >>> figure("6."), figure("-"), figure("")
    (6.0, None, None)
    """
    return float(text.replace(",", ".")) if text.strip("-.,") else None


def typed_length(text: str, units: Units) -> float | None:
    """The metres that a field says, whole or half typed; None while it says none.

    Raises:
        BadValue: It is zero.
    """
    length = metres_so_far(text, units)
    if length is not None and length <= 0:
        raise BadValue("A length must be greater than zero; type it again.")
    return length


def day_of(words: str, locale: str = "") -> date:
    """A day as typed: 2026-11-02, 2 Nov 2026, or as a locale writes it.

    >>> day_of("2026-11-02") == day_of("2 nov 2026") == day_of("11/2/2026", "en-US")
    True

    Raises:
        BadValue: It is no day.
    """
    found = day_read(locale, words)
    if found is None:
        example = day_words(_EXAMPLE, locale) if locale else "2 Nov 2026"
        raise BadValue(f"“{words}” is no day; type it as 2026-11-02 or {example}.")
    return found


_EXAMPLE: Final = date(2026, 11, 2)
_UNIT_LETTERS: Final = frozenset("mcftin")
_FEET: Final = ("'", "ft")
_MARKS: Final = frozenset(".,")


def _grown_length(text: str, typed: str, units: Units, *, signed: bool) -> str | None:
    """A length takes what its grammar could go on with; what it then says is for ``metres_of`` to judge."""
    typed = plain_signs(typed)
    feet = not units.metric or any(sign in text for sign in _FEET)
    if typed == "-" and not text:
        return "-" if signed else None
    if typed in "-/ ":
        goes_on = bool(text) and (text[-1].isdigit() or (typed != "/" and text[-1] in "'t"))
        return text + typed if goes_on and (feet or typed == "/") else None
    if typed in "'\"" or typed.casefold() in _UNIT_LETTERS or typed in FRACTIONS:
        begun = any(letter.isdigit() for letter in text) or typed in FRACTIONS
        return text + typed.casefold() if begun else None
    if typed in ".,":
        last = re.search(r"[0-9.,]*$", text)
        assert last is not None
        return None if _MARKS & set(last[0]) else f"{text}{'' if last[0] else '0'}{marks_of(units.locale).decimal}"
    return text + typed if typed.isascii() and typed.isdigit() else None


def _grown_figure(text: str, typed: str, units: Units, *, signed: bool) -> str | None:
    if typed in "-−":
        return "-" if signed and not text else None
    if typed in ".,":
        return None if _MARKS & set(text) else f"{text}{'' if text.strip('-') else '0'}{marks_of(units.locale).decimal}"
    return text + typed if typed.isascii() and typed.isdigit() else None
