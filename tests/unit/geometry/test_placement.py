"""Placement of a drawing in the site plane."""

from __future__ import annotations

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.geometry.placement import Placement
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, within

COORDINATE = st.floats(-1e4, 1e4)
PLACEMENTS = st.builds(
    Placement,
    origin=st.tuples(COORDINATE, COORDINATE),
    x_m_per_unit=st.floats(1e-3, 2),
    y_m_per_unit=st.floats(1e-3, 2),
    turn_deg=st.floats(-360, 360),
    at_m=st.tuples(COORDINATE, COORDINATE),
)


def test_millimetres_turned_by_a_right_angle() -> None:
    """The point 1 m east of the origin lies 1 m north of it after a turn of 90°."""
    placed = Placement(origin=(500, 0), x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=90, at_m=(10, 20))
    assert placed.to_site((1500, 0)) == pytest.approx((10, 21))


def test_a_scan_may_have_one_scale_each_way() -> None:
    """100 by 100 units become 2 by 3 metres."""
    assert Placement(x_m_per_unit=0.02, y_m_per_unit=0.03).to_site((100, 100)) == pytest.approx((2, 3))


@given(PLACEMENTS, st.tuples(COORDINATE, COORDINATE))
def test_there_and_back_is_the_same_point(placement: Placement, point: tuple[float, float]) -> None:
    """``to_drawing`` undoes ``to_site``."""
    back = placement.to_drawing(placement.to_site(point))
    assert hypot(back[0] - point[0], back[1] - point[1]) < 1e-6


@given(PLACEMENTS)
def test_the_origin_lies_where_it_was_put(placement: Placement) -> None:
    """A placement puts its origin at ``at_m``, whatever scale and turn."""
    assert placement.to_site(placement.origin) == pytest.approx(placement.at_m)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_a_scale_must_be_greater_than_zero(value: float) -> None:
    """Each unusable scale is refused with a sentence."""
    with pytest.raises(BadValue, match="scale"):
        Placement(x_m_per_unit=value)


def test_within_takes_in_the_border_and_a_micrometre_more() -> None:
    """δ itself is within δ, also with the last bits of a turned plan; 1.1 µm more is not."""
    assert within(DRAWING_TOLERANCE_M + 1e-9, DRAWING_TOLERANCE_M)
    assert not within(DRAWING_TOLERANCE_M + 1.1e-6, DRAWING_TOLERANCE_M)
