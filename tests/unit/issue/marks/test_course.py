"""Where joints are shown, and the shapes along them."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

import pytest
import shapely

from leakmap.geometry.path import Path
from leakmap.issue.marks.course import LEAST_RING_MM, course_of, hatch_lines, heading_deg, polygons, shape_of, strip
from leakmap.issue.marks.primitives import on_site
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind
from tests.helpers.hand_made import made_id


def collar(diameter_m: float, face: Face = Face.FLOOR) -> Joint:
    """A pipe collar drawn as a point."""
    return Joint(
        id=made_id("c"), ref="J-01", sheet=made_id("s"), kind=Kind.PIPE_COLLAR, face=face, point=(1.0, 2.0),
        diameter_m=diameter_m,
    )  # fmt: skip


def test_a_small_collar_is_shown_as_a_ring_that_can_be_read() -> None:
    """A 100 mm pipe at 1:100 would print 1 mm wide; its ring is 3.5 mm, and chainages run round it."""
    course = course_of(collar(0.1), 100)
    assert course is not None
    assert course.path.length_m == pytest.approx(pi * on_site(LEAST_RING_MM, 100))
    x, y = course.point_at(pi * 0.1 / 2)
    assert (x, y) == pytest.approx((1.0, 2.0 - on_site(LEAST_RING_MM, 100) / 2), abs=1e-3), "half way is at the bottom"


def test_a_large_collar_is_shown_true_size() -> None:
    """A 600 mm pipe at 1:100 prints 6 mm wide, and chainages are those of the pipe."""
    course = course_of(collar(0.6), 100)
    assert course is not None
    assert course.share == pytest.approx(1.0)


def test_a_vertical_joint_has_no_course_in_plan() -> None:
    """A vertical joint is a point in plan."""
    joint = Joint(
        id=made_id("v"), ref="V-01", sheet=made_id("s"), kind=Kind.CRACK, face=Face.WALL, point=(0, 0), rise_m=3
    )
    assert course_of(joint, 100) is None


def test_a_strip_is_as_long_and_wide_as_its_line_and_width_say() -> None:
    """A straight strip has the area length × width; a right-angled bend adds nothing, for it is mitred."""
    assert strip(((0, 0), (3, 0)), 0.1625).area == pytest.approx(3 * 0.325)
    assert strip(((0, 0), (3, 0), (3, 2)), 0.1625).area == pytest.approx(5 * 0.325)


def test_a_strip_round_a_closed_line_is_a_ring() -> None:
    """Round a 4 m square the ring is 0.2 m wide everywhere, corners mitred: 4.2² − 3.8²."""
    ring = strip(((0, 0), (4, 0), (4, 4), (0, 4), (0, 0)), 0.1)
    assert ring.area == pytest.approx(4.2**2 - 3.8**2)
    assert len(polygons(ring)[0]) == 2, "an outer ring and a hole"


def test_polygons_make_the_same_shape_again() -> None:
    """Shape to polygons and back keeps area and holes."""
    shape = strip(((0, 0), (4, 0), (4, 4), (0, 4), (0, 0)), 0.1)
    assert shape_of(polygons(shape)).symmetric_difference(shape).area == pytest.approx(0, abs=1e-9)


def test_hatch_lines_stay_inside_and_keep_their_gap() -> None:
    """Lines at 45° in a 1 m square, 0.1 m apart: every line inside, neighbours 0.1 m apart."""
    square = shapely.box(0, 0, 1, 1)
    lines = hatch_lines(square, 45, 0.1)
    assert len(lines) == 15, "7 lines on each side of the middle one: the half diagonal is 0.707 m"
    assert all(shapely.LineString(line).within(square.buffer(1e-9)) for line in lines)
    offsets = sorted((b[1] - b[0]) / 2**0.5 for b in (line[0] for line in lines))
    assert all(high - low == pytest.approx(0.1) for low, high in pairwise(offsets))


def test_hatch_lines_leave_a_hole_open() -> None:
    """No line crosses the hole of a ring."""
    ring = shapely.box(0, 0, 3, 3).difference(shapely.box(1, 1, 2, 2))
    lines = hatch_lines(ring, 0, 0.25)
    assert lines
    assert all(
        shapely.LineString(line).intersection(shapely.box(1.001, 1.001, 1.999, 1.999)).is_empty for line in lines
    )


def test_nothing_has_no_hatch() -> None:
    """An empty shape gives no line, and one thinner than the gap may."""
    assert hatch_lines(shapely.Polygon(), 45, 0.1) == ()


def test_heading_is_that_of_the_longest_piece() -> None:
    """A line of 1 m east and 3 m north heads north."""
    assert heading_deg(((0, 0), (1, 0), (1, 3))) == pytest.approx(90)


def test_part_of_a_closed_course_passes_the_start() -> None:
    """From 3.5 to 0.5 on a square of 1 m sides passes the corner at its start."""
    joint = Joint(
        id=made_id("q"), ref="J-02", sheet=made_id("s"), kind=Kind.CONSTRUCTION, face=Face.FLOOR,
        path=Path(((0, 0), (1, 0), (1, 1), (0, 1)), closed=True),
    )  # fmt: skip
    course = course_of(joint, 100)
    assert course is not None
    points = course.part(3.5, 0.5)
    assert sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)) == pytest.approx(1.0)
