"""Lines of a drawing in sheaves, each with an index, so that a small part of the plan is found fast.

A *line* is one straight piece: x, y, x, y in metres of the site plane. A *sheaf* is some ten thousand
lines, sorted by size and place: lines of one size lie in a grid whose cells are at least as large as
they are, so that long lines have a grid of their own and do not turn up in every small view.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, radians, sin
from typing import Final

import numpy as np
import numpy.typing as npt

from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import FloatArray, IntArray, Strokes

AT_ONCE: Final = 30_000
"""Points that go into one sheaf: sorting them takes a few milliseconds."""

_CELLS: Final = 64
"""Cells across the grid of the shortest lines."""

_LEVELS: Final = 7  # each with cells twice as large: the last grid is one cell

_Places = npt.NDArray[np.int64]


def placed(placement: Placement, origin: Point, xy: FloatArray) -> FloatArray:
    """Site positions ``(n, 2)``, metres, of points in drawing units relative to a drawing's origin."""
    c, s = cos(radians(placement.turn_deg)), sin(radians(placement.turn_deg))
    scaled = (xy + np.subtract(origin, placement.origin)) * (placement.x_m_per_unit, placement.y_m_per_unit)
    turned: FloatArray = scaled @ np.array([[c, s], [-s, c]]) + placement.at_m
    return turned


def bundles(strokes: Strokes, at_once: int = AT_ONCE) -> Iterator[tuple[FloatArray, IntArray]]:
    """Lines ``(n, 4)`` of the polylines and their layers, in bundles of about so many points; in drawing units."""
    first = 0
    while first < len(strokes):
        after = int(np.searchsorted(strokes.starts, strokes.starts[first] + at_once, side="right"))
        last = min(max(after - 1, first + 1), len(strokes))
        begin, end = int(strokes.starts[first]), int(strokes.starts[last])
        owner = np.repeat(np.arange(first, last), np.diff(strokes.starts[first : last + 1]))
        going_on = owner[1:] == owner[:-1]
        xy = strokes.xy[begin:end]
        yield np.hstack((xy[:-1], xy[1:]))[going_on], strokes.layer[owner[1:][going_on]]
        first = last


class Sheaf:
    """Lines with an index.

    Args:
        lines: ``(n, 4)``, metres of the site plane, at least one.
        layer: ``(n,)``, number of the layer of each.
    """

    def __init__(self, lines: FloatArray, layer: IntArray) -> None:
        low, high = lines.reshape(-1, 2).min(axis=0), lines.reshape(-1, 2).max(axis=0)
        self.box: Box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        self._cell = max(float((high - low).max()) / _CELLS, 1e-9)
        x0, y0, x1, y1 = lines.T
        sizes = np.maximum(np.abs(x1 - x0), np.abs(y1 - y0))
        level = np.ceil(np.log2(np.maximum(sizes / self._cell, 1.0))).astype(np.int64)
        middles = (lines[:, :2] + lines[:, 2:]) / 2 - low
        column, row = (middles / (self._cell * 2.0**level)[:, None]).astype(np.int64).T
        keys = _key(level, row, column)
        order = np.argsort(keys, kind="stable")
        self._keys = keys[order]
        self._levels = np.flatnonzero(np.bincount(level)).tolist()
        self.lines: FloatArray = np.ascontiguousarray(lines[order])
        self.layer: IntArray = layer[order]

    def __len__(self) -> int:
        return len(self.lines)

    def meeting(self, box: Box) -> _Places:
        """Places of the lines whose own boxes meet a box of the site."""
        if self.box[0] >= box[0] and self.box[1] >= box[1] and self.box[2] <= box[2] and self.box[3] <= box[3]:
            return np.arange(len(self.lines))
        near = self._near(box)
        x0, y0, x1, y1 = self.lines[near].T
        meets = (np.maximum(x0, x1) >= box[0]) & (np.minimum(x0, x1) <= box[2])
        meets &= (np.maximum(y0, y1) >= box[1]) & (np.minimum(y0, y1) <= box[3])
        found: _Places = near[meets]
        return found

    def _near(self, box: Box) -> _Places:
        """Places of all lines in the cells that a box reaches, with half a cell round it, in the grids of every size."""
        x0, y0, x1, y1 = box[0] - self.box[0], box[1] - self.box[1], box[2] - self.box[0], box[3] - self.box[1]
        firsts, lasts = [], []
        for level in self._levels:
            cell, most = self._cell * 2.0**level, _CELLS >> min(level, _LEVELS - 1)
            left, low = (min(max(int(edge / cell - 0.5), 0), most) for edge in (x0, y0))
            right, high = (min(max(int(edge / cell + 0.5), 0), most) for edge in (x1, y1))
            rows = np.arange(low, high + 1)
            firsts.append(_key(level, rows, left))
            lasts.append(_key(level, rows, right + 1))
        begins = np.searchsorted(self._keys, np.concatenate(firsts))
        counts = np.searchsorted(self._keys, np.concatenate(lasts)) - begins
        begins, counts = begins[counts > 0], counts[counts > 0]
        ends = np.cumsum(counts)
        runs: _Places = np.arange(int(counts.sum())) + np.repeat(begins - ends + counts, counts)
        return runs


def _key(level: _Places | int, row: _Places, column: _Places | int) -> _Places:
    """Cells in order: by size, then by row, then along it."""
    key: _Places = (level * 128 + row) * 128 + column
    return key
