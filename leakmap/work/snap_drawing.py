"""Places of an imported drawing that catch the pointer: corners, ends, crossings, lines.

A corner is where lines meet at an angle, within one polyline or where ends of two lie on each other;
a turn of less than 20° is a curve's and no corner (ours). Hidden layers catch nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

import numpy as np

from leakmap.geometry.cells import FloatArray, IntArray
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, LayerState
from leakmap.model.sheet import Sheet
from leakmap.work.catch import ANYTHING, Aim, Catch, Caught, nearest
from leakmap.work.snap_lines import (
    Lines,
    Near,
    Spots,
    crossing_near,
    line_at,
    lines_near,
    lines_of,
    not_along,
    spots_near,
    spots_of,
)

CORNER: Final = "corner"
END: Final = "end of a line"
CROSSING: Final = "two lines cross"
LINE: Final = "on a line"

LEAST_TURN_DEG: Final = 20.0
"""A bend of less is part of a curve (ours)."""

SAME_END_M: Final = 0.001
"""Ends on one square of this size are one place (ours)."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawingPlaces:
    """What of a placed drawing catches the pointer."""

    lines: Lines
    corners: Spots
    ends: Spots


def drawing_places(drawing: Drawing, sheet: Sheet) -> DrawingPlaces:
    """Gather the places of a sheet's drawing, metres of the site plane."""
    return places_of_polylines(*_drawn(drawing, sheet))


def drawn_lines(drawing: Drawing, sheet: Sheet) -> Lines:
    """The lines of a sheet's drawing that are shown, metres of the site plane."""
    start, end, _ = _pieces(*_drawn(drawing, sheet))
    return lines_of(start, end)


def _drawn(drawing: Drawing, sheet: Sheet) -> tuple[FloatArray, IntArray]:
    """Points of the polylines that are shown, metres of the site plane, and the polyline of each."""
    wish = dict(sheet.shown)
    shown = np.array([wish.get(layer.name, layer.state is LayerState.ON) for layer in drawing.layers], dtype=np.bool_)
    strokes = drawing.strokes
    xy = placed_xy(strokes.xy, drawing.origin, sheet.placement)
    counts = np.diff(strokes.starts)
    stroke = np.repeat(np.arange(len(strokes)), counts)
    visible = shown[strokes.layer[stroke]] if len(stroke) else np.zeros(0, dtype=np.bool_)
    return xy[visible], stroke[visible]


def places_of_polylines(xy: FloatArray, stroke: IntArray) -> DrawingPlaces:
    """Gather the places of polylines.

    Args:
        xy: ``(n, 2)`` points of all, polyline by polyline, metres of the site plane.
        stroke: ``(n,)`` number of the polyline of each point, rising.
    """
    start, end, of = _pieces(xy, stroke)
    corners, ends = _corners_and_ends(start, end, of)
    return DrawingPlaces(lines_of(start, end), spots_of(corners), spots_of(ends))


def _pieces(xy: FloatArray, stroke: IntArray) -> tuple[FloatArray, FloatArray, IntArray]:
    """Start, end and polyline of each straight piece of polylines."""
    goes_on = stroke[1:] == stroke[:-1]
    moved = (xy[1:] != xy[:-1]).any(axis=1)
    pieces = np.flatnonzero(goes_on & moved)
    return xy[pieces], xy[pieces + 1], stroke[pieces]


def placed_xy(xy: FloatArray, origin: Point, placement: Placement) -> FloatArray:
    """Site positions of drawing points that are relative to an origin."""
    c, s = cos(radians(placement.turn_deg)), sin(radians(placement.turn_deg))
    scaled = (xy + (np.array(origin) - placement.origin)) * (placement.x_m_per_unit, placement.y_m_per_unit)
    return np.asarray(scaled @ np.array(((c, s), (-s, c))) + placement.at_m, dtype=np.float64)


def caught_on_drawing(places: DrawingPlaces, at: Point, radius_m: float, aim: Aim = ANYTHING) -> Caught:
    """The nearest corner, end or crossing within the radius, and the nearest place on a line."""
    near = lines_near(places.lines, at, radius_m)
    if not len(near.number):
        return Caught()
    found = []
    for spots, words in ((places.corners, CORNER), (places.ends, END)):
        close = spots_near(spots, at, radius_m)[:1]
        found += [Catch(at=_point(xy), words=words) for xy in spots.xy[close]]
    crossing = crossing_near(places.lines, near, at, radius_m)
    if crossing is not None:
        found.append(Catch(at=crossing[2], words=CROSSING))
    return Caught(nearest(found, at), _on_line(places.lines, not_along(places.lines, near, aim.across)))


def _on_line(lines: Lines, near: Near) -> Catch | None:
    if not len(near.number):
        return None
    return Catch(at=_point(near.foot[0]), words=LINE, line=line_at(lines, int(near.number[0])))


def _corners_and_ends(start: FloatArray, end: FloatArray, of: IntArray) -> tuple[FloatArray, FloatArray]:
    """Corners and ends, each place once; no end is a corner."""
    if not len(of):
        return np.empty((0, 2)), np.empty((0, 2))
    step = end - start
    way = step / np.hypot(step[:, 0], step[:, 1])[:, None]
    on = of[1:] == of[:-1]
    bends = on & _turned(way[:-1], way[1:])
    first = np.concatenate(((True,), ~on))
    last = np.concatenate((~on, (True,)))
    tips = np.concatenate((start[first], end[last]))
    outward = np.concatenate((way[first], -way[last]))
    single, angled = _tips(tips, outward)
    return np.concatenate((end[:-1][bends], angled)), single


def _tips(xy: FloatArray, way: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Ends sorted by place: those that are mere ends, and those where two lines meet at an angle.

    A line that goes straight on where another ends has neither; lines drawn twice count once.
    """
    square = np.floor(xy / SAME_END_M + 0.5).astype(np.int64)
    order = np.lexsort((square[:, 1], square[:, 0]))
    xy, way, square = xy[order], way[order], square[order]
    new = np.concatenate(((True,), (square[1:] != square[:-1]).any(axis=1)))
    group = np.cumsum(new) - 1
    firsts = np.flatnonzero(new)
    straight_on = -(way[firsts][group] * way).sum(axis=1)  # 1: straight on, -1: the same line again
    limit = cos(radians(LEAST_TURN_DEG))
    angled = np.bincount(group, weights=np.abs(straight_on) < limit) > 0
    passed = np.bincount(group, weights=straight_on >= limit) > 0
    return xy[firsts[~angled & ~passed]], xy[firsts[angled]]


def _turned(before: FloatArray, after: FloatArray) -> FloatArray:
    """Whether a line that comes in along one way and leaves along another turns by a corner's angle."""
    return np.asarray((before * after).sum(axis=1) < cos(radians(LEAST_TURN_DEG)))


def _point(xy: FloatArray) -> Point:
    x, y = xy.tolist()
    return x, y
