"""What each kind of entity draws in plan.

Lines stay lines; curves become chords within the pen's tolerance; hatches become their outlines;
solids and faces their edges; wide lines the line in their middle; pictures and covers their frames;
lines without ends wait until it is known how far all else reaches;
whatever else ezdxf can take apart into such pieces is taken apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from math import radians, tau
from typing import Any, Final

import numpy as np
from ezdxf.math import OCS, Vec3
from ezdxf.protocols import SupportsVirtualEntities, virtual_entities

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.blocks import Reading, draw_block, draw_insert
from leakmap.drawings.dxf.curves import bulged, spline_points
from leakmap.drawings.dxf.frames import draw_cover, draw_foreign_part, draw_page, draw_picture
from leakmap.drawings.dxf.hatches import draw_hatch
from leakmap.drawings.dxf.ink import INHERIT, Pen, Vector
from leakmap.drawings.dxf.layers import ZERO
from leakmap.drawings.dxf.texts import block_text, cut_short, line_text
from leakmap.drawings.dxf.troubles import TROUBLE, handle_of, words_of
from leakmap.drawings.dxf.world import to_world
from leakmap.model.drawing import FloatArray

# ruff: noqa: ANN401 - the attributes of ezdxf's entities are untyped

DrawEntity = Callable[[Any, int, Pen, Reading], None]

_SPLINE_FIT: Final = 4  # POLYLINE flag: vertices were made by spline fitting
_FRAME_POINT: Final = 16  # VERTEX flag: control point that is not on the curve
_QUIET: Final = frozenset({"SEQEND", "ENDBLK", "BLOCK", "VERTEX"})  # parts of other entities
_DEFINITION_POINTS: Final = "defpoints"  # where dimensions keep the points that they measure; never printed
_PLAINLY: Final = {
    "3DSOLID": "3DSOLID (solid body)",
    "BODY": "BODY (solid body)",
    "REGION": "REGION (solid face)",
    "SURFACE": "SURFACE (curved face)",
    "OLEFRAME": "OLEFRAME (part of another program)",
    "VIEWPORT": "VIEWPORT (view of the model)",
    "SHAPE": "SHAPE (sign of a font that is kept outside the drawing)",
    "TOLERANCE": "TOLERANCE (frame with tolerances)",
    "ACAD_PROXY_ENTITY": "ACAD_PROXY_ENTITY (thing of another program)",
}
_AT_MOST_NESTED: Final = 16


def draw_entities(entities: Iterable[Any], pen: Pen, reading: Reading) -> None:
    """Draw entities of a layout or a block; one that cannot be understood is noted and left out."""
    for entity in entities:
        reading.tick()
        run = reading.bulk.run_of(entity)
        if run is None:
            draw_entity(entity, pen, reading)
        else:
            reading.bulk.draw(run, _layer_of(entity, reading), pen)


def draw_entity(entity: Any, pen: Pen, reading: Reading, *, depth: int = 0) -> None:
    """Draw one entity.

    Args:
        entity: The entity.
        pen: What it is drawn with.
        reading: What the reading shares.
        depth: How often it was taken out of another entity.
    """
    kind = "entity"
    try:
        kind = entity.dxftype()
        if entity.dxf.get("invisible", 0):
            text = "Entities that the file itself hides, left out: {n}."
            reading.troubles.note("invisible", text, where=handle_of(entity), effect=Effect.LOOK)
            return
        layer = _layer_of(entity, reading)
        draw = _DRAW.get(kind)
        if draw is not None:
            draw(entity, layer, pen, reading)
        else:
            _draw_pieces(entity, pen, reading, depth=depth)
        if kind == "INSERT":
            for attribute in entity.attribs:
                _draw_attribute(attribute, layer, pen, reading)
    except TROUBLE as trouble:
        reading.troubles.failed(kind, handle_of(entity), trouble)


def _layer_of(entity: Any, reading: Reading) -> int:
    """Number of an entity's layer; layer 0 inside a block means the layer of the insert."""
    name = entity.dxf.get("layer", ZERO)
    return INHERIT if reading.in_block and name == ZERO else reading.layers.number(name)


