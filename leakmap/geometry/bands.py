"""Bands: strips of even width along a line, as polygons, mitred at bends and flat at their ends.

Terms: *left* and *right* are the reaches of a band on either side of its line, looking along it; a
reach of 0 leaves that side out. A *wedge* is what a mitre adds on the outer side of a bend.

Coordinates are millimetres from a local origin. So the grid of 1e-6 that every union and
intersection snaps to is one nanometre: fine enough that turning a plan changes no printed area, and
coarse enough to keep the geometry engine from losing one of two bands that touch end to end.

A band that is long compared with its width is drawn as one ring of offset corners, whose area is
exactly length × width. Where a piece is too short for its bend, or the band lies over itself, it is
the union of its straight pieces and wedges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.geometry.path import Point

FloatArray = npt.NDArray[np.float64]
PolygonArray = npt.NDArray[np.object_]
Rings = tuple[tuple[tuple[Point, ...], ...], ...]
"""Polygons of a band, each an outer ring and its holes."""

GRID: Final = 1e-6
"""Grid that unions and intersections snap to; without one the engine may lose a band (its open bug)."""

MITRE_LIMIT: Final = 5.0
"""A mitre at most this many times the reach long; sharper turns are bevelled."""

SHARPEST_COSINE: Final = 1 - 2 / MITRE_LIMIT**2
"""Cosine of the angle between two arms whose mitre is just within the limit."""

_AREAS: Final = (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON)
_MM_PER_M: Final = 1000.0
_STRAIGHT: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """A line to lay a band along.

    Attributes:
        points_mm: ``(n, 2)`` corners in millimetres, no two neighbours equal; a closed line repeats its first point.
        left_mm: Reach on the left, 0 or more.
        right_mm: Reach on the right, 0 or more.
        closed: Whether the band returns to its start.
    """

    points_mm: FloatArray
    left_mm: float
    right_mm: float
    closed: bool = False


def bands(lines: Sequence[Line]) -> PolygonArray:
    """The band of each line, a polygon (several where a band falls apart, which a plain line's never does)."""
    result = np.empty(len(lines), dtype=object)
    simple = [i for i, line in enumerate(lines) if len(line.points_mm) == 2]
    if simple:
        ends = np.array([lines[i].points_mm for i in simple])
        reach = np.array([(lines[i].left_mm, lines[i].right_mm) for i in simple])
        result[simple] = strips(ends[:, 0], ends[:, 1], reach[:, 0], reach[:, 1])
    bent = [i for i, line in enumerate(lines) if len(line.points_mm) > 2]
    for i in bent:
        result[i] = _offset_ring(lines[i])
    sound = shapely.is_valid(result[bent]) & ~shapely.is_missing(result[bent]) if bent else []
    for i, is_sound in zip(bent, sound, strict=True):
        if not is_sound:
            result[i] = _pieced(lines[i])
    return result


def strips(start_mm: FloatArray, end_mm: FloatArray, left_mm: FloatArray, right_mm: FloatArray) -> PolygonArray:
    """Rectangles along straight pieces: ``(n, 2)`` starts and ends, ``(n,)`` reaches."""
    along = end_mm - start_mm
    left_normal = np.column_stack((-along[:, 1], along[:, 0])) / np.hypot(along[:, 0], along[:, 1])[:, None]
    left, right = left_normal * left_mm[:, None], left_normal * right_mm[:, None]
    corners = (start_mm - right, end_mm - right, end_mm + left, start_mm + left, start_mm - right)
    polygons: PolygonArray = shapely.polygons(np.stack(corners, axis=1))
    return polygons


def wedges(
    at_a_mm: FloatArray, out_a: FloatArray, at_b_mm: FloatArray, out_b: FloatArray, reach_mm: FloatArray
) -> PolygonArray:
    """What mitres add on the outer side of the bend between two arms; a bevel where a mitre is too long.

    Args:
        at_a_mm: ``(n, 2)`` where the first arms start.
        out_a: ``(n, 2)`` unit vectors along the first arms, away from the bend.
        at_b_mm: ``(n, 2)`` where the second arms start, the same place within the drawing tolerance.
        out_b: As ``out_a``.
        reach_mm: ``(n,)`` reach on the outer side.
    """
    outer = outer_side(out_a, out_b)[:, None]
    normal_a, normal_b = outer * _right_of(-out_a), outer * _right_of(out_b)
    reach = reach_mm[:, None]
    corner_a, corner_b = at_a_mm + reach * normal_a, at_b_mm + reach * normal_b
    both = 1.0 + np.sum(normal_a * normal_b, axis=1)  # 2 cos² of half the turn
    within_limit = np.sqrt(both / 2) * MITRE_LIMIT >= 1.0 - _STRAIGHT
    divisor = np.where(within_limit, both, 1.0)[:, None]
    tip = (at_a_mm + at_b_mm) / 2 + reach * (normal_a + normal_b) / divisor
    tip = np.where(within_limit[:, None], tip, corner_b)
    hulls: PolygonArray = shapely.convex_hull(
        shapely.linestrings(np.stack((at_a_mm, corner_a, tip, corner_b, at_b_mm), axis=1))
    )
    return hulls


def outer_side(out_a: FloatArray, out_b: FloatArray) -> FloatArray:
    """Side of the wedge, coming in along the first arm and going out along the second: 1 right, -1 left, 0 straight."""
    turn = -out_a[:, 0] * out_b[:, 1] + out_a[:, 1] * out_b[:, 0]
    return np.where(np.abs(turn) < _STRAIGHT, 0.0, np.sign(turn))


def poked_through(at_mm: FloatArray, out: FloatArray, other: FloatArray, reach_mm: float) -> shapely.Geometry:
    """What a flat end of a one-sided band pokes through another arm's line, where the two meet at less than 90°.

    Arms that are closer than the mitre limit allows keep their flat ends.

    Args:
        at_mm: Where both arms start.
        out: Unit vector along the arm whose band lies between the two.
        other: Unit vector along the other arm.
        reach_mm: Reach of the band.
    """
    across = other - np.dot(out, other) * out
    sine = np.hypot(*across)
    return shapely.polygons([at_mm, at_mm + reach_mm * across / sine, at_mm + reach_mm / sine * other])


def areal(shape: shapely.Geometry) -> shapely.Geometry:
    """A shape without its lines and points.

    Slivers that snap shut leave lines behind in unions and differences, and the engine takes a shape of areas and lines
    into no further step.

    >>> areal(shapely.GeometryCollection([shapely.box(0, 0, 2, 1), shapely.LineString([(2, 0), (3, 0)])])).geom_type
    'MultiPolygon'
    """
    if shapely.get_type_id(shape) in _AREAS:
        return shape
    parts = shapely.get_parts(shape)
    return shapely.multipolygons(parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON])


