"""Faces of the papers, and how any text is set in them.

A character that a face lacks is set in the wide fallback face, run by run; one that both lack is
set as an open box and remembered, so that the paper and its findings can name it. Letters and their
accents are one character where Unicode has it (normal form C), else set together in one face. Writing
that runs from right to left is not laid out here, so its letters are boxed too, rather than printed
in the wrong order. Control characters are spaces, and marks without a shape are nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from itertools import groupby
from typing import Final
from unicodedata import bidirectional, category, combining, normalize
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from leakmap.base.findings import Effect, Finding
from leakmap.base.resources import resource


class Face(StrEnum):
    """A face of the papers; the value is the name it is known by to the PDF library."""

    BODY = "leakmap-body"
    BOLD = "leakmap-bold"
    DRAFTING = "leakmap-drafting"
    WIDE = "leakmap-fallback"


_FILES: Final = {
    Face.BODY: "BarlowSemiCondensed-Medium-Tabular.ttf",
    Face.BOLD: "BarlowSemiCondensed-SemiBold-Tabular.ttf",
    Face.DRAFTING: "routed-gothic.ttf",
    Face.WIDE: "DejaVuSans.ttf",
}
CAP_SHARE: Final = {Face.BODY: 0.700, Face.BOLD: 0.700, Face.DRAFTING: 736 / 1024, Face.WIDE: 0.729}
"""Height of a capital as a share of the size, from the fonts' own tables."""

NO_GLYPH: Final = "□"
NO_BREAK: Final = "\u00a0"
_RIGHT_TO_LEFT: Final = frozenset({"R", "AL", "AN"})
_SELECTORS: Final = range(0xFE00, 0xFE10), range(0xE0100, 0xE01F0)
_CONTEXT: Final = 12
MM: Final = 72 / 25.4
"""Points in a millimetre."""


@cache
def coverage(face: Face) -> frozenset[int]:
    """Characters that a face holds; registers it with the PDF library when first asked for."""
    font = TTFont(face.value, resource("resources", "fonts", _FILES[face]))
    pdfmetrics.registerFont(font)
    pdfmetrics.registerFontFamily(
        face.value, normal=face.value, bold=face.value, italic=face.value, boldItalic=face.value
    )
    return frozenset(font.face.charToGlyph)


def use_faces() -> None:
    """Make every face known to the PDF library."""
    for face in Face:
        coverage(face)


@cache
def _plain(face: Face) -> frozenset[str]:
    """Characters that a face holds and that are set as they are."""
    held = map(chr, coverage(face))
    return frozenset(char for char in held if char in {" ", NO_BREAK} or not (char.isspace() or _is_special(char)))


def _is_special(char: str) -> bool:
    return is_silent(char) or category(char) == "Cc" or bool(combining(char)) or bidirectional(char) in _RIGHT_TO_LEFT


def is_silent(char: str) -> bool:
    r"""Whether a character has no shape: soft hyphens, joiners, marks of direction, selectors of variants.

    >>> [is_silent(char) for char in ("\u00ad", "\u202e", "\ufe0f", "a", "\t")]
    [True, True, True, False, False]
    """
    return category(char) == "Cf" or any(ord(char) in each for each in _SELECTORS)


def _clusters(words: str) -> list[str]:
    """Each character with the marks that are set over or under it."""
    found: list[str] = []
    for char in normalize("NFC", words):
        if combining(char) and found:
            found[-1] += char
        elif not is_silent(char):
            found.append(char)
    return found


@dataclass(slots=True)
class Lettering:
    """Sets text in runs of faces that hold it.

    Attributes:
        missing: Characters that cannot be printed, met so far, each with some of the words that it stood in.
        cut: Starts of texts that were too long for their place, met so far.
    """

    missing: dict[str, str] = field(default_factory=dict)
    cut: set[str] = field(default_factory=set)

    def runs(self, words: str, face: Face) -> list[tuple[Face, str]]:
        """The words cut into runs of one face each; control characters become spaces."""
        if words and _plain(face).issuperset(words):
            return [(face, words)]
        pairs = [pair for cluster in _clusters(words) for pair in self._cast(cluster, face, words)]
        return [(key, "".join(char for _, char in group)) for key, group in groupby(pairs, key=lambda pair: pair[0])]

    def _cast(self, cluster: str, face: Face, words: str) -> list[tuple[Face, str]]:
        if cluster == NO_BREAK:
            return [(face, cluster)]
        if cluster.isspace() or category(cluster[0]) == "Cc":
            return [(face, " ")]
        if not any(bidirectional(char) in _RIGHT_TO_LEFT for char in cluster):
            for candidate in (face, Face.WIDE):
                if all(ord(char) in coverage(candidate) for char in cluster):
                    return [(candidate, cluster)]
        if len(cluster) > 1:
            return [pair for char in cluster for pair in self._cast(char, face, words)]
        if cluster not in self.missing:
            start = max(words.find(cluster) - _CONTEXT, 0)
            self.missing[cluster] = words[start : start + 2 * _CONTEXT].strip()
        return [(Face.WIDE, NO_GLYPH)]

    def markup(self, words: str, face: Face = Face.BODY) -> str:
        """The words for a paragraph of ``face``: escaped, foreign runs marked, lines kept."""
        lines = words.replace("\r\n", "\n").split("\n")
        return "<br/>".join(
            "".join(_marked(run, piece, face) for run, piece in self.runs(line, face)) for line in lines
        )

    def width(self, words: str, face: Face, size: float) -> float:
        """Width in points."""
        return sum(float(pdfmetrics.stringWidth(piece, run.value, size)) for run, piece in self.runs(words, face))

    def width_mm(self, words: str, cap_mm: float) -> float:
        """Width in mm of a reference with a cap height in mm."""
        size = cap_mm * MM / CAP_SHARE[Face.BOLD]
        return self.width(words, Face.BOLD, size) / MM

    def fitted(self, words: str, face: Face, size: float, room: float) -> str:
        """The words, or as many of them as fit the room with an ellipsis; width in points."""
        if self.width(words, face, size) <= room:
            return words
        kept = words
        while kept and self.width(f"{kept}…", face, size) > room:
            kept = kept[:-1]
        return f"{kept.rstrip()}…"

    def unprintable(self, paper: str) -> tuple[Finding, ...]:
        """What a person should know of characters that a paper could not print."""
        if not self.missing:
            return ()
        chars = "; ".join(f"{char} ({_code(char)}) in “{words}”" for char, words in sorted(self.missing.items()))
        text = f"No font of the papers prints these characters; an open box stands for each: {chars}."
        return (Finding("characters-not-printed", paper, text, Effect.LOST),)

    def unprinted_words(self) -> str:
        """What the paper itself says of characters that it could not print; empty where it printed all."""
        if not self.missing:
            return ""
        return f"{NO_GLYPH} stands for what no font here prints: {', '.join(map(_code, sorted(self.missing)))}."


def _code(char: str) -> str:
    return f"U+{ord(char):04X}"


def _marked(run: Face, piece: str, face: Face) -> str:
    return escape(piece) if run is face else f'<font name="{run.value}">{escape(piece)}</font>'
