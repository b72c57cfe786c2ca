"""What the pointer is caught on: places of joints, of the imported drawing and of the grid."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from leakmap.geometry.path import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """A place that the pointer is caught on.

    Attributes:
        at: The place, metres of the site plane.
        words: The reason, such as "end of J-05", "wall corner", "grid C / 4".
        joint: The joint it lies on; None for a place of the drawing or the grid.
        chainage_m: Chainage on that joint.
    """

    at: Point
    words: str
    joint: UUID | None = None
    chainage_m: float | None = None