def united(polygons: Sequence[shapely.Geometry] | PolygonArray) -> shapely.Geometry:
    """Union of bands; a single one is given back as it is."""
    return polygons[0] if len(polygons) == 1 else areal(shapely.union_all(polygons, grid_size=GRID))


def shared_area_mm2(a: PolygonArray, b: PolygonArray) -> FloatArray:
    """Area that each pair of bands shares."""
    areas: FloatArray = shapely.area(shapely.intersection(a, b, grid_size=GRID))
    return areas


def without(band: shapely.Geometry, others: Sequence[shapely.Geometry]) -> shapely.Geometry:
    """A band less what other bands cover."""
    return areal(shapely.difference(band, united(others), grid_size=GRID)) if others else band


def to_local_mm(points_m: Sequence[Point] | FloatArray, origin_m: Point) -> FloatArray:
    """Points ``(n, 2)`` of the site plane in millimetres from the local origin."""
    return (np.asarray(points_m, dtype=np.float64) - origin_m) * _MM_PER_M


def rings_m(band: shapely.Geometry, origin_m: Point) -> Rings:
    """Polygons of a band in metres of the site plane: each an outer ring and its holes, every ring closed."""
    return rings_of([band], origin_m)[0]


def rings_of(bands_mm: Sequence[shapely.Geometry], origin_m: Point) -> list[Rings]:
    """The same of many bands."""
    parts, of_band = shapely.get_parts(np.array(bands_mm, dtype=object), return_index=True)
    solid = (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)
    polygons, of_band = parts[solid], of_band[solid].tolist()
    rings, of_polygon = shapely.get_rings(polygons, return_index=True)
    corners, of_ring = shapely.get_coordinates(rings, return_index=True)
    points = [*map(tuple, (corners / _MM_PER_M + origin_m).tolist())]
    bounds = np.searchsorted(of_ring, np.arange(len(rings) + 1)).tolist()
    of_polygons: list[list[tuple[Point, ...]]] = [[] for _ in of_band]
    for polygon, (low, high) in zip(of_polygon.tolist(), pairwise(bounds), strict=True):
        of_polygons[polygon].append(tuple(points[low:high]))
    found: list[list[tuple[tuple[Point, ...], ...]]] = [[] for _ in bands_mm]
    for number, own in zip(of_band, of_polygons, strict=True):
        found[number].append(tuple(own))
    return [tuple(polygons_m) for polygons_m in found]


