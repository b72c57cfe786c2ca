"""How the imported drawing looks: which layers show, how strongly, in which colours."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import IntEnum

from leakmap.desk.theme import tokens
from leakmap.desk.tokens import mixed
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
        broken: Whether lines are broken, so that they are told from others without colour.
    """

    line: str
    text: str
    faint_line: str
    faint_text: str
    own_colours: bool = False
    broken: bool = False


def dimmed() -> Inks:
    """Dimmed on purpose: the marks count. Faint is half way to the paper."""
    line, words = tokens().paperline, tokens().papertext
    return Inks(line=line, text=words, faint_line=_half(line), faint_text=_half(words))


def strong() -> Inks:
    """In stage Drawing, where the drawing itself is what counts."""
    return _over_dimmed(tokens().ink2, own_colours=not tokens().dark)


def under_new() -> Inks:
    """Under a new drawing of the level, which lies over it in blue: what shows in this tone alone is gone."""
    return _over_dimmed(tokens().edge)


def laid_over() -> Inks:
    """A level that is laid over another."""
    blue = tokens().focus
    return Inks(line=blue, text=blue, faint_line=_half(blue), faint_text=_half(blue), broken=True)


def _over_dimmed(ink: str, *, own_colours: bool = False) -> Inks:
    """Full layers in an ink, faint ones as full ones are elsewhere."""
    faint = dimmed()
    return Inks(line=ink, text=ink, faint_line=faint.line, faint_text=faint.text, own_colours=own_colours)


def _half(ink: str) -> str:
    return mixed(ink, tokens().sheet)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a drawing looks.

    Attributes:
        strengths: Strength of each layer, by its number; layers beyond the last are full.
        texts_from: Farther away than at so many pixels a metre no text of the drawing is set.
    """

    strengths: tuple[Strength, ...] = ()
    inks: Inks = field(default_factory=dimmed)
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
