"""Placement by pairs of places."""

from __future__ import annotations

from math import cos, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import BadValue
from leakmap.geometry.fit import Freedom, Pair, fitted, turned
from leakmap.geometry.placement import Placement

MM = Placement(origin=(1000.0, 2000.0), x_m_per_unit=0.001, y_m_per_unit=0.001)
SPOTS = ((0.0, 0.0), (31200.0, 0.0), (31200.0, 21600.0), (4000.0, 9000.0))


def pairs(true: Placement, spots: tuple[tuple[float, float], ...] = SPOTS) -> list[Pair]:
    """Spots of a drawing with their places under a placement."""
    return [Pair(drawn=spot, site=true.to_site(spot)) for spot in spots]


def test_one_pair_shifts() -> None:
    """By hand: 3000, 4000 mm lies at 2.0, 2.0 m and must lie at 5.0, 2.5, so everything moves by 3.0 and 0.5."""
    found = fitted(MM, [Pair(drawn=(3000, 4000), site=(5.0, 2.5))], Freedom.SHIFT)
    assert found.placement.at_m == pytest.approx((3.0, 0.5))
    assert (found.placement.origin, found.placement.turn_deg) == (MM.origin, 0.0)
    assert found.residuals_m == pytest.approx((0.0,))


def test_residuals_of_a_shift_are_shared() -> None:
    """Two places that want 0 and 20 mm to the right get 10 mm, and each is 10 mm out."""
    wanted = [Pair(drawn=(0, 0), site=(-1.0, -2.0)), Pair(drawn=(9000, 0), site=(8.020, -2.0))]
    found = fitted(MM, wanted, Freedom.SHIFT)
    assert found.placement.at_m == pytest.approx((0.010, 0.0))
    assert found.residuals_m == pytest.approx((0.010, 0.010))
    assert found.worst_m == pytest.approx(0.010)


def test_a_turn_keeps_the_scale() -> None:
    """Two places 10 m apart on the drawing and 10.040 on site: the scale stays, and each end is 20 mm out."""
    wanted = [Pair(drawn=(0, 0), site=(0.0, 0.0)), Pair(drawn=(10000, 0), site=(0.0, 10.040))]
    found = fitted(MM, wanted, Freedom.TURN)
    assert found.placement.turn_deg == pytest.approx(90.0)
    assert found.placement.x_m_per_unit == 0.001
    assert found.residuals_m == pytest.approx((0.020, 0.020))


@settings(max_examples=60)
@given(
    turn_deg=st.floats(-180, 180),
    x=st.floats(0.0005, 2.0),
    y=st.floats(0.0005, 2.0),
    at_m=st.tuples(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5)),
)
def test_true_places_give_back_the_placement(turn_deg: float, x: float, y: float, at_m: tuple[float, float]) -> None:
    """Places without error give back any placement, each kind of freedom what it may find."""
    for freedom, true in (
        (Freedom.SHIFT, Placement(origin=(7.0, -3.0), x_m_per_unit=x, y_m_per_unit=y, turn_deg=turn_deg, at_m=at_m)),
        (Freedom.TURN, Placement(origin=(7.0, -3.0), x_m_per_unit=x, y_m_per_unit=y, turn_deg=turn_deg, at_m=at_m)),
        (Freedom.SCALE, Placement(origin=(7.0, -3.0), x_m_per_unit=x, y_m_per_unit=x, turn_deg=turn_deg, at_m=at_m)),
        (Freedom.EACH_WAY, Placement(origin=(7.0, -3.0), x_m_per_unit=x, y_m_per_unit=y, turn_deg=turn_deg, at_m=at_m)),
    ):
        start = Placement(
            origin=(7.0, -3.0),
            x_m_per_unit=1.0 if freedom in {Freedom.SCALE, Freedom.EACH_WAY} else x,
            y_m_per_unit=1.0 if freedom in {Freedom.SCALE, Freedom.EACH_WAY} else y,
            turn_deg=turn_deg if freedom is Freedom.SHIFT else 0.0,
        )
        found = fitted(start, pairs(true), freedom)
        assert found.worst_m < 1e-6
        for spot in SPOTS:
            assert found.placement.to_site(spot) == pytest.approx(true.to_site(spot), abs=1e-6)


@settings(max_examples=30)
@given(turn_deg=st.floats(-180, 180))
def test_turning_the_site_turns_the_placement_alone(turn_deg: float) -> None:
    """With places some millimetres out, turning the site changes no residual."""
    out = [
        Pair(drawn=pair.drawn, site=(pair.site[0] + 0.004 * n, pair.site[1] - 0.003))
        for n, pair in enumerate(pairs(MM))
    ]
    moved = [Pair(drawn=pair.drawn, site=turned(pair.site, turn_deg)) for pair in out]
    for freedom in Freedom:
        if freedom is not Freedom.SHIFT:
            one, other = fitted(MM, out, freedom), fitted(MM, moved, freedom)
            assert other.residuals_m == pytest.approx(one.residuals_m, abs=1e-9)


def test_impossible_pairs_are_refused() -> None:
    """Too few, at one spot, on one line, or mirrored: one sentence each."""
    with pytest.raises(BadValue, match="pick 2 places"):
        fitted(MM, pairs(MM)[:1], Freedom.TURN)
    with pytest.raises(BadValue, match="at one spot"):
        fitted(MM, pairs(MM, ((0.0, 0.0), (1.0, 0.0))), Freedom.TURN)
    same_drawn = [Pair(drawn=(0, 0), site=(0, 0)), Pair(drawn=(0, 0), site=(5, 0))]
    with pytest.raises(BadValue, match="at one spot"):
        fitted(MM, same_drawn, Freedom.SCALE)
    with pytest.raises(BadValue, match="on one line"):
        fitted(MM, pairs(MM, ((0.0, 0.0), (5000.0, 0.0), (9000.0, 0.0))), Freedom.EACH_WAY)
    mirrored = [Pair(drawn=spot, site=(-spot[0] / 1000, spot[1] / 1000)) for spot in SPOTS]
    with pytest.raises(BadValue, match="mirrored"):
        fitted(MM, mirrored, Freedom.EACH_WAY)
    square = [
        Pair(drawn=spot, site=(-spot[0] / 1000, spot[1] / 1000))
        for spot in ((-1e3, -1e3), (1e3, -1e3), (1e3, 1e3), (-1e3, 1e3))
    ]
    with pytest.raises(BadValue, match="no turn"):
        fitted(MM, square, Freedom.TURN)
    with pytest.raises(BadValue, match="finite"):
        Pair(drawn=(float("nan"), 0), site=(0, 0))


def test_a_vector_is_turned_counter_clockwise() -> None:
    """30° turns (2, 0) to (2 cos 30°, 2 sin 30°)."""
    assert turned((2.0, 0.0), 30.0) == pytest.approx((2 * cos(radians(30)), 2 * sin(radians(30))))