def _draw_pieces(entity: Any, pen: Pen, reading: Reading, *, depth: int) -> None:
    """Draw the pieces that ezdxf takes an entity apart into; without any, say that it is not drawn."""
    kind, drawn = entity.dxftype(), False
    if isinstance(entity, SupportsVirtualEntities) and depth < _AT_MOST_NESTED:
        for piece in virtual_entities(entity):
            draw_entity(piece, pen, reading, depth=depth + 1)
            drawn = True
    if not drawn and kind not in _QUIET:
        text = f"Left out, as it has no lines to draw in plan: {{n}} of {_PLAINLY.get(kind, words_of(kind))}."
        reading.troubles.note("not-drawn", text, where=handle_of(entity))


def _draw_line(line: Any, layer: int, pen: Pen, _: Reading) -> None:
    pen.line((line.dxf.start.xyz, line.dxf.end.xyz), layer)


def _draw_arc(arc: Any, layer: int, pen: Pen, _: Reading) -> None:
    dxf = arc.dxf
    start, end = radians(dxf.get("start_angle", 0.0)), radians(dxf.get("end_angle", 360.0))
    _draw_round(arc, (start, _sweep(start, end)), layer, pen)


def _draw_circle(circle: Any, layer: int, pen: Pen, _: Reading) -> None:
    _draw_round(circle, (0.0, tau), layer, pen)


def _draw_round(arc: Any, turn: tuple[float, float], layer: int, pen: Pen) -> None:
    ocs, radius = OCS(arc.dxf.extrusion), arc.dxf.radius
    pen.arc(ocs.to_wcs(Vec3(arc.dxf.center)).xyz, (ocs.ux * radius).xyz, (ocs.uy * radius).xyz, turn, layer)


def _draw_ellipse(ellipse: Any, layer: int, pen: Pen, _: Reading) -> None:
    dxf = ellipse.dxf
    major = Vec3(dxf.major_axis)
    minor = Vec3(dxf.extrusion).normalize().cross(major) * dxf.ratio
    turn = (dxf.start_param, _sweep(dxf.start_param, dxf.end_param))
    pen.arc(Vec3(dxf.center).xyz, major.xyz, minor.xyz, turn, layer)


def _sweep(start: float, end: float) -> float:
    """How far an arc runs counter-clockwise; equal ends are a full turn."""
    sweep = (end - start) % tau
    return sweep if 1e-9 < sweep < tau - 1e-9 else tau


