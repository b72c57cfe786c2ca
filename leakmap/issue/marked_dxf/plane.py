"""From the site plane, metres, to one drawing, in its own units."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, degrees, sqrt

from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.issue.marks.primitives import on_site


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """A sheet's drawing at its plot scale.

    Attributes:
        placement: Where the drawing lies in the site plane.
        scale: Plot scale: 100 for 1:100.
        whole: Drawing units of one millimetre on paper that the line types were made with.
    """

    placement: Placement
    scale: float
    whole: float

    @property
    def units_per_m(self) -> float:
        """Drawing units of a metre: the mean of both axes, the same for a drawing that is not a scan."""
        return 1 / sqrt(self.placement.x_m_per_unit * self.placement.y_m_per_unit)

    @property
    def unit(self) -> float:
        """Drawing units of one millimetre on paper."""
        return on_site(1, self.scale) * self.units_per_m

    def place(self, point: Point) -> Point:
        """Drawing point of a site position."""
        return self.placement.to_drawing(point)

    def places(self, points: Iterable[Point]) -> list[Point]:
        """Drawing points of site positions."""
        return [self.placement.to_drawing(point) for point in points]

    def turn_deg(self, direction: Point) -> float:
        """Direction in the drawing, degrees, of a direction in the site plane."""
        (x0, y0), (x1, y1) = self.place(self.placement.at_m), self.place(_moved(self.placement.at_m, direction))
        return degrees(atan2(y1 - y0, x1 - x0))


def _moved(point: Point, by: Point) -> Point:
    return point[0] + by[0], point[1] + by[1]
