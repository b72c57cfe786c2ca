"""What each kind of entity draws, against the drawing front end of ezdxf, which shows files by ways of its own.

Source: ``ezdxf.addons.drawing`` (https://ezdxf.mozman.at/docs/addons/drawing.html), whose front end resolves every
entity and gives a backend lines, paths and filled areas; its own recording backend keeps them. Files are written and
read by ezdxf on both sides, so this checks what is drawn, not how bytes are parsed; GDAL checks that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.config import Configuration, HatchPolicy, TextPolicy
from ezdxf.addons.drawing.recorder import (
    FilledPathsRecord,
    PathRecord,
    PointsRecord,
    Recorder,
    SolidLinesRecord,
)
from ezdxf.document import Drawing as Document
from ezdxf.entities import DXFGraphic
from ezdxf.entities.factory import ENTITY_CLASSES
from ezdxf.lldxf.extendedtags import ExtendedTags
from ezdxf.math import Vec2
from ezdxf.protocols import SupportsVirtualEntities
from ezdxf.render import ConnectionSide
from ezdxf.render.forms import cube

from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import absolute, as_bytes

Space = Any
Build = Callable[[Document, Space], object]

NEAR: Final = 0.003
"""Metres that chords of either side may lie apart: 1 mm each from their curve, and a little for rounding."""

SQUARE: Final = ((0, 0), (4, 0), (4, 3), (0, 3))
OLE: Final = """0\nOLE2FRAME\n5\nFFF0\n330\n1F\n100\nAcDbEntity\n8\nOLE\n100\nAcDbOle2Frame\n70\n2\n3\nSheet\n10\n1\n20\n5\n30\n0
11\n7\n21\n2\n31\n1\n71\n2\n72\n1\n90\n0\n1\nOLE\n"""


@dataclass(frozen=True)
class Case:
    """A kind of entity.

    Attributes:
        build: Draws one.
        told: Code of the finding that must be there; empty for none.
        compared: How both sides compare: ``same`` lines; ``within``, ours is the outline or the middle of what the other
            fills or the other way round; ``part``, ours is a part of what the other draws; ``words`` says the same;
            ``told``, the finding alone stands for it.
    """

    build: Build
    told: str = ""
    compared: str = "same"


def polyface(_: Document, msp: Space) -> None:
    """A box as a POLYLINE of faces."""
    cube().scale(4, 4, 4).render_polyface(msp)


def mesh(_: Document, msp: Space) -> None:
    """A box as a MESH."""
    cube().scale(4, 4, 4).render_mesh(msp)


def net(_: Document, msp: Space) -> None:
    """A surface of three rows and two columns."""
    surface = msp.add_polymesh((3, 2))
    for row in range(3):
        for column in range(2):
            surface.set_mesh_vertex((row, column), (4 * row, 3 * column, row))


def insert(document: Document, msp: Space) -> None:
    """A block in rows and columns, mirrored, stretched and turned, with an attribute."""
    block = document.blocks.new("B")
    block.add_lwpolyline([(0, 0, 0.5), (1, 0, 0), (1, 1, 0)], format="xyb", close=True)
    block.add_circle((2, 2), 0.5)
    scale = {"xscale": -2, "yscale": 3, "rotation": 30, "layer": "B"}
    many = {"row_count": 2, "row_spacing": 9, "column_count": 3, "column_spacing": 8}
    msp.add_blockref("B", (20, 10), dxfattribs=scale | many)


def attrib(document: Document, msp: Space) -> None:
    """An attribute beside the insert of an empty block."""
    document.blocks.new("EMPTY")
    msp.add_blockref("EMPTY", (0, 0)).add_attrib("REF", "P-1", (2, 2), dxfattribs={"height": 1})


def leader(_: Document, msp: Space) -> None:
    """A leader with two bends."""
    msp.add_leader([(0, 0), (4, 4), (8, 4)], override={"dimldrblk": "", "dimasz": 0})


def multileader(_: Document, msp: Space) -> None:
    """A note with a line to it."""
    builder = msp.add_multileader_mtext("Standard")
    builder.set_content("sump")
    builder.add_leader_line(ConnectionSide.left, [Vec2(20, 0)])
    builder.build(insert=Vec2(30, 5))


def hatch(_: Document, msp: Space) -> None:
    """A filled area of an outline with a bow, and an island in it."""
    area = msp.add_hatch(color=2)
    area.paths.add_polyline_path([(0, 0), (6, 0, 1), (6, 6), (0, 6)], flags=1)
    area.paths.add_polyline_path([(1, 1), (2, 1), (2, 2)], flags=16)


def mpolygon(_: Document, msp: Space) -> None:
    """A polygon that carries its fill, moved by its offset."""
    area = msp.add_mpolygon(color=2, fill_color=3)
    area.paths.add_polyline_path(SQUARE)
    area.dxf.offset_vector = (2, 1)


def picture(document: Document, msp: Space) -> None:
    """A picture that nobody sent along."""
    msp.add_image(document.add_image_def("north wall.jpg", (640, 360)), (1, 2), (6.4, 3.6), rotation=20)


def underlay(document: Document, msp: Space) -> None:
    """A page that nobody sent along."""
    msp.add_underlay(document.add_underlay_def("old/plan.pdf", fmt="pdf", name="1"), (1, 1))


def cover(document: Document, msp: Space) -> None:
    """A cover, in a file that shows the frames of covers."""
    document.set_wipeout_variables(frame=1)
    msp.add_wipeout([(1, 1), (5, 1), (3, 4)])


def foreign(document: Document, msp: Space) -> None:
    """A part of another program."""
    entity = ENTITY_CLASSES["OLE2FRAME"].load(ExtendedTags.from_text(OLE), document)
    document.entitydb.add(entity)
    msp.add_entity(entity)


def body(add: str) -> Build:
    """A solid body or face, of which the front end draws nothing."""

    def build(_: Document, msp: Space) -> None:
        getattr(msp, add)().sab = b"ACIS"

    return build


def plain(kind: str, **attributes: Any) -> Build:  # noqa: ANN401 - values of any attribute
    """A new entity of a kind."""
    return lambda _, msp: msp.new_entity(kind, attributes)


CASES: Final[dict[str, Case]] = {
    "LINE": Case(lambda _, msp: msp.add_line((1, 2), (30, 4))),
    "ARC": Case(lambda _, msp: msp.add_arc((10, 0), 4, 350, 90)),
    "CIRCLE": Case(lambda _, msp: msp.add_circle((1, 1), 5, dxfattribs={"extrusion": (0, 0.6, 0.8)})),
    "ELLIPSE": Case(lambda _, msp: msp.add_ellipse((0, 0), (0, 6), ratio=0.3, start_param=0.5, end_param=4)),
    "SPLINE": Case(lambda _, msp: msp.add_spline([(0, 0), (4, 5), (9, 1), (15, 6)])),
    "HELIX": Case(lambda _, msp: msp.add_helix(3, 2, 3), compared="told"),
    "LWPOLYLINE": Case(lambda _, msp: msp.add_lwpolyline([(0, 0, -1), (9, 0, 0), (9, 5, 0)], format="xyb", close=True)),
    "LWPOLYLINE wide": Case(
        lambda _, msp: msp.add_lwpolyline([(0, 0), (9, 0), (9, 5)], dxfattribs={"const_width": 0.4}), compared="within"
    ),
    "POLYLINE": Case(lambda _, msp: msp.add_polyline2d([(0, 0, 0.5), (9, 0, 0), (9, 5, 0)], format="xyb", close=True)),
    "POLYLINE in space": Case(lambda _, msp: msp.add_polyline3d([(0, 0, 1), (9, 0, 2), (9, 5, 3)], close=True)),
    "POLYLINE of faces": Case(polyface),
    "POLYLINE as net": Case(net),
    "MESH": Case(mesh),
    "3DFACE": Case(lambda _, msp: msp.add_3dface(SQUARE, dxfattribs={"invisible_edges": 2})),
    "SOLID": Case(lambda _, msp: msp.add_solid([(0, 0), (4, 0), (0, 3), (4, 3)])),
    "TRACE": Case(lambda _, msp: msp.add_trace([(0, 0), (4, 0), (0, 3), (5, 3)])),
    "HATCH": Case(hatch),
    "MPOLYGON": Case(mpolygon),
    "INSERT": Case(insert),
    "DIMENSION": Case(lambda _, msp: msp.add_linear_dim((0, 2), (0, 0), (8, 0)).render(), compared="within"),
    "ARC_DIMENSION": Case(
        lambda _, msp: msp.add_arc_dim_cra((0, 0), 5, 20, 80, distance=2).render(), compared="within"
    ),
    "LEADER": Case(leader),
    "MULTILEADER": Case(multileader, compared="within"),
    "MLINE": Case(lambda _, msp: msp.add_mline([(0, 0), (9, 0), (9, 5)])),
    "XLINE": Case(lambda _, msp: (msp.add_lwpolyline(SQUARE), msp.add_xline((1, 1), (2, 1))), "endless-line", "part"),
    "RAY": Case(lambda _, msp: (msp.add_lwpolyline(SQUARE), msp.add_ray((1, 1), (2, 1))), "endless-line", "part"),
    "IMAGE": Case(picture, "outside-file"),
    "WIPEOUT": Case(cover, "cover"),
    "OLE2FRAME": Case(foreign, "not-drawn"),
    "TEXT": Case(lambda _, msp: msp.add_text("PUMPS", height=1).set_placement((3, 2)), compared="words"),
    "MTEXT": Case(lambda _, msp: msp.add_mtext("wet\\Pwell", {"char_height": 1, "insert": (3, 2)}), compared="words"),
    "ATTDEF": Case(lambda _, msp: msp.add_attdef("REF", (3, 2), dxfattribs={"height": 1}), compared="words"),
    "ATTRIB": Case(attrib, compared="words"),
    "ATTRIB alone": Case(plain("ATTRIB", tag="REF", text="P-1", insert=(3, 2), height=1), "file-fault", "told"),
    "POINT": Case(lambda _, msp: msp.add_point((3, 2)), "points", "told"),
    "SHAPE": Case(plain("SHAPE", name="BOX", size=1), "not-drawn", "told"),
    "TOLERANCE": Case(plain("TOLERANCE", content="0.1"), "not-drawn", "told"),
    "LIGHT": Case(plain("LIGHT"), "not-drawn", "told"),
    "3DSOLID": Case(body("add_3dsolid"), "not-drawn", "told"),
    "BODY": Case(body("add_body"), "not-drawn", "told"),
    "REGION": Case(body("add_region"), "not-drawn", "told"),
    "SURFACE": Case(body("add_surface"), "not-drawn", "told"),
    "EXTRUDEDSURFACE": Case(body("add_extruded_surface"), "not-drawn", "told"),
    "LOFTEDSURFACE": Case(body("add_lofted_surface"), "not-drawn", "told"),
    "REVOLVEDSURFACE": Case(body("add_revolved_surface"), "not-drawn", "told"),
    "SWEPTSURFACE": Case(body("add_swept_surface"), "not-drawn", "told"),
    "PDFUNDERLAY": Case(underlay, "outside-file", "told"),
}
ALIKE: Final = {
    "MLEADER": "MULTILEADER",  # an older name
    "LARGE_RADIAL_DIMENSION": "DIMENSION",  # its picture is a block too; ezdxf cannot make one
    "ACAD_PROXY_ENTITY": "MULTILEADER",  # taken apart by the same protocol; ezdxf cannot make one
    "DWFUNDERLAY": "PDFUNDERLAY",
    "DGNUNDERLAY": "PDFUNDERLAY",
    "PDFREFERENCE": "PDFUNDERLAY",
    "PLANESURFACE": "SURFACE",
}
"""Kinds for which another one stands."""

STYLED: Final = {"DIMENSION", "ARC_DIMENSION", "LEADER", "MULTILEADER"}
"""Kinds that need styles of their own."""

PARTS: Final = {"SEQEND", "VERTEX", "VIEWPORT"}
"""Parts of others, and views, which a model space does not hold."""


@cache
def both(name: str) -> tuple[Drawing, Document]:
    """What is read of a file with one entity and a text beside it, and ezdxf's own document of it."""
    made = ezdxf.new("R2018", setup=name in STYLED, units=6)
    CASES[name].build(made, made.modelspace())
    made.modelspace().add_text("beside", height=1).set_placement((2, 1))
    return read_dxf(as_bytes(made)), made


