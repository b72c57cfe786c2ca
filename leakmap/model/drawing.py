"""A drawing as read: strokes, texts and layers in drawing units, whatever file it came from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from leakmap.base.findings import Finding
from leakmap.geometry.path import Box, Point

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int32]


class LayerState(StrEnum):
    """Whether a layer of the source file shows."""

    ON = "on"
    OFF = "off"
    FROZEN = "frozen"


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of the drawing."""

    name: str
    state: LayerState = LayerState.ON


@dataclass(frozen=True, slots=True)
class Text:
    """A text of the drawing, kept as a string.

    Attributes:
        at: Its insertion point, drawing units, relative to the drawing's origin.
        height: Cap height in drawing units, greater than zero.
        turn_deg: Degrees, counter-clockwise.
        across: 0 left, 0.5 middle, 1 right: which part of its width lies at the point.
        up: 0 baseline, 0.5 middle, 1 top: which part of its height lies at the point.
        words: What it says; lines are parted by line feeds.
        layer: Index into the drawing's layers.
    """

    at: Point
    height: float
    turn_deg: float
    across: float
    up: float
    words: str
    layer: int


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """All lines of a drawing as polylines in three arrays.

    Attributes:
        xy: ``(n, 2)`` float64, x then y, drawing units relative to the drawing's origin.
        starts: ``(m + 1,)`` int32; polyline i is ``xy[starts[i]:starts[i + 1]]``; first 0, last n.
        layer: ``(m,)`` int32, index into the drawing's layers.
    """

    xy: FloatArray
    starts: IntArray
    layer: IntArray

    def __len__(self) -> int:
        """Number of polylines."""
        return len(self.layer)

    def polyline(self, index: int) -> FloatArray:
        """Points ``(k, 2)`` of one polyline; a closed one repeats its first point."""
        return self.xy[self.starts[index] : self.starts[index + 1]]


@dataclass(frozen=True, slots=True)
class UnitHint:
    """What the file says or suggests of its unit; never trusted without a check.

    Attributes:
        m_per_unit: Metres of one drawing unit; None when nothing is known.
        reason: One sentence, such as "the header says millimetre".
    """

    m_per_unit: float | None
    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """A drawing as read.

    Attributes:
        origin: Drawing point, absolute drawing units, that all coordinates are relative to.
        layers: Layers in the order of the file.
        strokes: Lines.
        texts: Texts.
        unit: Hint at the unit.
        shown: Box round what is visible and drawn, relative to the origin; None when nothing is.
        findings: What the reader fixed, lost, or wants looked at.
    """

    origin: Point
    layers: tuple[Layer, ...]
    strokes: Strokes
    texts: tuple[Text, ...]
    unit: UnitHint
    shown: Box | None
    findings: tuple[Finding, ...] = ()
