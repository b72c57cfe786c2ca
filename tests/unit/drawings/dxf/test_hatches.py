"""Hatches are their outlines, filled or patterned, however odd their pattern; what is broken costs itself only."""

from __future__ import annotations

from math import pi
from typing import Any

import pytest
from ezdxf.layouts.layout import Modelspace

from leakmap.drawings.dxf.read import read_dxf
from tests.helpers.dxf_files import all_points, as_bytes, codes, document, read
from tests.unit.drawings.dxf.test_entities import length, on_circle, only

TRIANGLE = [(0.0, 0.0), (6.0, 0.0), (6.0, 6.0)]
OUTLINE = [*TRIANGLE, TRIANGLE[0]]


def hatch_of(msp: Modelspace) -> Any:  # noqa: ANN401 - ezdxf's own class
    """An empty hatch."""
    return msp.add_hatch(color=2)


def test_a_hatch_is_its_outline_with_bulges() -> None:
    """A square of 6 m with one side bulged to a half circle: 18 + 3π m round."""

    def draw(msp: Modelspace) -> None:
        hatch_of(msp).paths.add_polyline_path([(0, 0), (6, 0, 1), (6, 6), (0, 6)])

    points = only(read(draw))
    assert points[0].tolist() == points[-1].tolist()
    assert length(points) == pytest.approx(18 + 3 * pi, rel=1e-3)


def test_a_hatch_of_edges_is_one_outline() -> None:
    """A line, a half circle, a half ellipse turned over and a spline, chained into one line."""

    def draw(msp: Modelspace) -> None:
        path = hatch_of(msp).paths.add_edge_path()
        path.add_line((0, 0), (10, 0))
        path.add_arc((10, 2), 2, start_angle=270, end_angle=90)
        path.add_ellipse((7.5, 4), (2.5, 0), ratio=0.4, start_angle=0, end_angle=180)
        path.add_spline(control_points=[(5, 4), (3, 4), (0, 4), (0, 0)], degree=3)

    points = only(read(draw))
    assert points[0].tolist() == pytest.approx([0, 0])
    assert points[-1].tolist() == pytest.approx([0, 0])
    assert points[:, 0].max() == pytest.approx(12, abs=1e-3)
    assert points[:, 1].max() == pytest.approx(5, abs=1e-3)


def test_a_clockwise_arc_edge_is_drawn_where_it_lies() -> None:
    """From 0° clockwise to 270° about zero: the lower right quarter only."""

    def draw(msp: Modelspace) -> None:
        hatch_of(msp).paths.add_edge_path().add_arc((0, 0), 8, start_angle=270, end_angle=360, ccw=False)

    points = only(read(draw))
    assert on_circle(points, 0, 0, 8)
    assert points[:, 0].min() >= -1e-9
    assert points[:, 1].max() <= 1e-9


def test_a_hatch_pattern_is_never_drawn() -> None:
    """A pattern with scale 0, over which drawing programs stumble, draws its outline and nothing else."""

    def draw(msp: Modelspace) -> None:
        hatch = hatch_of(msp)
        hatch.set_pattern_fill("ANSI31", scale=1)
        hatch.paths.add_polyline_path([(0, 0), (6, 0), (6, 6)])
        hatch.dxf.pattern_scale = 0

    drawing = read(draw)
    assert all_points(drawing) == [[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 0.0)]]


def test_the_frame_of_a_text_in_a_hatch_is_not_drawn() -> None:
    """An outline marked as a text box only keeps the pattern off a text."""

    def draw(msp: Modelspace) -> None:
        hatch = hatch_of(msp)
        hatch.paths.add_polyline_path([(0, 0), (6, 0), (6, 6)])
        hatch.paths.add_polyline_path([(1, 1), (2, 1), (2, 2)], flags=8)

    assert len(read(draw).strokes) == 1


def test_an_mpolygon_is_its_outline() -> None:
    """Like a hatch."""

    def draw(msp: Modelspace) -> None:
        msp.add_mpolygon().paths.add_polyline_path([(0, 0), (6, 0), (6, 6)])

    assert all_points(read(draw)) == [[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 0.0)]]


