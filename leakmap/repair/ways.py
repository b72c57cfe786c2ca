"""The shortest way between two places along the network."""

from __future__ import annotations

from collections.abc import Iterator

from leakmap.repair.layout import NO_NODE
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.spans import on_round

Place = tuple[int, int]
"""A place: number of a joint, and a chainage on it in micrometres."""


def way_between(network: Network, start: Place, stop: Place) -> tuple[JointSpan, ...] | None:
    """Stretches of joints that lead from one place to another by the shortest way through nodes.

    The two places lie on different edges: the way along one edge alone is not looked for.

    Returns:
        The stretches, from ``stop`` back to ``start``; None where nothing joins them.
    """
    known = network.distances_um(network.ways_out(*start))
    ways = [(known[node] + left, side) for side, (node, left) in enumerate(network.ways_out(*stop)) if node in known]
    if not ways:
        return None
    side = min(ways)[1]
    found = [_to_node(network, stop, side)]
    node = network.ways_out(*stop)[side][0]
    while True:
        sides = [side for side, way in enumerate(network.ways_out(*start)) if way == (node, known[node])]
        if sides:
            found.append(_to_node(network, start, sides[0]))
            break
        arm = next(
            arm for arm in network.arms[node] if known.get(arm.to_node, known[node]) + arm.length_um == known[node]
        )
        edge = network.edges[arm.edge]
        found.append((edge.joint, edge.from_um, edge.to_um))
        node = arm.to_node
    return tuple(part for span in found for part in _within_joint(network, span))


def _to_node(network: Network, place: Place, side: int) -> JointSpan:
    """The stretch from a place to the lower (0) or upper (1) node of its edge."""
    number, at = network.edge_at(*place)
    edge = network.edges[number]
    assert edge.from_node != NO_NODE
    return (edge.joint, edge.from_um, at) if side == 0 else (edge.joint, at, edge.to_um)


def _within_joint(network: Network, span: JointSpan) -> Iterator[JointSpan]:
    """A stretch without length left out, and one that passes the start of a closed joint as two."""
    joint, low, high = span
    length = network.lengths_um[joint]
    if low == high:
        return
    if high <= length:
        yield span
        return
    turn = low // length * length
    yield from ((joint, *part) for part in on_round(low - turn, high - turn, length))
