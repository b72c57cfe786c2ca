"""The index of segments by cells."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.geometry.cells import MOST_PARTS, cells_of, near

NUMBER = st.one_of(st.integers(-20, 20).map(float), st.floats(-50, 50), st.sampled_from((1e7, -3e9)))
POINT = st.tuples(NUMBER, NUMBER)


@settings(max_examples=200)
@given(st.lists(st.tuples(POINT, POINT), max_size=20), POINT, st.sampled_from((0.0, 0.2, 5.0, 100.0)))
def test_nothing_within_the_radius_is_missed(
    segments: list[tuple[tuple[float, float], tuple[float, float]]], at: tuple[float, float], radius: float
) -> None:
    """Every segment that a geometry library finds within the radius is among those given, each once, rising."""
    ends = np.array(segments, dtype=np.float64).reshape(-1, 2, 2)
    found = near(cells_of(ends[:, 0], ends[:, 1]), *at, radius).tolist()
    assert found == sorted(set(found))
    close = {
        number
        for number, (a, b) in enumerate(segments)
        if (shapely.LineString((a, b)) if a != b else shapely.Point(a)).distance(shapely.Point(at)) <= radius
    }
    assert close <= set(found)


def test_far_segments_are_left_out() -> None:
    """Of 10,000 short segments over 100 by 100 a radius of 1 gives at most 40 of them, not all."""
    random = np.random.default_rng(3)
    start = random.uniform(0, 100, (10_000, 2))
    found = near(cells_of(start, start + random.normal(0, 0.3, start.shape)), 50.0, 50.0, 1.0)
    assert 0 < len(found) < 40


def test_a_line_off_to_the_origin_of_a_survey_does_not_swell_the_index() -> None:
    """One segment of 500 km among short ones is kept apart, and is still among those that may be near."""
    start = np.array([[k * 0.5, 0.0] for k in range(200)] + [[0.0, 0.0]])
    end = start + np.array((0.4, 0.0))
    end[-1] = (400_000.0, 300_000.0)
    cells = cells_of(start, end)
    assert cells.always.tolist() == [200]
    assert len(cells.keys) < 200 * MOST_PARTS
    assert 200 in near(cells, 4.0, 3.0, 0.1)


@pytest.mark.parametrize("at", [(0.0, 0.0), (1e12, -1e12)])
def test_an_index_of_nothing_gives_nothing(at: tuple[float, float]) -> None:
    """No segments, no answers, wherever one asks."""
    assert near(cells_of(np.empty((0, 2)), np.empty((0, 2))), *at, 10.0).tolist() == []
