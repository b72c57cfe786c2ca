"""Chained joints and clipped blocks against shapely, an independent geometry library.

Source: ``shapely.line_merge`` (GEOS LineMerger), which joins lines at nodes where exactly two meet.
"""

from __future__ import annotations

import shapely
from hypothesis import given
from hypothesis import strategies as st

from leakmap.drawings.chains import joints_from_layer
from leakmap.geometry.placement import Placement
from tests.helpers.dxf_files import drawn

GRID = st.integers(0, 5)
LINES = st.sets(
    st.tuples(st.tuples(GRID, GRID), st.tuples(GRID, GRID)).filter(lambda e: e[0] < e[1]), min_size=1, max_size=16
)


@given(LINES)
def test_chains_are_those_of_line_merge(lines: set[tuple[tuple[int, int], tuple[int, int]]]) -> None:
    """The same paths, as sets of points on the ground, as GEOS merges: as many, with equal lengths."""
    ours, _ = joints_from_layer(drawn([list(line) for line in lines]), Placement(), "JOINTS")
    merged = shapely.line_merge(shapely.MultiLineString(sorted(lines)))
    theirs = shapely.get_parts(merged)
    mine = [shapely.LineString(path.corners) for path in ours]
    assert len(mine) == len(theirs)
    assert sorted(shapely.to_wkt(shapely.normalize(_from_start(line))) for line in mine) == sorted(
        shapely.to_wkt(shapely.normalize(_from_start(line))) for line in theirs
    )


def _from_start(line: shapely.LineString) -> shapely.Geometry:
    """A ring as a polygon's edge, so that where it starts does not matter; another line as it is."""
    return shapely.Polygon(line).exterior if line.is_ring else line
