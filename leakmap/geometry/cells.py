"""An index of many straight segments by square cells, for questions of what lies near a place.

Each segment is cut into parts no longer than a cell, and each part lies in the cell of its middle. So
what comes within a radius of a place has its middle within that radius plus half a cell. Segments
that would be cut into very many parts (lines that run off to the origin of a survey) are looked at
every time instead.

Arrays of points have shape (n, 2), x then y.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]

MOST_PARTS: Final = 512
"""A segment of more parts than this is looked at every time."""

_ROW: Final = 1 << 31
_FARTHEST: Final = _ROW // 2 - 2
_LEAST_CELL: Final = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """The index: part i lies in the cell of ``keys[i]``, in rising order, and belongs to ``segment[i]``.

    Attributes:
        size: Side of a cell.
        origin: Where the cells are counted from.
        keys: Cell of each part, rising.
        segment: Segment of each part.
        always: Segments that are looked at every time.
    """

    size: float
    origin: FloatArray
    keys: IntArray
    segment: IntArray
    always: IntArray


def cells_of(start: FloatArray, end: FloatArray) -> Cells:
    """The index of segments; a point is a segment whose ends are equal."""
    step = end - start
    length = np.hypot(step[:, 0], step[:, 1])
    size = _cell_size(start, length)
    parts = np.ceil(length / size).astype(np.int64)
    np.maximum(parts, 1, out=parts)
    always = np.flatnonzero(parts > MOST_PARTS)
    parts[always] = 0
    segment = np.repeat(np.arange(len(start)), parts)
    firsts = np.cumsum(parts) - parts
    share = (np.arange(len(segment)) - firsts[segment] + 0.5) / parts[segment]
    middle = start[segment] + share[:, None] * step[segment]
    origin = middle.min(axis=0) if len(middle) else np.zeros(2)
    keys = _keys(np.floor((middle - origin) / size))
    order = np.argsort(keys, kind="stable")
    return Cells(size=size, origin=origin, keys=keys[order], segment=segment[order], always=always)


def near(cells: Cells, x: float, y: float, radius: float) -> IntArray:
    """Segments that may come within a radius of a place, each once, rising; none that do are left out."""
    if not len(cells.keys):
        return cells.always
    reach = radius + cells.size / 2
    low = np.floor((np.array((x, y)) - reach - cells.origin) / cells.size)
    high = np.floor((np.array((x, y)) + reach - cells.origin) / cells.size)
    last = int(min(high[0], cells.keys[-1] // _ROW))
    columns = np.arange(min(max(int(low[0]), 0), _FARTHEST), last + 1, dtype=np.int64)
    if not len(columns) or high[1] < 0:
        return cells.always
    rows = np.clip((low[1], high[1]), 0, _FARTHEST).astype(np.int64)
    firsts = np.searchsorted(cells.keys, columns * _ROW + rows[0])
    stops = np.searchsorted(cells.keys, columns * _ROW + rows[1] + 1)
    found = [cells.segment[first:stop] for first, stop in zip(firsts.tolist(), stops.tolist(), strict=True)]
    return np.unique(np.concatenate((*found, cells.always)))


def _cell_size(start: FloatArray, length: FloatArray) -> float:
    """About as many cells as segments, and about as large as a usual segment; strays do not count."""
    if not len(start):
        return 1.0
    usual = float(np.percentile(length, 90))
    low, high = np.percentile(start, 5, axis=0), np.percentile(start, 95, axis=0)
    apart = float(np.sqrt(np.prod(np.maximum(high - low, _LEAST_CELL)) / len(start)))
    return max(usual / 2, apart, _LEAST_CELL)


def _keys(cell: FloatArray) -> IntArray:
    whole = np.clip(cell, 0, _FARTHEST).astype(np.int64)
    return np.asarray(whole[:, 0] * _ROW + whole[:, 1], dtype=np.int64)
