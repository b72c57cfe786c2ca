"""Courses of joints as well-known text."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.geometry.path import Path
from leakmap.records.tables.courses import course_of, wkt_of

COORDINATE = st.floats(-1e7, 1e7)
POINTS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=3, max_size=6, unique=True)


def usable(points: list[tuple[float, float]], *, closed: bool) -> Path | None:
    """A path of the points, or None where two of them are so near that it has no course."""
    try:
        return Path(tuple(points), closed)
    except BadValue:
        return None


@given(POINTS, st.booleans())
def test_lines_are_read_back_to_the_last_bit(points: list[tuple[float, float]], closed: bool) -> None:  # noqa: FBT001 - a strategy fills it
    """A line, open or closed, is equal after writing and reading; the text is what another library reads too."""
    path = usable(points, closed=closed)
    if path is not None:
        assert course_of(wkt_of(path)) == path
        assert shapely.from_wkt(wkt_of(path)).is_closed == closed


def test_points_and_heights() -> None:
    """A point is read as a point; a third coordinate is left out."""
    assert course_of("POINT (1 2.5)") == (1.0, 2.5)
    assert course_of("linestring z (0 0 9, 1 0 9)") == Path(((0.0, 0.0), (1.0, 0.0)))


@pytest.mark.parametrize(
    "text",
    [
        "LINESTRING (0,5 0,5, 1,5 0,5)",
        "POLYGON ((0 0, 1 0, 1 1, 0 0))",
        "MULTILINESTRING ((0 0, 1 0))",
        "LINESTRING EMPTY",
        "LINESTRING (0 0)",
        "LINESTRING (0 0, 0 0)",
        "LINESTRING (0 0, 1 0, 0 0)",
        "LINESTRING (0 0, nan 1)",
        "0 0, 1 0",
    ],
)
def test_what_has_no_course_is_refused(text: str) -> None:
    """Other shapes, too few different points, decimal commas and no numbers are refused in a sentence."""
    with pytest.raises(BadValue, match=r"\.$"):
        course_of(text)
