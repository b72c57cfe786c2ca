"""What is taken on a level before a reference is placed: boxes with weights, asked for all of some tries at once.

Boxes are (min x, min y, max x, max y) in level pixels.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, hypot
from typing import Final

import numpy as np

from leakmap.geometry.path import Box, Point
from leakmap.model.drawing import FloatArray

_PIECE_PX: Final = 12.0
_ROOM: Final = 1024


class Taken:
    """Boxes with weights; what is taken twice counts once."""

    def __init__(self) -> None:
        self._rows: FloatArray = np.empty((_ROOM, 5))
        self._known: set[tuple[Box, float]] = set()

    def add(self, box: Box, weight: float) -> None:
        """Take a box."""
        count = len(self._known)
        self._known.add((box, weight))
        if len(self._known) == count:
            return
        if count == len(self._rows):
            self._rows = np.vstack((self._rows, np.empty_like(self._rows)))
        self._rows[count] = (*box, weight)

    def add_line(self, points: Iterable[Point], weight: float, half_px: float = 0.0) -> None:
        """Take a line, each piece widened by ``half_px``; slanting pieces are cut short, since boxes lie level."""
        for (x0, y0), (x1, y1) in pairwise(points):
            slants = min(abs(x1 - x0), abs(y1 - y0)) > _PIECE_PX / 10
            for box in pieces((x0, y0), (x1, y1), _PIECE_PX if slants else float("inf")):
                self.add((box[0] - half_px, box[1] - half_px, box[2] + half_px, box[3] + half_px), weight)

    def near(self, box: Box) -> FloatArray:
        """Rows ``(n, 5)`` of all that meets a box: the box, and its weight."""
        rows = self._rows[: len(self._known)]
        x0, y0, x1, y1, _ = rows.T
        found: FloatArray = rows[(x0 < box[2]) & (box[0] < x1) & (y0 < box[3]) & (box[1] < y1)]
        return found


def weights(boxes: Sequence[Box], rows: FloatArray) -> list[float]:
    """The weight of all that each box would cover, out of what is near it."""
    covered: list[float] = (_meeting(boxes, rows) @ rows[:, 4]).tolist()
    return covered


def weight_along(points: Sequence[Point], rows: FloatArray) -> float:
    """The weight of all that a leader would cross, each thing once."""
    boxes = [box for a, b in pairwise(points) for box in pieces(a, b, _PIECE_PX / 2)]
    return float(rows[_meeting(boxes, rows).any(axis=0), 4].sum()) if boxes else 0.0


def _meeting(boxes: Sequence[Box], rows: FloatArray) -> FloatArray:
    x0, y0, x1, y1 = np.array(boxes).T[:, :, None]
    a0, b0, a1, b1, _ = rows.T
    found: FloatArray = (a0 < x1) & (x0 < a1) & (b0 < y1) & (y0 < b1)
    return found


def pieces(start: Point, end: Point, longest: float = _PIECE_PX) -> list[Box]:
    """Boxes round the pieces of a straight line, cut so short that a slanting one is followed closely."""
    (x0, y0), (x1, y1) = start, end
    count = max(ceil(hypot(x1 - x0, y1 - y0) / longest), 1)
    stops = [(x0 + (x1 - x0) * k / count, y0 + (y1 - y0) * k / count) for k in range(count + 1)]
    return [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(stops)]
