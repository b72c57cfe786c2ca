"""Cells that flow from left to right, row by row, where one row has no room for all.

Cells that belong together (the choices of a tool) are a run: it stays on one row where any row can hold it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Run:
    """Cells that belong together.

    Attributes:
        widths: Of the cells, px.
        gap: Between two of them, px; -1 where neighbours share a rule.
    """

    widths: tuple[int, ...]
    gap: int

    @property
    def wide(self) -> int:
        """Width of all, px."""
        return sum(self.widths) + self.gap * (len(self.widths) - 1)


class Place(NamedTuple):
    """Where a cell stands: its left end, px, and its row, 0 on top."""

    x: int
    row: int


def flowed(runs: Sequence[Run], left: int, right: Callable[[int], int], gap: int) -> list[list[Place]]:
    """A place for each cell of each run; a cell that is wider than any row stands alone on one.

    Args:
        runs: The runs, in order.
        left: Where rows begin, px.
        right: Where a row ends, px.
        gap: Between runs, px.

    >>> flowed([Run((40,), 8), Run((30, 30), -1), Run((50,), 8)], 0, lambda row: 110, 8)
    [[Place(x=0, row=0)], [Place(x=48, row=0), Place(x=77, row=0)], [Place(x=0, row=1)]]
    >>> flowed([Run((40,), 8), Run((60, 60), -1)], 0, lambda row: 110, 8)
    [[Place(x=0, row=0)], [Place(x=48, row=0), Place(x=0, row=1)]]
    """
    x, row = left, 0
    found = []
    for run in runs:
        if x > left and x + run.wide > right(row) and run.wide <= right(row + 1) - left:
            x, row = left, row + 1
        places = []
        for wide in run.widths:
            if x > left and x + wide > right(row):
                x, row = left, row + 1
            places.append(Place(x, row))
            x += wide + run.gap
        x += gap - run.gap
        found.append(places)
    return found