def by_front_end(document: Document, *, texts: bool = False) -> Iterator[list[tuple[float, float]]]:
    """Lines, paths and outlines of areas that ezdxf's front end draws."""
    recorder = Recorder()
    policy = TextPolicy.FILLING if texts else TextPolicy.IGNORE
    config = Configuration(text_policy=policy, hatch_policy=HatchPolicy.NORMAL, infinite_line_length=1000)
    Frontend(RenderContext(document), recorder, config).draw_layout(document.modelspace())
    for record in recorder.records:
        match record:
            case SolidLinesRecord():
                ends = np.array([tuple(point)[:2] for point in record.lines.vertices()]).reshape(-1, 2, 2)
                yield from (list(map(tuple, pair)) for pair in ends.tolist())
            case PointsRecord():
                points = [tuple(point)[:2] for point in record.points.vertices()]
                yield points if len(points) < 3 else [*points, points[0]]
            case PathRecord():
                yield _flat(record.path)
            case FilledPathsRecord():
                yield from map(_flat, record.paths)


def _flat(path: Any) -> list[tuple[float, float]]:  # noqa: ANN401 - the recorder's own path
    return [(point.x, point.y) for point in path.to_path().flattening(0.0005)]


def shape_of(lines: Any) -> Any:  # noqa: ANN401 - lists of points; any geometry
    """All lines with a length as one geometry."""
    return shapely.unary_union([shapely.LineString(line) for line in lines if len(line) > 1])