def _draw_lwpolyline(polyline: Any, layer: int, pen: Pen, _: Reading) -> None:
    rows = np.array(polyline.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    _draw_flat(rows, polyline.dxf.elevation, polyline.dxf.extrusion, closed=polyline.closed, layer=layer, pen=pen)


def _draw_flat(rows: FloatArray, elevation: float, extrusion: Vec3, *, closed: bool, layer: int, pen: Pen) -> None:
    """Draw rows of x, y, bulge that lie in an object's own system."""
    if len(rows) < 2:
        return
    flat = bulged(rows[:, :2], rows[:, 2], closed=closed, tolerance=pen.tolerance, chords=pen.chords)
    pen.array(to_world(flat, elevation, extrusion), layer)


def _draw_polyline(polyline: Any, layer: int, pen: Pen, reading: Reading) -> None:
    if polyline.is_poly_face_mesh:
        _draw_polyface(polyline, layer, pen)
        return
    vertices = [v for v in polyline.vertices if not _is_frame_point(v, polyline)]
    if polyline.is_polygon_mesh:
        _draw_net(polyline, [Vec3(v.dxf.location).xyz for v in vertices], layer, pen, reading)
    elif polyline.is_3d_polyline:
        points = [Vec3(v.dxf.location).xyz for v in vertices]
        if len(points) > 1:
            pen.line([*points, points[0]] if polyline.is_closed else points, layer)
    else:
        rows = [(v.dxf.location[0], v.dxf.location[1], v.dxf.get("bulge", 0.0)) for v in vertices]
        height = Vec3(polyline.dxf.get("elevation", (0, 0, 0))).z
        table = np.array(rows, dtype=np.float64).reshape(-1, 3)
        _draw_flat(table, height, polyline.dxf.extrusion, closed=polyline.is_closed, layer=layer, pen=pen)


def _is_frame_point(vertex: Any, polyline: Any) -> bool:
    return bool(polyline.dxf.flags & _SPLINE_FIT and vertex.dxf.flags & _FRAME_POINT)


def _draw_net(polyline: Any, points: list[Vector], layer: int, pen: Pen, reading: Reading) -> None:
    """Draw the rows and columns of a polygon mesh."""
    dxf = polyline.dxf
    smooth = bool(dxf.flags & _SPLINE_FIT)
    m = (dxf.get("m_smooth_density", 0) if smooth else 0) or dxf.m_count
    n = (dxf.get("n_smooth_density", 0) if smooth else 0) or dxf.n_count
    if m * n != len(points) or m < 1 or n < 1:
        text = "Surface meshes left out, as their corners do not fill rows and columns: {n}."
        reading.troubles.note("not-drawn", text, where=handle_of(polyline))
        return
    rows = [points[i * n : (i + 1) * n] for i in range(m)]
    columns = [points[i::n] for i in range(n)]
    for strings, closed in ((rows, polyline.is_n_closed), (columns, polyline.is_m_closed)):
        for string in strings:
            if len(string) > 1:
                pen.line([*string, string[0]] if closed else string, layer)


def _draw_polyface(polyline: Any, layer: int, pen: Pen) -> None:
    corners = [Vec3(v.dxf.location).xyz for v in polyline.vertices if v.is_poly_face_mesh_vertex]
    edges: dict[tuple[int, int], None] = {}
    for face in (v for v in polyline.vertices if not v.is_poly_face_mesh_vertex):
        marks = [mark for mark in (face.dxf.get(f"vtx{i}", 0) for i in range(4)) if mark]
        for mark, following in zip(marks, [*marks[1:], *marks[:1]], strict=True):
            if mark > 0:  # a negative number hides the edge that starts there
                a, z = sorted((mark - 1, abs(following) - 1))
                edges[a, z] = None
    _draw_edges(corners, edges, layer, pen)


def _draw_mesh(mesh: Any, layer: int, pen: Pen, _: Reading) -> None:
    corners = [Vec3(v).xyz for v in mesh.vertices]
    edges: dict[tuple[int, int], None] = {}
    for face in mesh.faces:
        for a, z in pairwise((*face, face[0])):
            edges[min(a, z), max(a, z)] = None
    _draw_edges(corners, edges, layer, pen)


def _draw_edges(corners: Sequence[Vector], edges: Iterable[tuple[int, int]], layer: int, pen: Pen) -> None:
    for a, z in edges:
        pen.line((corners[a], corners[z]), layer)


def _draw_spline(spline: Any, layer: int, pen: Pen, _: Reading) -> None:
    pen.array(spline_points(spline.construction_tool(), pen.tolerance, pen.chords), layer)


def _draw_solid(solid: Any, layer: int, pen: Pen, _: Reading) -> None:
    """Outline of a SOLID or TRACE, whose third and fourth corner are stored crosswise."""
    ocs = OCS(solid.dxf.extrusion)
    order = [Vec3(ocs.to_wcs(Vec3(solid.dxf.get(f"vtx{i}")))).xyz for i in _corner_numbers(solid, (0, 1, 3, 2))]
    pen.line((*order, order[0]), layer)


def _draw_face(face: Any, layer: int, pen: Pen, _: Reading) -> None:
    """Edges of a 3DFACE, without those that it hides."""
    corners = [Vec3(face.dxf.get(f"vtx{i}")).xyz for i in _corner_numbers(face, (0, 1, 2, 3))]
    hidden = face.dxf.get("invisible_edges", 0)
    for index, ends in enumerate(pairwise((*corners, corners[0]))):
        if not hidden >> index & 1:
            pen.line(ends, layer)


def _corner_numbers(entity: Any, order: tuple[int, ...]) -> list[int]:
    """Numbers of the corners that the entity has; the fourth may be missing."""
    return [index for index in order if entity.dxf.hasattr(f"vtx{index}")]


def _draw_point(point: Any, _layer: int, _pen: Pen, reading: Reading) -> None:
    if point.dxf.layer.casefold() == _DEFINITION_POINTS:
        return
    text = "Point marks left out, as they carry no line: {n}."
    reading.troubles.note("points", text, where=handle_of(point), effect=Effect.LOOK)


def _draw_endless(line: Any, layer: int, pen: Pen, _: Reading) -> None:
    pen.endless(line.dxf.start.xyz, line.dxf.unit_vector.xyz, layer, both=line.dxftype() == "XLINE")


def _draw_dimension(dimension: Any, layer: int, pen: Pen, reading: Reading) -> None:
    """Draw the picture that the file holds of a dimension."""
    name = dimension.dxf.get("geometry", "")
    if dimension.virtual_block_content is not None or OCS(dimension.dxf.extrusion).transform:
        _draw_pieces(dimension, pen, reading, depth=0)
    elif reading.has_block(name):
        draw_block(name, Vec3(dimension.dxf.get("insert", (0, 0, 0))), layer, pen, reading)
    elif not dimension.is_dimensional_constraint:
        text = "Dimensions left out, as the file holds no picture of them: {n}."
        reading.troubles.note("not-drawn", text, where=handle_of(dimension))


def _draw_text(text: Any, layer: int, pen: Pen, reading: Reading) -> None:
    cut_short(text, reading.troubles)
    _write(text, text.plain_text(), layer, pen, reading)


def _draw_mtext(mtext: Any, layer: int, pen: Pen, reading: Reading) -> None:
    cut_short(mtext, reading.troubles)
    words = reading.wording.plain(mtext.all_columns_plain_text(), what="texts", where=handle_of(mtext))
    if words.strip():
        pen.letter(block_text(mtext, words.strip("\n"), layer))


def _draw_attdef(attdef: Any, layer: int, pen: Pen, reading: Reading) -> None:
    """A template of an attribute shows its tag in a layout; in a block only one of constant text shows."""
    cut_short(attdef, reading.troubles)
    if attdef.is_const:
        _write(attdef, attdef.plain_text(), layer, pen, reading)
    elif not reading.in_block:
        _write(attdef, attdef.dxf.tag, layer, pen, reading)


def _draw_attribute(attribute: Any, insert_layer: int, pen: Pen, reading: Reading) -> None:
    """An attribute's text beside its insert; it shows and hides with its own layer and the insert's."""
    try:
        if attribute.is_invisible or attribute.dxf.get("invisible", 0):
            return
        layer = insert_layer if reading.layers.frozen(insert_layer) else _layer_of(attribute, reading)
        if attribute.has_embedded_mtext_entity:
            _draw_mtext(attribute.virtual_mtext_entity(), layer, pen, reading)
        else:
            cut_short(attribute, reading.troubles)
            _write(attribute, attribute.plain_text(), layer, pen, reading)
    except TROUBLE as trouble:
        reading.troubles.failed("ATTRIB", handle_of(attribute), trouble)


def _write(text: Any, words: str, layer: int, pen: Pen, reading: Reading) -> None:
    words = reading.wording.plain(words, what="texts", where=handle_of(text))
    if words.strip():
        pen.letter(line_text(text, words, layer))


_DRAW: Final[dict[str, DrawEntity]] = {
    "LINE": _draw_line,
    "ARC": _draw_arc,
    "CIRCLE": _draw_circle,
    "ELLIPSE": _draw_ellipse,
    "LWPOLYLINE": _draw_lwpolyline,
    "POLYLINE": _draw_polyline,
    "SPLINE": _draw_spline,
    "HELIX": _draw_spline,
    "HATCH": draw_hatch,
    "MPOLYGON": draw_hatch,
    "SOLID": _draw_solid,
    "TRACE": _draw_solid,
    "3DFACE": _draw_face,
    "MESH": _draw_mesh,
    "POINT": _draw_point,
    "INSERT": draw_insert,
    "DIMENSION": _draw_dimension,
    "ARC_DIMENSION": _draw_dimension,
    "LARGE_RADIAL_DIMENSION": _draw_dimension,
    "TEXT": _draw_text,
    "MTEXT": _draw_mtext,
    "ATTDEF": _draw_attdef,
    "ATTRIB": _draw_attribute,
    "IMAGE": draw_picture,
    "PDFUNDERLAY": draw_page,
    "DWFUNDERLAY": draw_page,
    "DGNUNDERLAY": draw_page,
    "OLE2FRAME": draw_foreign_part,
    "WIPEOUT": draw_cover,
    "XLINE": _draw_endless,
    "RAY": _draw_endless,
}
