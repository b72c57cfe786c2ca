"""The lines that run out of grid bubbles.

A *ray* is what is drawn along one straight line out of a bubble: one line, or dashes and dots in a row. In drawing
units, relative to the drawing's origin. The shares below are ours.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Final

import numpy as np

from leakmap.drawings.grid_bubbles import BoolArray, Bubble
from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing, FloatArray, Strokes

NEAR_RADII: Final = 2.2
"""How far from a bubble's middle its line may begin, in radii."""

ASIDE_RADII: Final = 0.35
"""How far beside a bubble's middle its line may run, in radii."""

PARALLEL_DEG: Final = 0.3
"""Lines that turn by less from each other run one way."""

GAP_RADII: Final = 2.0
"""The longest gap between dashes of one line, in radii."""

_MOST_CELLS: Final = 1000
_CROSS_SHARE: Final = 0.05  # how far off a ray its dashes may lie, in radii


@dataclass(frozen=True, slots=True)
class _Begun:
    """Where a ray begins, and the way it runs, as a vector of length 1."""

    bubble: Bubble
    at: Point
    way: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Ray:
    """A line out of a bubble.

    Attributes:
        bubble: The bubble.
        start: Its end at the bubble.
        end: Its other end.
    """

    bubble: Bubble
    start: Point
    end: Point

    @property
    def length(self) -> float:
        """From end to end, gaps included."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])


def rays_of(drawing: Drawing, shown: BoolArray, bubbles: tuple[Bubble, ...]) -> tuple[Ray, ...]:
    """The lines that run out of bubbles along ways that two bubbles of different names share at least."""
    if not bubbles:
        return ()
    pieces = _pieces(drawing.strokes, shown)
    near = pieces[_ending_near(pieces, bubbles)]
    begun = [_Begun(bubble, at, way) for bubble in bubbles for at, way in _ways(near, bubble)]
    found = []
    for family in _shared(begun):
        along = pieces[_running_along(pieces, family)]
        found += [ray for one in family if (ray := _followed(along, one)) is not None]
    return tuple(found)


def _pieces(strokes: Strokes, shown: BoolArray) -> FloatArray:
    """Straight pieces ``(n, 4)`` of all polylines on layers that are shown."""
    if not len(strokes):
        return np.empty((0, 4))
    owner = np.repeat(np.arange(len(strokes)), np.diff(strokes.starts))
    going_on = (owner[1:] == owner[:-1]) & shown[strokes.layer[owner[1:]]]
    going_on &= (strokes.xy[1:] != strokes.xy[:-1]).any(axis=1)
    pieces: FloatArray = np.hstack((strokes.xy[:-1], strokes.xy[1:]))[going_on]
    return pieces


def _ending_near(pieces: FloatArray, bubbles: tuple[Bubble, ...]) -> BoolArray:
    """Pieces with an end in the cell of a bubble, or in one beside it."""
    at = np.array([bubble.at for bubble in bubbles])
    low, high = at.min(axis=0), at.max(axis=0)
    size = max(NEAR_RADII * max(bubble.radius for bubble in bubbles), float((high - low).max()) / _MOST_CELLS)
    table = np.zeros([int(count) + 5 for count in (high - low) / size], dtype=np.bool_)
    for column, row in ((at - low) / size).astype(int) + 2:
        table[column - 1 : column + 2, row - 1 : row + 2] = True
    near = np.zeros(len(pieces), dtype=np.bool_)
    for end in (pieces[:, :2], pieces[:, 2:]):
        cell = np.clip((end - low) / size + 2, 0, np.array(table.shape) - 1).astype(np.int64)
        near |= table[cell[:, 0], cell[:, 1]]
    return near


def _ways(near: FloatArray, bubble: Bubble) -> Iterator[tuple[Point, Point]]:
    """Where a line begins that runs away from a bubble, and the way it runs, each way once; the longest piece first."""
    both = np.vstack((near, near[:, [2, 3, 0, 1]]))
    both = both[(np.abs(both[:, :2] - bubble.at) <= 2 * NEAR_RADII * bubble.radius).all(axis=1)]
    from_middle = both[:, :2] - bubble.at
    step = both[:, 2:] - both[:, :2]
    length = np.hypot(step[:, 0], step[:, 1])
    way = step / length[:, None]
    ahead = (from_middle * way).sum(axis=1)
    aside = np.abs(from_middle[:, 0] * way[:, 1] - from_middle[:, 1] * way[:, 0])
    runs = (aside <= ASIDE_RADII * bubble.radius) & (ahead >= -ASIDE_RADII * bubble.radius)
    runs &= ahead <= NEAR_RADII * bubble.radius
    runs &= ahead + length > bubble.radius * (1 + _CROSS_SHARE)  # chords of the circle itself stay inside
    taken: list[Point] = []
    for number in np.flatnonzero(runs)[np.argsort(-length[runs], kind="stable")]:
        x, y = way[number].tolist()
        if all(x * other[0] + y * other[1] < cos(radians(5.0)) for other in taken):
            taken.append((x, y))
            yield (float(both[number, 0]), float(both[number, 1])), (x, y)


def _shared(begun: list[_Begun]) -> Iterator[list[_Begun]]:
    """Rays that run one way, whichever end first, in families of two names at least."""
    families: list[list[_Begun]] = []
    for one in begun:
        family = next(
            (each for each in families if abs(_across(each[0].way, one.way)) < sin(radians(PARALLEL_DEG))), None
        )
        if family is None:
            families.append([one])
        else:
            family.append(one)
    return (family for family in families if len({one.bubble.name for one in family}) > 1)


def _across(one: Point, other: Point) -> float:
    return one[0] * other[1] - one[1] * other[0]


def _running_along(pieces: FloatArray, family: list[_Begun]) -> BoolArray:
    """Pieces that may lie on a ray of a family: those that run its way, near the line of one of them."""
    (dx, dy), least = family[0].way, _CROSS_SHARE * max(one.bubble.radius for one in family)
    x0, y0, x1, y1 = pieces.T
    a, b = y0 * dx - x0 * dy, y1 * dx - x1 * dy
    lines = np.sort([y * dx - x * dy for x, y in (one.at for one in family)])
    slope = sin(radians(PARALLEL_DEG))
    wide = least + slope * float(np.abs(pieces - np.tile(family[0].at, 2)).max(initial=0.0))
    place = np.searchsorted(lines, a)
    off = np.minimum(np.abs(a - lines[np.maximum(place - 1, 0)]), np.abs(lines[np.minimum(place, len(lines) - 1)] - a))
    runs = np.abs(a - b) <= 2 * least + 2 * slope * np.hypot(x1 - x0, y1 - y0)
    return np.asarray(runs & (off <= wide), dtype=np.bool_)


def _followed(pieces: FloatArray, begun: _Begun) -> Ray | None:
    """The ray along a way, over gaps between dashes; None where it does not leave the bubble."""
    bubble, (x0, y0), (dx, dy) = begun.bubble, begun.at, begun.way
    x, y = pieces[:, 0::2] - x0, pieces[:, 1::2] - y0
    on = (np.abs(y * dx - x * dy) <= _CROSS_SHARE * bubble.radius).all(axis=1)
    along = np.sort((x[on] * dx + y[on] * dy), axis=1)
    along = along[(along[:, 1] > 0) & (along[:, 0] > -2 * NEAR_RADII * bubble.radius)]
    along = along[np.argsort(along[:, 0], kind="stable")]
    if not len(along):
        return None
    reach = np.maximum.accumulate(along[:, 1])
    gaps = along[1:, 0] - reach[:-1]
    broken = np.flatnonzero(gaps > GAP_RADII * bubble.radius)
    last = float(reach[broken[0]] if len(broken) else reach[-1])
    return Ray(bubble=bubble, start=(x0, y0), end=(x0 + last * dx, y0 + last * dy))
