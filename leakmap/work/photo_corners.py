"""The corners of a sheet on a photo, picked in any order round it, in the order that its reader wants."""

from __future__ import annotations

from leakmap.base.errors import BadValue
from leakmap.geometry.path import Point
from leakmap.model.sheet import Corners


def corners_in_order(picked: Corners) -> Corners:
    """Corners from the upper left on, clockwise: the sheet stands as it stands on the photo.

    Args:
        picked: Four corners one after the other round the sheet, either way; pixels, y up.

    Raises:
        BadValue: The way round them crosses itself or bends inwards.

    >>> corners_in_order(((90, 5), (95, 80), (4, 78), (2, 3)))
    ((4, 78), (95, 80), (90, 5), (2, 3))
    """
    turns = [
        _turn(a, b, c) for a, b, c in zip(picked, (*picked[1:], picked[0]), (*picked[2:], *picked[:2]), strict=True)
    ]
    if not (all(turn > 0 for turn in turns) or all(turn < 0 for turn in turns)):
        raise BadValue("Those four points are not the corners of a sheet; click them one after the other round it.")
    ring = picked if turns[0] < 0 else picked[::-1]
    upper = max(range(4), key=lambda at: sum(point[1] for point in _side(ring, at)))
    return (*ring[upper:], *ring[:upper])  # type: ignore[return-value] # four again


def _side(ring: Corners, at: int) -> tuple[Point, Point]:
    """The side from one corner to the next."""
    return ring[at], ring[(at + 1) % 4]


def _turn(a: Point, b: Point, c: Point) -> float:
    """Twice the area of a triangle, above zero where it is gone round counter-clockwise."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
