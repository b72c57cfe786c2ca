"""The line that is being drawn: its points click by click, directions, and what is seen of it."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Final

from leakmap.desk.tools.tool import OverlayLine
from leakmap.geometry.path import Point
from leakmap.model.words import Side

_STEP_DEG: Final = 45.0


class LineInHand:
    """Points that were clicked, with those between that a way along the drawing brought.

    Attributes:
        points: All of them, from the start.
    """

    def __init__(self) -> None:
        self.points: list[Point] = []
        self._before: list[int] = []  # how many points there were before each click

    def add(self, *points: Point) -> None:
        """Take the points of one click."""
        self._before.append(len(self.points))
        self.points += points

    def take_back(self) -> None:
        """Take back the last click with all that it brought."""
        del self.points[self._before.pop() :]

    def clear(self) -> None:
        """Forget the line."""
        self.points, self._before = [], []

    def stepped_deg(self, at: Point) -> float:
        """The nearest step of 45° from the last piece, or from the drawing's x."""
        base = turn_deg(self.points[-2], self.points[-1]) if len(self.points) > 1 else 0.0
        return base + round((turn_deg(self.points[-1], at) - base) / _STEP_DEG) * _STEP_DEG


def turn_deg(a: Point, b: Point) -> float:
    """Direction from a to b, degrees counter-clockwise from the site's x."""
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))


def apart_m(a: Point, b: Point) -> float:
    """Distance of two points."""
    return hypot(b[0] - a[0], b[1] - a[1])


def length_of(points: tuple[Point, ...]) -> float:
    """Length of a line through some points; 0 for one point.

    >>> length_of(((0.0, 0.0), (3.0, 0.0), (3.0, 4.0))), length_of(((1.0, 1.0),))
    (7.0, 0)
    """
    return sum(apart_m(a, b) for a, b in pairwise(points))


def room_ticks(points: tuple[Point, ...], side: Side, reach_m: float) -> tuple[OverlayLine, ...]:
    """A tick on each piece towards the room of a corner joint.

    Args:
        points: The joint's course.
        side: Where the room lies.
        reach_m: Length of a tick.
    """
    turn = 90.0 if side is Side.LEFT else -90.0
    ticks = []
    for a, b in pairwise(points):
        middle, way = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), radians(turn_deg(a, b) + turn)
        ticks.append(OverlayLine(points=(middle, (middle[0] + reach_m * cos(way), middle[1] + reach_m * sin(way)))))
    return tuple(ticks)
