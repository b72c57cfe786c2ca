"""Curves as chords: points on the curve, so dense that no chord is farther off than a tolerance.

Every circular or elliptic arc, seen in any slanted or stretched system, is ``c + cos t · u + sin t · v``;
so one function serves arcs, circles, ellipses and bulges, and an insert only moves c, u and v.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np
from ezdxf.math import BSpline

from leakmap.model.drawing import FloatArray, IntArray

LARGEST_STEP: Final = np.pi / 4
"""A full circle has at least eight chords, however small it is."""

SMALLEST_STEP: Final = 2 * np.pi / 4096
"""A full circle has at most 4096 chords: at 1 mm that is a radius of 3.4 km."""


MOST_CHORDS: Final = 4096
"""Chords of one arc, at most; arcs whose numbers are none get one, and are left out later."""

MOST_AT_ONCE: Final = 4_000_000
"""Chords of all arcs of one call; arcs beyond all measure are drawn coarser rather than fill the memory."""

MOST_IN_DRAWING: Final = 8_000_000
"""Chords of all curves of a drawing beyond ``FEW`` each (ours): far more than any plan that people work on."""

FEW: Final = 16
"""Chords that every arc, and every stretch of a spline, may have, however little is left."""

MOST_IN_SPLINE: Final = 200_000
"""Points of one spline, beyond which its chords are halved no more (ours)."""

MOST_CONTROLS: Final = 100_000
"""Points that one spline may be made from (ours): nobody drew more."""

MOST_PARTS: Final = 256
"""Chords of one stretch between two knots, at most."""


class Chords:
    """The chords that the curves of one drawing may still have.

    Attributes:
        left: How many there are beyond ``FEW`` for each curve.
        coarser: How many curves have fewer than their tolerance asks for, as too few were left.
    """

    def __init__(self) -> None:
        self.left = MOST_IN_DRAWING
        self.coarser = 0

    def bound(self, curves: int) -> int:
        """How many so many curves may have together."""
        return max(min(MOST_AT_ONCE, self.left), FEW * curves)

    def spend(self, chords: int, curves: int) -> None:
        """Take note of the chords of some curves."""
        self.left -= min(max(chords - FEW * curves, 0), self.left)


def swept(
    centre: FloatArray,
    u: FloatArray,
    v: FloatArray,
    start: FloatArray,
    sweep: FloatArray,
    *,
    tolerance: float,
    chords: Chords | None = None,
) -> tuple[FloatArray, IntArray]:
    """Points of k arcs ``c + cos t · u + sin t · v``.

    Args:
        centre: ``(k, 3)``, centres.
        u: ``(k, 3)``, where t = 0 lies from the centre.
        v: ``(k, 3)``, where t = π/2 lies from the centre.
        start: ``(k,)``, first t in radians.
        sweep: ``(k,)``, how far t runs, in radians; negative runs clockwise.
        tolerance: Greatest distance in plan between a chord and its arc, greater than zero.
        chords: What the drawing has left; None for as much as at the beginning. Where it is not enough, and beyond
            ``MOST_AT_ONCE``, arcs are drawn coarser, but for ``FEW`` chords each.

    Returns:
        The points ``(n, 3)`` of all arcs in a row, and how many points each has ``(k,)``.
        The last point of a full turn is its first point, bit for bit.
    """
    steps = _afforded(u, v, sweep, tolerance, chords or Chords())
    counts = (steps + 1).astype(np.int32)
    firsts = np.concatenate(([0], np.cumsum(counts)[:-1])).astype(np.int64)
    place = np.arange(counts.sum()) - np.repeat(firsts, counts)
    t = np.repeat(start, counts) + np.repeat(sweep / steps, counts) * place
    arc = np.repeat(np.arange(len(counts)), counts)
    points = centre[arc] + np.cos(t)[:, None] * u[arc] + np.sin(t)[:, None] * v[arc]
    full = np.abs(np.abs(sweep) - 2 * np.pi) < 1e-9
    points[(firsts + steps)[full]] = points[firsts[full]]
    return points, counts


def _afforded(u: FloatArray, v: FloatArray, sweep: FloatArray, tolerance: float, chords: Chords) -> IntArray:
    """How many chords each arc gets, paid out of what is left."""
    steps = wanted = _steps(u, v, sweep, tolerance)
    while steps.sum() > chords.bound(len(steps)):
        tolerance *= 4
        steps = _steps(u, v, sweep, tolerance)
    chords.spend(int(steps.sum()), len(steps))
    chords.coarser += int(np.count_nonzero(steps < wanted))
    return steps


def _steps(u: FloatArray, v: FloatArray, sweep: FloatArray, tolerance: float) -> IntArray:
    """How many chords each arc gets."""
    chords = np.ceil(np.abs(sweep) / _step(u, v, tolerance) - 1e-9)
    steps: IntArray = np.clip(np.nan_to_num(chords, nan=1.0), 1, MOST_CHORDS).astype(np.int32)
    return steps


def _step(u: FloatArray, v: FloatArray, tolerance: float) -> FloatArray:
    """Step of t at which the chord's sagitta is the tolerance, for the larger semi-axis in plan."""
    uu, vv = (u[:, :2] ** 2).sum(axis=1), (v[:, :2] ** 2).sum(axis=1)
    uv = (u[:, :2] * v[:, :2]).sum(axis=1)
    reach = np.sqrt((uu + vv) / 2 + np.hypot((uu - vv) / 2, uv))
    share = np.minimum(tolerance / np.maximum(reach, tolerance), 1.0)
    step: FloatArray = np.clip(4 * np.arcsin(np.sqrt(share / 2)), SMALLEST_STEP, LARGEST_STEP)
    return step


