"""What a hand in a glove types with: alphabets in their own order, and figures.

Letters with marks are those of languages in Western and Central Europe, Greek has its accents, and Cyrillic the letters
of Russian, Ukrainian and Belarusian in one row (all from memory).
"""

from __future__ import annotations

from string import ascii_lowercase
from typing import Final

FIGURES: Final = "123"
LETTERS: Final = "abc"
DIGITS: Final = "1234567890.-"
FEET: Final = "'\"/"
"""What is typed besides in jobs in feet and inches: 2'6-3/8" needs them all."""

SIGNS: Final = ".,-'/&"
"""What stands in names and notes besides letters."""

ALPHABETS: Final = {
    LETTERS: ascii_lowercase,
    "äéñ": "áàâäãåąæçćčďéèêëęěíìîïłñńňóòôöõőøœřśšßťúùûüűůýźżž",
    "αβγ": "αάβγδεέζηήθιίκλμνξοόπρσςτυύφχψωώ",
    "абв": "абвгґдеёєжзиіїйклмнопрстуўфхцчшщъыьэюя",
}
"""Letters by the name of their alphabet."""

SPOKEN: Final = {
    FIGURES: "Figures", LETTERS: "Letters", "äéñ": "Letters with marks", "αβγ": "Greek letters", "абв": "Cyrillic letters",
}  # fmt: skip
"""What a reader hears for the name of an alphabet."""


def capital(letter: str) -> str:
    """A letter as a capital, where it has one of its own.

    >>> capital("ä"), capital("ß"), capital(".")
    ('Ä', 'ß', '.')
    """
    upper = letter.upper()
    return upper if len(upper) == 1 else letter
