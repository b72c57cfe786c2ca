"""The network as a value."""

from __future__ import annotations

from math import inf

import pytest

from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from tests.helpers.jobs import job_of, joint_id, line

ONE, TWO, THREE = (joint_id(number) for number in (1, 2, 3))
SQUARE = line((0, 0), (1, 0), (1, 1), (0, 1), closed=True)


@pytest.fixture
def net() -> Network:
    """A square of 4 m met at 1.5 m by a joint of 2 m; a joint of 3 m apart."""
    job = job_of([SQUARE, line((1, 0.5), (3, 0.5)), line((0, 9), (3, 9))])
    return junctions_of(job).network


def test_edges_run_between_marks_and_a_closed_joint_comes_round(net: Network) -> None:
    """The square has one mark and one edge of 4 m, from 1.5 m round to 5.5 m."""
    (edge,) = (net.edges[number] for number in net.edges_of(0))
    assert (edge.from_um, edge.to_um, edge.from_node == edge.to_node) == (1_500_000, 5_500_000, True)


def test_a_place_before_the_first_mark_of_a_closed_joint_lies_on_its_last_edge(net: Network) -> None:
    """0.2 m is 4.2 m as that edge counts."""
    assert net.edge_at(0, 200_000) == (0, 4_200_000)
    assert net.edge_at(0, 1_500_000) == (0, 1_500_000)
    assert net.edge_at(1, 2_000_000) == (1, 2_000_000)


def test_arms_of_a_node(net: Network) -> None:
    """Two of the square, one of the joint that meets it; a free end has one."""
    node = net.marks(TWO)[0][1]
    assert len(net.arms[node]) == 3
    assert not net.is_free_end(node)
    assert net.is_free_end(net.marks(TWO)[1][1])


def test_distances_go_the_shorter_way_round(net: Network) -> None:
    """From 0.5 m on the square: 1 m to the node; from 3.9 m it is 1.6 m across the start."""
    node, end = net.marks(TWO)[0][1], net.marks(TWO)[1][1]
    assert net.distances(ONE, 0.5) == {node: 1.0, end: 3.0}
    assert net.distances(ONE, 3.9, 2.0) == {node: 1.6}
    assert net.distances(ONE, 3.9, 1.5) == {}


def test_distance_between_two_places(net: Network) -> None:
    """Along one joint, round the start, through the node, and none between joints that are apart."""
    assert net.distance(TWO, 0.5, TWO, 1.75) == 1.25
    assert net.distance(ONE, 3.9, ONE, 0.2) == pytest.approx(0.3)
    assert net.distance(ONE, 1.0, TWO, 0.5) == 1.0
    assert net.distance(ONE, 1.0, THREE, 0.5) == inf
    assert net.distance(THREE, 1.0, THREE, 1.0) == 0.0


def test_a_ring_without_marks_touches_no_node() -> None:
    """It has one edge, and distances on it go the shorter way round."""
    ring = junctions_of(job_of([SQUARE])).network
    assert ring.marks(ONE) == ()
    assert ring.distances(ONE, 1.0) == {}
    assert ring.distance(ONE, 0.5, ONE, 3.5) == 1.0


def test_nodes_on_a_stretch_of_a_closed_joint(net: Network) -> None:
    """Chainages may be counted past the length or back before the start."""
    node = net.marks(TWO)[0][1]
    assert net.nodes_on(0, 1_500_000, 1_500_000) == [node]
    assert net.nodes_on(0, 3_000_000, 5_500_000) == [node]
    assert net.nodes_on(0, -2_600_000, 0) == [node]
    assert net.nodes_on(0, 1_500_001, 5_499_999) == []


def test_networks_of_equal_jobs_are_equal(net: Network) -> None:
    """A network is a value."""
    job = job_of([SQUARE, line((1, 0.5), (3, 0.5)), line((0, 9), (3, 9))])
    assert junctions_of(job).network == net
    assert TWO in net
    assert joint_id(9) not in net
    assert net.number(THREE) == 2
