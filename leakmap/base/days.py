"""Days in words that no country reads the other way round."""

from __future__ import annotations

from datetime import date
from typing import Final

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(day: date) -> str:
    """A day as papers print it and the window shows it.

    >>> day_words(date(2026, 11, 2))
    '02 Nov 2026'
    """
    return f"{day.day:02d} {MONTHS[day.month - 1]} {day.year}"
