"""What is read of DXF files against GDAL's own reader, which shares no code with ezdxf.

Source: GDAL's DXF driver through pyogrio (its bundled GDAL; https://gdal.org/drivers/vector/dxf.html).
GDAL steps arcs by an angle, here 0.25°, so curves are compared by length and distance, straight lines by points.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf.document import Drawing as Document

from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import absolute, as_bytes, document

SETTINGS = {
    "DXF_ENCODING": "UTF-8",
    "OGR_ARC_STEPSIZE": "0.25",
    "DXF_INLINE_BLOCKS": "TRUE",
    "DXF_MERGE_BLOCK_GEOMETRIES": "FALSE",
}


@pytest.fixture
def _fine_gdal() -> Iterator[None]:
    """GDAL reads UTF-8, steps arcs by a quarter of a degree, and keeps the layers inside blocks."""
    pyogrio.set_gdal_config_options(SETTINGS)
    yield
    pyogrio.set_gdal_config_options(dict.fromkeys(SETTINGS))


def by_gdal(made: Document, folder: Path) -> list[tuple[str, Any]]:
    """Layer and plan geometry of everything with lines that GDAL reads."""
    path = folder / "plan.dxf"
    path.write_bytes(as_bytes(made))
    meta, _, geometries, values = pyogrio.raw.read(path)
    names = values[meta["fields"].tolist().index("Layer")]
    shapes = shapely.force_2d(shapely.from_wkb(geometries))
    found = []
    for name, shape in zip(names, shapes, strict=True):
        found += [(name, line) for line in parts(shape) if line.length > 0]
    return found


def parts(shape: Any) -> list[Any]:  # noqa: ANN401 - any geometry
    """The single lines of a geometry; outlines for areas."""
    if shape.geom_type == "Polygon":
        return [shape.exterior, *shape.interiors]
    if shape.geom_type in {"Point", "LineString"}:
        return [shape]
    return [line for part in shape.geoms for line in parts(part)]


def by_us(drawing: Drawing) -> list[tuple[str, Any]]:
    """Layer and geometry of every polyline."""
    return [
        (drawing.layers[layer].name, shapely.LineString(absolute(drawing, index)))
        for index, layer in enumerate(drawing.strokes.layer.tolist())
    ]


def lengths(lines: list[tuple[str, Any]]) -> dict[str, float]:
    """Metres of each layer."""
    totals: dict[str, float] = {}
    for name, line in lines:
        totals[name] = totals.get(name, 0.0) + line.length
    return totals


def basement() -> Document:
    """An invented basement: walls, columns as inserts, doors with arcs, a round tank, axes in a mirrored system."""
    made = document()
    msp = made.modelspace()
    msp.add_lwpolyline([(0, 0), (36, 0), (36, 22), (0, 22)], close=True, dxfattribs={"layer": "WÄNDE"})
    msp.add_lwpolyline(
        [(12, 0, 0), (12, 9, 0.5), (18, 9, -0.25), (18, 0, 0)], format="xyb", dxfattribs={"layer": "BAYS"}
    )
    column = made.blocks.new("COLUMN", base_point=(0.2, 0.2))
    column.add_lwpolyline([(0, 0), (0.4, 0), (0.4, 0.4), (0, 0.4)], close=True)
    column.add_line((0, 0), (0.4, 0.4), dxfattribs={"layer": "CROSS"})
    for x in (6, 12, 18):
        msp.add_blockref("COLUMN", (x, 11), dxfattribs={"layer": "COLUMNS", "rotation": 3 * x, "xscale": 1.5})
    door = made.blocks.new("DOOR")
    door.add_line((0, 0), (0, 0.9))
    door.add_arc((0, 0), 0.9, 0, 90)
    doors = made.blocks.new("DOORS")
    doors.add_blockref("DOOR", (0, 0))
    doors.add_blockref("DOOR", (2, 0), dxfattribs={"xscale": -1})
    msp.add_blockref("DOORS", (4, 22), dxfattribs={"layer": "DOORS", "rotation": 180})
    msp.add_circle((28, 8), 5, dxfattribs={"layer": "TANK"})
    msp.add_ellipse((28, 17), (3, 1), ratio=0.5, dxfattribs={"layer": "TANK"})
    msp.add_open_spline([(0, -2), (9, -6), (18, 2), (36, -2)], dxfattribs={"layer": "PIPES"})
    msp.add_arc((-30, 11), 6, 20, 140, dxfattribs={"layer": "AXES", "extrusion": (0, 0, -1)})
    msp.add_polyline2d([(-1, 5), (-35, 5)], dxfattribs={"layer": "AXES", "extrusion": (0, 0, -1)})
    msp.add_polyline3d([(0, 0, 1), (9, 9, 2), (9, 0, 3)], close=True, dxfattribs={"layer": "PIPES"})
    return made


@pytest.mark.usefixtures("_fine_gdal")
def test_layers_are_as_long_as_gdal_says(tmp_path: Path) -> None:
    """Total length of each layer, curves, nested and mirrored inserts included, within one in a thousand."""
    made = basement()
    theirs = lengths(by_gdal(made, tmp_path))
    ours = lengths(by_us(read_dxf(as_bytes(made))))
    assert set(ours) == set(theirs)
    assert len(ours) == 8
    for name, length in ours.items():
        assert length == pytest.approx(theirs[name], rel=1e-3), name


@pytest.mark.usefixtures("_fine_gdal")
def test_every_line_lies_where_gdal_has_it(tmp_path: Path) -> None:
    """Every point of GDAL's lies within 1 mm of our chords; ours lie within 2 mm of GDAL's own chords.

    The second leaves out the spline, which GDAL draws with eight chords between two control points.
    """
    made = basement()
    theirs, ours = by_gdal(made, tmp_path), by_us(read_dxf(as_bytes(made)))
    points = shapely.points(shapely.get_coordinates([line for _, line in theirs]))
    assert shapely.distance(points, shapely.MultiLineString([line for _, line in ours])).max() < 0.001_001
    dense = shapely.segmentize([line for name, line in ours if name != "PIPES"], 0.05)
    others = shapely.MultiLineString([line for _, line in theirs])
    assert shapely.distance(shapely.points(shapely.get_coordinates(dense)), others).max() < 0.002


@pytest.mark.usefixtures("_fine_gdal")
@pytest.mark.parametrize("extrusion", [(0, 0, 1), (0, 0, -1), (0.3, -0.2, 1)])
@pytest.mark.parametrize("scale", [(1, 1), (-2, 2), (1.5, -0.5)])
def test_straight_lines_of_inserts_are_gdals_to_the_last_digit(
    tmp_path: Path, extrusion: tuple[float, float, float], scale: tuple[float, float]
) -> None:
    """Mirrored, stretched, in turned-over and slanted systems, in rows and columns: the same end points."""
    made = document()
    block = made.blocks.new("B", base_point=(3, 1))
    block.add_line((0, 0), (20, 5))
    block.add_lwpolyline([(0, 0), (5, 0), (5, 9)])
    attributes = {"xscale": scale[0], "yscale": scale[1], "rotation": 25, "extrusion": extrusion}
    grid = {"row_count": 2, "row_spacing": 40, "column_count": 3, "column_spacing": 30}
    made.modelspace().add_blockref("B", (7, -4, 2), dxfattribs=attributes | grid)
    theirs = sorted(np.round(shapely.get_coordinates(line), 6).tolist() for _, line in by_gdal(made, tmp_path))
    ours = sorted(np.round(shapely.get_coordinates(line), 6).tolist() for _, line in by_us(read_dxf(as_bytes(made))))
    assert len(ours) == 12
    assert np.concatenate(ours) == pytest.approx(np.concatenate(theirs), abs=2e-6)


@pytest.mark.usefixtures("_fine_gdal")
def test_hatch_outlines_are_as_long_as_gdals(tmp_path: Path) -> None:
    """Outlines with bulges and with arcs, both ways round."""
    made = document()
    hatch = made.modelspace().add_hatch()
    hatch.paths.add_polyline_path([(0, 0, 0), (20, 0, 0.5), (20, 10, 0), (0, 10, -0.3)])
    edges = made.modelspace().add_hatch().paths.add_edge_path()
    edges.add_line((30, 0), (40, 0))
    edges.add_arc((40, 5), 5, start_angle=270, end_angle=90)
    edges.add_line((40, 10), (30, 10))
    edges.add_arc((30, 5), 5, start_angle=-90, end_angle=90, ccw=False)
    theirs = sum(line.length for _, line in by_gdal(made, tmp_path))
    assert sum(line.length for _, line in by_us(read_dxf(as_bytes(made)))) == pytest.approx(theirs, rel=1e-3)


@pytest.mark.usefixtures("_fine_gdal")
def test_texts_stand_where_gdal_has_them(tmp_path: Path) -> None:
    """Words and points of texts, with characters beyond ASCII."""
    made = document(lambda msp: msp.add_line((0, 0), (30, 20)))
    made.modelspace().add_text("Pumpensumpf Größe Ø 2", height=0.5).set_placement((3, 4))
    made.modelspace().add_mtext("Насосная", dxfattribs={"insert": (9, 9), "char_height": 0.5})
    path = tmp_path / "plan.dxf"
    path.write_bytes(as_bytes(made))
    meta, _, geometries, values = pyogrio.raw.read(path)
    words = values[meta["fields"].tolist().index("Text")]
    theirs = {
        word: shapely.get_coordinates(shape)[0].tolist()
        for word, shape in zip(words, shapely.from_wkb(geometries), strict=True)
        if word
    }
    ours = {text.words: list(text.at) for text in read_dxf(as_bytes(made)).texts}
    assert ours == theirs
