"""What is typed into a live field, character by character, and what it says.

Lengths, levels, angles and positions are decimal figures in metres or degrees. A comma is taken as the
decimal point, as much of the world writes it; so no figure has a separator of thousands.
"""

from __future__ import annotations

from enum import Enum
from typing import Final

from leakmap.base.errors import BadValue


class Entry(Enum):
    """What a field takes."""

    LENGTH = "length"  # a figure without a sign
    SIGNED = "signed"  # a figure that may be below zero: a level, an angle, a position
    NAME = "name"  # the name of a level
    AXIS = "axis"  # a letter or a number, in capitals


_LONGEST: Final = {Entry.LENGTH: 12, Entry.SIGNED: 12, Entry.NAME: 24, Entry.AXIS: 4}


def grown(entry: Entry, text: str, typed: str) -> str | None:
    """What stands in a field after one more character; None where the field does not take it.

    >>> grown(Entry.LENGTH, "6", ","), grown(Entry.LENGTH, "6.3", "."), grown(Entry.LENGTH, "", "-")
    ('6.', None, None)
    >>> grown(Entry.SIGNED, "", "-"), grown(Entry.SIGNED, "", "."), grown(Entry.AXIS, "", "c")
    ('-', '0.', 'C')
    """
    if len(typed) != 1 or not typed.isprintable() or len(text) >= _LONGEST[entry]:
        return None
    if entry is Entry.NAME:
        return text + typed if text or typed != " " else None
    if entry is Entry.AXIS:
        return text + typed.upper() if typed.isalnum() else None
    return _grown_figure(text, typed, signed=entry is Entry.SIGNED)


def figure(text: str) -> float | None:
    """The number that a field says; None while it says none.

    >>> figure("6."), figure("-"), figure("")
    (6.0, None, None)
    """
    return float(text) if text.strip("-.") else None


def typed_length(text: str) -> float | None:
    """The metres that a field says; None while it says none.

    Raises:
        BadValue: It is zero.
    """
    length = figure(text)
    if length is not None and length <= 0:
        raise BadValue("A length must be greater than zero; type it again.")
    return length


def _grown_figure(text: str, typed: str, *, signed: bool) -> str | None:
    if typed in "-−":
        return "-" if signed and not text else None
    if typed in ".,":
        return None if "." in text else f"{text}{'' if text.strip('-') else '0'}."
    return text + typed if typed.isascii() and typed.isdigit() else None
