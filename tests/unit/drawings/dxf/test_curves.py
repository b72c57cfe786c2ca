"""Curves as chords."""

from __future__ import annotations

from itertools import pairwise
from math import atan, cos, hypot, pi, sin, sqrt, tan

import numpy as np
import pytest
from ezdxf.math import BSpline
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.drawings.dxf import curves
from leakmap.drawings.dxf.curves import LARGEST_STEP, MOST_CHORDS, bulged, spline_points, swept
from leakmap.model.drawing import FloatArray


def one_arc(radius: float, start: float, sweep: float, tolerance: float, *, flatten: float = 1.0) -> FloatArray:
    """Points of one arc about zero; ``flatten`` shortens its y axis."""
    u, v = np.array([[radius, 0.0, 0.0]]), np.array([[0.0, radius * flatten, 0.0]])
    points, counts = swept(np.zeros((1, 3)), u, v, np.array([start]), np.array([sweep]), tolerance=tolerance)
    assert counts.tolist() == [len(points)]
    return points


def sagitta(radius: float, points: FloatArray) -> float:
    """How far the middle of the worst chord lies inside the circle."""
    return max(radius - hypot(a[0] + b[0], a[1] + b[1]) / 2 for a, b in pairwise(points.tolist()))


@given(st.floats(0.01, 800), st.floats(-7, 7), st.floats(0.001, 2 * pi), st.sampled_from([0.0005, 0.001, 0.02]))
def test_chords_stay_within_the_tolerance(radius: float, start: float, sweep: float, tolerance: float) -> None:
    """The middle of each chord is at most the tolerance inside the circle; every point is on it."""
    points = one_arc(radius, start, sweep, tolerance)
    assert np.allclose(np.hypot(points[:, 0], points[:, 1]), radius, rtol=1e-12)
    assert sagitta(radius, points) <= tolerance * (1 + 1e-9)


def test_chords_are_no_more_than_needed() -> None:
    """At 1 mm on 5 m radius a chord turns 2 arccos(1 − 0.001/5) = 0.0400 rad: 158 chords make the circle."""
    assert len(one_arc(5.0, 0.0, 2 * pi, 0.001)) == 158 + 1


def test_a_full_turn_ends_where_it_starts() -> None:
    """First and last point of a circle are equal bit for bit, so that it counts as closed."""
    points = one_arc(3.3, 0.7, 2 * pi, 0.001)
    assert points[0].tolist() == points[-1].tolist()


@pytest.mark.parametrize(("radius", "chords"), [(1e-9, 8), (0.0, 8), (1e12, MOST_CHORDS)])
def test_chords_are_bounded(radius: float, chords: int) -> None:
    """Tiny circles keep eight chords, and huge ones at most 4096."""
    assert len(one_arc(radius, 0.0, 2 * pi, 0.001)) == chords + 1
    assert 2 * pi / LARGEST_STEP == 8


def test_arcs_beyond_all_measure_do_not_fill_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """A thousand circles of a million kilometres would be 4 million chords; together they keep to the bound."""
    monkeypatch.setattr(curves, "MOST_AT_ONCE", 50_000)
    k = np.ones((1000, 1))
    axes = k * [[1e9, 0, 0]], k * [[0, 1e9, 0]]
    points, counts = swept(k * [[0, 0, 0]], *axes, np.zeros(1000), np.full(1000, 2 * pi), tolerance=0.001)
    assert len(points) == counts.sum() <= 51_000


@pytest.mark.parametrize("wrong", [float("nan"), float("inf")])
def test_an_arc_without_numbers_gives_few_points(wrong: float) -> None:
    """An arc whose radius or sweep is no number never asks for memory without end."""
    with np.errstate(all="ignore"):
        assert len(one_arc(wrong, 0.0, 1.0, 0.001)) <= MOST_CHORDS + 1
        assert len(one_arc(1.0, 0.0, wrong, 0.001)) <= MOST_CHORDS + 1


def test_a_flattened_circle_is_an_ellipse() -> None:
    """Half axes 4 and 1: each point fulfils x²/16 + y² = 1, and chords are judged by the longer axis."""
    points = one_arc(4.0, 0.0, 2 * pi, 0.001, flatten=0.25)
    assert np.allclose(points[:, 0] ** 2 / 16 + points[:, 1] ** 2, 1.0)
    assert len(points) == len(one_arc(4.0, 0.0, 2 * pi, 0.001))


