"""How a page lies on paper: its box, its turn and its unit, as a matrix from page space to millimetres.

A page's own space is in points of 1/72 inch times its user unit, y up. On paper the page is turned upright,
and its lower left corner is 0, 0. A matrix is six numbers a, b, c, d, e, f: ``x' = a x + c y + e`` and
``y' = b x + d y + f``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from leakmap.geometry.path import Box, Point

Matrix = tuple[float, float, float, float, float, float]

MM_PER_POINT: Final = 25.4 / 72

_PAPERS_MM: Final = {"A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297)}
"""Trimmed sizes of ISO 216, the same as those of drawing sheets in ISO 5457."""

_PAPER_SLACK_MM: Final = 2.0


@dataclass(frozen=True, slots=True)
class Frame:
    """A page's box in its own space, and how it is turned.

    Attributes:
        box: Left, bottom, right, top; the crop box where there is one.
        quarters: Quarter turns clockwise that make it upright, 0 to 3.
        user_unit: Points of one unit.
    """

    box: Box
    quarters: int = 0
    user_unit: float = 1.0

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the upright page.

        >>> [round(side) for side in Frame((0, 0, 595.276, 841.89), 1).size_mm]
        [297, 210]
        """
        left, bottom, right, top = self.box
        width, height = (right - left) * self._mm, (top - bottom) * self._mm
        return (height, width) if self.quarters % 2 else (width, height)

    @property
    def matrix(self) -> Matrix:
        """From the page's own space to millimetres of the upright page.

        >>> Frame((0, 72, 144, 144), 1).matrix[4:]  # turned clockwise, its lower left corner comes to the upper left
        (-25.4, 50.8)
        """
        left, bottom, right, top = self.box
        k = self._mm
        return (
            (k, 0.0, 0.0, k, -k * left, -k * bottom),
            (0.0, -k, k, 0.0, -k * bottom, k * right),
            (-k, 0.0, 0.0, -k, k * right, k * top),
            (0.0, k, -k, 0.0, k * top, -k * left),
        )[self.quarters]

    @property
    def _mm(self) -> float:
        return MM_PER_POINT * self.user_unit


def joined(first: Matrix, then: Matrix) -> Matrix:
    """One matrix that does what two do one after the other.

    >>> joined((1, 0, 0, 1, 5, 0), (2, 0, 0, 2, 0, 1))
    (2, 0, 0, 2, 10, 1)
    """
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return (
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    )


def moved(at: Point, matrix: Matrix) -> Point:
    """A point that a matrix moves.

    >>> moved((1, 2), (0, 1, -1, 0, 10, 20))
    (8, 21)
    """
    a, b, c, d, e, f = matrix
    return a * at[0] + c * at[1] + e, b * at[0] + d * at[1] + f


def mapped_box(box: Box, matrix: Matrix) -> Box:
    """The upright box round a box that a matrix moves.

    >>> mapped_box((0, 0, 2, 1), (0, 1, -1, 0, 0, 0))
    (-1, 0, 0, 2)
    """
    xs, ys = zip(*(moved((box[i], box[j]), matrix) for i in (0, 2) for j in (1, 3)), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def common_box(one: Box, other: Box) -> Box | None:
    """What two boxes share; None where they share no area.

    >>> common_box((0, 0, 2, 2), (1, -1, 5, 1)), common_box((0, 0, 1, 1), (1, 0, 2, 1))
    ((1, 0, 2, 1), None)
    """
    left, bottom = max(one[0], other[0]), max(one[1], other[1])
    right, top = min(one[2], other[2]), min(one[3], other[3])
    return (left, bottom, right, top) if left < right and bottom < top else None


def page_words(size_mm: tuple[float, float]) -> str:
    """A page's size, with the name of the paper where it has one.

    >>> page_words((1189, 841.2)), page_words((41.5, 54.7))
    ('1189 x 841 mm (A0)', '42 x 55 mm')
    """
    width, height = size_mm
    across, along = sorted(size_mm)
    paper = [
        f" ({name})"
        for name, (short, long) in _PAPERS_MM.items()
        if abs(across - short) <= _PAPER_SLACK_MM and abs(along - long) <= _PAPER_SLACK_MM
    ]
    return f"{width:.0f} x {height:.0f} mm{''.join(paper)}"
