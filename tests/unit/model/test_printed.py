"""Lengths and chainages in sentences."""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.base.measures import Units
from leakmap.model.printed import chainage_m, printed
from leakmap.work.edits.rules import set_units
from tests.helpers.small_jobs import one_line


@pytest.mark.parametrize(
    ("length_m", "text"),
    [(0.3, "0.30 m"), (0.125, "0.125 m"), (12, "12.00 m"), (0.0005, "0.001 m"), (1.2304, "1.23 m")],
)
def test_length_has_two_decimals_at_least(length_m: float, text: str) -> None:
    """A length is said to the millimetre, half up, and with two decimals at least."""
    assert Units.METRIC.said(length_m) == text


def test_chainage_adds_the_start_value() -> None:
    """A printed chainage counts from the joint's start value: 4 + 1.5 = 5.5."""
    job, joint = one_line(start_m=4.0)
    assert printed(job, job.joints[joint], 1.5) == "5.500 m"


def test_places_are_as_far_apart_in_print_as_they_were_measured() -> None:
    """The start value of a joint is rounded once too, so it moves both ends of a stretch by as much."""
    job, joint = one_line(start_m=1.0)
    job = set_units(job, units=Units.IMPERIAL).job
    start, end = (chainage_m(job, job.joints[joint], at_m) for at_m in (Decimal("0.6096"), Decimal("1.2192")))
    assert (printed(job, job.joints[joint], Decimal("0.6096")), end - start) == ("5' 3 3/8\"", Decimal("0.6096"))
