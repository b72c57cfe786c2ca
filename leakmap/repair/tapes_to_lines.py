"""Setting-out where no two points are in sight: one tape to the joint itself, or two from axes of the grid.

A joint is a line that a crew sees, so one tape from a point in sight meets it at the place: with an error of e in the
tape the place found lies e / cos(a) off along the joint, a being the angle between tape and joint, which follows from
the circle taken as straight near where it crosses. Tapes held square to two axes that cross at an angle of a miss as two
tapes that meet at it do. The angle between the lines that cross is bound as for two tapes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, cos, degrees, hypot, radians, sin
from typing import Final

from leakmap.geometry.path import Point

LEAST_ANGLE_DEG: Final = 30.0
"""Least angle at which two lines of position cross, and by how much it must fall short of 180°; common practice, no
published source."""

TAPE_ERROR_M: Final = 0.010
"""The error of a tape that the miss is given for."""

LONGEST_M: Final = 30.0
"""Longest tape: 30 m, which is the US trade's 100 ft to half a metre; common practice, no published source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToJoint:
    """A tape from a point to where it meets a joint.

    Attributes:
        point: Number of the point among those known.
        length_m: Of the tape.
        farther: Whether it is the one farther from the joint's 0 of the two places where the tape meets it.
        miss_m: Farthest that the place found can lie off along the joint when the tape is out by ``TAPE_ERROR_M``.
    """

    point: int
    length_m: float
    farther: bool
    miss_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ToAxes:
    """Two tapes, each held square to an axis.

    Attributes:
        axes: Names of the two axes.
        past_m: How far the place lies past each, in the way in which the axes count; negative before it.
        feet: Where the tapes begin on the axes.
        miss_m: Farthest that the place found can lie off when either tape is out by ``TAPE_ERROR_M``.
    """

    axes: tuple[str, str]
    past_m: tuple[float, float]
    feet: tuple[Point, Point]
    miss_m: float


def to_joint(place: Point, way: Point, at: Sequence[float], number: int) -> ToJoint | None:
    """The tape from a point to a place on a joint; None where tape and joint cross at no fair angle.

    Args:
        place: On the joint, on the site plane.
        way: The way in which the joint runs there, as a vector of length 1.
        at: The point, on the site plane.
        number: Its number among those known.

    >>> found = to_joint((4.0, 0.0), (1.0, 0.0), (0.0, 3.0), 7)
    >>> found.length_m, found.farther, round(found.miss_m, 6)
    (5.0, True, 0.0125)
    >>> to_joint((1.0, 0.0), (1.0, 0.0), (0.0, 3.0), 7) is None
    True
    """
    x, y = place[0] - at[0], place[1] - at[1]
    length, along = hypot(x, y), x * way[0] + y * way[1]
    share = abs(along) / length if length else 0.0
    if share < sin(radians(LEAST_ANGLE_DEG)) - 1e-12:
        return None
    return ToJoint(point=number, length_m=length, farther=along > 0, miss_m=TAPE_ERROR_M / share)


def to_axes(
    place: Point, names: tuple[str, str], past_m: tuple[float, float], towards: tuple[Point, Point]
) -> ToAxes | None:
    """Tapes square to two axes; None where the axes cross at no fair angle, or are too far.

    Args:
        place: On the site plane.
        names: Of the axes.
        past_m: Signed distances of the place from them.
        towards: The ways in which the axes count, square to them, as vectors of length 1.

    >>> found = to_axes((8.0, 3.0), ("C", "3"), (2.0, -0.5), ((1.0, 0.0), (0.0, 1.0)))
    >>> found.feet, round(found.miss_m, 6)
    (((6.0, 3.0), (8.0, 3.5)), 0.014142)
    """
    (ax, ay), (bx, by) = towards
    angle = acos(min(abs(ax * bx + ay * by), 1.0))
    if degrees(angle) < LEAST_ANGLE_DEG - 1e-9 or max(map(abs, past_m)) > LONGEST_M:
        return None
    one, other = ((place[0] - past * x, place[1] - past * y) for past, (x, y) in zip(past_m, towards, strict=True))
    miss_m = TAPE_ERROR_M / min(sin(angle / 2), cos(angle / 2))
    return ToAxes(axes=names, past_m=past_m, feet=(one, other), miss_m=miss_m)
