"""Rows of the ledger as text that other programs take: cells parted by tabs, figures plain, words harmless."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final

from leakmap.base.locales import MINUS

_STARTS: Final = ("=", "+", "-", "@", MINUS)
_NUMBER: Final = re.compile(r"-?[0-9]+(\.[0-9]+)?")


def copied(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Rows with their headings as tab-separated text.

    What would part a cell in two is a space, and words that a calculating program would take for a formula get an
    apostrophe in front, which such programs read as: this is text (common practice, no published source).
    """
    return "".join("\t".join(map(safe, row)) + "\n" for row in (headings, *rows))


def safe(cell: str) -> str:
    r"""A cell as harmless text.

    >>> safe("=1+2"), safe("−3.600"), safe("a\tb\nc"), safe("J-01")
    ("'=1+2", '-3.600', 'a b c', 'J-01')
    """
    words = " ".join("".join(sign if sign.isprintable() else " " for sign in cell).split())
    plain = words.replace(MINUS, "-")
    if _NUMBER.fullmatch(plain):
        return plain
    return f"'{words}" if words.startswith(_STARTS) else words
