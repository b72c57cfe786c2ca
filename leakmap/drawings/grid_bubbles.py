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

from leakmap.drawings.shown import stroke_boxes
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

GAP_RADII: Final = 2.0
"""The longest gap between dashes of one line, in radii."""

_NAME: Final = re.compile(r"(?:[A-Za-z]{1,2}|[0-9]{1,2})(?:\.?[0-9a-z]|['’])?")
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
    """The lines that run out of bubbles; a bubble may have none or several."""
    if not bubbles:
        return ()
    pieces = _pieces(drawing.strokes, shown)
    near = pieces[_ending_near(pieces, bubbles)]
    found = []
    for bubble in bubbles:
        for way in _ways(near, bubble):
            ray = _followed(pieces, bubble, way)
            if ray is not None:
                found.append(ray)
    return tuple(found)


# Bubbles ----------------------------------------------------------------------------------------


def _circles(strokes: Strokes, shown: _BoolArray) -> FloatArray:
    """Middle and radius ``(n, 3)`` of each polyline that is a circle."""
    if not len(strokes):
        return np.empty((0, 3))
    first, after = strokes.starts[:-1], strokes.starts[1:]
    boxes = stroke_boxes(strokes)
    wide, high = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    size = np.maximum(wide, high)
    chosen = shown[strokes.layer] & (after - first >= _LEAST_CORNERS) & (np.abs(wide - high) <= _SQUARE_SHARE * size)
    chosen &= (size > 0) & (np.abs(strokes.xy[first] - strokes.xy[after - 1]).max(axis=1) <= 1e-6 * size)
    found = [circle for number in np.flatnonzero(chosen) if (circle := _circle(strokes.polyline(int(number))))]
    return np.array(found, dtype=np.float64).reshape(-1, 3)


def _circle(closed: FloatArray) -> tuple[float, float, float] | None:
    corners = closed[:-1]
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
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
    """Pieces with an end in a cell of a bubble, or beside one."""
    size = NEAR_RADII * max(bubble.radius for bubble in bubbles)
    cells = {
        (int(bubble.at[0] // size) + i, int(bubble.at[1] // size) + j)
        for bubble in bubbles
        for i in (-1, 0, 1)
        for j in (-1, 0, 1)
    }
    row = 1 << 31
    keys = np.array([x * row + y for x, y in cells], dtype=np.int64)
    column = np.floor(pieces / size).astype(np.int64)
    near = np.isin(column[:, 0] * row + column[:, 1], keys) | np.isin(column[:, 2] * row + column[:, 3], keys)
    return np.asarray(near, dtype=np.bool_)


def _ways(near: FloatArray, bubble: Bubble) -> Iterator[tuple[Point, Point]]:
    """Where a line begins that runs away from a bubble, and the way it runs, each way once; the longest piece first."""
    both = np.vstack((near, near[:, [2, 3, 0, 1]]))
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


def _followed(pieces: FloatArray, bubble: Bubble, way: tuple[Point, Point]) -> Ray | None:
    """The ray along a way, over gaps between dashes; None where it does not leave the bubble."""
    (x0, y0), (dx, dy) = way
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
