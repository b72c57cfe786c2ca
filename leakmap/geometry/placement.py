"""Placement of a drawing in the site plane: drawing units to metres and back.

A placement takes a drawing point, moves the drawing's origin to zero, scales each axis, turns by an
angle and moves to where the origin lies in the site plane. Scans may need one scale each way.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from leakmap.base.numbers import finite, positive
from leakmap.geometry.path import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where and how large a drawing lies in the site plane.

    Attributes:
        origin: Drawing point, in drawing units, that is placed at ``at_m``.
        x_m_per_unit: Metres of one drawing unit along the drawing's x axis; greater than zero.
        y_m_per_unit: The same along its y axis.
        turn_deg: Turn of the drawing, degrees, counter-clockwise.
        at_m: Site position of ``origin``, metres.
    """

    origin: Point = (0.0, 0.0)
    x_m_per_unit: float = 1.0
    y_m_per_unit: float = 1.0
    turn_deg: float = 0.0
    at_m: Point = (0.0, 0.0)

    def __post_init__(self) -> None:
        """Refuse scales that are not greater than zero and numbers that are not finite.

        Raises:
            BadValue: As said.
        """
        positive(self.x_m_per_unit, "scale")
        positive(self.y_m_per_unit, "scale")
        finite(self.turn_deg, "turn of the drawing")
        for value in (*self.origin, *self.at_m):
            finite(value, "position of the drawing")

    def to_site(self, point: Point) -> Point:
        """Site position, metres, of a drawing point."""
        x = (point[0] - self.origin[0]) * self.x_m_per_unit
        y = (point[1] - self.origin[1]) * self.y_m_per_unit
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        return self.at_m[0] + c * x - s * y, self.at_m[1] + s * x + c * y

    def to_drawing(self, point: Point) -> Point:
        """Drawing point, drawing units, of a site position."""
        x, y = point[0] - self.at_m[0], point[1] - self.at_m[1]
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        return (
            self.origin[0] + (c * x + s * y) / self.x_m_per_unit,
            self.origin[1] + (c * y - s * x) / self.y_m_per_unit,
        )