def patterned(msp: Modelspace, lines: Any = None, **pattern: Any) -> Any:  # noqa: ANN401 - ezdxf's own classes
    """A hatch of a triangle with a pattern."""
    hatch = hatch_of(msp)
    hatch.set_pattern_fill("ANSI31", **({"scale": 1} | pattern), definition=lines)
    hatch.paths.add_polyline_path(TRIANGLE)
    return hatch


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param([[45, (0, 0), (0, 0), []]], id="every line on the one before, without end"),
        pytest.param([[45, (0, 0), (1e-12, 1e-12), []]], id="a million million lines"),
        pytest.param([[0, (0, 0), (0, 1), [1e-12, -1e-12]]], id="dashes that nobody sees"),
        pytest.param([[0, (0, 0), (0, 1), [0.0, 0.0]]], id="dashes without a length"),
        pytest.param([[0, (1e300, 1e300), (0, 1), []]], id="a start beyond all measure"),
        pytest.param([[30, (0, 0), (0, 1), [0.1] * 20_000]], id="very many dashes"),
    ],
)
def test_a_pattern_without_end_or_measure_draws_its_outline(lines: Any) -> None:  # noqa: ANN401 - a pattern
    """Patterns over which drawing programs run out of time or memory: here the outline alone, and nothing is lost."""
    drawing = read(lambda msp: patterned(msp, lines))
    assert all_points(drawing) == [OUTLINE]
    assert not {"entity-failed", "file-fault"} & set(codes(drawing))


@pytest.mark.parametrize("wrong", ["0", "-1", "1e-300", "1e308", "nan"])
def test_a_pattern_of_no_scale_draws_its_outline(wrong: str) -> None:
    """The scale of a pattern (code 41) touches no outline, whatever it says."""
    data = as_bytes(document(lambda msp: patterned(msp, scale=7.25)))
    assert data.count(b" 41\n7.25\n") == 1
    assert all_points(read_dxf(data.replace(b" 41\n7.25\n", f" 41\n{wrong}\n".encode()))) == [OUTLINE]


def test_a_fill_and_a_pattern_draw_the_same() -> None:
    """What is filled whole and what is hatched are outlines alike."""

    def filled(msp: Modelspace) -> None:
        hatch_of(msp).paths.add_polyline_path(TRIANGLE)

    assert all_points(read(filled)) == all_points(read(patterned)) == [OUTLINE]


@pytest.mark.parametrize("style", [0, 1, 2])
def test_islands_are_outlines_too(style: int) -> None:
    """An island and an island in that are drawn whichever of them the fill keeps off: their edges are on the plan."""
    rings = [[(a, a), (9.0 - a, a), (9.0 - a, 9.0 - a), (a, 9.0 - a)] for a in (0.0, 2.0, 4.0)]

    def draw(msp: Modelspace) -> None:
        hatch = hatch_of(msp)
        hatch.dxf.hatch_style = style
        for ring, flags in zip(rings, (1, 16, 0), strict=True):
            hatch.paths.add_polyline_path(ring, flags=flags)

    assert all_points(read(draw)) == [[*ring, ring[0]] for ring in rings]


def test_a_broken_outline_costs_itself_only() -> None:
    """Edges with a gap are drawn as they are, in pieces; an outline without corners draws nothing; the rest is whole."""

    def draw(msp: Modelspace) -> None:
        hatch = hatch_of(msp)
        hatch.paths.add_edge_path().add_line((0, 0), (4, 0))
        gap = hatch.paths.add_edge_path()
        gap.add_line((0, 1), (4, 1))
        gap.add_line((5, 1), (5, 3))
        hatch.paths.add_edge_path()
        hatch.paths.add_polyline_path([(7, 7)])
        hatch.paths.add_polyline_path(TRIANGLE)

    lines = all_points(read(draw))
    assert lines == [[(0, 0), (4, 0)], [(0, 1), (4, 1)], [(5, 1), (5, 3)], OUTLINE]


@pytest.mark.parametrize("wrong", ["nan", "1e308"])
def test_an_outline_of_no_places_costs_itself_only(wrong: str) -> None:
    """A corner, and the radius of an edge, that are no numbers: the outline beside them is drawn, and a finding tells."""

    def draw(msp: Modelspace) -> None:
        hatch = hatch_of(msp)
        hatch.paths.add_edge_path().add_arc((0, 0), 3.75)
        hatch.paths.add_polyline_path([(1, 1), (2, 1), (2.625, 2)])
        hatch.paths.add_polyline_path(TRIANGLE)

    data = as_bytes(document(draw))
    for number in (b"3.75", b"2.625"):
        drawing = read_dxf(data.replace(number, wrong.encode()))
        assert OUTLINE in all_points(drawing)
        assert len(drawing.strokes) == 2
        assert {"bad-coordinate", "entity-failed"} & set(codes(drawing))


def test_an_mpolygon_is_moved_by_its_offset() -> None:
    """An offset of (2, 1) moves the triangle by it."""

    def draw(msp: Modelspace) -> None:
        area = msp.add_mpolygon()
        area.paths.add_polyline_path(TRIANGLE)
        area.dxf.offset_vector = (2, 1)

    assert all_points(read(draw)) == [[(x + 2, y + 1) for x, y in OUTLINE]]
