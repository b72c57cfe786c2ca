"""What each kind of entity draws, against points worked out by hand."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin
from typing import Any

import ezdxf
import numpy as np
import pytest
from ezdxf.layouts.layout import Modelspace
from ezdxf.math import Vec2
from ezdxf.render import ConnectionSide
from ezdxf.render.forms import cube

from leakmap.model.drawing import Drawing, FloatArray
from tests.helpers.dxf_files import absolute, all_points, codes, document, finding, layer_names, read, reread


def length(points: FloatArray) -> float:
    """Length of a polyline."""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def only(drawing: Drawing) -> FloatArray:
    """Points of the one polyline of a drawing."""
    assert len(drawing.strokes) == 1
    return absolute(drawing)


def on_circle(points: FloatArray, x: float, y: float, radius: float) -> bool:
    """Whether all points lie on a circle."""
    return bool(np.allclose(np.hypot(points[:, 0] - x, points[:, 1] - y), radius, rtol=0, atol=1e-9))


def test_a_line_is_its_two_ends() -> None:
    """From (1, 2) to (30, 4), heights left out."""
    drawing = read(lambda msp: msp.add_line((1, 2, 7), (30, 4, 9)))
    assert all_points(drawing) == [[(1.0, 2.0), (30.0, 4.0)]]
    assert finding(drawing, "heights-ignored").text.endswith(": 1.")


def test_an_arc_runs_counter_clockwise_between_its_angles() -> None:
    """Radius 4 about (10, 0) from 350° to 90°: 100° long, within 1 mm."""
    points = only(read(lambda msp: msp.add_arc((10, 0), 4, 350, 90)))
    assert points[0].tolist() == pytest.approx([10 + 4 * cos(radians(350)), 4 * sin(radians(350))])
    assert points[-1].tolist() == pytest.approx([10, 4])
    assert on_circle(points, 10, 0, 4)
    assert length(points) == pytest.approx(4 * radians(100), rel=1e-3)


def test_a_circle_closes() -> None:
    """Radius 5 about (1, 1): all points on it, last equals first, circumference 10π within 1 mm of sagitta."""
    points = only(read(lambda msp: msp.add_circle((1, 1), 5)))
    assert on_circle(points, 1, 1, 5)
    assert points[0].tolist() == points[-1].tolist()
    assert length(points) == pytest.approx(10 * pi, rel=1e-3)


def test_millimetres_are_as_fine_on_the_concrete() -> None:
    """A circle of 5 m gets as many chords when it is drawn in millimetres."""
    metres = only(read(lambda msp: msp.add_circle((0, 0), 5)))
    millimetres = only(read(lambda msp: msp.add_circle((0, 0), 5000), unit=4))
    assert len(metres) == len(millimetres)


def test_an_ellipse_keeps_its_axes() -> None:
    """Half axes 6 along y and 2 along −x, first half of its turn: from (0, 6) through (−2, 0) to (0, −6)."""
    points = only(read(lambda msp: msp.add_ellipse((0, 0), (0, 6), ratio=1 / 3, start_param=0, end_param=pi)))
    assert np.allclose(points[:, 0] ** 2 / 4 + points[:, 1] ** 2 / 36, 1)
    assert points[0].tolist() == pytest.approx([0, 6])
    assert points[-1].tolist() == pytest.approx([0, -6])
    assert points[:, 0].min() == pytest.approx(-2, abs=1e-3)


@pytest.mark.parametrize("closed", [False, True])
def test_a_polyline_keeps_its_corners(closed: bool) -> None:  # noqa: FBT001 - a table of cases
    """Three corners; a closed polyline repeats the first."""
    corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 8.0)]
    expected = [*corners, corners[0]] if closed else corners
    assert all_points(read(lambda msp: msp.add_lwpolyline(corners, close=closed))) == [expected]
    assert all_points(read(lambda msp: msp.add_polyline2d(corners, close=closed), version="R12")) == [expected]
    assert all_points(read(lambda msp: msp.add_polyline3d([(*p, 2) for p in corners], close=closed))) == [expected]


def test_a_bulge_of_a_polyline_is_an_arc() -> None:
    """Bulge 1 from (0, 0) to (8, 0): a half circle of radius 4 about (4, 0), below."""
    for draw in (
        lambda msp: msp.add_lwpolyline([(0, 0, 1), (8, 0, 0)], format="xyb"),
        lambda msp: msp.add_polyline2d([(0, 0, 1), (8, 0, 0)], format="xyb"),
    ):
        points = only(read(draw))
        assert on_circle(points, 4, 0, 4)
        assert points[:, 1].min() == pytest.approx(-4, abs=1e-3)
        assert points[:, 1].max() == 0


def test_a_mirrored_system_mirrors_flat_entities() -> None:
    """With the extrusion (0, 0, −1) x turns over: the arc from 0° to 90° about (3, 0) goes from (−7, 0) to (−3, 4)."""
    down = {"extrusion": (0, 0, -1)}
    points = only(read(lambda msp: msp.add_arc((3, 0), 4, 0, 90, dxfattribs=down)))
    assert points[0].tolist() == pytest.approx([-7, 0])
    assert points[-1].tolist() == pytest.approx([-3, 4])
    polyline = read(lambda msp: msp.add_lwpolyline([(1, 2), (30, 2)], dxfattribs=down))
    assert all_points(polyline) == [[(-1.0, 2.0), (-30.0, 2.0)]]


def test_a_tilted_circle_is_seen_as_an_ellipse() -> None:
    """Extrusion (0, 1, 0): a circle of radius 5 stands upright and is 10 wide and 0 deep in plan."""
    points = only(read(lambda msp: msp.add_circle((0, 0), 5, dxfattribs={"extrusion": (0, 1, 0)})))
    assert np.ptp(points[:, 0]) == pytest.approx(10)
    assert np.ptp(points[:, 1]) == pytest.approx(0, abs=1e-9)


def test_a_spline_of_fit_points_passes_them() -> None:
    """Every fit point lies within 1 mm of the chords."""
    fit = [(0, 0), (4, 5), (9, 1), (15, 6)]
    points = only(read(lambda msp: msp.add_spline(fit)))
    for x, y in fit:
        assert np.hypot(points[:, 0] - x, points[:, 1] - y).min() < 0.2
        assert _distance(points, x, y) < 0.001


def _distance(points: FloatArray, x: float, y: float) -> float:
    a, b = points[:-1], points[1:]
    share = np.clip((((x, y) - a) * (b - a)).sum(axis=1) / ((b - a) ** 2).sum(axis=1), 0, 1)
    return float(np.hypot(*((x, y) - a - share[:, None] * (b - a)).T).min())


def test_a_rational_spline_of_a_quarter_circle_is_that_circle() -> None:
    """Control points (4, 0), (4, 4), (0, 4) with weights 1, cos 45°, 1 give the quarter circle of radius 4 exactly."""

    def draw(msp: Modelspace) -> None:
        msp.add_rational_spline([(4, 0), (4, 4), (0, 4)], weights=[1, cos(pi / 4), 1], degree=2)

    points = only(read(draw))
    assert on_circle(points, 0, 0, 4)
    assert points[-1].tolist() == pytest.approx([0, 4])


def test_solids_and_faces_are_outlines() -> None:
    """A solid's last two corners are stored crosswise; a face leaves out the edges that it hides."""
    square = [(0, 0), (4, 0), (0, 4), (4, 4)]
    ring = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0)]
    assert all_points(read(lambda msp: msp.add_solid(square))) == [ring]
    assert all_points(read(lambda msp: msp.add_trace(square))) == [ring]
    face = read(lambda msp: msp.add_3dface([(0, 0), (4, 0), (4, 4), (0, 4)], dxfattribs={"invisible_edges": 2}))
    assert all_points(face) == [[ring[0], ring[1]], [ring[2], ring[3]], [ring[3], ring[0]]]


