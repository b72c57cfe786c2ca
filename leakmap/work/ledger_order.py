"""How rows of the ledger are sorted: numbers by size, references by their number, positions by where they are."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from leakmap.base.rounding import ZERO, rounded
from leakmap.geometry.path import Point
from leakmap.model.grid import from_origin_m
from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.work.ledger_lines import SPOT, Line, Rank, Value

_STEP_M = Decimal("0.001")


def in_order_of(lines: Iterable[Line], column: str, *, falling: bool = False) -> tuple[Line, ...]:
    """Lines sorted by a column; those whose cell is empty stay last, and equal ones stay as they come."""
    every = list(lines)
    filled = [line for line in every if column in line.values]
    filled.sort(key=lambda line: line.ranks.get(column) or rank_of(line.values[column]), reverse=falling)
    return (*filled, *(line for line in every if column not in line.values))


def rank_of(value: Value) -> Rank:
    """What a value is sorted by.

    >>> sorted(["J-10", "J-2", "j-1"], key=rank_of)
    ['j-1', 'J-2', 'J-10']
    """
    if isinstance(value, (Decimal, Wetness)):
        return (_figure(Decimal(value)),)
    if isinstance(value, date):
        return (_figure(Decimal(value.toordinal())),)
    if value == SPOT:
        return (_figure(ZERO),)
    parts = re.findall(r"[0-9]+|[^0-9]+", value.casefold())
    return tuple(_figure(Decimal(part)) if part.isdecimal() else (1, ZERO, part) for part in parts)


def chainage_rank(ref: str, at_m: Decimal) -> Rank:
    """What a chainage on a joint is sorted by: the joint, then how far along it."""
    return (*rank_of(ref), _figure(at_m))


def place_rank(job: Job, point: Point) -> Rank:
    """What a place is sorted by: how far it lies past the first letter, then past the first number.

    Without a grid: by its site position, across and then up.
    """
    grid = job.grid
    along = point if grid is None else tuple(from_origin_m(grid, axes, point) for axes in (grid.letters, grid.numbers))
    return tuple(_figure(rounded(distance_m, _STEP_M)) for distance_m in along)


def _figure(value: Decimal) -> tuple[int, Decimal, str]:
    return 0, value, ""
