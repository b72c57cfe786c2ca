"""What many leaks cover, in arrays, is what each covers by itself."""

from __future__ import annotations

import pytest

from leakmap.model.job import Job
from leakmap.repair.junctions import junctions_of
from leakmap.repair.reach import JointSpan, own_cover
from leakmap.repair.reach_all import own_covers
from leakmap.repair.sources import sources_of
from leakmap.repair.spans import Span, united
from tests.helpers.jobs import job_of, leak, line
from tests.helpers.random_edits import random_job, seeded
from tests.helpers.sittings import random_start


def joint_by_joint(spans: list[JointSpan]) -> dict[int, list[Span]]:
    """United spans of each joint."""
    found: dict[int, list[Span]] = {}
    for joint, low, high in spans:
        found.setdefault(joint, []).append((low, high))
    return {joint: united(own) for joint, own in found.items()}


def both(job: Job) -> tuple[list[dict[int, list[Span]]], list[dict[int, list[Span]]]]:
    """Covers of all leaks at once, and leak by leak."""
    network = junctions_of(job).network
    sources = sources_of(job, network)
    at_once = own_covers(network, sources).lists(len(sources))
    return [*map(joint_by_joint, at_once)], [joint_by_joint(own_cover(network, source)) for source in sources]


def test_a_leak_reaches_round_a_corner() -> None:
    """A leak up to 1 m before a crossing, overrun 0.3 m on: nothing past it; up to 0.1 m before: 0.2 m on three arms."""
    joints = [line((0, 0), (10, 0)), line((5, -2), (5, 2))]
    at_once, _ = both(job_of(joints, [leak(1, 3, 4), leak(1, 3, 4.9)]))
    assert at_once == [
        {0: [(2_700_000, 4_300_000)]},
        {0: [(2_700_000, 5_200_000)], 1: [(1_800_000, 2_200_000)]},
    ]


def test_no_leaks_cover_nothing() -> None:
    """A job without leaks, and one without joints."""
    assert both(job_of([line((0, 0), (1, 0))])) == ([], [])
    assert both(job_of([])) == ([], [])


@pytest.mark.parametrize("seed", range(40))
def test_all_at_once_is_leak_by_leak(seed: int) -> None:
    """On networks full of ties, and on joints of every sort: closed, vertical, from sheet to sheet."""
    at_once, one_by_one = both(random_start(seed) if seed % 2 else random_job(seeded(seed), 60))
    assert at_once == one_by_one
