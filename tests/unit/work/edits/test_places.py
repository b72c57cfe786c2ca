"""Places and stretches as a user gives them."""

from __future__ import annotations

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.work.edits.places import placed, placed_stretch, stored, stretch_length_m, to_step
from leakmap.work.edits.rules import set_units
from tests.helpers.small_jobs import one_line

SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round


def line() -> tuple[Job, Joint]:
    """An open joint of 7 m that starts at the printed chainage 4, and its job."""
    job, joint = one_line(start_m=4.0)
    return job, job.joints[joint]


def square() -> tuple[Job, Joint]:
    """A closed joint of 10 m, and its job."""
    job, joint = one_line(SQUARE, closed=True)
    return job, job.joints[joint]


def test_rounding_past_the_end_is_the_end() -> None:
    """Up to 1 mm past the end is the end, because printed lengths are rounded; more is refused in printed chainages."""
    assert placed(*line(), 7.001) == 7.0
    with pytest.raises(EditRefused, match=r"11\.002 m lies past the end of J-01 at 11\.000 m\. Nothing was changed\."):
        placed(*line(), 7.002)


@pytest.mark.parametrize("at", [-0.001, float("nan"), float("inf")])
def test_place_must_be_a_chainage(at: float) -> None:
    """A negative chainage, or one that is no finite number, is no value."""
    with pytest.raises(BadValue, match="chainage on J-01"):
        placed(*line(), at)


def test_open_stretch_runs_forward() -> None:
    """On an open joint the smaller chainage comes first."""
    assert placed_stretch(*line(), 1, 2) == (1, 2)
    with pytest.raises(EditRefused, match=r"swap 6\.000 m and 5\.000 m"):
        placed_stretch(*line(), 2, 1)


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ((8, 2), (8, 2)),
        ((10, 3), (0, 3)),
        ((6, 0), (6, 10)),
        ((0, 10), (0, 10)),
        ((10, 10), (0, 0)),
        ((10, 0), (0, 0)),
        ((4, 4), (4, 4)),
        ((4, 4.0000005), (4, 4)),
        ((9.9999999, 10), (0, 0)),
    ],
)
def test_closed_stretch_has_one_form(given: tuple[float, float], kept: tuple[float, float]) -> None:
    """On a closed joint the start is 0 and an end there is the length; up to 1 µm is a spot."""
    assert stored(square()[1], *given) == kept


def test_stretch_may_pass_the_start() -> None:
    """From 8 round to 2 on 10 m are 4 m."""
    assert stretch_length_m(square()[1], 8, 2) == 4
    assert stretch_length_m(square()[1], 2, 8) == 6


def test_steps_are_half_up() -> None:
    """A chainage snaps to 1 mm, halves up; in an imperial job to 1/8 inch, which is 3.175 mm."""
    job, _ = line()
    assert to_step(job, 1.2345) == 1.235
    assert to_step(job, 1.23449) == 1.234
    assert to_step(set_units(job, units=Units.IMPERIAL).job, 0.005) == 0.00635
