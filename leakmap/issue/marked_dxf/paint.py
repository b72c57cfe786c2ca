"""Marks of the plan as entities of a drawing, each on the layer of its kind.

Lines are polylines, fills and hatches are associated with their borders, paper is a wipe-out (a
viewer that knows none shows the lines beneath, which does no harm).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, floor, hypot, pi, radians, sin
from typing import Final

from ezdxf.entities import Hatch as HatchEntity
from ezdxf.enums import MTextEntityAlignment
from ezdxf.layouts.base import BaseLayout
from ezdxf.lldxf.const import BOUNDARY_PATH_EXTERNAL, BOUNDARY_PATH_OUTERMOST

from leakmap.geometry.path import Point
from leakmap.issue.marked_dxf.layers import KIND_CONTENT, LOOKS, layer_name
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.text import one_line, paragraph
from leakmap.issue.marks.labels import leader_line
from leakmap.issue.marks.primitives import (
    Area,
    Coat,
    Disc,
    Hatch,
    Label,
    Line,
    Mark,
    Pen,
    Polygon,
    Primitive,
    Ring,
    Tone,
    What,
    on_site,
)
from leakmap.model.words import Kind

_FILL_CONTENT: Final = {
    Tone.W1: "LEAK-DAMP",
    Tone.W2: "LEAK-SEEP",
    Tone.W3: "LEAK-DRIP",
    Tone.W4: "LEAK-RUN",
    Tone.W5: "LEAK-JET",
    Tone.BAND: "ZONE-BAND",
    Tone.WET_BAND: "ZONE-WET",
}
_PLAIN_CONTENT: Final = {
    What.VERTICAL: "JOINT-VERTICAL",
    What.RELIEF: "RELIEF-POINT",
    What.BLIND: "JOINT-BLIND",
    What.CUT: "ZONE-CUT",
}
TEXT_CONTENT: Final = {What.ZONE: "ZONE-TEXT", What.LEAK: "LEAK-TEXT"}
REFERENCE: Final = "reference"
"""Part of the marks whose label is a reference."""

_WIDE_MM: Final = 0.9
_CORNERS: Final = 32
_SMOOTH: Final = 128  # line types run on round bends of a polyline


def content_of(mark: Mark, primitive: Primitive) -> str:
    """Element and content of the layer that a part of a mark lies on."""
    if isinstance(primitive, Label):
        return TEXT_CONTENT.get(mark.what, "JOINT-TEXT" if mark.part != "start" else "JOINT-START")
    tone = primitive.fill if isinstance(primitive, Area | Disc) and primitive.fill else _pen_of(primitive).tone
    if tone in _FILL_CONTENT:
        return _FILL_CONTENT[tone]
    if mark.what is What.JOINT:
        return "JOINT-START" if mark.part == "start" else f"JOINT-{KIND_CONTENT[Kind(mark.part)]}"
    if mark.what is What.LEAK:
        return _leak_content(mark, primitive)
    if mark.what is What.ZONE:
        return _zone_content(mark, primitive)
    return _PLAIN_CONTENT[mark.what]


def _pen_of(primitive: Primitive) -> Pen:
    pen = None if isinstance(primitive, Label) else primitive.pen
    assert pen is not None
    return pen


def _edge_of(fill: str) -> str:
    """The layer of the border of a fill that has no outline: hidden for zones, its own for signs."""
    return "ZONE-EDGE" if fill.startswith("ZONE") else fill


def _plain(mark: Mark) -> str:
    return content_of(mark, Line(points=(), pen=Pen(Tone.INK, 0.25)))


def _leak_content(mark: Mark, primitive: Primitive) -> str:
    if _pen_of(primitive).dash_mm:
        return "LEAK-SUSPECT"
    return "LEAK-OUTLINE" if mark.coat is Coat.SLEEVE else "LEAK-STROKES"


def _zone_content(mark: Mark, primitive: Primitive) -> str:
    if isinstance(primitive, Hatch):
        return "ZONE-OVERRUN" if mark.part == "overrun" else "ZONE-MERGED"
    return "ZONE-PROVISIONAL" if _pen_of(primitive).dash_mm else "ZONE-OUTLINE"


@dataclass(frozen=True, slots=True, kw_only=True)
class Painter:
    """Puts primitives into one space of a drawing.

    Attributes:
        space: Model space or a block.
        plane: From the site plane to the drawing.
        discipline: First part of our names in this drawing.
    """

    space: BaseLayout
    plane: Plane
    discipline: str

    def layer(self, content: str) -> str:
        """Whole name of a layer of ours."""
        return layer_name(self.discipline, content)

    def mark(self, mark: Mark) -> None:
        """Put all parts of a mark; a label that is a reference only gets its leader, its words are a block (``tags``)."""
        hatches: dict[tuple[Polygon, ...], list[Hatch]] = {}
        for primitive in mark.primitives:
            if isinstance(primitive, Hatch):
                hatches.setdefault(primitive.polygons, []).append(primitive)
            elif isinstance(primitive, Label):
                self._loose_label(primitive, mark)
            else:
                self.primitive(primitive, mark)
        for families in hatches.values():
            self.hatch(families, content_of(mark, families[0]))

    def _loose_label(self, label: Label, mark: Mark) -> None:
        leader = leader_line(label)
        if leader is not None:
            self.line(leader.points, content_of(mark, label))
        if mark.part != REFERENCE:
            self.label_words(label, mark)

    def label_words(self, label: Label, mark: Mark) -> None:
        """Put the words of a label as plain text on its baseline."""
        look = {
            "layer": self.layer(content_of(mark, label)),
            "style": self.layer("TEXT"),
            "height": label.cap_height_m * self.plane.units_per_m,
            "insert": self.plane.place(label.at),
        }
        self.space.add_text(one_line(label.words), dxfattribs=look)

    def primitive(self, primitive: Line | Area | Disc, mark: Mark) -> None:
        """Put one line, area or disc."""
        if isinstance(primitive, Line):
            self._pen_line(primitive, mark)
        elif isinstance(primitive, Area):
            self._area(primitive, mark)
        else:
            self._disc(primitive, mark)

    def line(self, points: Sequence[Point], content: str, *, closed: bool = False, pen: Pen | None = None) -> None:
        """Put a polyline; the layer gives its look, ``pen`` only what differs from it."""
        self._polyline(points, content, closed=closed, pen=pen)

    def _polyline(self, points: Sequence[Point], content: str, *, closed: bool, pen: Pen | None = None) -> str:
        corners = list(points[:-1]) if len(points) > 2 and points[0] == points[-1] else list(points)
        shut = closed or len(corners) < len(points)
        look: dict[str, object] = {"layer": self.layer(content), "flags": _SMOOTH}
        pattern = LOOKS[content].dash_mm
        if pattern:
            drawn = sum(pen.dash_mm) if pen and pen.dash_mm else sum(pattern)
            factor = drawn / sum(pattern) * self.plane.unit / self.plane.whole
            if abs(factor - 1) > 1e-9:
                look["ltscale"] = factor
        entity = self.space.add_lwpolyline(self.plane.places(corners), close=shut, dxfattribs=look)
        if pen is not None and pen.width_mm >= _WIDE_MM:
            entity.dxf.const_width = pen.width_mm * self.plane.unit
        handle: str = entity.dxf.handle
        return handle

    def _pen_line(self, line: Line, mark: Mark) -> None:
        if line.pen.tone is Tone.PAPER:
            self._wipe_line(line, _plain(mark))
            return
        self.line(line.points, content_of(mark, line), closed=line.closed, pen=line.pen)

    def _wipe_line(self, line: Line, content: str) -> None:
        half = on_site(line.pen.width_mm / 2, self.plane.scale)
        for (x0, y0), (x1, y1) in pairwise(line.points):
            length = hypot(x1 - x0, y1 - y0)
            ax, ay = -(y1 - y0) / length * half, (x1 - x0) / length * half
            self.wipe(((x0 + ax, y0 + ay), (x1 + ax, y1 + ay), (x1 - ax, y1 - ay), (x0 - ax, y0 - ay)), content)

    def wipe(self, ring: Sequence[Point], content: str) -> None:
        """Hide what lies beneath a polygon."""
        entity = self.space.add_wipeout(self.plane.places(ring))
        entity.dxf.layer = self.layer(content)  # the library puts it on layer 0, whatever it is told

    def _area(self, area: Area, mark: Mark) -> None:
        """Fill first, then outline: the fill of a polygon must not cover its own outline."""
        for polygon in area.polygons:
            fill = self._fill(polygon, area.fill, mark) if area.fill is not None else None
            if area.pen is not None:
                content = content_of(mark, Area(polygons=(), pen=area.pen))
                handles = self._rings(polygon, content, area.pen)
            elif fill is not None:
                handles = self._rings(polygon, _edge_of(fill.dxf.layer.removeprefix(f"{self.discipline}-")))
            if fill is not None:
                self._associate(fill, handles)

    def _fill(self, polygon: Polygon, fill: Tone, mark: Mark) -> HatchEntity | None:
        if fill is Tone.PAPER:
            self.wipe(polygon[0], _plain(mark))
            return None
        return self._bounded(polygon, content_of(mark, Area(polygons=(), fill=fill)))

    def _rings(self, polygon: Polygon, content: str, pen: Pen | None = None) -> list[str]:
        return [self._polyline(ring, content, closed=True, pen=pen) for ring in polygon]

    def _bounded(self, polygon: Polygon, content: str) -> HatchEntity:
        """A solid hatch in a polygon, on the layer of its kind."""
        entity = self.space.add_hatch(color=256, dxfattribs={"layer": self.layer(content)})
        flags = BOUNDARY_PATH_EXTERNAL
        for ring in polygon:
            entity.paths.add_polyline_path(self.plane.places(ring[:-1]), is_closed=True, flags=flags)
            flags = BOUNDARY_PATH_OUTERMOST
        return entity

    def _associate(self, entity: HatchEntity, handles: Iterable[str]) -> None:
        """Tie the borders of a hatch to their polylines: who moves one moves the other."""
        assert entity.doc is not None
        for path, handle in zip(entity.paths, handles, strict=True):
            entity.associate(path, [entity.doc.entitydb[handle]])

    def words(  # noqa: D417 - the others are said by their names
        self,
        text: str,
        at: Point,
        content: str,
        *,
        cap_mm: float = 2.5,
        hold: MTextEntityAlignment = MTextEntityAlignment.TOP_LEFT,
        width_mm: float = 0.0,
    ) -> None:
        """Put a paragraph of plain words.

        Args:
            hold: Which corner, edge or middle of the paragraph lies at the point.
            width_mm: Width on paper that lines are broken at; 0: never.
        """
        look = {
            "layer": self.layer(content),
            "style": self.layer("TEXT"),
            "char_height": cap_mm * self.plane.unit,
            "attachment_point": hold.value,
            "insert": self.plane.place(at),
        }
        if width_mm:
            look["width"] = width_mm * self.plane.unit
        self.space.add_mtext(paragraph(text), dxfattribs=look)

    def hatch(self, families: Sequence[Hatch], content: str) -> None:
        """Put families of parallel lines into their common polygons."""
        for polygon in families[0].polygons:
            entity = self._bounded(polygon, content)
            entity.set_pattern_fill(
                "_USER",
                color=256,
                double=int(len(families) > 1),
                pattern_type=0,
                definition=[self._family(family, polygon[0]) for family in families],
            )
            # what a program draws them with again when someone edits the hatch
            entity.dxf.pattern_angle = self.plane.turn_deg(_along(families[0])) % 180
            entity.dxf.pattern_scale = families[0].gap_m * self.plane.units_per_m
            self._associate(entity, self._rings(polygon, "ZONE-EDGE"))

    def _family(self, family: Hatch, ring: Ring) -> list[object]:
        """A line family that runs through the origin of the site plane, started near the polygon."""
        along = _along(family)
        across = (-along[1], along[0])
        (x, y), gap = ring[0], family.gap_m
        t, k = x * along[0] + y * along[1], floor((x * across[0] + y * across[1]) / gap) * gap
        base = self.plane.place((along[0] * t + across[0] * k, along[1] * t + across[1] * k))
        drawn = radians(self.plane.turn_deg(along))
        step = gap * self.plane.units_per_m
        return [self.plane.turn_deg(along), base, (-sin(drawn) * step, cos(drawn) * step), []]

    def _disc(self, disc: Disc, mark: Mark) -> None:
        content = _plain(mark)
        if disc.fill is not None and disc.fill is not Tone.PAPER:
            self._fill_disc(disc, content)
            return
        if disc.fill is Tone.PAPER:
            self.wipe(_ring_round(disc), content)
        if disc.pen is not None:
            radius = disc.radius_m * self.plane.units_per_m
            self.space.add_circle(self.plane.place(disc.centre), radius, dxfattribs={"layer": self.layer(content)})

    def _fill_disc(self, disc: Disc, content: str) -> None:
        """A fill tied to its border, a polyline of two half circles: out of sight where the disc has no outline."""
        (x, y), radius = self.plane.place(disc.centre), disc.radius_m * self.plane.units_per_m
        entity = self.space.add_hatch(color=256, dxfattribs={"layer": self.layer(content)})
        halves = [(x - radius, y, 1.0), (x + radius, y, 1.0)]
        entity.paths.add_polyline_path(halves, is_closed=True, flags=BOUNDARY_PATH_EXTERNAL)
        look = {"layer": self.layer(content if disc.pen is not None else "ZONE-EDGE")}
        border = self.space.add_lwpolyline(halves, format="xyb", close=True, dxfattribs=look)
        self._associate(entity, [border.dxf.handle])


def _along(family: Hatch) -> Point:
    """Unit vector along the lines of a hatch, in the site plane."""
    turn = radians(family.turn_deg)
    return cos(turn), sin(turn)


def _ring_round(disc: Disc) -> tuple[Point, ...]:
    (x, y), radius = disc.centre, disc.radius_m
    turns = [2 * pi * k / _CORNERS for k in range(_CORNERS)]
    return tuple((x + radius * cos(turn), y + radius * sin(turn)) for turn in turns)
