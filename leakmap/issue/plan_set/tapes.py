"""Tapes as a plan draws them: they stop where a zone is drawn, so that they lie over no mark."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import Final, TypeAlias

import shapely

from leakmap.geometry.boxes import meet, widened
from leakmap.geometry.path import Point
from leakmap.issue.marks.primitives import on_site
from leakmap.issue.marks.zones import half_band_m
from leakmap.issue.plan_set.views import View

Line: TypeAlias = tuple[Point, Point]

_FREE_MM: Final = 0.5
_LONG_MM, _STUB_MM = 70.0, 15.0
"""A tape that is longer on paper is broken: where many cross a plan, none could be followed."""


def tape_lines(view: View) -> list[Line]:
    """Ends of each piece of a tape that a view shows, metres of the site plane, clear of zones by 0.5 mm on paper."""
    longest, stub = on_site(_LONG_MM, view.scale), on_site(_STUB_MM, view.scale)
    pieces = (piece for line in _tapes(view) for piece in _broken(line, longest, stub))
    wanted = [piece for piece in pieces if meet(_box(piece), view.seen)]
    if not wanted:
        return []
    level = view.level
    half = half_band_m(level.job.rules.band_m, view.scale) + on_site(_FREE_MM, view.scale)
    near = widened(view.seen, half)
    bands = [shapely.LineString(line) for line in level.zone_lines if meet(_box(line), near)]
    shapes = shapely.buffer(bands, half, cap_style="flat", join_style="mitre") if bands else []
    taken = shapely.union_all(shapes)
    left = shapely.difference(shapely.linestrings(wanted), taken)
    return [(part.coords[0], part.coords[-1]) for part in shapely.get_parts(left).tolist() if part.length]


def _tapes(view: View) -> Iterator[Line]:
    """Each tape of the level, once."""
    found = view.level.set_out
    if found is not None:
        tapes = ((start, end.place) for end in found.ends for start in end.starts(found.known) if start != end.place)
        yield from dict.fromkeys(tapes)


def _broken(line: Line, longest: float, stub: float) -> Iterator[Line]:
    """A tape, or both ends of a long one."""
    (x0, y0), (x1, y1) = line
    length = hypot(x1 - x0, y1 - y0)
    if length <= longest:
        yield line
        return
    dx, dy = (x1 - x0) / length * stub, (y1 - y0) / length * stub
    yield line[0], (x0 + dx, y0 + dy)
    yield line[1], (x1 - dx, y1 - dy)


def _box(line: tuple[Point, ...]) -> tuple[float, float, float, float]:
    xs, ys = zip(*line, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
