"""Where a joint is shown in plan, by chainage, and the shapes along it.

A pipe collar is shown as a ring of its true diameter, or of the least diameter that can be read at
the plot scale; chainages run round the ring that is shown. A vertical joint has no course in plan.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, hypot
from typing import Final

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.geometry.bands import areal
from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.primitives import Polygon, on_site
from leakmap.model.joint import Joint, ring

LEAST_RING_MM: Final = 3.5
"""Least diameter on paper of a pipe collar's ring."""

GRID_M: Final = 1e-6
"""Every union and intersection passes this: without it, bands that touch lose one of them now and then."""

MITRE_LIMIT: Final = 5.0
_QUARTER: Final = 8


@dataclass(frozen=True, slots=True)
class Course:
    """A joint's shown line.

    Attributes:
        path: Metres of the site plane.
        share: Metres of the shown path for one metre of chainage; 1 except for widened collars.
        collar: Whether it is a pipe collar drawn as a point.
    """

    path: Path
    share: float = 1.0
    collar: bool = False

    def part(self, from_m: float, to_m: float) -> tuple[Point, ...]:
        """Points from one chainage to another; on a closed joint ``from_m > to_m`` passes the start."""
        return self.path.part(from_m * self.share, min(to_m * self.share, self.path.length_m))

    def point_at(self, chainage_m: float) -> Point:
        """The point at a chainage."""
        return self.path.point_at(chainage_m * self.share)

    def direction_at(self, chainage_m: float) -> Point:
        """Unit vector along rising chainage."""
        return self.path.direction_at(chainage_m * self.share)


def course_of(joint: Joint, scale: float) -> Course | None:
    """Where a joint is shown at 1:``scale``; None for a vertical joint."""
    if joint.path is not None:
        return Course(joint.path)
    if joint.diameter_m is None:
        return None
    assert joint.point is not None
    shown = ring(joint.point, max(joint.diameter_m, on_site(LEAST_RING_MM, scale)))
    return Course(shown, shown.length_m / joint.length_m, collar=True)


def strip(points: Iterable[Point], half_m: float) -> BaseGeometry:
    """The strip of half-width ``half_m`` along a line: flat ends, mitred bends; a ring where the line closes."""
    line = shapely.LineString(list(points))
    if line.is_closed and len(line.coords) > 3:
        shell = shapely.Polygon(line)
        out, hole = (shell.buffer(side, join_style="mitre", mitre_limit=MITRE_LIMIT) for side in (half_m, -half_m))
        return shapely.difference(out, hole, grid_size=GRID_M)
    return line.buffer(half_m, cap_style="flat", join_style="mitre", mitre_limit=MITRE_LIMIT, quad_segs=_QUARTER)


def polygons(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """The polygons of a shape, lines and points left out."""
    return tuple(
        tuple(tuple((float(x), float(y)) for x, y in ring_.coords) for ring_ in (part.exterior, *part.interiors))
        for part in shapely.get_parts(shape).tolist()
        if part.geom_type == "Polygon" and not part.is_empty
    )


def shape_of(parts: Iterable[Polygon]) -> BaseGeometry:
    """Polygons as one shape, united."""
    return areal(shapely.union_all([shapely.Polygon(rings[0], rings[1:]) for rings in parts], grid_size=GRID_M))


def heading_deg(points: tuple[Point, ...]) -> float:
    """Direction, degrees, of the longest straight piece of a line."""
    (x0, y0), (x1, y1) = max(pairwise(points), key=lambda ends: hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]))
    return degrees(atan2(y1 - y0, x1 - x0))


def hatch_lines(shape: BaseGeometry, turn_deg: float, gap_m: float) -> tuple[tuple[Point, Point], ...]:
    """Parallel lines ``gap_m`` apart, cut to a shape.

    They run through the origin of the site plane, so that shapes side by side have one hatch.
    """
    if shape.is_empty:
        return ()
    along = np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))])
    across = np.array([-along[1], along[0]])
    corners = shapely.get_coordinates(shape.envelope)
    low, high = (corners @ across).min(), (corners @ across).max()
    start, end = (corners @ along).min() - gap_m, (corners @ along).max() + gap_m
    steps = np.arange(np.ceil(low / gap_m), np.floor(high / gap_m) + 1) * gap_m
    if not len(steps):
        return ()
    ends = steps[:, None, None] * across + np.array([start, end])[None, :, None] * along
    cut = shapely.get_parts(shapely.intersection(shapely.linestrings(ends), shape))
    return tuple(
        ((float(xy[0, 0]), float(xy[0, 1])), (float(xy[-1, 0]), float(xy[-1, 1])))
        for xy in map(shapely.get_coordinates, cut[(shapely.get_type_id(cut) == 1) & ~shapely.is_empty(cut)])
    )