def ours(drawing: Drawing) -> Any:  # noqa: ANN401 - any geometry
    """All lines that were read."""
    return shape_of(absolute(drawing, index) for index in range(len(drawing.strokes)))


def farthest(one: Any, other: Any) -> float:  # noqa: ANN401 - any geometry
    """Greatest distance from a point of one to the other."""
    points = shapely.get_coordinates(shapely.segmentize(one, 0.2))
    return float(shapely.distance(shapely.points(points), other).max())


def test_every_kind_that_the_front_end_draws_is_tried() -> None:
    """Nothing that ezdxf can load as a graphic entity, and so nothing that its front end draws, is missing here."""
    graphic = {kind for kind, made in ENTITY_CLASSES.items() if isinstance(made, type) and issubclass(made, DXFGraphic)}
    front_end = Frontend(RenderContext(ezdxf.new()), Recorder())
    drawn = set(front_end._dispatch)
    drawn |= {kind for kind in graphic if issubclass(ENTITY_CLASSES[kind], SupportsVirtualEntities)}
    tried = {name.split(" ", 1)[0] for name in CASES} | set(ALIKE)
    assert drawn <= tried
    assert graphic - PARTS <= tried
    assert set(ALIKE.values()) <= set(CASES)


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.compared == "same"])
def test_lines_are_those_of_the_front_end(name: str) -> None:
    """No point of either side lies off the other, so extents are the same too, and nothing is reported as lost."""
    drawing, document = both(name)
    mine, theirs = ours(drawing), shape_of(by_front_end(document))
    assert theirs.length > 5
    assert farthest(theirs, mine) <= NEAR
    assert farthest(mine, theirs) <= NEAR
    assert np.allclose(mine.bounds, theirs.bounds, rtol=0, atol=NEAR)
    assert ("entity-failed" in _codes(drawing), "not-drawn" in _codes(drawing)) == (False, name == "OLE2FRAME")


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.compared == "within"])
def test_what_is_filled_lies_about_our_lines(name: str) -> None:
    """Of a wide line the middle is drawn, of words the string: ours lies within the front end's extents and fills them."""
    drawing, document = both(name)
    mine, theirs = ours(drawing), shape_of(by_front_end(document))
    assert farthest(mine, shapely.convex_hull(theirs)) <= NEAR
    assert farthest(theirs, mine) <= 0.2 * 2**0.5 + NEAR  # a corner of the wide line is half its width off each way


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.compared == "part"])
def test_endless_lines_are_a_part_of_longer_ones(name: str) -> None:
    """The front end cuts them a thousand units long; ours run the same way and end near what else is drawn."""
    drawing, document = both(name)
    mine, theirs = ours(drawing), shape_of(by_front_end(document))
    assert farthest(mine, theirs) <= NEAR
    assert mine.length > 4 + 3 + 4


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.compared == "words"])
def test_words_stand_where_the_front_end_writes_them(name: str) -> None:
    """Some words besides those of the line of text, and their place in or at the letters that the front end draws."""
    drawing, document = both(name)
    (text,) = [text for text in drawing.texts if text.words != "beside"]
    letters = shapely.box(*shape_of(by_front_end(document, texts=True)).bounds)
    assert shapely.distance(shapely.Point(np.add(text.at, drawing.origin)), letters) <= text.height
    assert text.words in {"PUMPS", "wet\nwell", "REF", "P-1"}


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case.told])
def test_what_is_not_drawn_whole_is_told(name: str) -> None:
    """A finding with a count stands for it, whether the front end draws it or not."""
    (found,) = [found for found in both(name)[0].findings if found.code == CASES[name].told]
    assert ": 1" in found.text or "; 1 of this kind" in found.text


def test_nothing_that_the_front_end_draws_is_left_out_silently() -> None:
    """Where we draw no line and write no word of an entity of which the front end draws something, a finding says so."""
    for name in CASES:
        drawing, document = both(name)
        if len(drawing.strokes) or len(drawing.texts) > 1:
            continue
        assert CASES[name].told, name
        if any(len(line) > 1 for line in by_front_end(document)):
            assert {"not-drawn", "outside-file", "points", "file-fault"} & set(_codes(drawing)), name


def _codes(drawing: Drawing) -> list[str]:
    return [found.code for found in drawing.findings]
