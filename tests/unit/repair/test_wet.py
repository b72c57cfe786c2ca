"""Wet stretches: what hangs together, and which leak is the worst of it."""

from __future__ import annotations

import pytest

from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules, Suspects
from leakmap.model.words import Method
from leakmap.repair.wet import stretches_of_wet, wet_leaks, worst_point
from tests.helpers.covers import Meeting, network_of
from tests.helpers.jobs import job_of, leak, line, upright

TEN = line((0, 0), (10, 0))
RING = line((0, 0), (3, 0), (3, 2), (0, 2), closed=True)


def grouped(job: Job, *meetings: Meeting) -> list[list[str]]:
    """References of the leaks of each wet stretch."""
    network = network_of(job, meetings)
    found = stretches_of_wet(job, network, wet_leaks(job, network))
    return [sorted(item.leak.ref for item in stretch.leaks) for stretch in found]


def test_leaks_that_touch_are_one() -> None:
    """Touching within the tie of 1 mm; 2 mm of dry concrete parts them."""
    assert grouped(job_of([TEN], [leak(1, 1, 2), leak(1, 2, 3), leak(1, 3.001, 4), leak(1, 4.002, 5)])) == [
        ["L-01", "L-02", "L-03"],
        ["L-04"],
    ]


def test_a_leak_inside_a_longer_one_does_not_end_it() -> None:
    """0 to 5 m, 1 to 2 m and 4 to 6 m hang together."""
    assert grouped(job_of([TEN], [leak(1, 0, 5), leak(1, 1, 2), leak(1, 4, 6)])) == [["L-01", "L-02", "L-03"]]


def test_round_the_start_of_a_closed_joint() -> None:
    """9 to 10 m and 0 to 1 m of a ring touch at its start; so does one leak that passes it."""
    assert grouped(job_of([RING], [leak(1, 9, 10), leak(1, 0, 1)])) == [["L-01", "L-02"]]
    assert grouped(job_of([RING], [leak(1, 9.5, 0.5), leak(1, 0.5, 1)])) == [["L-01", "L-02"]]


def test_through_a_junction() -> None:
    """Leaks that end at a node, or pass it, hang together there, and nowhere else."""
    job = job_of([TEN, line((5, 0), (5, 4))], [leak(1, 4, 6), leak(2, 0, 1), leak(2, 2, 3)])
    assert grouped(job, [(1, 5.0), (2, 0.0)]) == [["L-01", "L-02"], ["L-03"]]
    assert len(grouped(job)) == 3


def worst(joint: Joint, item: Leak) -> float:
    """Worst point of a leak on a joint."""
    job = job_of([joint], [item])
    (wet,) = wet_leaks(job, network_of(job))
    return worst_point(job.joints[wet.leak.joint], wet)


@pytest.mark.parametrize(
    ("item", "expected"),
    [
        (leak(1, 1, 3), 2.0),
        (leak(1, 1, 3, worst_m=2.5), 2.5),
        (leak(1, 1, 3, worst_m=9.0), 3.0),
        (leak(1, 4), 4.0),
        (leak(1, 9, 12), 9.5),
    ],
)
def test_worst_points_of_a_line(item: Leak, expected: float) -> None:
    """The middle when nobody said, of what lies on the joint; what was said, within the leak."""
    assert worst(TEN, item) == expected


def test_worst_points_of_other_joints() -> None:
    """The lowest wet point of a vertical joint; the middle round the start of a ring: 9.5 to 0.9 m is 0.2 m."""
    assert worst(upright((0, 0), 3.0), leak(1, 1, 2)) == 1.0
    assert worst(RING, leak(1, 9.5, 0.9)) == pytest.approx(0.2)
    assert worst(RING, leak(1, 9.5, 0.9, worst_m=9.8)) == 9.8


@pytest.mark.parametrize(
    ("item", "heaviest"),
    [
        (leak(1, 1, 2, 0), Method.SLOT),
        (leak(1, 1, 2, 1), Method.SLOT_PLUG),
        (leak(1, 1, 2, 3), Method.SLOT_PLUG),
        (leak(1, 1, 2, 4), Method.DEEP_PLUG_RELIEF),
        (leak(1, 1, 2, 5, method=Method.SLOT), Method.SLOT),
        (leak(1, 1, 2, 0, method=Method.DEEP_PLUG), Method.DEEP_PLUG),
    ],
)
def test_what_a_leak_asks_for(item: Leak, heaviest: Method) -> None:
    """By its wetness, or what was set by hand; whatever is lighter is asked for too."""
    job = job_of([TEN], [item])
    (wet,) = wet_leaks(job, network_of(job))
    asked = [method for method in Method if wet.asks_for(method)]
    assert asked == list(Method)[: list(Method).index(heaviest) + 1]


def test_what_is_repaired() -> None:
    """Not what another method takes, and no suspects where the rules only watch them."""
    leaks = [leak(1, 1, 2, 0), leak(1, 3, 4, 3, method=Method.ANOTHER), leak(1, 5, 6, 3)]
    job = job_of([TEN], leaks)
    assert [wet.leak.ref for wet in wet_leaks(job, network_of(job))] == ["L-01", "L-03"]
    watching = job_of([TEN], leaks, rules=Rules(suspects=Suspects.WATCH))
    assert [wet.leak.ref for wet in wet_leaks(watching, network_of(watching))] == ["L-03"]
