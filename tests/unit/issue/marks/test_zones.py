"""Bands of zones: true to scale, parts told apart, nothing twice."""

from __future__ import annotations

import pytest
import shapely

from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.course import Course, shape_of, strip
from leakmap.issue.marks.primitives import Area, Coat, Hatch, Mark, on_site
from leakmap.issue.marks.zones import (
    LEAST_BAND_MM,
    PROVISIONAL_PEN,
    ShownPiece,
    band_marks,
    half_band_m,
    outline_of,
    regions,
)
from leakmap.model.words import Wetness
from leakmap.repair.results import Band, Piece, Why
from tests.helpers.hand_made import made_id

HALF = 0.1625


def shown(
    points: tuple[Point, ...], from_m: float, to_m: float, why: Why, wetness: Wetness | None = None
) -> ShownPiece:
    """A piece along a line."""
    piece = Piece(joint=made_id("j"), from_m=from_m, to_m=to_m, why=why, wetness=wetness, leaks=())
    return ShownPiece(piece, Course(Path(points)), HALF)


LINE: tuple[Point, ...] = ((0, 0), (5, 0))
PIECES = [
    shown(LINE, 0.7, 1.0, Why.OVERRUN),
    shown(LINE, 1.0, 2.0, Why.LEAK, Wetness.DRIP),
    shown(LINE, 2.0, 2.2, Why.MERGED),
    shown(LINE, 2.2, 2.5, Why.BRIDGE),
    shown(LINE, 2.5, 3.0, Why.LEAK, Wetness.SUSPECT),
]


def test_a_band_is_as_wide_as_the_coat_until_it_cannot_be_seen() -> None:
    """At 1:100 the band of 0.325 m is 3.25 mm; at 1:200 it would be 1.6 mm and is drawn 2.25 mm."""
    assert half_band_m(0.325, 100) * 2 == pytest.approx(0.325)
    assert half_band_m(0.325, 200) * 2 == pytest.approx(on_site(LEAST_BAND_MM, 200))


def test_the_outline_is_the_band_where_the_work_out_gives_one() -> None:
    """A band with only the room's half is drawn as it is."""
    half = ((0.7, 0.0), (3.0, 0.0), (3.0, HALF), (0.7, HALF), (0.7, 0.0))
    band = Band(sheet=made_id("s"), face="floor", rings=((half,),))  # type: ignore[arg-type]
    assert outline_of(PIECES, [band]).area == pytest.approx(2.3 * HALF)


def test_pieces_without_a_band_are_outlined_by_their_own_strips() -> None:
    """Pieces end to end make one outline without a seam."""
    outline = outline_of(PIECES, [])
    assert outline.area == pytest.approx(2.3 * 2 * HALF)
    assert outline.geom_type == "Polygon"


def test_regions_share_out_the_whole_outline_and_nothing_twice() -> None:
    """Also round an L of two pieces that meet end to end, where strips leave a corner."""
    corner = [shown(((0, 0), (2, 0)), 0, 2, Why.OVERRUN), shown(((2, 0), (2, 2)), 0, 1, Why.LEAK, Wetness.RUN)]
    for pieces in (PIECES, corner):
        outline = outline_of(pieces, [])
        areas = [area for _, area in regions(outline, pieces)]
        assert sum(area.area for area in areas) == pytest.approx(outline.area, rel=1e-6)
        assert shapely.union_all(areas, grid_size=1e-6).area == pytest.approx(outline.area, rel=1e-6)


def test_leaks_close_together_on_a_skew_piece_are_told_apart() -> None:
    """Where a strip's edge lies along the outline's but for the last bits, nothing but areas is left for the next piece.

    Sixty short leaks along a joint that runs 7.6° off level; a line that one left was refused at the next.
    """
    skew: tuple[Point, ...] = ((14.4, 10.8), (15.9, 10.6))
    length = Path(skew).length_m
    pieces = [shown(skew, 0.0, length, Why.OVERRUN)]
    for each in range(60):
        at = length * each / 60
        pieces.append(shown(skew, at, at + 0.013, Why.LEAK, Wetness.DRIP))
    outline = outline_of(pieces[:1], [])
    areas = [area for _, area in regions(outline, pieces)]
    assert sum(area.area for area in areas) == pytest.approx(outline.area, rel=1e-3)
    assert {area.geom_type for area in areas} <= {"Polygon", "MultiPolygon"}


def test_a_wet_part_goes_before_an_overrun_that_crosses_it() -> None:
    """At a T the wet joint keeps its full width; the arm's overrun starts beside it."""
    wet = shown(((-2, 0), (2, 0)), 0, 4, Why.LEAK, Wetness.DRIP)
    arm = shown(((0, 0), (0, 2)), 0, 0.4, Why.OVERRUN)
    areas = {piece.part: area for piece, area in regions(outline_of([wet, arm], []), [wet, arm])}
    assert areas["wet"].area == pytest.approx(4 * 2 * HALF)
    assert areas["overrun"].area == pytest.approx((0.4 - HALF) * 2 * HALF)


def hatches(marks: list[Mark], part: str) -> list[float]:
    """Turns of the hatches of a part."""
    return sorted(
        item.turn_deg for mark in marks if mark.part == part for item in mark.primitives if isinstance(item, Hatch)
    )


def test_parts_are_told_apart_without_colour() -> None:
    """Overrun one diagonal, merged two, bridged along and across, wet a tint alone, suspect neither."""
    marks = band_marks("Z-01", outline_of(PIECES, []), PIECES, 100)
    assert hatches(marks, "overrun") == [45]
    assert hatches(marks, "merged") == [45, 135]
    assert hatches(marks, "bridge") == [0, 90]
    wet = [mark for mark in marks if mark.part == "wet"]
    assert [mark.coat for mark in wet] == [Coat.TINT]
    assert not [mark for mark in marks if mark.part == "suspect"]


def test_hatch_turns_with_the_joint() -> None:
    """On a joint at 45° the overrun's diagonal stands upright, so it never runs along the joint."""
    pieces = [shown(((0, 0), (3, 3)), 0, 1, Why.OVERRUN)]
    assert hatches(band_marks("Z-01", outline_of(pieces, []), pieces, 100), "overrun") == pytest.approx([90])


def test_a_provisional_zone_has_a_dashed_outline() -> None:
    """Provisional shows in black and white."""
    marks = band_marks("Z-01", outline_of(PIECES, []), PIECES, 100, provisional=True)
    pens = [item.pen for mark in marks if mark.part == "outline" for item in mark.primitives if isinstance(item, Area)]
    assert pens == [PROVISIONAL_PEN]


def test_round_a_pipe_only_the_outside_is_coated() -> None:
    """The band of a collar starts at the pipe's wall: a ring of 0.5 m outside 0.15 m wide."""
    ring = Path(tuple((0.25 * x, 0.25 * y) for x, y in [(0, 1), (1, 0), (0, -1), (-1, 0)]), closed=True)
    piece = Piece(joint=made_id("j"), from_m=0, to_m=ring.length_m, why=Why.OVERRUN, wetness=None, leaks=())
    collar = ShownPiece(piece, Course(ring, 1.0, collar=True), 0.15)
    outline = outline_of([collar], [])
    assert outline.intersection(shapely.Polygon(ring.corners)).area == pytest.approx(0, abs=1e-9)
    assert shape_of(()).is_empty
    assert strip(ring.corners, 0.15).area > outline.area