def test_meshes_are_their_edges_once() -> None:
    """A box of 4 m has 12 edges; the four upright ones are mere points in plan."""

    def as_polyface(msp: Modelspace) -> None:
        cube().scale(4, 4, 4).render_polyface(msp)

    def as_mesh(msp: Modelspace) -> None:
        cube().scale(4, 4, 4).render_mesh(msp)

    for drawing in (read(as_polyface), read(as_mesh)):
        assert len(drawing.strokes) == 8
        assert sum(length(absolute(drawing, index)) for index in range(8)) == pytest.approx(32)
        assert finding(drawing, "no-length").text.endswith(": 4.")


def test_a_net_is_its_rows_and_columns() -> None:
    """A polygon mesh of 3 by 4 corners, 10 m apart: 3 rows of 30 m and 4 columns of 20 m."""

    def draw(msp: Modelspace) -> None:
        mesh = msp.add_polymesh((3, 4))
        for m in range(3):
            for n in range(4):
                mesh.set_mesh_vertex((m, n), (10 * n, 10 * m))

    drawing = read(draw)
    lengths = sorted(length(absolute(drawing, index)) for index in range(len(drawing.strokes)))
    assert lengths == [20] * 4 + [30] * 3


def test_a_dimension_is_the_picture_in_the_file() -> None:
    """A dimension of 8 m draws lines and its words; its definition points are not reported."""

    def draw(msp: Modelspace) -> None:
        msp.add_linear_dim((0, 2), (0, 0), (8, 0), dxfattribs={"layer": "DIMS"}).render()

    drawing = read(draw)
    assert len(drawing.strokes) > 3
    assert any("8" in text.words for text in drawing.texts)
    assert set(layer_names(drawing)) <= {"DIMS", "DEFPOINTS", "Defpoints"}
    assert "points" not in codes(drawing)


