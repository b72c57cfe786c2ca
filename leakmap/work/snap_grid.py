"""Places of the grid that catch the pointer: crossings of two axes, and axes."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Final

from leakmap.geometry.path import Point
from leakmap.model.grid import Axes, Grid, crossings, from_origin_m
from leakmap.work.catch import ANYTHING, PARALLEL, Aim, Catch, Caught

_FAR_M: Final = 1000.0
"""How far an axis, which has no ends, goes on each way from where it is caught."""


@dataclass(frozen=True, slots=True, eq=False)
class GridPlaces:
    """A grid and its crossings; no grid, no places."""

    grid: Grid | None
    crossings: tuple[Catch, ...] = ()


def grid_places(grid: Grid | None) -> GridPlaces:
    """The places of a grid."""
    if grid is None:
        return GridPlaces(None)
    return GridPlaces(
        grid, tuple(Catch(at=place.at, words=f"grid {place.letter} / {place.number}") for place in crossings(grid))
    )


def caught_on_grid(places: GridPlaces, at: Point, radius_m: float, aim: Aim = ANYTHING) -> Caught:
    """The nearest crossing and the nearest axis within the radius."""
    if places.grid is None:
        return Caught()
    met = min(places.crossings, key=lambda catch: _apart(catch.at, at), default=None)
    crossing = met if met is not None and _apart(met.at, at) <= radius_m else None
    families = (places.grid.letters, places.grid.numbers)
    lines = [_line(places.grid, axes, at) for axes in families if axes.each and not _along(axes, aim.across)]
    near, line = min(lines, key=lambda found: found[0], default=(radius_m, None))
    return Caught(crossing, line if near <= radius_m else None)


def _along(axes: Axes, way: Point | None) -> bool:
    """Whether axes run along a unit vector."""
    x, y = axes.towards  # square to the axes
    return way is not None and abs(x * way[0] + y * way[1]) <= PARALLEL


def _line(grid: Grid, axes: Axes, at: Point) -> tuple[float, Catch]:
    """The nearest axis of a family: how far it is, and the foot on it."""
    here = from_origin_m(grid, axes, at)
    axis = min(axes.each, key=lambda each: abs(each.at_m - here))
    off = axis.at_m - here
    x, y = axes.towards
    foot = (at[0] + off * x, at[1] + off * y)
    ends = ((foot[0] - _FAR_M * y, foot[1] + _FAR_M * x), (foot[0] + _FAR_M * y, foot[1] - _FAR_M * x))
    return abs(off), Catch(at=foot, words=f"grid {axis.name}", line=ends)


def _apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])
