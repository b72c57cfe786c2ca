"""How the imported drawing looks: which layers show, how strongly, in which colours."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

from leakmap.desk.tokens import LIGHT
from leakmap.model.drawing import Drawing, LayerState
from leakmap.model.sheet import Sheet


class Strength(IntEnum):
    """How strongly a layer shows; each click on it gives the one before, and after the last the first."""

    HIDDEN = 0
    FAINT = 1
    FULL = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Inks:
    """Colours of lines and texts of full and of faint layers; pictures have those of lines.

    Attributes:
        own_colours: Whether pictures of full layers keep their own instead.
    """

    line: str
    text: str
    faint_line: str
    faint_text: str
    own_colours: bool = False


DIMMED: Final = Inks(line=LIGHT.paperline, text=LIGHT.papertext, faint_line="#D3D3CF", faint_text="#BFC1BF")
"""Dimmed on purpose: the marks count. Faint is half way to the paper."""

STRONG: Final = Inks(
    line=LIGHT.ink2,
    text=LIGHT.ink2,
    faint_line=LIGHT.paperline,
    faint_text=LIGHT.papertext,
    own_colours=True,
)
"""In stage Drawing, where the drawing itself is what counts."""

UNDER_NEW: Final = Inks(line=LIGHT.edge, text=LIGHT.edge, faint_line=LIGHT.paperline, faint_text=LIGHT.papertext)
"""Under a new drawing of the level, which lies over it in blue: what shows in this tone alone is gone."""

LAID_OVER: Final = Inks(line=LIGHT.focus, text=LIGHT.focus, faint_line="#84ADD6", faint_text="#84ADD6")
"""A level that is laid over another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a drawing looks.

    Attributes:
        strengths: Strength of each layer, by its number; layers beyond the last are full.
        texts_from: Farther away than at so many pixels a metre no text of the drawing is set.
    """

    strengths: tuple[Strength, ...] = ()
    inks: Inks = DIMMED
    texts_from: float = 0.0


def strengths_of(sheet: Sheet, drawing: Drawing, faint: Iterable[str] = ()) -> tuple[Strength, ...]:
    """Strength of each layer: as the file says, unless the user said otherwise.

    Args:
        sheet: The sheet; its ``shown`` overrides the file.
        drawing: Its drawing.
        faint: Names of layers that are faint where they show.
    """
    wish, pale = dict(sheet.shown), frozenset(faint)
    return tuple(
        (Strength.FAINT if layer.name in pale else Strength.FULL)
        if wish.get(layer.name, layer.state is LayerState.ON)
        else Strength.HIDDEN
        for layer in drawing.layers
    )
