"""Texts of a page: letters that pdfium finds, joined to texts as they stand in a line.

Letters that follow each other along one line, in one size, with no wider gap than a word space, are a text.
A page tells the size of its type, not the height of its capitals, which is taken for 0.7 of the size (that of
common typefaces is 0.66 to 0.72: Times 0.662, Helvetica 0.718, by their published font metrics, from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from ctypes import c_double
from dataclasses import dataclass, field
from math import atan2, degrees, hypot, isfinite
from typing import Any, Final

from pypdfium2 import raw  # type: ignore[import-untyped]

from leakmap.drawings.pdf.frame import Matrix, joined, moved
from leakmap.drawings.pdf.layers import plain
from leakmap.drawings.pdf.things import address_of
from leakmap.model.drawing import Text

CAPITALS: Final = 0.7
"""Height of capitals as a share of the size of the type."""

MOST_LETTERS: Final = 1_000_000
"""Letters of a page that are read, at most (ours)."""

LONGEST: Final = 2000
"""Letters of one text, at most."""

_WIDEST_GAP: Final = 3.0
_LINE_SLACK: Final = 0.2
_SAME: Final = 0.02
_TALLEST_MM: Final = 1e6
_BREAKS: Final = frozenset("\r\n\x02")


@dataclass(slots=True)
class _Style:
    """How the letters of one text object stand on paper."""

    along: tuple[float, float]
    size: float
    layer: int

    def same(self, other: _Style) -> bool:
        """Whether letters of both may stand in one text."""
        apart = hypot(self.along[0] - other.along[0], self.along[1] - other.along[1])
        return self.layer == other.layer and apart < _SAME and abs(self.size - other.size) <= _SAME * self.size


@dataclass(slots=True)
class _Line:
    """A text in the making."""

    style: _Style
    at: tuple[float, float]
    last: tuple[float, float]
    letters: list[str] = field(default_factory=list)

    def takes(self, style: _Style, at: tuple[float, float]) -> bool:
        """Whether a letter goes on with this text."""
        (ux, uy), size = self.style.along, self.style.size
        dx, dy = at[0] - self.last[0], at[1] - self.last[1]
        on_line = abs(ux * dy - uy * dx) <= _LINE_SLACK * size
        near = -size <= ux * dx + uy * dy <= _WIDEST_GAP * size
        return len(self.letters) < LONGEST and self.style.same(style) and on_line and near

    def text(self) -> Text | None:
        """The text; None where it says nothing or has no height."""
        words, size = plain("".join(self.letters)), self.style.size
        if not words or not 0 < size < _TALLEST_MM or not all(map(isfinite, self.at)):
            return None
        turn = degrees(atan2(self.style.along[1], self.style.along[0]))
        return Text(self.at, CAPITALS * size, turn, 0.0, 0.0, words, self.style.layer)


def texts_of(page: Any, matrix: Matrix, layer_of: Callable[[int], int]) -> tuple[tuple[Text, ...], bool]:  # noqa: ANN401
    """The texts of a page, millimetres on paper.

    Args:
        page: The page, as pdfium sees it.
        matrix: From the page's own space to paper.
        layer_of: Layer of a text object by its address; less than zero for none.

    Returns:
        The texts in reading order, and whether there are more letters than are read.
    """
    found = raw.FPDFText_LoadPage(page.raw)
    if not found:
        return (), False
    try:
        count = raw.FPDFText_CountChars(found)
        return _Letters(found, matrix, layer_of).texts(min(count, MOST_LETTERS)), count > MOST_LETTERS
    finally:
        raw.FPDFText_ClosePage(found)


class _Letters:
    """Joins letters to texts."""

    def __init__(self, page: Any, matrix: Matrix, layer_of: Callable[[int], int]) -> None:  # noqa: ANN401
        self._page = page
        self._matrix = matrix
        self._layer_of = layer_of
        self._styles: dict[int, _Style] = {}
        self._x, self._y = c_double(), c_double()
        self._lines: list[_Line] = []
        self._open = False

    def texts(self, count: int) -> tuple[Text, ...]:
        """All texts of the first letters."""
        for index in range(count):
            letter = chr(raw.FPDFText_GetUnicode(self._page, index))
            thing = raw.FPDFText_GetTextObject(self._page, index)
            if thing:
                self._add(letter, index, thing)
            elif letter in _BREAKS:
                self._open = False
            elif self._open:
                self._lines[-1].letters.append(" ")
        return tuple(text for line in self._lines if (text := line.text()) is not None)

    def _add(self, letter: str, index: int, thing: Any) -> None:  # noqa: ANN401 - a pointer of pdfium
        style = self._style(index, thing)
        if style.layer < 0:
            self._open = False
            return
        raw.FPDFText_GetCharOrigin(self._page, index, self._x, self._y)
        at = moved((self._x.value, self._y.value), self._matrix)
        if not (self._open and self._lines[-1].takes(style, at)):
            self._lines.append(_Line(style, at, at))
        self._open = letter not in _BREAKS
        self._lines[-1].letters.append(letter)
        self._lines[-1].last = at

    def _style(self, index: int, thing: Any) -> _Style:  # noqa: ANN401 - a pointer of pdfium
        address = address_of(thing)
        style = self._styles.get(address)
        if style is None:
            found = raw.FS_MATRIX()
            raw.FPDFText_GetMatrix(self._page, index, found)
            a, b, c, d, _, _ = joined((found.a, found.b, found.c, found.d, found.e, found.f), self._matrix)
            long = hypot(a, b) or 1.0
            size = raw.FPDFText_GetFontSize(self._page, index) * abs(a * d - b * c) / long
            style = self._styles[address] = _Style((a / long, b / long), size, self._layer_of(address))
        return style
