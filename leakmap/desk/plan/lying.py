"""Where things of a level lie, so that those which meet a box are found without asking each."""

from __future__ import annotations

from typing import Final

import numpy as np

from leakmap.desk.plan.drawn import Drawn, Key
from leakmap.geometry.path import Box

_FIRST: Final = 64
"""Rooms at first; twice as many whenever there are too few."""


class Lying:
    """Things by where they lie, in the order in which they came."""

    def __init__(self) -> None:
        self._things: list[tuple[Key, Drawn]] = []
        self._rows: dict[Key, int] = {}
        self._boxes = np.full((_FIRST, 4), np.nan)  # of a thing that went: nothing, which meets no box

    def put(self, key: Key, drawn: Drawn) -> None:
        """Take a thing; one that is there otherwise gives its place in the order."""
        row = self._rows.get(key)
        if row is None:
            row = self._rows[key] = len(self._things)
            self._things.append((key, drawn))
            if row == len(self._boxes):
                self._boxes = np.vstack((self._boxes, np.full_like(self._boxes, np.nan)))
        self._things[row], self._boxes[row] = (key, drawn), drawn.box

    def drop(self, key: Key) -> None:
        """A thing is no longer there."""
        self._boxes[self._rows.pop(key)] = np.nan
        if len(self._things) > _FIRST + 2 * len(self._rows):
            order = list(self._rows.values())
            self._boxes[: len(order)] = self._boxes[order]
            self._boxes[len(order) :] = np.nan
            self._things = [self._things[row] for row in order]
            self._rows = {key: row for row, (key, _) in enumerate(self._things)}

    def meeting(self, box: Box) -> list[tuple[Key, Drawn]]:
        """Things whose boxes meet a box, first come first."""
        x0, y0, x1, y1 = self._boxes[: len(self._things)].T
        meets = (x0 <= box[2]) & (x1 >= box[0]) & (y0 <= box[3]) & (y1 >= box[1])
        return [self._things[row] for row in np.flatnonzero(meets).tolist()]
