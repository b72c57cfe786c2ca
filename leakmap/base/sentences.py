"""Words put together as sentences give them."""

from __future__ import annotations

from collections.abc import Sequence


def capital(words: str) -> str:
    """Words as a sentence begins with them; the rest stays as it is.

    >>> capital("row 4 of J-05"), capital("")
    ('Row 4 of J-05', '')
    """
    return words[:1].upper() + words[1:]


def small(words: str) -> str:
    """Words as they stand within a sentence; the rest stays as it is.

    >>> small("The rate for EUR/m"), small("")
    ('the rate for EUR/m', '')
    """
    return words[:1].lower() + words[1:]


def listed(words: Sequence[str]) -> str:
    """Words in a row, the last behind "and".

    >>> listed(["J-01", "J-02", "V-01"]), listed(["J-01"]), listed([])
    ('J-01, J-02 and V-01', 'J-01', '')
    """
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
