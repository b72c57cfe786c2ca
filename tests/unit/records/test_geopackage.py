"""Geometries and times as a GeoPackage holds them."""

from __future__ import annotations

import struct
from datetime import datetime, timedelta, timezone

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from leakmap.records.geopackage import blob_of, box_of, box_round, moment_text, points_of

NUMBERS = st.floats(-1e12, 1e12)
POINTS = st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=6)


@given(POINTS)
def test_a_geometry_comes_back_bit_for_bit(points: list[tuple[float, float]]) -> None:
    """Points survive to the last bit but for the sign of a zero."""
    plain = [(x + 0.0, y + 0.0) for x, y in points]
    assert struct.pack(f"<{2 * len(points)}d", *sum(points_of(blob_of(points)), ())) == struct.pack(
        f"<{2 * len(points)}d", *sum(plain, ())
    )


@given(POINTS)
def test_the_body_is_what_another_library_reads(points: list[tuple[float, float]]) -> None:
    """After the header stands well-known binary that shapely reads as the same course, with the same box."""
    blob = blob_of(points)
    shape = shapely.from_wkb(blob[8 if len(points) == 1 else 40 :])
    assert shape.geom_type == ("Point" if len(points) == 1 else "LineString")
    assert [tuple(point) for point in shapely.get_coordinates(shape).tolist()] == points
    assert box_of(blob[:40]) == shape.bounds


def test_the_header_is_that_of_the_standard() -> None:
    """GP, version 0, little-endian with a box of x and y, and reference system -1 (clause 2.1.3)."""
    assert blob_of([(1.0, 2.0), (4.0, 0.0)])[:40] == b"GP\x00\x03" + struct.pack("<i4d", -1, 1.0, 4.0, 0.0, 2.0)
    assert blob_of([(1.0, 2.0)])[:8] == b"GP\x00\x01" + struct.pack("<i", -1)


LINE = blob_of([(1.0, 2.0), (4.0, 0.0)])


@pytest.mark.parametrize(
    ("blob", "why"),
    [
        (None, "missing"),
        ("GP", "missing"),
        (b"", "cut short"),
        (LINE[:30], "cut short"),
        (LINE[:-1], "cut short"),
        (LINE + b"\x00", "wrong"),
        (b"XX" + LINE[2:], "does not start"),
        (LINE[:2] + b"\x01" + LINE[3:], "does not start"),
        (LINE[:3] + b"\x05" + LINE[4:], "flags"),
        (LINE[:4] + struct.pack("<i", 4326) + LINE[8:], "reference system 4326"),
        (LINE[:8] + struct.pack("<d", 0.5) + LINE[16:], "box"),
        (LINE[:41] + struct.pack("<I", 3) + LINE[45:], "wrong"),
        (blob_of([(1.0, 2.0)])[:-3], "cut short"),
    ],
)
def test_a_broken_geometry_is_refused(blob: object, why: str) -> None:
    """A geometry whose header, box, kind or size is wrong is refused, and the reason said."""
    with pytest.raises(ValueError, match=why):
        points_of(blob)


def test_a_box_of_what_is_cut_short_is_refused() -> None:
    """No box is made up for a geometry that has none."""
    with pytest.raises(ValueError, match="cut short"):
        box_of(LINE[:12])
    with pytest.raises(ValueError, match="cut short"):
        box_of(b"")


def test_a_box_round_boxes_holds_all_of_them() -> None:
    """The box round some boxes is the smallest that holds them; round none there is none."""
    assert box_round([(0, 5, 1, 6), (-1, 5.5, 0.5, 9)]) == (-1, 5, 1, 9)
    assert box_round([]) is None


def test_a_time_is_written_in_utc_with_milliseconds() -> None:
    """Requirement 15: a time ends in Z and has three decimals, cut and not rounded up into the next second."""
    at = datetime(2026, 1, 1, 1, 0, 0, 999_999, tzinfo=timezone(timedelta(hours=2)))
    assert moment_text(at) == "2025-12-31T23:00:00.999Z"
