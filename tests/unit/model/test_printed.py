"""Lengths and chainages in sentences."""

from __future__ import annotations

import pytest

from leakmap.model.printed import metres, printed
from tests.helpers.small_jobs import one_line


@pytest.mark.parametrize(
    ("length_m", "text"),
    [(0.3, "0.30 m"), (0.125, "0.125 m"), (12, "12.00 m"), (0.0005, "0.001 m"), (1.2304, "1.23 m")],
)
def test_length_has_two_decimals_at_least(length_m: float, text: str) -> None:
    """A length is said to the millimetre, half up, and with two decimals at least."""
    assert metres(length_m) == text


def test_chainage_adds_the_start_value() -> None:
    """A printed chainage counts from the joint's start value: 4 + 1.5 = 5.5."""
    job, joint = one_line(start_m=4.0)
    assert printed(job.joints[joint], 1.5) == "5.500 m"
