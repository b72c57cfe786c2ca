"""How far places of a zone lie from its relief points, along the network."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import inf
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um
from leakmap.repair.network import Network
from leakmap.repair.results import Relief


class Routes:
    """Distances from the nearest of some relief points.

    Args:
        network: The network.
        relief: Relief points; without any, every distance is 0.
        limit_m: Places farther than this need no exact distance.
    """

    def __init__(self, network: Network, relief: Sequence[Relief], limit_m: float) -> None:
        self._network = network
        self._relief: dict[int, list[int]] = defaultdict(list)
        for point in relief:
            self._relief[network.number(point.joint)].append(to_um(point.at_m))
        places = ((joint, at_um) for joint, places in self._relief.items() for at_um in places)
        sources = [way for joint, at_um in places for way in network.ways_out(joint, at_um)]
        self._nodes = network.distances_um(sources, to_um(limit_m)) if sources else {}

    def distance_m(self, joint: UUID, at_m: float) -> float:
        """Distance of a place from the nearest relief point; infinite past the limit."""
        if not self._relief:
            return 0.0
        number, at_um = self._network.number(joint), to_um(at_m)
        ways: list[float] = [
            self._nodes.get(node, inf) + left_um for node, left_um in self._network.ways_out(number, at_um)
        ]
        ways += [self._along(number, abs(at_um - point_um)) for point_um in self._relief.get(number, ())]
        nearest_um = min(ways, default=inf)
        return inf if nearest_um == inf else to_m(int(nearest_um))

    def _along(self, joint: int, apart_um: int) -> int:
        network = self._network
        return min(apart_um, network.lengths_um[joint] - apart_um) if network.closed[joint] else apart_um
