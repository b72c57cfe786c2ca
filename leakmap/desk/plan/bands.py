"""How a repair zone is drawn: its band with the parts told apart, and its relief points.

A zone's outline and parts are kept from zoom to zoom as long as nothing of them depends on it: a band that is
shown true to scale is worked out once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import Drawn, box_of, off, widened
from leakmap.desk.things import Sort, Thing
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.course import GRID_M, Course, polygons
from leakmap.issue.marks.plan import shown_pieces, zone_anchors
from leakmap.issue.marks.primitives import Coat, Primitive, on_site
from leakmap.issue.marks.signs import Staff, relief_sign
from leakmap.issue.marks.zones import ShownPiece, band_marks, outline_of, regions
from leakmap.model.rules import Rules
from leakmap.repair.results import Zone

_Coats = list[tuple[Coat, tuple[Primitive, ...]]]


@dataclass(slots=True)
class _Shaped:
    """Outline of a zone in plan, or on one staff, and what each piece takes of it.

    Attributes:
        staff: The vertical joint whose staff it lies on; None for the plan.
        parts: Where parts are not hatched, the wet ones alone, as one.
    """

    staff: UUID | None
    outline: BaseGeometry
    pieces: list[ShownPiece]
    parts: list[tuple[ShownPiece, BaseGeometry]]


@dataclass(slots=True)
class Lines:
    """Where joints of a level are shown.

    Attributes:
        courses: In plan, by joint.
        staffs: Of vertical joints, where one shows.
        on_staffs: Courses up the staffs.
    """

    courses: dict[UUID, Course]
    staffs: Mapping[UUID, Staff]
    on_staffs: dict[UUID, Course]

    def of(self, joint: UUID) -> Course | None:
        """The line that stands for a joint; None where none does."""
        return self.on_staffs.get(joint) or self.courses.get(joint)


class Bands:
    """Draws the zones of one level."""

    def __init__(self, sheet: UUID) -> None:
        self._sheet = sheet
        self._lines = Lines({}, {}, {})
        self._tree: shapely.STRtree | None = None
        self._shaped: dict[int, tuple[tuple[Any, ...], list[_Shaped]]] = {}

    def take(self, lines: Lines) -> None:
        """Take what joints are shown along from now on."""
        if lines.courses is not self._lines.courses:
            self._tree = None
        self._lines = lines

    def drawn(self, zone: Zone, rules: Rules, detail: Detail) -> Drawn:
        """One zone at one zoom."""
        coats: _Coats = []
        shaped = self._shapes(zone, rules, detail)
        for shape in shaped:
            marks = band_marks(
                zone.ref, shape.outline, shape.pieces, detail.scale, provisional=zone.provisional, parts=shape.parts
            )
            lowest = Coat.TINT if shape.staff is None else Coat.BAND  # a staff's tint goes over its frame
            coats += [(max(mark.coat, lowest), mark.primitives) for mark in marks]
        signs, solid = self._reliefs(zone, detail.scale)
        bounds = shapely.total_bounds([shape.outline for shape in shaped]).tolist()
        return Drawn(
            thing=Thing(Sort.ZONE, zone.number),
            coats=(*coats, *signs),
            box=widened(bounds, on_site(8.0, detail.scale)),
            band=tuple(polygon for shape in shaped for polygon in polygons(shape.outline)),
            anchors=_anchors({shape.staff: shape.pieces for shape in shaped}),
            words=f"{zone.ref} provisional" if zone.provisional else zone.ref,
            solid=solid,
        )

    def _shapes(self, zone: Zone, rules: Rules, detail: Detail) -> list[_Shaped]:
        half = max(rules.band_m, detail.least_band_m) / 2
        lines = self._lines
        shown = shown_pieces(zone, rules, lines.courses, lines.staffs, half_m=half, scale=detail.scale)
        source = (zone, half, detail.hatches, *(piece.course for pieces in shown.values() for piece in pieces))
        held = self._shaped.get(zone.number)
        if held is not None and held[0] == source:
            return held[1]
        true_to_scale = rules.band_m >= 2 * half
        bands = [band for band in zone.bands if band.sheet == self._sheet] if true_to_scale else []
        found = []
        for key, pieces in shown.items():
            outline = outline_of(pieces, bands if key is None else ())
            parts = regions(outline, pieces) if detail.hatches else _wet(pieces)
            found.append(_Shaped(key, outline, pieces, parts))
        self._shaped[zone.number] = (source, found)
        return found

    def _reliefs(self, zone: Zone, scale: float) -> tuple[_Coats, tuple[Box, ...]]:
        signs: _Coats = []
        solid: list[Box] = []
        for relief in zone.relief:
            line = self._lines.of(relief.joint)
            if line is None:
                continue
            at, (dx, dy) = line.point_at(relief.at_m), line.direction_at(relief.at_m)
            sign = relief_sign(at, self._free_side(at, (-dy, dx), scale), scale)
            signs.append((Coat.RELIEF, sign))
            solid += [box_of(part) for part in sign]
        return signs, tuple(solid)

    def _free_side(self, at: Point, across: Point, scale: float) -> Point:
        """The side of a joint at which the stem of a relief point crosses no other joint; else the left."""
        start, reach = on_site(0.2, scale), on_site(5.0, scale)
        ends = [[off(at, across, side * start), off(at, across, side * reach)] for side in (1, -1)]
        if self._tree is None:
            courses = self._lines.courses.values()
            self._tree = shapely.STRtree([shapely.LineString(course.path.corners) for course in courses])
        stems, _ = self._tree.query(shapely.linestrings(ends), predicate="intersects")
        side = 1 if (stems == 0).sum() <= (stems == 1).sum() else -1
        return side * across[0], side * across[1]


def _wet(pieces: list[ShownPiece]) -> list[tuple[ShownPiece, BaseGeometry]]:
    """What the wet pieces take together, as a part of the first of them."""
    wet = [piece for piece in pieces if piece.wet]
    if not wet:
        return []
    strips = [piece.strip() for piece in wet]
    return [(wet[0], strips[0] if len(strips) == 1 else shapely.union_all(strips, grid_size=GRID_M))]


def _anchors(shown: Mapping[UUID | None, list[ShownPiece]]) -> tuple[Point, ...]:
    """Points beside its longest pieces in plan, then beside those on staffs."""
    on_staffs = [point for key, pieces in shown.items() if key is not None for point in zone_anchors(pieces)]
    return (*zone_anchors(shown.get(None, []))[:6], *on_staffs[:4])
