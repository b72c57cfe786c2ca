"""Lengths as people type them, metric or imperial whatever is in force, exactly.

A figure without a unit is metres in a metric job and feet in an imperial one. A comma is a decimal
point, as much of the world writes it; a mark of thousands is taken where the locale has one and it is no other.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.base.locales import ungrouped
from leakmap.base.measures import FOOT_M, INCH_M, Units

_SIGNS: Final = str.maketrans(
    {"’": "'", "′": "'", "”": '"', "″": '"', "−": "-", "–": "-", "\u2044": "/", "\u00a0": " "}
)
FRACTIONS: Final = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
"""Fractions of one character."""

_NUMBER: Final = r"(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)"
_MIXED: Final = rf"(?:[0-9]+[ -]+)?[0-9]+/[0-9]+|{_NUMBER}"  # 4 3/8, 4-3/8, 3/8, or a plain figure
_METRIC: Final = re.compile(rf"({_NUMBER}) ?(mm|cm|m|met(?:re|er)s?)")
_FEET: Final = re.compile(rf"({_MIXED}) ?(?:'|ft\.?|foot|feet)")
_INCHES: Final = re.compile(rf"({_MIXED}) ?(?:\"|in\.?|inch|inches)")
_BOTH: Final = re.compile(rf"([0-9]+) ?(?:'|ft\.?|foot|feet)[ -]*({_MIXED}) ?(?:\"|in\.?|inch|inches)?")
_PLAIN: Final = re.compile(f"({_NUMBER})")
_BARE_FRACTION: Final = re.compile(rf"(?:{_MIXED})")

_METRES: Final = {"mm": Fraction(1, 1000), "cm": Fraction(1, 100)}
_FOOT: Final = Fraction(FOOT_M)
_INCH: Final = Fraction(INCH_M)
_INCHES_PER_FOOT: Final = 12


def metres_of(words: str, units: Units) -> Fraction:
    r"""The metres that typed words say, exactly; below zero with a minus in front.

    >>> float(metres_of("31,20", Units.METRIC)), float(metres_of("312 cm", Units.IMPERIAL))
    (31.2, 3.12)
    >>> metres_of("102'-4 3/8\"", Units.METRIC) == metres_of("102 ft 4⅜ in", Units.METRIC)
    True
    >>> float(metres_of("2' 6", Units.METRIC)), float(metres_of("2", Units.IMPERIAL))
    (0.762, 0.6096)

    Args:
        words: What was typed.
        units: What a figure without a unit is in.

    Raises:
        BadValue: They are no length, or one of two lengths.
    """
    text = _plain(ungrouped(words, units.locale))
    sign = -1 if text.startswith("-") else 1
    text = text.removeprefix("-").lstrip(" ")
    if found := _METRIC.fullmatch(text):
        return sign * _fraction(found[1]) * _METRES.get(found[2], Fraction(1))
    if found := _PLAIN.fullmatch(text):
        return sign * _fraction(found[1]) * (Fraction(1) if units.metric else _FOOT)
    try:
        if found := _FEET.fullmatch(text):
            return sign * _fraction(found[1]) * _FOOT
        if found := _INCHES.fullmatch(text):
            return sign * _fraction(found[1]) * _INCH
        if found := _BOTH.fullmatch(text):
            return sign * (int(found[1]) * _FOOT + _inches(words, found[2]) * _INCH)
    except ZeroDivisionError:
        raise BadValue(f"“{words}” divides by nothing; {_how(units)}.") from None
    if _BARE_FRACTION.fullmatch(text):
        raise BadValue(f"“{words}” may be feet or inches; type ' or \" behind it.")
    raise BadValue(f"“{words}” is no length; {_how(units)}.")


def why_no_length(words: str, units: Units) -> str:
    """Why typed words say no length, as a sentence; empty where they say one, or where there are none."""
    try:
        if words:
            metres_of(words, units)
    except BadValue as bad:
        return bad.message
    return ""


def metres_so_far(words: str, units: Units) -> float | None:
    """The metres that a half-typed length says: of as much of it as is one; None while none of it is."""
    for end in range(len(words), 0, -1):
        try:
            return float(metres_of(words[:end], units))
        except BadValue:
            continue
    return None


def plain_signs(words: str) -> str:
    r"""Words with the plain signs of feet, inches, minus and fractions.

    >>> plain_signs("−6’ 4″")
    '-6\' 4"'
    """
    return words.translate(_SIGNS)


def _plain(words: str) -> str:
    for sign, spelled in FRACTIONS.items():
        words = words.replace(sign, f" {spelled}")
    return re.sub(r"\s+", " ", plain_signs(words).replace("''", '"')).strip().casefold()


def _fraction(text: str) -> Fraction:
    """A plain figure, a fraction or a mixed one.

    >>> _fraction("4 3/8"), _fraction(",5"), _fraction("6.")
    (Fraction(35, 8), Fraction(1, 2), Fraction(6, 1))
    """
    return sum((Fraction(part.replace(",", ".").rstrip(".")) for part in re.split(r"[ -]+", text)), Fraction(0))


def _inches(words: str, text: str) -> Fraction:
    """Inches behind feet.

    Raises:
        BadValue: They make a foot or more, which is a slip more often than it is meant.
    """
    inches = _fraction(text)
    if inches >= _INCHES_PER_FOOT:
        raise BadValue(f"“{words}” has {text} inches behind its feet; there can be less than 12.")
    return inches


def _how(units: Units) -> str:
    return f"type metres, such as {units.shown(6.3)}" if units.metric else "type feet and inches, such as 6' 4 1/2\""
