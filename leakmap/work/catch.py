"""What a pointer is caught on, and what a tool wants of the catching."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import dist
from typing import NamedTuple
from uuid import UUID

from leakmap.geometry.path import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """A place that the pointer is caught on.

    Attributes:
        at: The place, metres of the site plane.
        words: The reason, such as "end of J-05", "corner", "grid C / 4".
        joint: The joint it lies on; None for a place of the drawing or the grid.
        chainage_m: Chainage on that joint.
    """

    at: Point
    words: str
    joint: UUID | None = None
    chainage_m: float | None = None


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
    """

    origin: Point | None = None
    without: frozenset[UUID] = frozenset()
    own: tuple[Catch, ...] = ()
    joints_only: bool = False
    drawing_only: bool = False


def nearest(catches: Iterable[Catch | None], at: Point) -> Catch | None:
    """The nearest of some places; of those at one place, to the millimetre, the first."""
    there = (catch for catch in catches if catch is not None)
    return min(there, key=lambda catch: round(dist(catch.at, at), 3), default=None)


ANYTHING = Aim()
"""Any place of joints, grid and drawing."""

NOTHING = Aim(joints_only=True, drawing_only=True)
"""No place at all, where a click means none."""
