"""Figures that are typed into a live field: one number in metres, digit by digit."""

from __future__ import annotations

from typing import Final

_LONGEST: Final = 9


def grown(text: str, typed: str) -> str | None:
    """A figure with one more character; None where the character is no part of a figure.

    A comma is taken as the decimal point, and a figure has one of them.

    >>> grown("2", "4"), grown("2", ","), grown("2.4", "."), grown("", "."), grown("2", "j")
    ('24', '2.', None, '0.', None)
    """
    if len(typed) != 1 or len(text) >= _LONGEST:
        return None
    if typed in ".,":
        return None if "." in text else f"{text or '0'}."
    return text + typed if typed.isascii() and typed.isdigit() else None


def metres_of(text: str) -> float | None:
    """The metres of a typed figure; None while there is none.

    >>> metres_of("2."), metres_of("")
    (2.0, None)
    """
    return float(text) if text else None


def shown_m(length_m: float) -> str:
    """A length for a live field, two decimals.

    >>> shown_m(2.4)
    '2.40'
    """
    return f"{length_m:.2f}"
