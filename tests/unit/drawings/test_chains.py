"""Joints chained from the lines of a layer."""

from __future__ import annotations

import random
from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Finding
from leakmap.drawings.chains import joints_from_layer
from leakmap.geometry.path import Path, Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, Layer, Strokes
from tests.helpers.dxf_files import document, drawn, reread

Line = list[Point]


def chained(*lines: Line, tolerance_m: float = 0.01) -> tuple[tuple[Path, ...], tuple[Finding, ...]]:
    """Paths and findings of lines in metres."""
    return joints_from_layer(drawn(lines), Placement(), "JOINTS", tolerance_m=tolerance_m)


def paths(*lines: Line) -> list[tuple[tuple[Point, ...], bool]]:
    """Corners of the paths of lines in metres, and whether they are closed; no findings."""
    made, findings = chained(*lines)
    assert not findings
    return [(path.points, path.closed) for path in made]


def test_lines_that_share_ends_become_one_path() -> None:
    """Three lines drawn in any direction; the path starts at its left end."""
    assert paths([(4, 3), (4, 0)], [(0, 0), (4, 0)], [(9, 3), (4, 3)]) == [(((0, 0), (4, 0), (4, 3), (9, 3)), False)]


def test_chains_end_where_three_ends_meet() -> None:
    """A T of three lines stays three paths; a cross of four stays four."""
    assert len(paths([(0, 0), (4, 0)], [(4, 0), (8, 0)], [(4, 0), (4, 5)])) == 3
    assert len(paths(*([(4, 4), (4 + x, 4 + y)] for x, y in [(3, 0), (0, 3), (-3, 0), (0, -3)]))) == 4


def test_a_line_that_ends_on_the_inside_of_another_splits_nothing() -> None:
    """A T drawn with a through line: two paths."""
    assert paths([(0, 0), (8, 0)], [(4, 0), (4, 5)]) == [(((0, 0), (8, 0)), False), (((4, 0), (4, 5)), False)]


def test_ends_within_ten_millimetres_meet_at_their_mean() -> None:
    """Ends 8 mm apart are brought to the middle; 12 mm apart they stay two paths."""
    assert paths([(0, 0), (4, 0)], [(4.008, 0), (9, 0)]) == [(((0, 0), (4.004, 0), (9, 0)), False)]
    assert len(paths([(0, 0), (4, 0)], [(4.012, 0), (9, 0)])) == 2


def test_a_third_end_near_a_shared_end_ends_the_chain() -> None:
    """Two lines share an end exactly and a third ends 5 mm beside it: three ends meet, so three paths."""
    made = paths([(0, 0), (4, 0)], [(4, 0), (8, 0)], [(4, 0.005), (4, 5)])
    assert len(made) == 3
    at = {point for corners, _ in made for point in corners if 3.9 < point[0] < 4.1 and point[1] < 0.1}
    assert len(at) == 1


def test_a_ring_of_lines_is_a_closed_path() -> None:
    """Four sides in any order: closed, counter-clockwise from its lower left corner; a closed polyline alike."""
    square: Line = [(1, 1), (5, 1), (5, 4), (1, 4), (1, 1)]
    expected = [(((1, 1), (5, 1), (5, 4), (1, 4)), True)]
    assert paths([(5, 1), (5, 4)], [(1, 1), (1, 4)], [(1, 4), (5, 4)], [(1, 1), (5, 1)]) == expected
    assert paths(square) == paths(square[::-1]) == expected


def test_a_ring_with_a_tail_is_a_closed_path_and_a_path() -> None:
    """A line that ends at a corner of a ring does not open it."""
    made = paths([(0, 0), (4, 0), (4, 3), (0, 3), (0, 0)], [(0, 0), (-5, -5)])
    assert [(len(corners), closed) for corners, closed in made] == [(2, False), (4, True)]


def test_a_nearly_closed_line_is_closed() -> None:
    """Ends 6 mm apart meet like any two ends."""
    ((corners, closed),) = paths([(0, 0.006), (0, 3), (4, 3), (4, 0), (0, 0)])
    assert closed
    assert len(corners) == 4


@pytest.mark.parametrize("second", [[(0, 0), (4, 0)], [(4, 0), (0, 0)], [(4, 0.00005), (0, 0)]])
def test_a_line_drawn_twice_is_taken_once(second: Line) -> None:
    """The same way, reversed, or with other last digits; the finding says where."""
    made, (found,) = chained([(0, 0), (4, 0)], second)
    assert [path.points for path in made] == [((0, 0), (4, 0))]
    assert found.code == "drawn-twice"
    assert "1, first near 0.00, 0.00 m" in found.text or "1, first near 4.00, 0.00 m" in found.text


def test_a_piece_of_a_polyline_drawn_again_is_taken_once() -> None:
    """A line over the middle piece of a polyline, drawn before it: one path all the same."""
    made, findings = chained([(4, 0), (8, 0)], [(0, 0), (4, 0), (8, 0), (8, 5)])
    assert [path.points for path in made] == [((0, 0), (4, 0), (8, 0), (8, 5))]
    assert [found.code for found in findings] == ["drawn-twice"]


def test_tiny_bits_are_left_out() -> None:
    """A stub of 6 mm at a corner is dropped with a finding, and the chain goes through where it was."""
    made, (found,) = chained([(0, 0), (4, 0)], [(4, 0), (4, 5)], [(4, 0), (4.006, 0)])
    assert [path.points for path in made] == [((0, 0), (4, 0), (4, 5))]
    assert found.code == "too-short"
    assert "4.00, 0.00 m" in found.text


