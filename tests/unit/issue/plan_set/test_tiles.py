"""Paper, scale, parts of a level and details."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import pytest

from leakmap.geometry.boxes import box_round, corners_of, holds, meet, size_of, widened
from leakmap.issue.plan_set.crowded import AROUND_MM, clusters, details, letters
from leakmap.issue.plan_set.paper import Paper, allowed, both_ways, frame_fields
from leakmap.issue.plan_set.tiles import Tile, fits, parting
from leakmap.issue.schedule_pdf.paper import SHEETS_MM

BAND_M = 0.325


def test_frame_fields_are_those_of_iso_5457() -> None:
    """Fields along the long and the short side: A0 24/16, A1 16/12, A2 12/8, A3 8/6, A4 6/4; no I and no O.

    The counts are of a table in a drawing course (read at second hand, design notes of the project).
    """
    counts = {"A0": (24, 16), "A1": (16, 12), "A2": (12, 8), "A3": (8, 6)}
    for name, expected in counts.items():
        across, down = frame_fields(both_ways(name, SHEETS_MM[name])[0])
        assert (len(across), len(down)) == expected
        assert {"I", "O"}.isdisjoint(field.name for field in down)
        assert across[0].name == "1"
        assert down[0].to_mm == both_ways(name, SHEETS_MM[name])[0].frame_mm[3]
    standing = frame_fields(both_ways("A4", SHEETS_MM["A4"])[1])
    assert [len(fields) for fields in standing] == [4, 6]


def test_drawing_space_is_that_of_iso_5457() -> None:
    """A0 821 × 1159, A1 574 × 811, A2 400 × 564, A3 277 × 390, A4 180 × 277 mm (from memory, filing edge on the left)."""
    spaces = {"A0": (1159, 821), "A1": (811, 574), "A2": (564, 400), "A3": (390, 277)}
    for name, (wide, high) in spaces.items():
        left, bottom, right, top = both_ways(name, SHEETS_MM[name])[0].frame_mm
        assert (right - left, top - bottom) == (wide, high)
    left, bottom, right, top = both_ways("A4", SHEETS_MM["A4"])[1].frame_mm
    assert (right - left, top - bottom) == (180, 277)


def test_us_offices_get_us_sheets() -> None:
    """ARCH D is 24 by 36 in, ANSI B 11 by 17 in (from memory); the series of the largest sheet is kept."""
    assert allowed("ARCH D")["ARCH D"] == pytest.approx((609.6, 914.4))
    assert allowed("ANSI B")["ANSI B"] == pytest.approx((279.4, 431.8))
    small = parting((0, 0, 15, 9), (0, 0, 15, 9), [], largest="ARCH D", band_m=BAND_M)
    assert small.paper.name.startswith("ARCH")


def test_a_level_that_fits_is_one_sheet_at_the_largest_scale() -> None:
    """32 by 22 m: 1:50 on A1, and the next larger scale of the series fits on no A1."""
    found = parting((0, 0, 32, 22), (0, 0, 32, 22), [], largest="A1", band_m=BAND_M)
    assert (found.scale, found.general, len(found.tiles)) == (50, None, 1)
    assert not any(fits(paper, 20, (32, 22)) for paper in both_ways("A1", SHEETS_MM["A1"]))


def test_whatever_must_be_seen_whole_lies_whole_on_a_part_or_on_the_general_plan() -> None:
    """On 150 random levels: each zone lies whole on a part, or is larger than a quarter of one; parts fit their sheet."""
    rng = np.random.default_rng(3)
    parted = 0
    for _ in range(150):
        level = (0.0, 0.0, *rng.uniform(20, 400, 2))
        low = rng.uniform((0, 0), level[2:], (20, 2))
        high = np.minimum(low + rng.exponential(4, (20, 2)), level[2:])
        zones = [tuple(box) for box in np.hstack((low, high)).tolist()]
        found = parting(level, level, zones, largest=str(rng.choice(["A3", "A1", "ARCH D"])), band_m=BAND_M)
        room = [each * found.scale / 1000 for each in found.paper.room_mm]
        for tile in found.tiles:
            on_paper = [side * 1000 / found.scale for side in size_of(tile.box)]
            assert all(side <= most + 12.0 + 1e-6 for side, most in zip(on_paper, found.paper.room_mm, strict=True))
        for zone in zones:
            large = any(side > room[axis] / 4 for axis, side in enumerate(size_of(zone)))
            assert any(holds(tile.box, zone) for tile in found.tiles) or (large and found.general is not None)
        if found.general is not None:
            parted += 1
            assert fits(*found.general, size_of(level))
            assert BAND_M * 1000 / found.scale >= 2.25 or len(found.tiles) <= 60
            columns = 1 + max(tile.column for tile in found.tiles)
            assert len(found.across_m) == columns - 1
            for number, x in enumerate(found.across_m):
                left, right = (found.tiles[number + step].box for step in (0, 1))
                assert right[0] < x < left[2]
            cells = [found.cell(tile) for tile in found.tiles]
            assert not any(meet(widened(one, -1e-6), other) for one, other in combinations(cells, 2))
            assert all(holds(widened(tile.box, 1e-6), cell) for tile, cell in zip(found.tiles, cells, strict=True))
            assert sum(w * h for w, h in map(size_of, cells)) == pytest.approx(area_round(found.tiles))
    assert parted > 50


def area_round(tiles: Sequence[Tile]) -> float:
    """Area of the box round parts."""
    wide, high = size_of(box_round(corner for tile in tiles for corner in corners_of(tile.box)) or (0, 0, 0, 0))
    return wide * high


def test_a_level_without_joints_or_of_many_kilometres_is_not_parted_without_end() -> None:
    """Nothing marked needs no parts; a drawing in a wrong unit gives a smaller scale and at most 60 parts."""
    huge = (0.0, 0.0, 90_000.0, 90_000.0)
    assert parting(huge, None, [], largest="A1", band_m=BAND_M).general is None
    assert len(parting(huge, huge, [], largest="A1", band_m=BAND_M).tiles) <= 60
    near = parting(huge, (10.0, 10.0, 50.0, 30.0), [], largest="A1", band_m=BAND_M)
    assert (near.scale, len(near.tiles)) == (100, 1)


def test_details_hold_every_crowded_place_apart_from_each_other_and_inside_the_field() -> None:
    """On 80 random levels: each place lies in a detail; frames on one sheet do not meet; scales are 2 to 5 times larger."""
    rng = np.random.default_rng(9)
    paper = Paper("A3", 420, 297)
    for _ in range(80):
        low = rng.uniform(0, 40, (rng.integers(1, 14), 2))
        places = [tuple(box) for box in np.hstack((low, low + rng.uniform(0, 1.5, low.shape))).tolist()]
        found = details(places, paper, 100, letters())
        left, bottom, right, top = paper.field_mm
        for place in places:
            assert any(meet(detail.box, place) for detail in found)
        for detail in found:
            assert detail.scale in {20, 50}
            assert holds((left, bottom, right, top), detail.at_mm)
            assert size_of(detail.at_mm) == pytest.approx([side * 1000 / detail.scale for side in size_of(detail.box)])
        for one, other in combinations(found, 2):
            assert one.page != other.page or not meet(one.at_mm, other.at_mm)
        assert [detail.letter for detail in found] == [name for name, _ in zip(letters(), found, strict=False)]


def test_clusters_are_apart_and_hold_their_places() -> None:
    """Two places 1 m apart share a cluster when each is widened by 0.8 m; a far one has its own."""
    around = AROUND_MM * 100 / 1000
    found = clusters([(0, 0, 0, 0), (1, 0, 1, 0), (9, 0, 9, 0)], around)
    assert found == [(-0.8, -0.8, 1.8, 0.8), (8.2, -0.8, 9.8, 0.8)]
