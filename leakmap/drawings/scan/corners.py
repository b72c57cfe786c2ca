"""A photographed sheet laid flat: four corners picked on the photo become a rectangle.

A plane seen by a camera is a projective image of itself; the eight numbers of the map follow from
four corners. The lens is taken to be free of distortion, so a phone's wide lens leaves an error
near the edges: the sheet is checked by known lengths afterwards, like every other.
Source: R. Hartley and A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. 2004,
sections 2.3 and 4.1 (from memory).

Points are pixels of the upright picture, x to the right and **y up** from its lower left corner.
"""

from __future__ import annotations

from math import hypot
from typing import Final

import numpy as np
import numpy.typing as npt
import pyvips
import shapely

from leakmap.base.errors import BadValue
from leakmap.base.numbers import finite
from leakmap.geometry.path import Point
from leakmap.model.sheet import Corners

_LEAST_SHARE: Final = 0.01
"""A sheet that fills less of the photo than this has too few pixels to be drawn on (ours)."""


def checked(corners: Corners, width: int, height: int) -> Corners:
    """The corners, when a sheet can be laid flat by them.

    Raises:
        BadValue: They are not the corners of a sheet, in that order, or enclose next to nothing.
    """
    for value in (value for corner in corners for value in corner):
        finite(value, "corner of the sheet")
    ring = shapely.LinearRing(corners)
    hull = shapely.convex_hull(shapely.MultiPoint(corners))
    outline = shapely.Polygon(corners)
    bent = len(hull.exterior.coords) != 5 if isinstance(hull, shapely.Polygon) else True
    if bent or not outline.is_valid or ring.is_ccw:
        raise BadValue(
            "The four points are not the corners of a sheet; "
            "pick its upper left, upper right, lower right and lower left corner, in this order."
        )
    if outline.area < _LEAST_SHARE * width * height:
        raise BadValue("The four corners enclose too small a part of the photo; pick the corners of the whole sheet.")
    return corners


def flat_size(corners: Corners) -> tuple[int, int]:
    """Width and height, pixels, that keep the detail of the longer of each two opposite sides.

    >>> flat_size(((0, 50), (100, 50), (90, 0), (10, 0)))
    (100, 51)
    """
    upper_left, upper_right, lower_right, lower_left = corners
    width = max(_apart(upper_left, upper_right), _apart(lower_left, lower_right))
    height = max(_apart(upper_left, lower_left), _apart(upper_right, lower_right))
    return max(1, round(width)), max(1, round(height))


def flat_to_photo(corners: Corners, size: tuple[int, int]) -> npt.NDArray[np.float64]:
    """The 3 × 3 map from points of the flat sheet to points of the photo, both y up; last number 1."""
    width, height = size
    flat = ((0.0, height), (width, height), (width, 0.0), (0.0, 0.0))
    rows, sides = [], []
    for (x, y), (u, v) in zip(flat, corners, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        sides += [u, v]
    solved = np.linalg.solve(np.array(rows, dtype=np.float64), np.array(sides, dtype=np.float64))
    return np.append(solved, 1.0).reshape(3, 3)


def laid_flat(photo: pyvips.Image, corners: Corners) -> pyvips.Image:
    """The sheet of an upright photo, laid flat; its pixels are worked out when they are asked for.

    Raises:
        BadValue: The four points are not the corners of a sheet.
    """
    corners = checked(corners, photo.width, photo.height)
    width, height = flat_size(corners)
    m = flat_to_photo(corners, (width, height))
    place = pyvips.Image.xyz(width, height).cast("double")
    x, y = place[0] + 0.5, height - (place[1] + 0.5)
    depth = x * m[2, 0] + y * m[2, 1] + m[2, 2]
    across = (x * m[0, 0] + y * m[0, 1] + m[0, 2]) / depth - 0.5
    down = photo.height - (x * m[1, 0] + y * m[1, 1] + m[1, 2]) / depth - 0.5
    return photo.mapim(across.bandjoin(down), background=[255.0] * photo.bands, extend="background")


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