def test_a_curve_of_many_short_lines_survives() -> None:
    """A half circle drawn as 500 separate lines of 6 mm is one path of its full length."""
    corners = [(cos(t * pi / 500), sin(t * pi / 500)) for t in range(501)]
    lines = [list(ends) for ends in pairwise(corners)]
    random.Random(4).shuffle(lines)  # noqa: S311 - an order, no secret
    ((made, closed),) = paths(*lines)
    assert not closed
    assert len(made) == 501
    assert sum(hypot(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise(made)) == pytest.approx(pi, abs=1e-4)


def test_a_short_line_between_others_does_not_vanish_silently() -> None:
    """A single line of exactly 10 mm collapses to a place when its ends meet; the finding tells."""
    made, findings = chained([(0, 0), (0.01, 0)])
    assert not made
    assert [found.code for found in findings] == ["too-short"]


def test_unknown_layers_name_those_that_have_lines() -> None:
    """In one sentence, sorted."""
    with pytest.raises(UnusableDrawing, match=r"no lines on a layer X; layers with lines are: JOINTS\."):
        joints_from_layer(drawn([[(0, 0), (1, 1)]]), Placement(), "X")


def two_layers(first: str, second: str) -> Drawing:
    """A drawing with one line on each of two layers."""
    base = drawn([[(0, 0), (5, 0)], [(0, 9), (7, 9)]])
    layers = (Layer(first), Layer(second))
    strokes = Strokes(base.strokes.xy, base.strokes.starts, np.array([0, 1], dtype=np.int32))
    return Drawing(base.origin, layers, strokes, (), base.unit, None)


def test_layer_names_are_compared_exactly_then_without_capitals() -> None:
    """An exact name wins; without one, all names that differ in capitals only are taken."""
    drawing = two_layers("Joints", "JOINTS")
    assert [path.length_m for path in joints_from_layer(drawing, Placement(), "Joints")[0]] == [5]
    assert [path.length_m for path in joints_from_layer(drawing, Placement(), "joints")[0]] == [5, 7]


def test_the_placement_turns_drawing_units_into_site_metres() -> None:
    """Millimetres from a local origin, turned by 90° and moved: (1000, 0) mm lies at (100, 51) m."""
    base = drawn([[(0, 0), (1000, 0)]])
    drawing = Drawing((5_000_000, 0), base.layers, base.strokes, (), base.unit, None)
    placement = Placement(origin=(5_000_000, 0), x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=90, at_m=(100, 50))
    ((path,), _) = joints_from_layer(drawing, placement, "JOINTS")
    assert path.points[0] == pytest.approx((100, 50))
    assert path.points[1] == pytest.approx((100, 51))


def test_lines_and_arcs_of_a_file_chain_within_a_millimetre() -> None:
    """A line, a quarter arc of radius 3 m and a polyline with a bulge, from a file in millimetres: one path."""
    made = document(unit=4)
    layer = {"layer": "Joints"}
    made.modelspace().add_line((0, 0), (5000, 0), dxfattribs=layer)
    made.modelspace().add_arc((5000, 3000), 3000, 270, 0, dxfattribs=layer)
    made.modelspace().add_lwpolyline([(8000, 9000, 0), (8000, 3000, 0)], format="xyb", dxfattribs=layer)
    made.modelspace().add_line((0, 99), (9000, 99))
    drawing = reread(made)
    ((path,), findings) = joints_from_layer(drawing, Placement(x_m_per_unit=0.001, y_m_per_unit=0.001), "joints")
    assert not findings
    assert path.length_m == pytest.approx(5 + 3 * pi / 2 + 6, abs=0.002)
    on_arc = [hypot(x - 5, y - 3) for x, y in path.points if x > 5 and y < 3]
    assert all(radius == pytest.approx(3, abs=1e-3) for radius in on_arc)


GRID = st.integers(0, 6)
LINES = st.lists(st.tuples(st.tuples(GRID, GRID), st.tuples(GRID, GRID)).filter(lambda e: e[0] != e[1]), max_size=14)


@pytest.mark.slow
@given(LINES.filter(bool), st.randoms(use_true_random=False), st.floats(0, 360))
def test_order_direction_and_turn_decide_nothing(
    lines: list[tuple[Point, Point]], chance: random.Random, turn: float
) -> None:
    """Shuffled and reversed lines give the same paths; a turned plan gives as many, as long ones."""
    plain, _ = chained(*(list(line) for line in lines))
    other = [list(line[::-1]) if chance.random() < 0.5 else list(line) for line in lines]
    chance.shuffle(other)
    assert chained(*other)[0] == plain
    turned, _ = joints_from_layer(drawn(other), Placement(turn_deg=turn), "JOINTS")
    assert sorted(path.length_m for path in turned) == pytest.approx(sorted(path.length_m for path in plain))


@given(LINES.filter(bool))
def test_every_line_is_in_exactly_one_path(lines: list[tuple[Point, Point]]) -> None:
    """The pieces of all paths are the lines, each once; and where a path ends, no chain could go on."""
    made, _ = chained(*(list(line) for line in lines))
    pieces = sorted(tuple(sorted(ends)) for path in made for ends in pairwise(path.corners))
    assert pieces == sorted({tuple(sorted(line)) for line in lines})
    ends: dict[Point, int] = {}
    for a, b in {tuple(sorted(line)) for line in lines}:
        ends[a], ends[b] = ends.get(a, 0) + 1, ends.get(b, 0) + 1
    for path in made:
        if not path.closed:
            assert all(ends[end] != 2 for end in (path.points[0], path.points[-1]))
