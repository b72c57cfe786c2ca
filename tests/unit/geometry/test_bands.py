"""Bands along lines, worked by hand: 325 mm wide, half of it (162.5 mm) on each side of the slot's middle."""

from __future__ import annotations

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
import shapely

from leakmap.geometry.bands import Line, bands, rings_m, shared_area_mm2, to_local_mm, united, wedges, without

HALF = 162.5


def area_m2(shape: shapely.Geometry) -> float:
    """Area in square metres."""
    return float(shapely.area(shape)) / 1e6


def band(
    *points: tuple[float, float], left: float = HALF, right: float = HALF, closed: bool = False
) -> shapely.Geometry:
    """The band along points in millimetres."""
    return bands([Line(np.array(points, dtype=float), left, right, closed)])[0]


def test_a_straight_band_is_length_times_width() -> None:
    """A 4 m piece with flat ends has 4 × 0.325 = 1.3 m²."""
    assert area_m2(band((0, 0), (4000, 0))) == pytest.approx(1.3, abs=1e-12)


@pytest.mark.parametrize("turn_deg", [5, 30, 60, 90, 120, 150])
def test_a_bend_keeps_length_times_width(turn_deg: float) -> None:
    """What the inside of a mitred bend loses its outside gains: 7 × 0.325 m² at any turn within the limit."""
    turn = radians(turn_deg)
    shape = band((0, 0), (4000, 0), (4000 + 3000 * cos(turn), 3000 * sin(turn)))
    assert area_m2(shape) == pytest.approx(7 * 0.325, abs=1e-9)
    assert shape.is_valid


def test_a_turn_beyond_the_mitre_limit_is_bevelled() -> None:
    """At 170° the mitre would be 1 / cos 85° = 11.5 times the reach long; the bevel stays within the reach."""
    turn = radians(170)
    shape = band((0, 0), (4000, 0), (4000 + 3000 * cos(turn), 3000 * sin(turn)))
    assert shapely.bounds(shape)[2] <= 4000 + HALF + 1e-6
    mitred = band((0, 0), (4000, 0), (4000 + 3000 * cos(radians(156)), 3000 * sin(radians(156))))
    assert shapely.bounds(mitred)[2] == pytest.approx(4000 + HALF * tan(radians(78)), abs=1e-6)


def test_a_piece_shorter_than_its_bend_takes_is_drawn_whole() -> None:
    """A 50 mm stub before a right angle: 3 × 0.325 + stub beside the strip 0 + corner; the union by hand.

    The strip of the 3 m leg, the stub's rectangle 0.05 × 0.325 of which the upper 0.05 × 0.1625 lies on the
    strip, and the square corner 0.1625²: 0.975 + 0.008125 + 0.02640625 = 1.00953125 m².
    """
    assert area_m2(band((0, 0), (50, 0), (50, 3000))) == pytest.approx(1.00953125, abs=1e-9)


def test_a_ring_of_four_sides_has_a_hole() -> None:
    """A closed 4 × 3 m line: 14 × 0.325 m², with one hole of (4 − 0.325) × (3 − 0.325)."""
    shape = band((0, 0), (4000, 0), (4000, 3000), (0, 3000), (0, 0), closed=True)
    assert area_m2(shape) == pytest.approx(14 * 0.325, abs=1e-9)
    (polygon,) = rings_m(shape, (100.0, 200.0))
    assert len(polygon) == 2
    hole = shapely.Polygon(polygon[1])
    assert hole.area == pytest.approx(3.675 * 2.675, abs=1e-9)
    assert shapely.bounds(hole).tolist() == pytest.approx([100.1625, 200.1625, 103.8375, 202.8375])


def test_half_a_band_lies_on_one_side() -> None:
    """Left of a line that turns left is the inside: 7 × 0.1625 less 0.1625²; the outside has as much more."""
    points = ((0, 0), (4000, 0), (4000, 3000))
    assert area_m2(band(*points, right=0)) == pytest.approx(7 * 0.1625 - 0.1625**2, abs=1e-9)
    assert area_m2(band(*points, left=0)) == pytest.approx(7 * 0.1625 + 0.1625**2, abs=1e-9)


