"""Fitted placements against least squares solved another way, by numpy alone.

The similarity is linear in a = s cos θ, b = s sin θ: u = a x − b y + e, v = b x + a y + f; ``numpy.linalg.lstsq``
solves that. Turn alone and one scale each way are not linear; they are solved here by Gauss-Newton steps from
several starts, with derivatives written out by hand, each step by ``numpy.linalg.lstsq``. Nothing is shared with
``leakmap.geometry.fit``.
"""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
import numpy.typing as npt
import pytest

from leakmap.geometry.fit import Freedom, Pair, fitted
from leakmap.geometry.placement import Placement

Array = npt.NDArray[np.float64]


def noisy(seed: int, count: int, *, offset: float = 0.0) -> tuple[Array, Array]:
    """Places on a drawing in millimetres and the same places on site, some millimetres out, in a seeded way."""
    random = np.random.default_rng(seed)
    drawn = random.uniform(-30_000, 30_000, (count, 2)) + offset
    turn = random.uniform(-180, 180)
    c, s = cos(radians(turn)), sin(radians(turn))
    metres = (drawn - offset) * (0.00101, 0.00098)
    site = metres @ np.array(((c, s), (-s, c))) + random.uniform(-50, 50, 2)
    return drawn, site + random.normal(0, 0.004, (count, 2))


def pairs_of(drawn: Array, site: Array) -> list[Pair]:
    """Rows of both as pairs."""
    return [Pair(drawn=tuple(a), site=tuple(b)) for a, b in zip(drawn.tolist(), site.tolist(), strict=True)]


def residuals(found: Placement, drawn: Array, site: Array) -> Array:
    """Distances of placed from known places, written out."""
    return np.array([hypot(*np.subtract(found.to_site(tuple(a)), b)) for a, b in zip(drawn, site, strict=True)])


def newton(drawn: Array, site: Array, start_deg: float, *, each_way: bool) -> tuple[Array, float]:
    """Parameters (sx, sy, θ, e, f) with scales held at 0.001 unless ``each_way``, and the sum of squares."""
    at = np.array([0.001, 0.001, radians(start_deg), *site.mean(axis=0)])
    x, y = drawn.T
    for _ in range(60):
        sx, sy, t, e, f = at
        c, s = cos(t), sin(t)
        off = np.concatenate((c * sx * x - s * sy * y + e - site[:, 0], s * sx * x + c * sy * y + f - site[:, 1]))
        one, none = np.ones_like(x), np.zeros_like(x)
        slopes = np.stack(
            (
                np.concatenate((c * x, s * x)),
                np.concatenate((-s * y, c * y)),
                np.concatenate((-s * sx * x - c * sy * y, c * sx * x - s * sy * y)),
                np.concatenate((one, none)),
                np.concatenate((none, one)),
            ),
            axis=1,
        )
        free = slice(0, 5) if each_way else slice(2, 5)
        size = np.abs(slopes[:, free]).max(axis=0)
        at[free] -= np.linalg.lstsq(slopes[:, free] / size, off, rcond=None)[0] / size
    return at, float((off**2).sum())


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("count", [2, 3, 7, 40])
def test_turn_and_one_scale_equal_a_linear_solution(seed: int, count: int) -> None:
    """Turn, scale and places agree with the linear least squares to the last useful digits."""
    drawn, site = noisy(seed, count)
    found = fitted(Placement(x_m_per_unit=0.001, y_m_per_unit=0.001), pairs_of(drawn, site), Freedom.SCALE)
    x, y = drawn.T
    one, none = np.ones(count), np.zeros(count)
    rows = np.vstack((np.stack((x, -y, one, none), axis=1), np.stack((y, x, none, one), axis=1)))
    size = np.abs(rows).max(axis=0)
    a, b, e, f = np.linalg.lstsq(rows / size, np.concatenate((site[:, 0], site[:, 1])), rcond=None)[0] / size
    assert found.placement.x_m_per_unit == pytest.approx(hypot(a, b), rel=1e-9)
    assert found.placement.y_m_per_unit == pytest.approx(hypot(a, b), rel=1e-9)
    assert (found.placement.turn_deg - degrees(atan2(b, a)) + 180) % 360 - 180 == pytest.approx(0, abs=1e-8)
    assert found.placement.to_site((0.0, 0.0)) == pytest.approx((e, f), abs=1e-8)
    assert found.residuals_m == pytest.approx(residuals(found.placement, drawn, site), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("freedom", "each_way"), [(Freedom.TURN, False), (Freedom.EACH_WAY, True)])
def test_turn_alone_and_scales_each_way_equal_the_best_of_newton(
    seed: int, freedom: Freedom, *, each_way: bool
) -> None:
    """From eight starts no Gauss-Newton run ends lower, and the best one ends at the same places."""
    drawn, site = noisy(seed, 9)
    found = fitted(Placement(x_m_per_unit=0.001, y_m_per_unit=0.001), pairs_of(drawn, site), freedom)
    runs = [newton(drawn, site, start, each_way=each_way) for start in range(0, 360, 45)]
    proper = [run for run in runs if run[0][0] > 0 and run[0][1] > 0]
    best, least = min(proper, key=lambda run: run[1])
    assert sum(value**2 for value in found.residuals_m) == pytest.approx(least, rel=1e-7)
    assert (found.placement.x_m_per_unit, found.placement.y_m_per_unit) == pytest.approx(tuple(best[:2]), rel=1e-7)
    assert found.placement.to_site((0.0, 0.0)) == pytest.approx(tuple(best[3:]), abs=1e-6)


def test_large_coordinates_cost_no_millimetre() -> None:
    """At 5,000 km from the drawing's zero, in millimetres, residuals differ by less than 0.01 mm."""
    near, far = noisy(3, 6), noisy(3, 6, offset=5e9)
    one, other = (
        fitted(Placement(x_m_per_unit=0.001, y_m_per_unit=0.001), pairs_of(*both), Freedom.EACH_WAY)
        for both in (near, far)
    )
    assert other.residuals_m == pytest.approx(one.residuals_m, abs=1e-5)
