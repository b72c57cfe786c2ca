"""Placement of a drawing by pairs of places: where each lies on the drawing, and where it lies in the site plane.

The placement sought has the least sum of squares of the distances between placed and known places. With
both sets of places taken from their means, each case has a closed form:

- *shift*: the difference of the means.
- *turn*: tan θ = Σ (x v − y u) / Σ (x u + y v), drawn (x, y) in metres, known (u, v).
- *one scale*: the same turn, and s = √(Σ (x u + y v)² + Σ (x v − y u)²) / Σ (x² + y²).
- *one scale each way*: the placed point is R(θ) · (sx x, sy y). For a given θ both scales are linear, and what
  is left to make as large as possible is a quadratic form in (cos θ, sin θ): its larger eigenvector.

Turn and one scale are the similarity transformation of S. Umeyama, "Least-squares estimation of transformation
parameters between two point patterns", 1991, also known as Helmert's; from memory, and checked against an
independent numerical solution in the tests. The last case is worked out here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from math import atan2, cos, degrees, hypot, radians, sin, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from leakmap.base.errors import BadValue
from leakmap.base.numbers import finite
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, within

_Array = npt.NDArray[np.float64]
_NOTHING: Final = 1e-12  # a share of the whole that is the last bits of a number


class Freedom(Enum):
    """What of a placement is fitted; the value is its words."""

    SHIFT = "shift"
    TURN = "shift and turn"
    SCALE = "shift, turn and one scale"
    EACH_WAY = "shift, turn and one scale each way"

    @property
    def least_pairs(self) -> int:
        """How many pairs of places it needs."""
        return {Freedom.SHIFT: 1, Freedom.TURN: 2, Freedom.SCALE: 2, Freedom.EACH_WAY: 3}[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """One place twice.

    Attributes:
        drawn: Where it lies on the drawing, absolute drawing units.
        site: Where it lies in the site plane, metres.
    """

    drawn: Point
    site: Point

    def __post_init__(self) -> None:
        """Refuse places that are not finite.

        Raises:
            BadValue: As said.
        """
        for value in (*self.drawn, *self.site):
            finite(value, "picked place")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A fitted placement.

    Attributes:
        placement: The placement.
        residuals_m: For each pair, how far the placed place lies from the known one.
    """

    placement: Placement
    residuals_m: tuple[float, ...]

    @property
    def worst_m(self) -> float:
        """The largest residual."""
        return max(self.residuals_m)

    @property
    def agrees(self) -> bool:
        """Whether every place lies on its place within the drawing tolerance."""
        return within(self.worst_m, DRAWING_TOLERANCE_M)


def fitted(placement: Placement, pairs: Sequence[Pair], freedom: Freedom) -> Fit:
    """The placement that lays places on each other best.

    Args:
        placement: The placement so far: its origin, and what ``freedom`` leaves as it is, stay.
        pairs: Pairs of places, in any order.
        freedom: What may change.

    Raises:
        BadValue: There are too few pairs, the places lie too close together to say a turn or a scale, or they
            only lie on each other mirrored.

    >>> pairs = [Pair(drawn=(0, 0), site=(5, 5)), Pair(drawn=(2, 0), site=(5, 7))]
    >>> found = fitted(Placement(), pairs, Freedom.TURN)
    >>> round(found.placement.turn_deg), found.worst_m < 1e-9
    (90, True)
    """
    if len(pairs) < freedom.least_pairs:
        raise BadValue(f"For {freedom.value} pick {freedom.least_pairs} places at least, each on both.")
    drawn = np.array([pair.drawn for pair in pairs], dtype=np.float64)
    site = np.array([pair.site for pair in pairs], dtype=np.float64)
    drawn_mean, site_mean = drawn.mean(axis=0), site.mean(axis=0)
    x_scale, y_scale, turn_deg = _free(placement, drawn - drawn_mean, site - site_mean, freedom)
    mean = _point(drawn_mean)
    loose = replace(
        placement, origin=mean, x_m_per_unit=x_scale, y_m_per_unit=y_scale, turn_deg=turn_deg, at_m=_point(site_mean)
    )
    kept = replace(loose, origin=placement.origin, at_m=loose.to_site(placement.origin))
    return Fit(placement=kept, residuals_m=tuple(_apart(loose.to_site(pair.drawn), pair.site) for pair in pairs))


def _free(placement: Placement, drawn: _Array, site: _Array, freedom: Freedom) -> tuple[float, float, float]:
    """Scales and turn, degrees, of places that are taken from their means."""
    x_scale, y_scale = placement.x_m_per_unit, placement.y_m_per_unit
    if freedom is Freedom.SHIFT:
        return x_scale, y_scale, placement.turn_deg
    _refuse_one_spot(site)
    if freedom is Freedom.EACH_WAY:
        return _each_way(drawn, site)
    metres = drawn * (x_scale, y_scale)
    squares = float((metres**2).sum())
    if squares <= _NOTHING * float((site**2).sum()):
        raise _too_close()
    along = float((metres * site).sum())
    across = float((metres[:, 0] * site[:, 1] - metres[:, 1] * site[:, 0]).sum())
    if hypot(along, across) <= _NOTHING * sqrt(squares * float((site**2).sum())):
        raise BadValue("The picked places say no turn; check which place belongs to which, and pick them again.")
    turn_deg = degrees(atan2(across, along))
    times = hypot(along, across) / squares if freedom is Freedom.SCALE else 1.0
    return x_scale * times, y_scale * times, turn_deg


def _each_way(drawn: _Array, site: _Array) -> tuple[float, float, float]:
    """One scale each way and the turn, degrees: of both turns that are half a turn apart the one that mirrors nothing."""
    x_squares, y_squares = (float(value) for value in (drawn**2).sum(axis=0))
    spread = x_squares + y_squares
    if min(x_squares, y_squares) <= _NOTHING * spread or spread == 0.0:
        raise BadValue("The picked places lie on one line of the drawing; pick one beside it, for the other way.")
    by_x, by_y = drawn[:, 0] @ site, drawn[:, 1] @ site  # each: sums with u and with v
    across = np.array([by_y[1], -by_y[0]])  # y against the site, which is turned back by a quarter
    form = np.outer(by_x, by_x) / x_squares + np.outer(across, across) / y_squares
    c, s = np.linalg.eigh(form)[1][:, 1].tolist()
    x_scale, y_scale = (c * by_x[0] + s * by_x[1]) / x_squares, (c * by_y[1] - s * by_y[0]) / y_squares
    if x_scale < 0 and y_scale < 0:
        c, s, x_scale, y_scale = -c, -s, -x_scale, -y_scale
    if min(x_scale, y_scale) <= 0:
        raise BadValue(
            "The picked places only lie on each other mirrored; check which place belongs to which, and pick them again."
        )
    return float(x_scale), float(y_scale), degrees(atan2(s, c))


def _refuse_one_spot(site: _Array) -> None:
    """Refuse places that lie within the drawing tolerance: no turn can be read from them."""
    if float(np.hypot(site[:, 0], site[:, 1]).max()) <= DRAWING_TOLERANCE_M:
        raise _too_close()


def _too_close() -> BadValue:
    return BadValue("The picked places lie at one spot; pick places far apart, such as two corners of the grid.")


def turned(point: Point, turn_deg: float) -> Point:
    """A vector turned counter-clockwise.

    >>> [round(value, 9) for value in turned((1.0, 0.0), 90.0)]
    [0.0, 1.0]
    """
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def _point(xy: _Array) -> Point:
    x, y = xy.tolist()
    return x, y


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
