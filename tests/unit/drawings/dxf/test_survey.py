"""Very large coordinates are exact to 0.1 mm: what is read far away is what is read near zero, moved."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from ezdxf.layouts.base import BaseLayout
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.model.drawing import Drawing
from tests.helpers.dxf_files import absolute, document, reread

FAR = st.one_of(
    st.tuples(st.floats(3.9e6, 4.1e6), st.floats(4.9e6, 5.1e6)),  # metres of a national grid
    st.tuples(st.floats(-1e8, 1e8), st.floats(-1e8, 1e8)),  # the same in millimetres
)
TURNS = st.floats(-360, 360)
METRE, MILLIMETRE = 6, 4


def draw(layout: BaseLayout, x: float, y: float) -> None:
    """Lines, arcs, bulges, an ellipse and a spline round a point."""
    layout.add_line((x + 1.2345, y + 2), (x + 31.5678, y + 20.8765))
    layout.add_arc((x + 10, y + 5), 4, 20, 310)
    layout.add_circle((x, y), 7.5)
    layout.add_lwpolyline([(x, y, 0.4), (x + 12, y, -1), (x + 12, y + 9, 0)], format="xyb", close=True)
    layout.add_ellipse((x + 3, y), (8, 3), ratio=0.4)
    layout.add_spline([(x, y), (x + 4, y + 9), (x + 15, y + 2), (x + 22, y)])


def plan(at: tuple[float, float], turn: float, unit: int) -> Drawing:
    """Things drawn at a point, and a block that was drawn there and is placed there, turned and enlarged."""
    made = document(unit=unit)
    draw(made.modelspace(), *at)
    draw(made.blocks.new("B", base_point=at), *at)
    how: dict[str, Any] = {"rotation": turn, "xscale": 1.5, "yscale": -1.5}
    made.modelspace().add_blockref("B", at, dxfattribs=how)
    return reread(made)


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(FAR, TURNS, st.sampled_from([METRE, MILLIMETRE]))
def test_far_is_near_moved(at: tuple[float, float], turn: float, unit: int) -> None:
    """Every point lies within 0.1 mm (in metres: 0.0001) of where the same things near zero put it, chord by chord."""
    near, far = plan((0, 0), turn, unit), plan(at, turn, unit)
    assert len(near.strokes) == len(far.strokes) == 12
    within = 1e-4 if unit == METRE else 0.1
    for index in range(12):
        here, there = absolute(near, index), absolute(far, index)
        assert here.shape == there.shape
        assert np.abs(there - here - at).max() < within


def test_what_is_kept_is_small() -> None:
    """Kept numbers are relative to an origin nearby, so that drawing them loses nothing either."""
    assert np.abs(plan((4e6, 5.4e6), 30, METRE).strokes.xy).max() < 1000
