"""A drawing as read: strokes, texts, pictures and layers in drawing units, whatever file it came from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple, Self

import numpy as np
import numpy.typing as npt

from leakmap.base.findings import Finding
from leakmap.geometry.path import Box, Point

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int32]

TILE_PX: Final = 512
"""Width and height of a tile of a picture."""


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

    @classmethod
    def none(cls) -> Self:
        """No lines at all, as in a drawing that is a picture."""
        return cls(np.empty((0, 2), np.float64), np.zeros(1, np.int32), np.empty(0, np.int32))

    def polyline(self, index: int) -> FloatArray:
        """Points ``(k, 2)`` of one polyline; a closed one repeats its first point."""
        return self.xy[self.starts[index] : self.starts[index + 1]]


class TilePlace(NamedTuple):
    """Where a tile of a picture belongs.

    Attributes:
        level: 0 is the finest.
        column: From the left, 0 first.
        row: From the top, 0 first.
    """

    level: int
    column: int
    row: int


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A picture that lies under the lines, cut into tiles at ever coarser levels.

    Level 0 is the picture itself. A pixel of any further level covers exactly 2 x 2 pixels of the one
    before, so the last column and row of a level may reach beyond the box by less than a pixel of
    theirs. The last level is the first one that is a single tile. A tile is ``TILE_PX`` wide and high;
    the last one of a row or column is as large as what is left.

    Attributes:
        box: Where it lies: left, bottom, right, top; drawing units relative to the drawing's origin.
        size_px: Width and height of level 0, each at least 1.
        tiles: PNG or JPEG file of each tile; one that is not there is white all over.
        layer: Index into the drawing's layers.
    """

    box: Box
    size_px: tuple[int, int]
    tiles: Mapping[TilePlace, bytes]
    layer: int = 0

    def __post_init__(self) -> None:
        """Make sure of an extent."""
        left, bottom, right, top = self.box
        assert left < right
        assert bottom < top
        assert min(self.size_px) >= 1

    @property
    def levels(self) -> int:
        """Number of levels.

        >>> Picture((0, 0, 1, 1), (512, 100), {}).levels, Picture((0, 0, 1, 1), (513, 2048), {}).levels
        (1, 3)
        """
        return max(0, (max(self.size_px) - 1) // TILE_PX).bit_length() + 1

    def level_px(self, level: int) -> tuple[int, int]:
        """Width and height of a level.

        >>> Picture((0, 0, 1, 1), (513, 2048), {}).level_px(1)
        (257, 1024)
        """
        width, height = self.size_px
        return -(-width >> level), -(-height >> level)

    def places(self, level: int) -> tuple[TilePlace, ...]:
        """Places of all tiles of a level, row by row from the top, blank ones too.

        >>> [place[1:] for place in Picture((0, 0, 1, 1), (513, 600), {}).places(0)]
        [(0, 0), (1, 0), (0, 1), (1, 1)]
        """
        width, height = self.level_px(level)
        columns, rows = range(-(-width // TILE_PX)), range(-(-height // TILE_PX))
        return tuple(TilePlace(level, column, row) for row in rows for column in columns)

    def tile_px(self, place: TilePlace) -> tuple[int, int]:
        """Width and height of a tile.

        >>> Picture((0, 0, 1, 1), (513, 600), {}).tile_px(TilePlace(0, 1, 1))
        (1, 88)
        """
        width, height = self.level_px(place.level)
        return min(TILE_PX, width - place.column * TILE_PX), min(TILE_PX, height - place.row * TILE_PX)

    def tile_box(self, place: TilePlace) -> Box:
        """Where a tile lies: left, bottom, right, top; drawing units relative to the drawing's origin.

        >>> Picture((0, 0, 10, 20), (1024, 2048), {}).tile_box(TilePlace(1, 0, 1))
        (0.0, 0.0, 10.0, 10.0)
        """
        left, bottom, right, top = self.box
        across = (right - left) / self.size_px[0] * 2**place.level
        down = (top - bottom) / self.size_px[1] * 2**place.level
        x, y = left + place.column * TILE_PX * across, top - place.row * TILE_PX * down
        width, height = self.tile_px(place)
        return x, y - height * down, x + width * across, y


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
        pictures: Pictures under the lines, the lowest first.
    """

    origin: Point
    layers: tuple[Layer, ...]
    strokes: Strokes
    texts: Sequence[Text]
    unit: UnitHint
    shown: Box | None
    findings: tuple[Finding, ...] = ()
    pictures: tuple[Picture, ...] = ()
