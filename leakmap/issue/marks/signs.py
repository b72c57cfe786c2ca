"""Point signs: relief points, vertical joints with their staff.

A staff shows a vertical joint laid upright beside its sign: bottom is the foot, top the head.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.primitives import Area, Disc, Line, Pen, Primitive, Tone, on_site

RING_MM: Final = 1.3
_RING_PEN: Final = Pen(Tone.INK, 0.5)
_DOT_MM: Final = 0.45
STEM_MM: Final = 3.75
_BAR_HALF_MM: Final = 1.05

LOZENGE_HALF_WIDTH_MM: Final = 1.45
LOZENGE_HALF_HEIGHT_MM: Final = 2.65
_LOZENGE_PEN: Final = Pen(Tone.INK, 0.35)
_PAPER_BAR_PEN: Final = Pen(Tone.PAPER, 0.5)

STAFF_WIDTH_MM: Final = 1.75
STAFF_HEIGHT_MM: Final = 10.5
STAFF_AWAY_MM: Final = 6.0
STAFF_WIDER_MM: Final = 1.0


def relief_sign(at: Point, aside: Point, scale: float) -> tuple[Primitive, ...]:
    """A relief point: ring and dot on the joint, a stem square to it on the free side, a bar at its end.

    Args:
        at: On the joint.
        aside: Unit vector of the stem.
        scale: Plot scale.
    """
    start, end, half = (on_site(mm, scale) for mm in (RING_MM, STEM_MM, _BAR_HALF_MM))
    (x, y), (ax, ay) = at, aside
    head = (x + ax * end, y + ay * end)
    return (
        Line(points=((x + ax * start, y + ay * start), head), pen=_RING_PEN),
        Line(
            points=((head[0] - ay * half, head[1] + ax * half), (head[0] + ay * half, head[1] - ax * half)),
            pen=_RING_PEN,
        ),
        Disc(centre=at, radius_m=start, fill=Tone.PAPER, pen=_RING_PEN),
        Disc(centre=at, radius_m=on_site(_DOT_MM, scale), fill=Tone.INK),
    )


class Way(StrEnum):
    """Which way a vertical joint goes from the sheet."""

    UP = "up"
    DOWN = "down"
    THROUGH = "through"


def lozenge(at: Point, way: Way, scale: float) -> tuple[Primitive, ...]:
    """A tall lozenge: upper half full goes up, lower half full goes down, both passes through."""
    half_width, half_height = on_site(LOZENGE_HALF_WIDTH_MM, scale), on_site(LOZENGE_HALF_HEIGHT_MM, scale)
    x, y = at
    top, bottom, left, right = (x, y + half_height), (x, y - half_height), (x - half_width, y), (x + half_width, y)
    halves = {Way.UP: (top,), Way.DOWN: (bottom,), Way.THROUGH: (top, bottom)}[way]
    parts: list[Primitive] = [Area(polygons=(((top, right, bottom, left, top),),), fill=Tone.PAPER)]
    parts += [Area(polygons=(((left, tip, right, left),),), fill=Tone.INK) for tip in halves]
    parts.append(Area(polygons=(((top, right, bottom, left, top),),), pen=_LOZENGE_PEN))
    if way is Way.THROUGH:
        inner = half_width * 0.62
        parts.append(Line(points=((x - inner, y), (x + inner, y)), pen=_PAPER_BAR_PEN))
    return tuple(parts)


@dataclass(frozen=True, slots=True)
class Staff:
    """A vertical joint laid upright on the plan beside its sign.

    Attributes:
        foot: Middle of its lower end.
        rise_m: The joint's rise, shown as the staff's height whatever it is.
        scale: Plot scale.
    """

    foot: Point
    rise_m: float
    scale: float

    @property
    def height_m(self) -> float:
        """Height of the staff on the site plane."""
        return on_site(STAFF_HEIGHT_MM, self.scale)

    def point_at(self, chainage_m: float) -> Point:
        """The place on the staff of a chainage from the joint's foot."""
        return self.foot[0], self.foot[1] + self.height_m * chainage_m / self.rise_m

    @property
    def path(self) -> Path:
        """Its middle line, foot first."""
        return Path((self.foot, self.point_at(self.rise_m)))

    @property
    def share(self) -> float:
        """Metres on the site plane for one metre of chainage."""
        return self.height_m / self.rise_m

    def frame(self) -> Area:
        """Its outline, filled with paper."""
        half = on_site(STAFF_WIDTH_MM / 2, self.scale)
        (x, y), top = self.foot, self.foot[1] + self.height_m
        ring = ((x - half, y), (x + half, y), (x + half, top), (x - half, top), (x - half, y))
        return Area(polygons=((ring,),), fill=Tone.PAPER, pen=Pen(Tone.INK, 0.25))
