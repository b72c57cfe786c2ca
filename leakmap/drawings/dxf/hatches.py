"""Hatches as their outlines; never their pattern lines."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tau
from typing import Any, Final

import numpy as np
from ezdxf.entities.boundary_paths import (
    AbstractBoundaryPath,
    AbstractEdge,
    ArcEdge,
    EdgePath,
    EllipseEdge,
    LineEdge,
    PolylinePath,
    SplineEdge,
)
from ezdxf.math import BSpline, Vec2, Vec3, fit_points_to_cad_cv

from leakmap.drawings.dxf.blocks import Reading
from leakmap.drawings.dxf.curves import bulged, spline_points, swept
from leakmap.drawings.dxf.ink import Pen
from leakmap.drawings.dxf.troubles import TROUBLE, handle_of
from leakmap.drawings.dxf.world import to_world
from leakmap.model.drawing import FloatArray

_TEXT_BOX: Final = 8  # path flag: the outline of a text inside the hatch
_JOIN: Final = 1e-6
"""Share of an outline's size within which two of its edges meet."""


def draw_hatch(hatch: Any, layer: int, pen: Pen, reading: Reading) -> None:  # noqa: ANN401 - ezdxf's attributes are untyped
    """Draw all outlines of a HATCH or MPOLYGON; one that cannot be understood does not stop the others."""
    height, extrusion = Vec3(hatch.dxf.get("elevation", (0, 0, 0))).z, hatch.dxf.extrusion
    moved = np.array(Vec2(hatch.dxf.get("offset_vector", (0, 0))) if hatch.dxftype() == "MPOLYGON" else (0.0, 0.0))
    for boundary in hatch.paths:
        if boundary.path_type_flags & _TEXT_BOX:
            continue
        try:
            for outline in outlines(boundary, pen):
                pen.array(to_world(outline + moved, height, extrusion), layer)
        except TROUBLE as trouble:
            reading.troubles.failed("HATCH outline", handle_of(hatch), trouble)


def outlines(boundary: AbstractBoundaryPath, pen: Pen) -> Iterator[FloatArray]:
    """Polylines ``(k, 2)`` of one boundary, in the hatch's own system."""
    if isinstance(boundary, PolylinePath):
        rows = np.array(boundary.vertices, dtype=np.float64).reshape(-1, 3)
        if len(rows) > 1:
            closed = bool(boundary.is_closed)
            yield bulged(rows[:, :2], rows[:, 2], closed=closed, tolerance=pen.tolerance, chords=pen.chords)
    elif isinstance(boundary, EdgePath):
        yield from _chained([points for edge in boundary.edges if len(points := edge_points(edge, pen)) > 1])


def _chained(edges: list[FloatArray]) -> Iterator[FloatArray]:
    """Edges in their order, joined where they meet, turned round where that makes them meet."""
    if not edges:
        return
    every = np.vstack(edges)
    join = _JOIN * float(np.ptp(every, axis=0).max())
    chain = [edges[0]]
    for edge in edges[1:]:
        end = chain[-1][-1]
        if len(chain) == 1 and not _near(end, edge, join) and _near(chain[0][0], edge, join):
            chain[0] = chain[0][::-1]
            end = chain[0][-1]
        if not _near(end, edge, join):
            yield np.vstack(chain)
            chain = [edge]
        elif np.hypot(*(edge[0] - end)) <= join:
            chain.append(edge[1:])
        else:
            chain.append(edge[::-1][1:])
    yield np.vstack(chain)


def _near(point: FloatArray, edge: FloatArray, join: float) -> bool:
    return bool(min(np.hypot(*(edge[0] - point)), np.hypot(*(edge[-1] - point))) <= join)


def edge_points(edge: AbstractEdge, pen: Pen) -> FloatArray:
    """Points ``(k, 2)`` of one edge of a boundary, counter-clockwise for arcs."""
    match edge:
        case LineEdge():
            return np.array((tuple(edge.start)[:2], tuple(edge.end)[:2]), dtype=np.float64)
        case ArcEdge():
            axes = (edge.radius, 0.0), (0.0, edge.radius)
            return _arc(edge.center, axes, (radians(edge.start_angle), radians(edge.end_angle)), pen)
        case EllipseEdge():
            x, y = tuple(edge.major_axis)[:2]
            axes = (x, y), (-y * edge.ratio, x * edge.ratio)
            return _arc(edge.center, axes, (edge.start_param, edge.end_param), pen)
        case SplineEdge():
            return spline_points(_spline(edge), pen.tolerance, pen.chords)[:, :2]
    raise TypeError(f"an edge of kind {type(edge).__name__}")


def _arc(
    centre: Vec2, axes: tuple[tuple[float, float], tuple[float, float]], turn: tuple[float, float], pen: Pen
) -> FloatArray:
    """Points of an arc from one parameter to the next, counter-clockwise; equal ones are a full turn."""
    start, end = turn
    sweep = (end - start) % tau
    sweep = sweep if 1e-9 < sweep < tau - 1e-9 else tau
    c, to_start, to_quarter = (np.array([row], dtype=np.float64) for row in ((centre.x, centre.y), *axes))
    turn_row = np.array([start]), np.array([sweep])
    return swept(c, to_start, to_quarter, *turn_row, tolerance=pen.tolerance, chords=pen.chords)[0]


def _spline(edge: SplineEdge) -> BSpline:
    if len(edge.control_points):
        return BSpline(edge.control_points, order=edge.degree + 1, knots=edge.knot_values, weights=edge.weights or None)
    tangents = (edge.start_tangent, edge.end_tangent)
    return fit_points_to_cad_cv(edge.fit_points, tangents=None if None in tangents else tangents)
