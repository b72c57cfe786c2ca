"""A joint's course in plan."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from leakmap.base.errors import BadValue
from leakmap.geometry.path import Path, path_of

ELBOW = Path(((0, 0), (4, 0), (4, 3)))
SQUARE = Path(((0, 0), (2, 0), (2, 2), (0, 2)), closed=True)
POINTS = st.lists(st.tuples(st.integers(-40, 40), st.integers(-40, 40)), min_size=2, max_size=8, unique=True)


def test_chainage_runs_from_the_first_point() -> None:
    """4 m along x, then 3 m along y: 7 m in all, the corner at 4."""
    assert ELBOW.chainages == (0, 4, 7)
    assert ELBOW.length_m == 7
    assert ELBOW.point_at(5.5) == (4, 1.5)


def test_a_closed_path_returns_to_its_start() -> None:
    """A square of 2 m is 8 m round; 7 m lies half-way up the last side."""
    assert SQUARE.length_m == 8
    assert SQUARE.point_at(7) == (0, 1)
    assert SQUARE.point_at(8) == (0, 0)
    assert SQUARE.corners[-1] == SQUARE.points[0]


def test_chainages_outside_are_clipped_to_the_path() -> None:
    """A chainage before the start or past the end gives the end itself."""
    assert ELBOW.point_at(-1) == (0, 0)
    assert ELBOW.point_at(99) == (4, 3)


def test_direction_at_a_corner_is_that_of_the_later_piece() -> None:
    """At the corner the path already goes up; before it, along x."""
    assert ELBOW.direction_at(3.9) == (1, 0)
    assert ELBOW.direction_at(4) == (0, 1)
    assert ELBOW.direction_at(7) == (0, 1)


def test_a_part_may_pass_the_start_of_a_closed_path() -> None:
    """From 7 to 1 round the start: half the last side and half the first."""
    assert SQUARE.part(7, 1) == ((0, 1), (0, 0), (1, 0))
    assert SQUARE.part(0, 8) == (*SQUARE.points, SQUARE.points[0])


def test_an_empty_part_is_one_point_twice() -> None:
    """A spot has a place but no length."""
    assert ELBOW.part(4, 4) == ((4, 0), (4, 0))


@pytest.mark.parametrize(
    ("points", "closed", "words"),
    [
        (((0, 0),), False, "two points"),
        (((0, 0), (1, 0)), True, "a closed one three"),
        (((0, 0), (0, 0), (1, 1)), False, "two equal points"),
        (((0, 0), (float("nan"), 0)), False, "not a finite number"),
    ],
)
def test_what_has_no_course_is_refused(points: tuple[tuple[float, float], ...], closed: bool, words: str) -> None:  # noqa: FBT001 - a table of cases
    """Each refusal says what is wrong."""
    with pytest.raises(BadValue, match=words):
        Path(points, closed)


def test_repeated_points_are_left_out_on_request() -> None:
    """A ring that repeats its first point at its end is the same closed path."""
    assert path_of([(0, 0), (0, 0), (1, 0), (1, 0)]) == Path(((0, 0), (1, 0)))
    assert path_of([*SQUARE.points, (0, 0)], closed=True) == SQUARE


@given(POINTS, st.floats(0, 1))
def test_points_agree_with_an_independent_library(points: list[tuple[int, int]], share: float) -> None:
    """The ``interpolate`` of shapely gives the same point, and its ``length`` the same length."""
    path, line = path_of(points), LineString(points)
    at = share * path.length_m
    assert isclose(path.length_m, line.length, rel_tol=1e-12)
    x, y = path.point_at(at)
    assert line.interpolate(at).distance(Point(x, y)) < 1e-9


@given(POINTS, st.tuples(st.floats(-60, 60), st.floats(-60, 60)))
def test_the_nearest_place_is_as_near_as_an_independent_library_says(
    points: list[tuple[int, int]], spot: tuple[float, float]
) -> None:
    """The distance equals shapely's, and the chainage leads to a point that far away."""
    path = path_of(points)
    at, distance = path.nearest(spot)
    assert isclose(distance, LineString(points).distance(Point(spot)), abs_tol=1e-9)
    x, y = path.point_at(at)
    assert isclose(hypot(x - spot[0], y - spot[1]), distance, abs_tol=1e-9)


@given(POINTS, st.floats(0, 1), st.floats(0, 1))
def test_a_part_is_as_long_as_its_chainages_differ(points: list[tuple[int, int]], a: float, b: float) -> None:
    """The polyline of a part has the length that its two chainages say."""
    path = path_of(points)
    start, end = sorted((a * path.length_m, b * path.length_m))
    part = path.part(start, end)
    length = sum(hypot(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(part))
    assert isclose(length, end - start, abs_tol=1e-9)