def bulged(
    points: FloatArray, bulges: FloatArray, *, closed: bool, tolerance: float, chords: Chords | None = None
) -> FloatArray:
    """Points of a polyline whose pieces may be arcs.

    Args:
        points: ``(n, 2)`` corners.
        bulges: ``(n,)``; the tangent of a quarter of the arc from a corner to the next, 0 for a straight piece.
        closed: Whether the last corner is joined to the first.
        tolerance: Greatest distance between a chord and its arc.
        chords: What the drawing has left, see ``swept``.

    Returns:
        ``(k, 2)`` points; corners are kept exactly; a closed polyline repeats its first point.
    """
    corners = np.vstack((points, points[:1])) if closed else points
    bows = bulges[: len(corners) - 1]
    curved = np.flatnonzero(bows)
    if not len(curved):
        return corners
    b = bows[curved, None]
    a, z = corners[curved], corners[curved + 1]
    across = np.column_stack((a[:, 1] - z[:, 1], z[:, 0] - a[:, 0]))
    centre = (a + z) / 2 + across * (1 - b * b) / (4 * b)
    u = a - centre
    v = np.column_stack((-u[:, 1], u[:, 0]))
    turn = np.zeros(len(b)), 4 * np.arctan(bows[curved])
    arcs, counts = swept(centre, u, v, *turn, tolerance=tolerance, chords=chords)
    insides = [arcs[first + 1 : last - 1] for first, last in pairwise((0, *np.cumsum(counts)))]
    return _stitched(corners, dict(zip(curved.tolist(), insides, strict=True)))


def _stitched(corners: FloatArray, insides: dict[int, FloatArray]) -> FloatArray:
    """Corners with the inner points of arcs put in after the corner at which each starts."""
    pieces: list[FloatArray] = []
    done = 0
    for index, inside in insides.items():
        pieces += [corners[done : index + 1], inside]
        done = index + 1
    return np.vstack((*pieces, corners[done:]))


def spline_points(spline: BSpline, tolerance: float, chords: Chords | None = None) -> FloatArray:
    """Points ``(k, 3)`` of a B-spline, from its first to its last point.

    Every stretch between two knots is halved as often as its chords need, and the drawing has chords left; only the
    part of the knots where the curve is defined is drawn, as periodic splines have knots beyond it.

    Raises:
        ValueError: It is made from more points than anybody draws.
    """
    if spline.count > MOST_CONTROLS:
        raise ValueError(f"more than {MOST_CONTROLS:,} control points")
    knots = np.asarray(spline.knots(), dtype=np.float64)
    stops = np.unique(knots[spline.degree : len(knots) - spline.degree])
    chords = chords or Chords()
    most = min(MOST_IN_SPLINE, chords.bound(len(stops) - 1))
    parts = 4
    while True:
        t = np.unique(np.concatenate([np.linspace(a, z, 2 * parts + 1) for a, z in pairwise(stops)]))
        points = np.array([p.xyz for p in spline.points(t.tolist())], dtype=np.float64)
        near, full = _farthest(points[:, :2]) <= tolerance, 2 * len(points) > most
        if near or full or parts >= MOST_PARTS:
            break
        parts *= 2
    points = points[::2] if near else points
    chords.spend(len(points), len(stops) - 1)
    chords.coarser += full and not near
    return points


def _farthest(points: FloatArray) -> float:
    """Greatest distance of an odd point from the middle of the chord between its even neighbours.

    That is never less than its distance from the chord.
    """
    return float(np.hypot(*((points[:-2:2] + points[2::2]) / 2 - points[1::2]).T).max(initial=0.0))
