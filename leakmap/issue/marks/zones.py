"""Repair zones: the coat band true to scale, its parts told apart by hatching.

Wet part: plain tint. Overrun: one diagonal. Merged (overruns that lie over each other): both
diagonals. Bridged gap: lines along and across. Suspect part: tint without the wet part's depth. Hatch
lines turn with the joint. The outline of a provisional zone is dashed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.geometry.bands import areal
from leakmap.geometry.path import Point
from leakmap.issue.marks.course import GRID_M, Course, hatch_lines, heading_deg, polygons, shape_of, strip
from leakmap.issue.marks.primitives import Area, Coat, Hatch, Mark, Pen, Primitive, Tone, What, on_site
from leakmap.model.words import Wetness
from leakmap.repair.results import Band, Piece, Why

LEAST_BAND_MM: Final = 2.25
"""Least width of a band on paper; a band that would be narrower is drawn this wide."""

HATCH_GAP_MM: Final = 1.15
HATCH_PEN: Final = Pen(Tone.REPAIR, 0.18)
OUTLINE_PEN: Final = Pen(Tone.REPAIR, 0.35)
PROVISIONAL_PEN: Final = Pen(Tone.REPAIR, 0.35, (2.0, 1.0))

TURNS: Final = {Why.OVERRUN: (45.0,), Why.MERGED: (45.0, 135.0), Why.BRIDGE: (0.0, 90.0)}
"""Turn of the hatch lines against the joint, by the reason of a piece."""

_RANK: Final = {Why.LEAK: 0, Why.MERGED: 1, Why.BRIDGE: 2, Why.OVERRUN: 3}
_TOUCH_M: Final = 1e-3


@dataclass(frozen=True, slots=True)
class ShownPiece:
    """A piece of a zone with the line that it is shown along.

    Attributes:
        half_m: Half of the width that it is shown with.
    """

    piece: Piece
    course: Course
    half_m: float

    @property
    def points(self) -> tuple[Point, ...]:
        """Its line on the site plane."""
        return self.course.part(self.piece.from_m, self.piece.to_m)

    @property
    def wet(self) -> bool:
        """Whether it is wet: a leak of wetness 1 or more."""
        return self.piece.why is Why.LEAK and self.piece.wetness is not None and self.piece.wetness > Wetness.SUSPECT

    @property
    def part(self) -> str:
        """The word for its look: wet, suspect, overrun, merged, bridge."""
        if self.piece.why is Why.LEAK:
            return "wet" if self.wet else "suspect"
        return str(self.piece.why)

    def strip(self) -> BaseGeometry:
        """Its strip; round a pipe collar only what lies outside the pipe."""
        if not self.course.collar:
            return strip(self.points, self.half_m)
        pipe = shapely.Polygon(self.course.path.corners)
        whole = strip(self.points, self.half_m) if self.points[0] != self.points[-1] else pipe.buffer(self.half_m)
        return shapely.difference(whole, pipe, grid_size=GRID_M)


def half_band_m(band_m: float, scale: float) -> float:
    """Half of the width that a band is shown with at 1:``scale``."""
    return max(band_m, on_site(LEAST_BAND_MM, scale)) / 2


def outline_of(shown: Iterable[ShownPiece], bands: Iterable[Band]) -> BaseGeometry:
    """The outline of a zone on one sheet: its bands, and strips of pieces that no band shows."""
    rings = [polygon for band in bands for polygon in band.rings]
    given = shape_of(rings)
    alone = [piece for piece in shown if not (rings and _held(given, piece))]
    lines = [shapely.linestrings(piece.points) for piece in alone if not piece.course.collar]
    merged = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines))).tolist() if lines else []
    half = max((piece.half_m for piece in alone), default=0.0)
    strips = [strip([(float(x), float(y)) for x, y in line.coords], half) for line in merged]
    strips += [piece.strip() for piece in alone if piece.course.collar]
    if len(strips) == 1 and not rings:
        return strips[0]
    return areal(shapely.union_all([given, *strips], grid_size=GRID_M))


def _held(given: BaseGeometry, piece: ShownPiece) -> bool:
    middle = shapely.Point(piece.course.point_at((piece.piece.from_m + piece.piece.to_m) / 2))
    return piece.course.share == 1.0 and shapely.distance(given, middle) <= _TOUCH_M


def regions(outline: BaseGeometry, shown: Iterable[ShownPiece]) -> list[tuple[ShownPiece, BaseGeometry]]:
    """What each piece takes of the outline, disjoint: wet before merged before bridged before overrun.

    Corners that no strip reaches go to a piece beside them.
    """
    taken: list[tuple[ShownPiece, BaseGeometry]] = []
    rest = outline
    for piece in sorted(shown, key=lambda item: _RANK[item.piece.why]):
        area = piece.strip()
        taken.append((piece, areal(shapely.intersection(rest, area, grid_size=GRID_M))))
        rest = areal(shapely.difference(rest, area, grid_size=GRID_M))
    for corner in shapely.get_parts(rest).tolist():
        beside = [index for index, (_, area) in enumerate(taken) if shapely.distance(area, corner) <= _TOUCH_M]
        if beside:
            piece, area = taken[beside[-1]]
            taken[beside[-1]] = (piece, areal(shapely.union_all([area, corner], grid_size=GRID_M)))
    return taken


def band_marks(
    ref: str,
    outline: BaseGeometry,
    shown: Iterable[ShownPiece],
    scale: float,
    *,
    provisional: bool = False,
    parts: Iterable[tuple[ShownPiece, BaseGeometry]] | None = None,
) -> list[Mark]:
    """A zone's tints, hatches and outline on one sheet, or on one staff.

    ``parts`` gives what each piece takes, where it is known; else ``regions`` finds it.
    """
    if outline.is_empty:
        return []
    tint = Area(polygons=polygons(outline), fill=Tone.BAND)
    marks = [Mark(what=What.ZONE, ref=ref, item=None, coat=Coat.TINT, primitives=(tint,), part="band")]
    for piece, area in regions(outline, shown) if parts is None else parts:
        marks += _piece_marks(ref, piece, area, scale)
    pen = PROVISIONAL_PEN if provisional else OUTLINE_PEN
    edge = Area(polygons=polygons(outline), pen=pen)
    marks.append(Mark(what=What.ZONE, ref=ref, item=None, coat=Coat.BAND, primitives=(edge,), part="outline"))
    return marks


def _piece_marks(ref: str, piece: ShownPiece, area: BaseGeometry, scale: float) -> list[Mark]:
    shape = polygons(area)
    if not shape:
        return []
    found: tuple[Primitive, ...]
    if piece.wet:
        found, coat = (Area(polygons=shape, fill=Tone.WET_BAND),), Coat.TINT
    else:
        along, gap = heading_deg(piece.points), on_site(HATCH_GAP_MM, scale)
        turns = [(along + turn) % 180 for turn in TURNS.get(piece.piece.why, ())]
        found = tuple(
            Hatch(polygons=shape, lines=hatch_lines(area, turn, gap), turn_deg=turn, gap_m=gap, pen=HATCH_PEN)
            for turn in turns
        )
        coat = Coat.BAND
    if not found:
        return []
    return [Mark(what=What.ZONE, ref=ref, item=None, coat=coat, primitives=found, part=piece.part)]
