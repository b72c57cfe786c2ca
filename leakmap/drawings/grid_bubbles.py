"""Grid bubbles of a drawing: circles that hold one letter or number.

A *circle* is a closed polyline of eight chords or more whose corners all lie at one distance from their mean. It is a
*bubble* when a text that can be the name of an axis stands about its middle and nothing else is written in it.
All in drawing units, relative to the drawing's origin. The shares below are ours.
"""

from __future__ import annotations

import re
from collections import defaultdict
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

_NAME: Final = re.compile(r"(?:[A-Za-z]{1,2}|[0-9]{1,2})(?:\.?[0-9a-z]|['’])?")
_LEAST_CORNERS: Final = 9  # eight chords; a closed polyline repeats its first point
_LONGEST_CHORD: Final = 0.9  # in radii; of eight chords each has 0.77
_SQUARE_SHARE: Final = 0.1
_LETTER_WIDE: Final = 0.7  # of its height

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bubble:
    """A circle with a name."""

    name: str
    at: Point
    radius: float


def bubbles_of(drawing: Drawing, shown: BoolArray) -> tuple[Bubble, ...]:
    """The grid bubbles on layers that are shown, each once; of circles about one middle the largest.

    Args:
        drawing: The drawing.
        shown: For each of its layers whether it shows.
    """
    texts = [text for text in drawing.texts if shown[text.layer] and text.words.strip()]
    names = [text.at for text in texts if _NAME.fullmatch(text.words.strip())]
    circles = _circles(drawing.strokes, shown, names)
    if not len(circles):
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


def _circles(strokes: Strokes, shown: BoolArray, names: list[Point]) -> FloatArray:
    """Middle and radius ``(n, 3)`` of each polyline that is a circle about one of some places."""
    if not names:
        return np.empty((0, 3))
    first, last = strokes.starts[:-1], strokes.starts[1:] - 1
    closed = np.flatnonzero(shown[strokes.layer] & (last - first >= _LEAST_CORNERS - 1))
    closed = closed[(np.abs(strokes.xy[first[closed]] - strokes.xy[last[closed]]) <= _same(strokes.xy)).all(axis=1)]
    found = [circle for number in _about(strokes, closed, names) if (circle := _circle(strokes.polyline(number)))]
    return np.array(found, dtype=np.float64).reshape(-1, 3)


def _about(strokes: Strokes, numbers: npt.NDArray[np.int64], places: list[Point]) -> list[int]:
    """Of some polylines those whose boxes, or as much beside them, hold one of the places."""
    if not len(numbers):
        return []
    chosen = np.zeros(len(strokes), dtype=np.bool_)
    chosen[numbers] = True
    counts = np.diff(strokes.starts)
    xy = strokes.xy[np.repeat(chosen, counts)]
    firsts = np.cumsum(counts[numbers]) - counts[numbers]
    low, high = np.minimum.reduceat(xy, firsts, axis=0), np.maximum.reduceat(xy, firsts, axis=0)
    half = (high - low) / 2
    boxes = shapely.box(*(low - half).T, *(high + half).T)
    holding = shapely.STRtree(shapely.points(places)).query(boxes)[0]
    return sorted({int(number) for number in numbers[holding]})


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
