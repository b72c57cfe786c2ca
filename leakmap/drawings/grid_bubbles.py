"""Grid bubbles of a drawing: circles that hold one letter or number, and the lines that run out of them.

A *circle* is a closed polyline of eight chords or more whose corners all lie at one distance from their mean. It is a
*bubble* when a text that can be the name of an axis stands about its middle and nothing else is written in it.
A *ray* is what is drawn along one straight line out of a bubble: one line, or dashes and dots in a row. All in
drawing units, relative to the drawing's origin. The shares below are ours: bubbles of real drawings keep well inside.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing, FloatArray, Strokes, Text

ROUND_SHARE: Final = 0.02
"""By how much of the radius a corner of a circle may lie off."""

MIDDLE_SHARE: Final = 0.6
"""How far, in radii, the middle of the name may lie from the middle of the bubble."""

NAME_SHARES: Final = (0.25, 1.8)
"""Height of the name in radii: a round tank with a small number in it is no bubble."""

NEAR_RADII: Final = 2.2
"""How far from a bubble's middle its line may begin, in radii."""

ASIDE_RADII: Final = 0.35
"""How far beside a bubble's middle its line may run, in radii."""

PARALLEL_DEG: Final = 0.3
"""Lines that turn by less from each other run one way."""

GAP_RADII: Final = 2.0
"""The longest gap between dashes of one line, in radii."""

_NAME: Final = re.compile(r"(?:[A-Za-z]{1,2}|[0-9]{1,2})(?:\.?[0-9a-z]|['’])?")
_MOST_CELLS: Final = 1000
_LEAST_CORNERS: Final = 9  # eight chords; a closed polyline repeats its first point
_LONGEST_CHORD: Final = 0.9  # in radii; of eight chords each has 0.77
_SQUARE_SHARE: Final = 0.1
_LETTER_WIDE: Final = 0.7  # of its height
_CROSS_SHARE: Final = 0.05  # how far off a ray its dashes may lie, in radii

_BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bubble:
    """A circle with a name."""

    name: str
    at: Point
    radius: float


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


def bubbles_of(drawing: Drawing, shown: _BoolArray) -> tuple[Bubble, ...]:
    """The grid bubbles on layers that are shown, each once; of circles about one middle the largest.

    Args:
        drawing: The drawing.
        shown: For each of its layers whether it shows.
    """
    texts = [text for text in drawing.texts if shown[text.layer] and text.words.strip()]
    circles = _circles(drawing.strokes, shown)
    if not texts or not len(circles):
        return ()
    x, y, radius = circles.T
    tree = shapely.STRtree(shapely.points([text.at for text in texts]))
    reach = 2 * radius
    inside: dict[int, list[Text]] = defaultdict(list)
    for circle, text in tree.query(shapely.box(x - reach, y - reach, x + reach, y + reach)).T.tolist():
        inside[circle].append(texts[text])
    found: list[Bubble] = []
    for number in sorted(inside, key=lambda circle: -radius[circle]):
        bubble = _bubble((float(x[number]), float(y[number])), float(radius[number]), inside[number])
        if bubble is not None and not any(_one_middle(bubble, other) for other in found):
            found.append(bubble)
    return tuple(found)


def rays_of(drawing: Drawing, shown: _BoolArray, bubbles: tuple[Bubble, ...]) -> tuple[Ray, ...]:
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


# Bubbles ----------------------------------------------------------------------------------------


def _circles(strokes: Strokes, shown: _BoolArray) -> FloatArray:
    """Middle and radius ``(n, 3)`` of each polyline that is a circle."""
    first, last = strokes.starts[:-1], strokes.starts[1:] - 1
    closed = np.flatnonzero(shown[strokes.layer] & (last - first >= _LEAST_CORNERS - 1))
    closed = closed[(np.abs(strokes.xy[first[closed]] - strokes.xy[last[closed]]) <= _same(strokes.xy)).all(axis=1)]
    found = [circle for number in closed if (circle := _circle(strokes.polyline(int(number))))]
    return np.array(found, dtype=np.float64).reshape(-1, 3)


