"""Distances along the network, and reach, against networkx (an independent graph library)."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest

from leakmap.model.rules import Rules
from leakmap.repair.cover import covered
from leakmap.repair.network import Network
from tests.helpers.jobs import job_of, leak
from tests.helpers.random_networks import random_job
from tests.helpers.reading_cover import number_of


def graph_of(network: Network, places: list[tuple[int, float]]) -> nx.Graph:
    """A graph of nodes and places, built from the public marks alone.

    A vertex is ``("node", n)`` or ``("place", joint index, chainage)``; parallel ways keep the shortest.
    """
    graph = nx.Graph()
    for index, joint in enumerate(network.joints):
        stops = [(at, ("node", node)) for at, node in network.marks(joint)]
        stops += [(at, ("place", index, at)) for number, at in places if number == index]
        stops.sort(key=lambda stop: stop[0])
        length = network.lengths_um[index] / 1e6
        if network.closed[index] and stops:
            stops.append((stops[0][0] + length, stops[0][1]))
        for (low, one), (high, other) in pairwise(stops):
            known = graph.get_edge_data(one, other, {"weight": float("inf")})["weight"]
            graph.add_edge(one, other, weight=min(known, high - low))
    return graph


@pytest.mark.parametrize("seed", range(25))
def test_distances_are_those_of_networkx(seed: int) -> None:
    """Dijkstra of networkx over the same marks gives the same distances to every node and place."""
    network = covered(random_job(seed)).network
    places = [(index, round(0.37 * length / 1e6, 4)) for index, length in enumerate(network.lengths_um)]
    graph = graph_of(network, places)
    for index, at in places:
        start = ("place", index, at)
        known = nx.single_source_dijkstra_path_length(graph, start) if start in graph else {}
        nodes = {vertex[1]: way for vertex, way in known.items() if vertex[0] == "node"}
        assert network.distances(network.joints[index], at) == pytest.approx(nodes, abs=1e-6)
        near = {node: way for node, way in nodes.items() if way <= 0.7}
        assert network.distances(network.joints[index], at, 0.7) == pytest.approx(near, abs=1e-6)
        for other, other_at in places:
            way = known.get(("place", other, other_at), 0.0 if other == index else float("inf"))
            found = network.distance(network.joints[index], at, network.joints[other], other_at)
            assert found == pytest.approx(way, abs=1e-6)


@pytest.mark.parametrize("seed", range(25))
def test_a_spot_covers_what_networkx_reaches(seed: int) -> None:
    """A spot with one overrun covers every place within that distance: length by the distances of networkx."""
    drawn = random_job(seed)
    network = covered(drawn).network
    number = number_of(network.joints[seed % len(network.joints)])
    at = round(0.41 * drawn.joints[network.joints[seed % len(network.joints)]].length_m, 3)
    reach = 0.637
    job = job_of(
        list(drawn.joints.values()),
        [leak(number, at, overrun_from_m=reach, overrun_to_m=reach)],
        sheets=list(drawn.sheets.values()),
        rules=Rules(bridge_m=0.0, collar_whole_m=0.0),
    )
    graph = graph_of(network, [(seed % len(network.joints), at)])
    start = ("place", seed % len(network.joints), at)
    found = covered(job)
    if start not in graph or len(graph) < 2:
        return
    known = nx.single_source_dijkstra_path_length(graph, start)
    assert found.cover_m == pytest.approx(reached(network, known, start, reach), abs=1e-6)


def reached(
    network: Network, known: dict[tuple[object, ...], float], start: tuple[str, int, float], reach: float
) -> float:
    """Length of every joint within reach, edge by edge from both ends."""
    total = 0.0
    for index, joint in enumerate(network.joints):
        stops = [(at, known.get(("node", node), float("inf"))) for at, node in network.marks(joint)]
        stops += [(start[2], 0.0)] if index == start[1] else []
        stops.sort()
        if network.closed[index] and stops:
            stops.append((stops[0][0] + network.lengths_um[index] / 1e6, stops[0][1]))
        for (low, one), (high, other) in pairwise(stops):
            total += min(high - low, max(reach - one, 0) + max(reach - other, 0))
    return total
