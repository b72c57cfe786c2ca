r"""Text that people typed, written so that a drawing shows exactly what they typed.

A drawing file gives meaning to some characters. In paragraph text ``\ { }`` set fonts and
heights; in every text a caret stands for a control character, two percent signs begin a symbol and
``\U+`` a code point. The first two have an escape; for the last two none works, so that look-alikes
stand in and a finding says so.
"""

from __future__ import annotations

import re
from typing import Final

LONGEST_LINE_BYTES: Final = 255
"""Longest single-line text that every reader takes, bytes: the limit of R12 (from memory); GDAL was seen to cut at 256."""

PERCENT: Final = "\uff05"
"""Full-width percent sign, the look-alike of a percent sign that has a neighbour."""

BACKSLASH: Final = "\u29f5"
"""Reverse solidus operator, the look-alike of a backslash before ``U+`` or ``M+``."""

_SYMBOLS: Final = re.compile(r"%{2,}")
_CODE_POINT: Final = re.compile(r"\\(?=[UuMm]\+)")
_CONTROL: Final = re.compile(r"[\x00-\x1f]")


def one_line(text: str) -> str:
    r"""A typed text as a drawing's single-line text: line ends become blanks, tabs caret codes.

    >>> one_line("5^2\nm")
    '5^ 2 m'
    """
    return _CONTROL.sub(_caret, _alike(_plain_ends(text)).replace("^", "^ ").replace("\n", " "))


def needs_paragraph(text: str) -> bool:
    """Whether a single line cannot hold a typed text: it has line ends, or is too long."""
    return "\n" in _plain_ends(text) or len(one_line(text).encode("utf-8", "replace")) > LONGEST_LINE_BYTES


def paragraph(text: str) -> str:
    r"""A typed text as a drawing's paragraph text.

    >>> paragraph("{a}\n")
    '\\{a\\}\\P'
    """
    escaped = re.sub(r"([\\{}])", r"\\\1", _alike(_plain_ends(text))).replace("^", "^ ")
    return _CONTROL.sub(_caret, escaped.replace("\n", "\\P"))


def cut_to(text: str, most_bytes: int = LONGEST_LINE_BYTES) -> str:
    """A single-line text no longer than a file can hold, three dots for what is cut; never half a character."""
    coded = text.encode("utf-8", "replace")
    if len(coded) <= most_bytes:
        return text
    dots = "…"
    return coded[: most_bytes - len(dots.encode())].decode("utf-8", "ignore").removesuffix("^") + dots


def looks_alike_only(text: str) -> bool:
    """Whether a look-alike stands in for a character of a typed text."""
    return _alike(text) != text


def _plain_ends(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _alike(text: str) -> str:
    percent = _SYMBOLS.sub(lambda found: PERCENT * len(found[0]), text)
    return _CODE_POINT.sub(BACKSLASH, percent)


def _caret(found: re.Match[str]) -> str:
    return "^" + chr(ord(found[0]) + 64)
