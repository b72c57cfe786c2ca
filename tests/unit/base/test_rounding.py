"""Rounding of measured figures."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.rounding import rounded, rounded_up, snapped

STEPS = [Decimal("0.001"), Decimal("0.01"), Decimal("0.10"), Decimal("0.25"), Decimal(1)]


@pytest.mark.parametrize(
    ("value", "step", "expected"),
    [(0.0005, "0.001", "0.001"), (0.00049999, "0.001", "0.001"), (0.000499, "0.001", "0.000"), (1.1, "0.25", "1.00")],
)
def test_half_goes_up_after_snapping_to_a_micrometre(value: float, step: str, expected: str) -> None:
    """A value within half a micrometre of the half counts as the half."""
    assert rounded(value, Decimal(step)) == Decimal(expected)


@given(st.floats(0, 1e5), st.sampled_from(STEPS))
def test_rounding_moves_a_value_by_half_a_step_at_most(value: float, step: Decimal) -> None:
    """The result is a multiple of the step and no farther than half of it."""
    result = rounded(value, step)
    assert result % step == 0
    assert abs(result - snapped(value)) <= step / 2


@given(st.decimals(0, 10000, places=3), st.sampled_from(STEPS))
def test_rounding_up_never_gives_less_and_never_a_whole_step_more(value: Decimal, step: Decimal) -> None:
    """The result is the least multiple of the step that is not below the value."""
    result = rounded_up(value, step)
    assert result % step == 0
    assert 0 <= result - value < step


def test_without_a_step_nothing_is_rounded_up() -> None:
    """A job may have no chargeable step."""
    assert rounded_up(Decimal("4.886"), None) == Decimal("4.886")


@given(st.floats(0, 1000), st.floats(-2e-7, 2e-7))
def test_the_last_bits_of_a_turned_plan_change_no_figure(value: float, noise: float) -> None:
    """Noise far below a micrometre on a millimetre figure is snapped away."""
    figure = float(Decimal(repr(value)).quantize(Decimal("0.001")))
    assert rounded(abs(figure + noise), Decimal("0.001")) == rounded(figure, Decimal("0.001"))
