"""Days in words: those of a locale, or such as no country reads the other way round."""

from __future__ import annotations

from datetime import date
from typing import Final

from leakmap.base.locales import day_in

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(day: date, locale: str = "") -> str:
    """A day as papers print it and the window shows it.

    >>> day_words(date(2026, 11, 2)), day_words(date(2026, 11, 2), "fr")
    ('02 Nov 2026', '2 nov. 2026')
    """
    return day_in(locale, day) if locale else f"{day.day:02d} {MONTHS[day.month - 1]} {day.year}"
