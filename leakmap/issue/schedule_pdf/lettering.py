"""Faces of the papers, and how any text is set in them.

A character that a face lacks is set in the wide fallback face, run by run; one that both lack is
set as an open box and remembered, so that the paper's findings can name it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from itertools import groupby
from typing import Final
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
_SILENT: Final = frozenset("\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufe0f\ufeff")
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
    return frozenset(char for char in held if char in {" ", NO_BREAK} or not (char.isspace() or _is_control(char)))


def _is_control(char: str) -> bool:
    return char in _SILENT or ord(char) < 32 or 0x7F <= ord(char) < 0xA0


@dataclass(slots=True)
class Lettering:
    """Sets text in runs of faces that hold it.

    Attributes:
        missing: Characters that no face holds, met so far.
        cut: Starts of texts that were too long for their place, met so far.
    """

    missing: set[str] = field(default_factory=set)
    cut: set[str] = field(default_factory=set)

    def runs(self, words: str, face: Face) -> list[tuple[Face, str]]:
        """The words cut into runs of one face each; control characters become spaces."""
        if words and _plain(face).issuperset(words):
            return [(face, words)]
        pairs = [self._cast(char, face) for char in words if char not in _SILENT]
        return [(key, "".join(char for _, char in group)) for key, group in groupby(pairs, key=lambda pair: pair[0])]

    def _cast(self, char: str, face: Face) -> tuple[Face, str]:
        if char == NO_BREAK:
            return face, char
        if char.isspace() or ord(char) < 32 or 0x7F <= ord(char) < 0xA0:
            return face, " "
        for candidate in (face, Face.WIDE):
            if ord(char) in coverage(candidate):
                return candidate, char
        self.missing.add(char)
        return Face.WIDE, NO_GLYPH

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
        chars = ", ".join(f"U+{ord(char):04X}" for char in sorted(self.missing))
        text = f"These characters are in no face of the paper and are printed as an open box: {chars}."
        return (Finding("characters-not-printed", paper, text, Effect.LOST),)


def _marked(run: Face, piece: str, face: Face) -> str:
    return escape(piece) if run is face else f'<font name="{run.value}">{escape(piece)}</font>'