def test_a_bulge_of_one_is_a_half_circle() -> None:
    """From (0, 0) to (2, 0) with bulge 1: counter-clockwise half circle below, through (1, −1)."""
    points = bulged(np.array([[0.0, 0.0], [2.0, 0.0]]), np.array([1.0, 0.0]), closed=False, tolerance=0.001)
    assert np.allclose(np.hypot(points[:, 0] - 1, points[:, 1]), 1.0)
    assert points[:, 1].min() == pytest.approx(-1.0, abs=0.001)
    assert points[0].tolist() == [0.0, 0.0]
    assert points[-1].tolist() == [2.0, 0.0]


def test_a_negative_bulge_runs_clockwise() -> None:
    """A quarter circle from (0, 0) to (1, 1), bulge −tan(22.5°), turns right about (1, 0)."""
    points = bulged(np.array([[0.0, 0.0], [1.0, 1.0]]), np.array([-tan(pi / 8), 0.0]), closed=False, tolerance=0.001)
    assert np.allclose(np.hypot(points[:, 0] - 1, points[:, 1]), 1.0)
    assert (points[:, 0] <= 1 + 1e-12).all()
    middle = points[np.argmin(np.hypot(points[:, 0] - (1 - sqrt(0.5)), points[:, 1] - sqrt(0.5)))]
    assert middle.tolist() == pytest.approx([1 - sqrt(0.5), sqrt(0.5)], abs=0.03)


def test_straight_and_bulged_pieces_follow_each_other() -> None:
    """A slot hole: two straight sides of 4 m, two half circles of radius 1: length 8 + 2π."""
    corners = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [0.0, 2.0]])
    points = bulged(corners, np.array([0.0, 1.0, 0.0, 1.0]), closed=True, tolerance=1e-6)
    length = np.hypot(*np.diff(points, axis=0).T).sum()
    assert length == pytest.approx(8 + 2 * pi, abs=1e-4)
    assert points[0].tolist() == points[-1].tolist() == [0.0, 0.0]
    assert points[:, 0].max() == pytest.approx(5.0, abs=1e-5)


@given(st.floats(-3, 3).filter(lambda b: abs(b) > 1e-3), st.floats(-50, 50), st.floats(0.1, 50))
def test_a_bulge_is_the_tangent_of_a_quarter_of_its_arc(bulge: float, turn: float, chord: float) -> None:
    """The length of the arc is its radius times 4 arctan |bulge|; radius = chord (1 + b²) / (4 |b|)."""
    ends = np.array([[0.0, 0.0], [chord * cos(turn), chord * sin(turn)]])
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    points = bulged(ends, np.array([bulge, 0.0]), closed=False, tolerance=radius * 1e-5)
    length = np.hypot(*np.diff(points, axis=0).T).sum()
    assert length == pytest.approx(radius * 4 * atan(abs(bulge)), rel=1e-4)


@pytest.mark.slow
@settings(max_examples=30)
@given(st.lists(st.tuples(st.floats(-20, 20), st.floats(-20, 20)), min_size=4, max_size=9), st.integers(1, 3))
def test_a_spline_stays_within_the_tolerance(corners: list[tuple[float, float]], degree: int) -> None:
    """No point of a finely walked spline lies farther than the tolerance from the chords."""
    spline = BSpline([(x, y, 0) for x, y in corners], order=degree + 1)
    chords = spline_points(spline, 0.001)[:, :2]
    fine = np.array([(p.x, p.y) for p in spline.points(np.linspace(0, spline.max_t, 200).tolist())])
    a, b = chords[:-1], chords[1:]
    along = np.maximum(((b - a) ** 2).sum(axis=1), 1e-300)
    share = np.clip(((fine[:, None] - a) * (b - a)).sum(axis=2) / along, 0, 1)
    apart = np.hypot(*np.moveaxis(fine[:, None] - a - share[..., None] * (b - a), 2, 0)).min(axis=1)
    assert apart.max() <= 0.001 * (1 + 1e-6)


def test_a_spline_of_degree_one_is_its_control_polygon() -> None:
    """A linear spline goes straight from control point to control point."""
    points = spline_points(BSpline([(0, 0), (4, 0), (4, 3)], order=2), 0.001)
    assert np.hypot(*np.diff(points[:, :2], axis=0).T).sum() == pytest.approx(7.0)


def test_only_the_defined_part_of_a_periodic_spline_is_drawn() -> None:
    """A uniform cubic spline of four points starts at (P0 + 4 P1 + P2) / 6, by the basis at its first knot."""
    spline = BSpline([(0, 0), (6, 0), (6, 6), (0, 6)], order=4, knots=[0, 1, 2, 3, 4, 5, 6, 7])
    points = spline_points(spline, 0.001)
    assert points[0].tolist() == pytest.approx([5.0, 1.0, 0.0])
    assert points[-1].tolist() == pytest.approx([5.0, 5.0, 0.0])
