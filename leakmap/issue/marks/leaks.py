"""Leak stretches: a sleeve along the joint, and groups of strokes across it whose number is the wetness.

Colour and number say the same, so a leak survives print in black and white.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil
from typing import Final

from leakmap.geometry.path import Path, Point, path_of
from leakmap.issue.marks.course import Course, polygons, strip
from leakmap.issue.marks.primitives import Area, Line, Pen, Primitive, Tone, on_site
from leakmap.model.words import Wetness

SLEEVE_MM: Final = 2.1
"""Width of the sleeve on paper, both sides of the joint together."""

SPOT_MM: Final = 2.25
"""Length of the sleeve of a spot."""

FILLS: Final = {
    Wetness.DAMP: Tone.W1,
    Wetness.SEEP: Tone.W2,
    Wetness.DRIP: Tone.W3,
    Wetness.RUN: Tone.W4,
    Wetness.JET: Tone.W5,
}
OUTLINE: Final = Pen(Tone.WATER, 0.25)
SUSPECT_OUTLINE: Final = Pen(Tone.WATER, 0.25, (0.75, 0.55))
STROKE: Final = Pen(Tone.WATER, 0.35)
UNDER_STROKE: Final = Pen(Tone.W1, 1.0)
SLASH: Final = Pen(Tone.WATER, 0.5)
STROKE_HALF_MM: Final = 1.9
STROKE_APART_MM: Final = 1.0
GROUPS_APART_MM: Final = 8.5
MOST_STROKES: Final = 4
_CLEAR_MM: Final = 2.25
_GROUP_GAP_MM: Final = 2.5
_MOST_BENDS: Final = 8


def leak_path(course: Course, from_m: float, to_m: float, scale: float) -> Path:
    """The line that the sleeve lies along; a spot is widened to the length of its sleeve."""
    least = on_site(SPOT_MM, scale)
    if not course.path.closed and abs(to_m - from_m) * course.share < least:
        middle = (from_m + to_m) / 2 * course.share
        low = min(max(middle - least / 2, 0.0), max(course.path.length_m - least, 0.0))
        return path_of(course.path.part(low, min(low + least, course.path.length_m)))
    if course.path.closed and from_m == to_m:
        half = min(least / 2, course.path.length_m / 4)
        middle, length = from_m * course.share, course.path.length_m
        return path_of(course.path.part((middle - half) % length, (middle + half) % length))
    points = course.part(from_m, to_m)
    return path_of(points, closed=points[0] == points[-1])


def sleeve(
    path: Path, wetness: Wetness, scale: float, keep_clear: Iterable[Point] = (), *, most: int | None = None
) -> tuple[Primitive, ...]:
    """The sleeve of a leak, filled by wetness; a suspect's is open and dashed.

    A run or jet has light bars inside the sleeve, under the strokes that cross it.
    """
    shape = polygons(strip(path.corners, on_site(SLEEVE_MM / 2, scale)))
    pen = OUTLINE if wetness else SUSPECT_OUTLINE
    return (Area(polygons=shape, fill=FILLS.get(wetness), pen=pen), *_light(path, wetness, scale, keep_clear, most))


def _light(path: Path, wetness: Wetness, scale: float, keep_clear: Iterable[Point], most: int | None) -> Iterator[Line]:
    if wetness >= Wetness.RUN:
        inner = on_site((SLEEVE_MM - OUTLINE.width_mm) / 2, scale)
        for middle in _group_places(path, MOST_STROKES, scale, tuple(keep_clear), most):
            for foot, along in _feet(path, middle, MOST_STROKES, scale):
                yield Line(points=_across(foot, along, inner), pen=UNDER_STROKE)


def strokes(
    path: Path, wetness: Wetness, scale: float, keep_clear: Iterable[Point] = (), *, most: int | None = None
) -> tuple[Primitive, ...]:
    """Groups of strokes across the joint, one each 8.5 mm and one at least.

    Args:
        path: The sleeve's line.
        wetness: Sets the number of strokes, 4 at most; a jet has a slash through each group.
        scale: Plot scale.
        keep_clear: Points, such as relief points, that a group slides aside from.
        most: Number of groups at most; None: as many as the rule gives.
    """
    count = min(int(wetness), MOST_STROKES)
    if not count:
        return ()
    found: list[Primitive] = []
    for middle in _group_places(path, count, scale, tuple(keep_clear), most):
        found += _group(path, middle, count, wetness, scale)
    return tuple(found)


def _group_places(path: Path, count: int, scale: float, keep_clear: tuple[Point, ...], most: int | None) -> list[float]:
    number = max(1, round(path.length_m / on_site(GROUPS_APART_MM, scale)))
    number = min(number, most or number)
    half = on_site((count - 1) * STROKE_APART_MM / 2, scale)
    places = [path.length_m * (k + 0.5) / number for k in range(number)]
    room = (half, path.length_m - half)
    stops = [(path.nearest(point)[0], half + on_site(_CLEAR_MM, scale)) for point in keep_clear]
    bends = path.chainages[1:-1] if not path.closed else path.chainages[1:]
    if len(bends) <= _MOST_BENDS:
        stops += [(bend, half + on_site(STROKE_APART_MM / 2, scale)) for bend in bends]
    for at, clear in stops:
        places = [_slid(place, at, clear, room) for place in places]
    kept: list[float] = []
    for place in sorted(place for place in places if place >= 0):
        if not kept or place - kept[-1] >= 2 * half + on_site(_GROUP_GAP_MM, scale):
            kept.append(place)
    return kept or [path.length_m / 2]


def _slid(place: float, at: float, clear: float, room: tuple[float, float]) -> float:
    """A group's middle moved clear of ``at``; to the nearer side that has room, else left out (-1)."""
    if abs(place - at) >= clear:
        return place
    sides = [side for side in (at + clear, at - clear) if room[0] <= side <= room[1]]
    return min(sides, key=lambda side: abs(side - place)) if sides else -1.0


def _group(path: Path, middle: float, count: int, wetness: Wetness, scale: float) -> list[Primitive]:
    apart, half = on_site(STROKE_APART_MM, scale), on_site(STROKE_HALF_MM, scale)
    (x, y), (dx, dy) = path.point_at(middle), path.direction_at(middle)
    found: list[Primitive] = [
        Line(points=_across(foot, along, half), pen=STROKE) for foot, along in _feet(path, middle, count, scale)
    ]
    if wetness is Wetness.JET:
        reach = ceil(count / 2) * apart + apart * 0.2
        low, high = (x - dx * reach, y - dy * reach), (x + dx * reach, y + dy * reach)
        found.append(
            Line(
                points=((low[0] + dy * half, low[1] - dx * half), (high[0] - dy * half, high[1] + dx * half)), pen=SLASH
            )
        )
    return found


def _feet(path: Path, middle: float, count: int, scale: float) -> list[tuple[Point, Point]]:
    """Where the strokes of a group stand, each with the direction of the joint."""
    apart = on_site(STROKE_APART_MM, scale)
    (x, y), (dx, dy) = path.point_at(middle), path.direction_at(middle)
    offsets = [(k - (count - 1) / 2) * apart for k in range(count)]
    return [((x + dx * off, y + dy * off), (dx, dy)) for off in offsets]


def _across(at: Point, direction: Point, half: float) -> tuple[Point, Point]:
    dx, dy = direction
    return (at[0] + dy * half, at[1] - dx * half), (at[0] - dy * half, at[1] + dx * half)
