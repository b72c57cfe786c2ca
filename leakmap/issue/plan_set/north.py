"""What a plan says of north: an arrow where its sheet knows it, else that nobody said."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Final

from leakmap.geometry.path import Point
from leakmap.issue.schedule_pdf.ink import INK2
from leakmap.issue.schedule_pdf.lettering import Face
from leakmap.issue.schedule_pdf.pen_box import PaperPen

UNKNOWN: Final = "North: not known to this job"
NORTH_MM: Final = 17.0
"""Height that the arrow and its letter take, whichever way it points."""

_LONG_MM, _HALF_MM, _LETTER_MM = 5.5, 1.6, 2.5


def draw_north(pen: PaperPen, left: float, low: float, north_deg: float | None) -> None:
    """An arrow and the letter N; where north is not known, a line of words.

    Args:
        pen: Draws it.
        left: Left edge of its place, mm.
        low: Lower edge.
        north_deg: From straight up to true north, degrees clockwise; None where nobody said.
    """
    if north_deg is None:
        pen.words(UNKNOWN, left, low, cap=1.8, ink=INK2)
        return
    middle = (left + NORTH_MM / 2, low + NORTH_MM / 2)
    for (x0, y0), (x1, y1) in arrow(middle, north_deg):
        pen.rule(x0, y0, x1, y1, width=0.35)
    x, y = _off(middle, north_deg, _LONG_MM + _LETTER_MM / 2 + 0.8)
    pen.words("N", x, y - _LETTER_MM / 2, cap=_LETTER_MM, face=Face.BOLD, across=0.5)


def arrow(middle: Point, north_deg: float) -> tuple[tuple[Point, Point], ...]:
    """Lines of the arrow on the page: the shaft, pointing north, then both sides of its head and a bar across its foot.

    >>> shaft = arrow((0.0, 0.0), 90.0)[0]
    >>> [abs(round(value, 3)) for end in shaft for value in end]
    [5.5, 0.0, 5.5, 0.0]
    """
    tip, foot = _off(middle, north_deg, _LONG_MM), _off(middle, north_deg, -_LONG_MM)
    neck, bar = (_off(middle, north_deg, at) for at in (_LONG_MM - 3 * _HALF_MM, 1.0 - _LONG_MM))
    sides = [_off(neck, north_deg + turn, _HALF_MM) for turn in (-90, 90)]
    ends = [_off(bar, north_deg + turn, _HALF_MM) for turn in (-90, 90)]
    return (foot, tip), (sides[0], tip), (sides[1], tip), (ends[0], ends[1])


def _off(at: Point, clockwise_deg: float, by: float) -> Point:
    return at[0] + by * sin(radians(clockwise_deg)), at[1] + by * cos(radians(clockwise_deg))
