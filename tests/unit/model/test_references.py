"""References that look like ours use up numbers."""

from __future__ import annotations

import pytest

from leakmap.model.job import Numbers
from leakmap.model.references import highest, lifted, number_of
from leakmap.model.words import Series


@pytest.mark.parametrize("ref", ["stair", "J5", "J-", "J-05a", "J-1234567890", "X-01", ""])
def test_foreign_reference_has_no_number(ref: str) -> None:
    """What does not look like one of our references uses up no number."""
    assert number_of(ref) is None
    assert lifted(Numbers(), ref) == Numbers()


@pytest.mark.parametrize("series", list(Series))
def test_each_series_counts_by_itself(series: Series) -> None:
    """A reference lifts the counter of its own series to its number, and no other."""
    numbers = lifted(Numbers(), f"{series.value}-012")
    assert highest(numbers, series) == 12
    assert sum(highest(numbers, other) for other in Series) == 12


def test_counter_never_falls() -> None:
    """A lower number leaves the counter where it is."""
    assert lifted(Numbers(leak=9), "L-03") == Numbers(leak=9)
