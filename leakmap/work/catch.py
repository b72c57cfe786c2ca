"""What a pointer is caught on, and what a tool wants of the catching."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import dist, hypot
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.geometry.path import Point

_SAME_M: Final = 0.001
PARALLEL: Final = 1e-3
"""Sine of the angle below which a ray counts as parallel to a line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """A place that the pointer is caught on.

    Attributes:
        at: The place, metres of the site plane.
        words: The reason, such as "end of J-05", "corner", "grid C / 4".
        joint: The joint it lies on; None for a place of the drawing or the grid.
        chainage_m: Chainage on that joint.
        line: Ends of the straight line on which it is any place; None where it is a place of its own.
    """

    at: Point
    words: str
    joint: UUID | None = None
    chainage_m: float | None = None
    line: tuple[Point, Point] | None = None


class Ray(NamedTuple):
    """A straight way from a point, endless.

    Attributes:
        origin: Where it starts.
        way: Unit vector along it.
    """

    origin: Point
    way: Point

    def foot(self, at: Point) -> Point:
        """The place of the ray that is nearest to a point.

        >>> Ray((1.0, 1.0), (0.0, 1.0)).foot((3.0, 5.0)), Ray((1.0, 1.0), (0.0, 1.0)).foot((3.0, -5.0))
        ((1.0, 5.0), (1.0, 1.0))
        """
        x, y = at[0] - self.origin[0], at[1] - self.origin[1]
        return self.at(max(x * self.way[0] + y * self.way[1], 0.0))

    def at(self, length_m: float) -> Point:
        """The place so far along it."""
        return self.origin[0] + length_m * self.way[0], self.origin[1] + length_m * self.way[1]


class Caught(NamedTuple):
    """What something other than joints catches: its nearest point, and its nearest place on a line."""

    point: Catch | None = None
    line: Catch | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What a tool wants of the catching.

    Attributes:
        origin: Where the piece being drawn starts; a joint is then caught square to it as well.
        without: Joints that do not catch, because they are being dragged themselves.
        own: Places of what is being drawn, such as its start; they come first.
        joints_only: Whether only joints catch.
        drawing_only: Whether only the drawing catches; with ``joints_only`` too, nothing does.
        across: A unit vector; lines along it do not catch.
    """

    origin: Point | None = None
    without: frozenset[UUID] = frozenset()
    own: tuple[Catch, ...] = ()
    joints_only: bool = False
    drawing_only: bool = False
    across: Point | None = None


def nearest(catches: Iterable[Catch | None], at: Point) -> Catch | None:
    """The nearest of some places; of those at one place, to the millimetre, the first."""
    there = (catch for catch in catches if catch is not None)
    return min(there, key=lambda catch: round(dist(catch.at, at), 3), default=None)


def on_ray(catch: Catch, ray: Ray) -> Catch | None:
    """What a catch means for a pointer that is kept on a ray.

    A line is met where the ray crosses it. A place of its own is taken where it lies on the ray; beside the
    ray, it is the place that is level with it.

    Returns:
        A catch on the ray; None where the ray does not cross the line, or starts where it would be.
    """
    if catch.line is not None:
        return _crossed(catch, ray, catch.line)
    foot = ray.foot(catch.at)
    if dist(foot, ray.origin) <= _SAME_M:
        return None
    if dist(foot, catch.at) <= _SAME_M:
        return catch
    where = "where " if catch.words.endswith((" cross", " meet")) else ""
    return Catch(at=foot, words=f"level with {where}{catch.words}")


def _crossed(catch: Catch, ray: Ray, line: tuple[Point, Point]) -> Catch | None:
    (x, y), (to_x, to_y) = line
    dx, dy = to_x - x, to_y - y
    turn = ray.way[0] * dy - ray.way[1] * dx
    if abs(turn) <= PARALLEL * hypot(dx, dy):
        return None
    off_x, off_y = x - ray.origin[0], y - ray.origin[1]
    along_m = (off_x * dy - off_y * dx) / turn
    share = (off_x * ray.way[1] - off_y * ray.way[0]) / turn
    if along_m <= _SAME_M or not 0.0 <= share <= 1.0:
        return None
    at = ray.at(along_m)
    if catch.chainage_m is None:
        return replace(catch, at=at)
    sense = 1.0 if (at[0] - catch.at[0]) * dx + (at[1] - catch.at[1]) * dy >= 0 else -1.0
    return replace(catch, at=at, chainage_m=catch.chainage_m + sense * dist(at, catch.at))


ANYTHING = Aim()
"""Any place of joints, grid and drawing."""

NOTHING = Aim(joints_only=True, drawing_only=True)
"""No place at all, where a click means none."""
