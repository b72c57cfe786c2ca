"""The course of a joint as well-known text (ISO 19125, OGC 06-103r4), metres in the site plane.

A line is a LINESTRING, closed when its last point repeats its first; what is a point in plan is a
POINT. Numbers are written so that reading gives the same numbers.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.errors import ShapelyError

from leakmap.base.csv_text import number_text
from leakmap.base.errors import BadValue
from leakmap.geometry.path import Path, Point, path_of

Course = Path | Point


def course_of(wkt: str) -> Course:
    """The line or the point that a well-known text describes; heights (Z) are left out.

    Raises:
        BadValue: It is neither a LINESTRING nor a POINT, or has no usable course.
    """
    try:
        with np.errstate(invalid="ignore"):  # a coordinate that is no number is refused below
            shape = shapely.from_wkt(wkt)
    except ShapelyError:
        shape = None
    if shape is None or shape.geom_type not in {"LineString", "Point"} or shape.is_empty:
        raise BadValue("wkt must be a LINESTRING or a POINT with metres as x y, such as LINESTRING (0 0, 4.5 0).")
    points: list[Point] = [(float(x), float(y)) for x, y in shapely.get_coordinates(shape)]
    if shape.geom_type == "Point":
        return points[0]
    return path_of(points, closed=points[0] == points[-1])


def wkt_of(course: Course) -> str:
    """The well-known text of a line or a point.

    >>> wkt_of(Path(((0, 0), (4, 0), (4, 2.5)), closed=True)), wkt_of((1.0, 2.0))
    ('LINESTRING (0 0, 4 0, 4 2.5, 0 0)', 'POINT (1 2)')
    """
    if isinstance(course, Path):
        return f"LINESTRING ({', '.join(map(_pair, course.corners))})"
    return f"POINT ({_pair(course)})"


def _pair(point: Point) -> str:
    return f"{number_text(point[0])} {number_text(point[1])}"
