"""What a PDF paper is drawn with, read from the content of its pages: widths of lines and heights of capitals.

The operators are read by pikepdf and the fonts by fontTools, neither of which wrote them; widths and sizes are those on
paper, after every change of the coordinates.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO
from math import hypot
from pathlib import Path

import numpy as np
import pikepdf
from fontTools.ttLib import TTFont

from leakmap.model.drawing import FloatArray

MM_PER_POINT = 25.4 / 72
FONTS = Path(__file__).parents[2] / "resources" / "fonts"
DRAFTING = "routed"
"""Part of the name of the face of an imported drawing, whose texts are as high as they were drawn."""

_PAINTS = {"S", "s", "B", "B*", "b", "b*"}
_SHOWS = {"Tj", "TJ", "'", '"'}


@dataclass(frozen=True)
class _State:
    """What q keeps and Q brings back."""

    onto: FloatArray
    width: float = 1.0


def drawn_widths_mm(data: bytes) -> set[float]:
    """Width of every line that is drawn, to a hundredth."""
    return {round(width * MM_PER_POINT, 2) for _, width, _ in _inked(data) if width}


def least_capital_mm(data: bytes) -> float:
    """Least height of a capital of the program's own words."""
    words = ((font, size) for font, _, size in _inked(data) if font and DRAFTING not in font.lower())
    return min(cap_share(font) * size * MM_PER_POINT for font, size in words)


@cache
def cap_share(name: str) -> float:
    """Height of a capital as a share of the size, by the font file whose own name stands in a font of the paper."""
    plain = name.rpartition("+")[2].lower()
    for path in sorted(FONTS.glob("*.ttf")):
        font = TTFont(path)
        if str(font["name"].getDebugName(6)).lower() in plain:
            glyph = font["glyf"][font.getBestCmap()[ord("H")]]
            return float(glyph.yMax) / float(font["head"].unitsPerEm)
    raise AssertionError(f"no file has the font {name}")


def _inked(data: bytes) -> Iterator[tuple[str, float, float]]:
    """Each line and each word that is shown: name of the font, width of the line, size of the words, in points."""
    with pikepdf.open(BytesIO(data)) as pdf:
        for page in pdf.pages:
            fonts = {name: str(font.BaseFont) for name, font in page.Resources.get("/Font", {}).items()}
            yield from _on_page(page, fonts)


def _on_page(page: pikepdf.Page, fonts: dict[str, str]) -> Iterator[tuple[str, float, float]]:
    state, kept = _State(np.eye(2)), []
    font, size, turned = "", 0.0, np.eye(2)
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name == "q":
            kept.append(state)
        elif name in {"Q", "cm", "w"}:
            state = kept.pop() if name == "Q" else _changed(state, name, operands)
        elif name == "Tf":
            font, size = fonts[str(operands[0])], float(operands[1])
        elif name in {"BT", "Tm"}:
            turned = _linear(operands) if name == "Tm" else np.eye(2)
        elif name in _PAINTS:
            yield "", state.width * abs(float(np.linalg.det(state.onto))) ** 0.5, 0.0
        elif name in _SHOWS:
            yield font, 0.0, size * hypot(*(turned @ state.onto)[1])


def _changed(state: _State, name: str, operands: pikepdf.Array) -> _State:
    if name == "w":
        return replace(state, width=float(operands[0]))
    return replace(state, onto=_linear(operands) @ state.onto)


def _linear(operands: pikepdf.Array) -> FloatArray:
    return np.array([float(each) for each in list(operands)[:4]]).reshape(2, 2)