def test_a_dimension_without_a_picture_is_drawn_from_what_it_measures() -> None:
    """Some writers leave the picture to the reader: 8 m from (0, 0) to (8, 0), its line at y = 2; told as such."""
    drawing = read(lambda msp: msp.add_linear_dim((0, 2), (0, 0), (8, 0)))
    assert [text.words for text in drawing.texts] == ["8"]
    ends = {point for points in all_points(drawing) for point in points}
    assert any(y == pytest.approx(2) for _, y in ends)
    assert ": 1;" in finding(drawing, "dimension-drawn").text
    assert "file-fault" not in codes(drawing)


def test_leaders_are_taken_apart() -> None:
    """A leader draws its line, a multileader its line and its words."""

    def draw(msp: Modelspace) -> None:
        msp.add_leader([(0, 0), (4, 4), (8, 4)])
        builder = msp.add_multileader_mtext("Standard")
        builder.set_content("sump")
        builder.add_leader_line(ConnectionSide.left, [Vec2(20, 0)])
        builder.build(insert=Vec2(30, 5))

    drawing = reread(_with_styles(draw))
    assert any({(0.0, 0.0), (4.0, 4.0)} <= set(points) for points in all_points(drawing))
    assert [text.words for text in drawing.texts] == ["sump"]
    assert any((20.0, 0.0) in points for points in all_points(drawing))


def _with_styles(draw: Any) -> Any:  # noqa: ANN401 - ezdxf's own classes
    made = ezdxf.new("R2018", setup=True, units=6)
    draw(made.modelspace())
    return made


def test_what_has_no_lines_is_counted() -> None:
    """Points and signs of fonts are left out with one finding each; what is drawn beside them stays."""

    def draw(msp: Modelspace) -> None:
        msp.add_line((0, 0), (9, 0))
        for x in range(3):
            msp.add_point((x, 0))
        msp.add_shape("BOX", (1, 1))

    drawing = read(draw)
    assert len(drawing.strokes) == 1
    assert finding(drawing, "points").text.endswith(": 3.")
    assert "SHAPE" in finding(drawing, "not-drawn").text
    assert finding(drawing, "not-drawn").where.startswith("#")


def test_what_the_file_hides_is_left_out() -> None:
    """An entity marked invisible is not drawn, and one finding says so."""

    def draw(msp: Modelspace) -> None:
        msp.add_line((0, 0), (9, 0))
        msp.add_line((0, 0), (0, 900), dxfattribs={"invisible": 1})

    drawing = read(draw)
    assert len(drawing.strokes) == 1
    assert "invisible" in codes(drawing)


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), 1e300])
def test_lines_without_a_place_are_left_out(wrong: float) -> None:
    """Coordinates that are no places cost their own line only."""

    def draw(msp: Modelspace) -> None:
        msp.add_line((0, 0), (9, 0))
        msp.add_line((0, 0), (wrong, 0))
        msp.add_circle((0, 0), wrong)

    drawing = read(draw)
    assert all_points(drawing) == [[(0.0, 0.0), (9.0, 0.0)]]
    assert finding(drawing, "bad-coordinate").text.endswith(": 2.")


def test_one_bad_entity_does_not_stop_the_rest() -> None:
    """A mesh whose face names a corner that is not there is reported by kind and handle; the rest is drawn."""
    made = document(lambda msp: msp.add_line((0, 0), (9, 0)))
    mesh = made.modelspace().add_mesh()
    made.modelspace().add_line((0, 5), (9, 5))
    mesh.vertices, mesh.faces = [(0, 0, 0), (1, 0, 0)], [(0, 1, 99)]
    drawing = reread(made)
    assert len(drawing.strokes) >= 2
    failed = finding(drawing, "entity-failed")
    assert "IndexError" in failed.text
    assert "1 of MESH" in failed.text
    assert failed.where == f"#{mesh.dxf.handle}"


def test_radius_and_hypotenuse_agree() -> None:
    """The helper that judges circles finds a point that is 1 µm off."""
    assert on_circle(np.array([[3.0, 4.0]]), 0, 0, hypot(3, 4))
    assert not on_circle(np.array([[3.000001, 4.0]]), 0, 0, 5)