def test_a_band_that_lies_over_itself_counts_once() -> None:
    """A line that crosses itself at a right angle loses one square of the width: 0.325²."""
    shape = band((0, 0), (4000, 0), (4000, 2000), (2000, 2000), (2000, -2000))
    assert area_m2(shape) == pytest.approx(12 * 0.325 - 0.325**2, abs=1e-9)


def test_the_wedge_of_a_right_angle_is_a_square() -> None:
    """Two arms at 90° leave a square of the reach open on the outer side."""
    at = np.zeros((1, 2))
    wedge = wedges(at, np.array([[-1.0, 0.0]]), at, np.array([[0.0, 1.0]]), np.array([HALF]))[0]
    assert area_m2(wedge) == pytest.approx(0.1625**2, abs=1e-12)
    assert shapely.bounds(wedge).tolist() == [0, -HALF, HALF, 0]


def test_wedges_close_what_two_flat_pieces_leave_open() -> None:
    """Two pieces drawn apart, with their wedge, are the band of the one bent line."""
    apart = bands(
        [Line(np.array([[0.0, 0], [4000, 0]]), HALF, HALF), Line(np.array([[4000.0, 0], [2500, 2598]]), HALF, HALF)]
    )
    at = np.array([[4000.0, 0]])
    out = np.array([[-1500.0, 2598]]) / np.hypot(1500, 2598)
    wedge = wedges(at, np.array([[-1.0, 0.0]]), at, out, np.array([HALF]))
    whole = band((0, 0), (4000, 0), (2500, 2598))
    assert area_m2(united([*apart, *wedge])) == pytest.approx(area_m2(whole), abs=1e-8)


def test_shared_area_and_what_is_left() -> None:
    """Two bands crossing at a right angle share a square, and one less the other loses that square."""
    across, along = band((0, 0), (4000, 0)), band((2000, -2000), (2000, 2000))
    shared = shared_area_mm2(np.array([across]), np.array([along]))
    assert shared[0] / 1e6 == pytest.approx(0.325**2, abs=1e-9)
    assert area_m2(without(across, [along])) == pytest.approx(1.3 - 0.325**2, abs=1e-9)
    assert without(across, []) is across


def test_bands_one_over_another_along_a_skew_line_stay_areas() -> None:
    """What snaps shut between their edges leaves no line behind, which the engine would take into no further step.

    100 lines of 1 to 10 m in every direction, with a band in three pieces and one laid over it between random stops.
    Without ``areal`` some of the unions hold lines.
    """
    random = np.random.default_rng(5)
    for _ in range(100):
        turn, start, length = random.uniform(0, 2 * pi), random.uniform(-50e3, 50e3, 2), random.uniform(1e3, 10e3)
        stops = np.sort(random.uniform(0, length, 6))[:, None] * [cos(turn), sin(turn)] + start
        ends = ((0, 2), (2, 3), (3, 5), (1, 4))
        *pieces, over = bands([Line(stops[[low, high]], HALF, HALF) for low, high in ends])
        whole = united(pieces)
        again, left = united([whole, over]), without(whole, [over])
        assert {again.geom_type, left.geom_type} <= {"Polygon", "MultiPolygon"}
        assert area_m2(united([left, over])) == pytest.approx(area_m2(again), abs=1e-7)


def test_a_round_collar_of_many_corners() -> None:
    """A ring of 96 corners, 175 mm on the outside only: P·x + 96·tan(π/96)·x² (mitred corners)."""
    corners = 96
    radius = 100.0
    turns = [-2 * pi * k / corners for k in range(corners + 1)]
    ring = [(radius * cos(t), radius * sin(t)) for t in turns[:-1]]
    shape = band(*ring, ring[0], left=175.0, right=0.0, closed=True)
    perimeter = 2 * corners * radius * sin(pi / corners)
    expected = perimeter * 175 + corners * tan(pi / corners) * 175**2
    assert shapely.area(shape) == pytest.approx(expected, rel=1e-9)


def test_local_millimetres_keep_far_plans_exact() -> None:
    """A plan five hundred kilometres out has the same band as one at the origin."""
    far = to_local_mm([(500_000.25, 4_000_000.5), (500_004.25, 4_000_000.5)], (500_000.0, 4_000_000.0))
    assert far.tolist() == [[250.0, 500.0], [4250.0, 500.0]]
