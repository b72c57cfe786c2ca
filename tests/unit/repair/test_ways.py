"""The shortest way between two places along the network."""

from __future__ import annotations

from math import inf
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from leakmap.repair.ways import way_between
from tests.helpers.jobs import job_of, line, upright
from tests.helpers.random_networks import random_job


def total_um(way: tuple[tuple[int, int, int], ...]) -> int:
    """Length of a way."""
    return sum(high - low for _, low, high in way)


def test_a_way_round_a_corner_and_up() -> None:
    """From 8 m of a line to 1.5 m up the vertical joint at its end, 10 m: 2 m along it and 1.5 m up, told from the goal back."""
    network = junctions_of(job_of([line((0, 0), (10, 0)), upright((10, 0), 3.0)])).network
    assert way_between(network, (0, 8_000_000), (1, 1_500_000)) == ((1, 0, 1_500_000), (0, 8_000_000, 10_000_000))


def test_a_way_over_the_start_of_a_closed_joint_is_told_as_two_parts() -> None:
    """A square of 8 m round is met at 0.5 m; from there the way to 7.5 m passes its start, 0.5 m on each side of it."""
    square = line((0, 0), (2, 0), (2, 2), (0, 2), closed=True)
    network = junctions_of(job_of([square, line((0.5, 0), (0.5, -3))])).network
    way = way_between(network, (1, 1_000_000), (0, 7_500_000))
    assert way is not None
    assert sorted(way) == [(0, 0, 500_000), (0, 7_500_000, 8_000_000), (1, 0, 1_000_000)]


def test_no_way_between_joints_that_do_not_meet() -> None:
    """Two lines apart have no way between them."""
    network = junctions_of(job_of([line((0, 0), (10, 0)), line((0, 5), (10, 5))])).network
    assert way_between(network, (0, 1_000_000), (1, 1_000_000)) is None


@given(seed=st.integers(0, 10_000))
def test_a_way_is_as_long_as_the_distance(seed: int) -> None:
    """Between any two joints of a random network the way measures the network's own distance, each part within its joint."""
    network: Network = junctions_of(random_job(seed)).network
    random = Random(seed)  # noqa: S311 - test places, not secrets
    if len(network.joints) < 2:
        return
    one, two = random.sample(range(len(network.joints)), 2)
    start, stop = ((number, random.randint(0, network.lengths_um[number])) for number in (one, two))
    way = way_between(network, start, stop)
    distance = network.distance(network.joints[one], start[1] / 1e6, network.joints[two], stop[1] / 1e6)
    assert (way is None) == (distance == inf)
    if way is not None:
        assert total_um(way) == pytest.approx(distance * 1e6, abs=1)
        assert all(0 <= low < high <= network.lengths_um[joint] for joint, low, high in way)