def _right_of(direction: FloatArray) -> FloatArray:
    return np.column_stack((direction[:, 1], -direction[:, 0]))


def _offset_ring(line: Line) -> shapely.Geometry | None:
    """The band as one ring of offset corners; None where a piece is too short or a turn too sharp."""
    points = line.points_mm
    along = np.diff(points, axis=0)
    lengths = np.hypot(along[:, 0], along[:, 1])
    unit = along / lengths[:, None]
    normal = np.column_stack((-unit[:, 1], unit[:, 0]))
    before, after = (np.roll(unit, 1, axis=0), unit) if line.closed else (unit[:-1], unit[1:])
    both = 1.0 + np.sum(before * after, axis=1)
    if np.any(np.sqrt(np.maximum(both, 0.0) / 2) * MITRE_LIMIT < 1.0):
        return None
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    inner_mm = np.abs(turn) / both * np.where(turn > 0, line.left_mm, line.right_mm)  # tan of half the turn
    if not _long_enough(lengths, inner_mm, closed=line.closed):
        return None
    corner = ((np.roll(normal, 1, axis=0) + normal) if line.closed else (normal[:-1] + normal[1:])) / both[:, None]
    if line.closed:
        return _annulus(points[:-1] + corner * line.left_mm, points[:-1] - corner * line.right_mm)
    corner = np.vstack((normal[:1], corner, normal[-1:]))
    return shapely.polygons(np.vstack((points - corner * line.right_mm, (points + corner * line.left_mm)[::-1])))


def _long_enough(lengths_mm: FloatArray, inner_mm: FloatArray, *, closed: bool) -> bool:
    """Whether each piece is at least as long as what the inner corners at its two ends take of it."""
    at_corners = inner_mm if closed else np.concatenate(([0.0], inner_mm, [0.0]))
    at_start, at_end = (at_corners, np.roll(at_corners, -1)) if closed else (at_corners[:-1], at_corners[1:])
    return bool(np.all(at_start + at_end <= lengths_mm))


def _annulus(left: FloatArray, right: FloatArray) -> shapely.Geometry:
    rings = sorted((shapely.polygons(left), shapely.polygons(right)), key=lambda ring: float(shapely.area(ring)))
    return shapely.polygons(shapely.get_exterior_ring(rings[1]), [shapely.get_exterior_ring(rings[0])])


def _pieced(line: Line) -> shapely.Geometry:
    """The band as the union of its straight pieces and wedges."""
    points = line.points_mm
    along = np.diff(points, axis=0)
    unit = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    count = len(unit)
    parts = [strips(points[:-1], points[1:], np.full(count, line.left_mm), np.full(count, line.right_mm))]
    bends = list(pairwise(range(count))) + ([(count - 1, 0)] if line.closed else [])
    come, go = -unit[[a for a, _ in bends]], unit[[b for _, b in bends]]
    at = points[[b for _, b in bends]]
    side = outer_side(come, go)
    reach, inner = (np.where(side > 0, x, y) for x, y in ((line.right_mm, line.left_mm), (line.left_mm, line.right_mm)))
    cosine = np.sum(come * go, axis=1)
    for i in np.flatnonzero((side != 0) & (reach == 0) & (cosine > 0) & (cosine <= SHARPEST_COSINE)).tolist():
        for strip, out, other in ((bends[i][0], come[i], go[i]), (bends[i][1], go[i], come[i])):
            parts[0][strip] = without(parts[0][strip], [poked_through(at[i], out, other, float(inner[i]))])
    bent = (side != 0) & (reach > 0)
    parts.append(wedges(at[bent], come[bent], at[bent], go[bent], reach[bent]))
    return united(np.concatenate(parts))
