"""Segments that a pointer comes near: the nearest foot, crossings, and feet square from a point.

Arrays of points have shape (n, 2), x then y, metres of the site plane.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from leakmap.geometry.cells import Cells, FloatArray, IntArray, cells_of, near
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.work.catch import PARALLEL

MOST_CROSSED: Final = 64
"""Crossings are looked for among this many of the nearest segments (ours); more are a blot of ink."""

_PARALLEL: Final = 1e-9


class Lines(NamedTuple):
    """Segments with their index."""

    start: FloatArray
    end: FloatArray
    cells: Cells


class Spots(NamedTuple):
    """Points with their index."""

    xy: FloatArray
    cells: Cells


class Near(NamedTuple):
    """Segments within a radius of the pointer, nearest first: their numbers and the feet on them."""

    number: IntArray
    foot: FloatArray


def lines_of(start: FloatArray, end: FloatArray) -> Lines:
    """Segments with their index."""
    return Lines(start, end, cells_of(start, end))


def not_along(lines: Lines, found: Near, way: Point | None) -> Near:
    """Those lines of some found that do not run along a unit vector; all where none is given."""
    if way is None or not len(found.number):
        return found
    step = lines.end[found.number] - lines.start[found.number]
    turn = np.abs(step[:, 0] * way[1] - step[:, 1] * way[0])
    kept = turn > PARALLEL * np.hypot(step[:, 0], step[:, 1])
    return Near(found.number[kept], found.foot[kept])


def line_at(lines: Lines, number: int) -> tuple[Point, Point]:
    """The two ends of a line."""
    (x, y), (to_x, to_y) = lines.start[number].tolist(), lines.end[number].tolist()
    return (x, y), (to_x, to_y)


def spots_of(xy: FloatArray) -> Spots:
    """Points with their index."""
    return Spots(xy, cells_of(xy, xy))


def spots_near(spots: Spots, at: Point, radius_m: float) -> IntArray:
    """Numbers of the points within a radius, nearest first; ties in their order."""
    found = near(spots.cells, *at, radius_m)
    away = spots.xy[found] - at
    apart = np.hypot(away[:, 0], away[:, 1])
    inside = np.flatnonzero(apart <= radius_m)
    return found[inside[np.argsort(apart[inside], kind="stable")]]


def lines_near(lines: Lines, at: Point, radius_m: float) -> Near:
    """Segments that come within a radius, nearest first; ties in their order."""
    found = near(lines.cells, *at, radius_m)
    foot = feet_on(lines.start[found], lines.end[found], at)
    away = foot - at
    apart = np.hypot(away[:, 0], away[:, 1])
    inside = np.flatnonzero(apart <= radius_m)
    order = inside[np.argsort(apart[inside], kind="stable")]
    return Near(found[order], foot[order])


def feet_on(start: FloatArray, end: FloatArray, at: Point) -> FloatArray:
    """The place on each segment that is nearest to a point."""
    step = end - start
    square = np.maximum((step * step).sum(axis=1), np.finfo(float).tiny)
    share = np.clip(((np.asarray(at) - start) * step).sum(axis=1) / square, 0.0, 1.0)
    return np.asarray(start + share[:, None] * step, dtype=np.float64)


def crossing_near(
    lines: Lines, found: Near, at: Point, radius_m: float, *, course: IntArray | None = None
) -> tuple[int, int, Point] | None:
    """The nearest place within a radius where two segments cross, and which two.

    One that ends on the other counts; two that share an end, as pieces that follow each other do, are
    no crossing. Where a course is given for each segment, segments of one course do not cross.
    """
    few = found.number[:MOST_CROSSED]
    start, step = lines.start[few], lines.end[few] - lines.start[few]
    one, other = np.triu_indices(len(few), 1)
    turn = _cross(step[one], step[other])
    slanted = np.abs(turn) > _PARALLEL * np.hypot(*step[one].T) * np.hypot(*step[other].T)
    if course is not None:
        slanted &= course[few[one]] != course[few[other]]
    one, other, turn = one[slanted], other[slanted], turn[slanted]
    away = start[other] - start[one]
    t, u = _cross(away, step[other]) / turn, _cross(away, step[one]) / turn
    place = start[one] + t[:, None] * step[one]
    apart = np.hypot(*(place - at).T)
    ends = _at_end(t, step[one]) & _at_end(u, step[other])
    met = np.flatnonzero((t >= 0) & (t <= 1) & (u >= 0) & (u <= 1) & (apart <= radius_m) & ~ends)
    if not len(met):
        return None
    best = met[np.argmin(apart[met])]
    x, y = place[best].tolist()
    return int(few[one[best]]), int(few[other[best]]), (x, y)


def square_foot(lines: Lines, found: Near, origin: Point, at: Point, radius_m: float) -> tuple[int, Point] | None:
    """The nearest place within a radius where a line from the origin meets a segment squarely, and which one."""
    start, end = lines.start[found.number], lines.end[found.number]
    foot = feet_on(start, end, origin)
    step, reach = end - start, foot - origin
    length, far = np.hypot(*step.T), np.hypot(*reach.T)
    square = np.abs((step * reach).sum(axis=1)) <= _PARALLEL * length * np.maximum(far, 1.0)
    apart = np.hypot(*(foot - at).T)
    good = np.flatnonzero(square & (far > DRAWING_TOLERANCE_M) & (apart <= radius_m))
    if not len(good):
        return None
    best = good[np.argmin(apart[good])]
    x, y = foot[best].tolist()
    return int(found.number[best]), (x, y)


def _at_end(share: FloatArray, step: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether a place on each segment is one of its ends, to a micrometre."""
    return np.asarray(np.minimum(np.abs(share), np.abs(1 - share)) * np.hypot(*step.T) <= MICRON_M)


def _cross(one: FloatArray, other: FloatArray) -> FloatArray:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0], dtype=np.float64)