def _same(xy: FloatArray) -> float:
    """How far apart points may lie that are one: the last digits of a file."""
    return 1e-9 * float(np.abs(xy).max(initial=0.0))


def _circle(closed: FloatArray) -> tuple[float, float, float] | None:
    corners = closed[:-1]
    low, high = corners.min(axis=0), corners.max(axis=0)
    wide, tall = (high - low).tolist()
    if abs(wide - tall) > _SQUARE_SHARE * max(wide, tall) or not wide:
        return None
    middle = (low + high) / 2
    middle = middle + _off_middle(corners - middle)
    off = np.hypot(*(corners - middle).T)
    radius = float(off.mean())
    chords = np.hypot(*np.diff(closed, axis=0).T)
    if float(np.abs(off - radius).max()) > ROUND_SHARE * radius or float(chords.max()) > _LONGEST_CHORD * radius:
        return None
    return float(middle[0]), float(middle[1]), radius


def _off_middle(xy: FloatArray) -> FloatArray:
    """Middle of the circle through corners that need not be evenly spaced: least squares of x² + y² = 2ax + 2by + c."""
    rows = np.column_stack((2 * xy, np.ones(len(xy))))
    middle: FloatArray = np.linalg.lstsq(rows, (xy**2).sum(axis=1), rcond=None)[0][:2]
    return middle


def _bubble(at: Point, radius: float, texts: list[Text]) -> Bubble | None:
    """The bubble that a circle is with the texts about it; None where it is none."""
    held = {text.words.strip() for text in texts if _held(text, at, radius)}
    if len(held) != 1:
        return None
    name = held.pop()
    low, high = (share * radius for share in NAME_SHARES)
    if not _NAME.fullmatch(name) or not any(
        low <= text.height <= high for text in texts if text.words.strip() == name and _held(text, at, radius)
    ):
        return None
    return Bubble(name=name.upper() if name.isalpha() else name, at=at, radius=radius)


def _held(text: Text, at: Point, radius: float) -> bool:
    """Whether the middle of a text lies about the middle of a circle, its anchor taken either way, as mirrored blocks do."""
    lines = text.words.strip().split("\n")
    across = (0.5 - text.across) * _LETTER_WIDE * text.height * max(map(len, lines))
    up = (0.5 - text.up) * text.height * len(lines)
    c, s = cos(radians(text.turn_deg)), sin(radians(text.turn_deg))
    x, y = text.at[0] - at[0], text.at[1] - at[1]
    middles = (
        hypot(x + c * across * m - s * up * n, y + s * across * m + c * up * n) for m in (1, -1) for n in (1, -1)
    )
    return min(middles) <= MIDDLE_SHARE * radius


def _one_middle(one: Bubble, other: Bubble) -> bool:
    apart = hypot(one.at[0] - other.at[0], one.at[1] - other.at[1])
    return one.name == other.name and apart <= 0.5 * max(one.radius, other.radius)


# Rays -------------------------------------------------------------------------------------------


def _pieces(strokes: Strokes, shown: _BoolArray) -> FloatArray:
    """Straight pieces ``(n, 4)`` of all polylines on layers that are shown."""
    if not len(strokes):
        return np.empty((0, 4))
    owner = np.repeat(np.arange(len(strokes)), np.diff(strokes.starts))
    going_on = (owner[1:] == owner[:-1]) & shown[strokes.layer[owner[1:]]]
    going_on &= (strokes.xy[1:] != strokes.xy[:-1]).any(axis=1)
    pieces: FloatArray = np.hstack((strokes.xy[:-1], strokes.xy[1:]))[going_on]
    return pieces


def _ending_near(pieces: FloatArray, bubbles: tuple[Bubble, ...]) -> _BoolArray:
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


def _running_along(pieces: FloatArray, family: list[_Begun]) -> _BoolArray:
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
