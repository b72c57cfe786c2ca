"""The network of the joints that are repaired by this method (definition 1), as a value.

Terms:
    place: a joint and a chainage on it.
    mark: a place where joints meet, or an end of an open joint.
    node: the marks that are one place on the concrete; passing from one to another costs nothing.
    edge: the part of a joint between two neighbouring marks. A closed joint with marks has as many
        edges as marks, and the last passes its start; a closed joint without marks is one edge, a
        ring, that touches no node.
    arm: a way out of a node along one edge.
    free end: a node with a single arm, at the end of an open joint.

Joints are numbered in the job's order, nodes in the order of their first mark (joint, chainage),
edges in joint, chainage order. Lengths named ``_um`` are whole micrometres; lengths named ``_m``
are metres. ``leakmap.repair.junctions`` makes a network from a job.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from math import inf
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um
from leakmap.repair.layout import NO_NODE, Arm, Edge, Layout, layout_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Joints, their marks, and what is one place.

    Attributes:
        joints: Joints repaired by this method, in the job's order.
        lengths_um: Length of each.
        closed: Whether each returns to its start.
        marks_um: Of each, the marks as (chainage, node), in rising chainage; an open joint has one
            at 0 and one at its length.
        edges: Every edge, by number.
        arms: Of each node, its arms.
    """

    joints: tuple[UUID, ...]
    lengths_um: tuple[int, ...]
    closed: tuple[bool, ...]
    marks_um: tuple[tuple[tuple[int, int], ...], ...]
    edges: Mapping[int, Edge] = field(init=False, repr=False, compare=False)
    arms: Mapping[int, tuple[Arm, ...]] = field(init=False, repr=False, compare=False)
    _numbers: Mapping[UUID, int] = field(init=False, repr=False, compare=False)
    _layout: Layout = field(init=False, repr=False, compare=False)
    _places: tuple[tuple[int, ...], ...] = field(init=False, repr=False, compare=False)
    _free: frozenset[int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Lay out edges, arms and members."""
        layout = layout_of(self.lengths_um, self.closed, self.marks_um)
        put = object.__setattr__
        put(self, "edges", layout.edges)
        put(self, "arms", layout.arms)
        put(self, "_layout", layout)
        put(self, "_numbers", {joint: number for number, joint in enumerate(self.joints)})
        put(self, "_places", tuple(tuple(at for at, _ in marks) for marks in self.marks_um))
        put(self, "_free", frozenset(layout.free.tolist()))

    def __contains__(self, joint: UUID) -> bool:
        return joint in self._numbers

    def number(self, joint: UUID) -> int:
        """Number of a joint of the network.

        Raises:
            KeyError: The joint is not repaired by this method.
        """
        return self._numbers[joint]

    def edges_of(self, joint: int) -> range:
        """Numbers of a joint's edges, along rising chainage."""
        return range(*self._layout.firsts[joint : joint + 2])

    def starts_um(self, joint: int) -> tuple[int, ...]:
        """Chainages where a joint's edges start, along rising chainage; an open joint's end follows them."""
        return self._places[joint] or (0,)

    def edge_at(self, joint: int, at_um: int) -> tuple[int, int]:
        """The edge that holds a chainage, and the chainage as that edge counts it.

        A chainage on a mark belongs to the edge above it, at the end of an open joint to the last.
        """
        first, places = self._layout.firsts[joint], self._places[joint]
        if not self.closed[joint]:
            return first + min(bisect_right(places, at_um), len(places) - 1) - 1, at_um
        if not places:
            return first, at_um
        if at_um < places[0]:  # its first mark lies past its start
            return first + len(places) - 1, at_um + self.lengths_um[joint]
        return first + bisect_right(places, at_um) - 1, at_um

    def nodes_on(self, joint: int, low_um: int, high_um: int) -> list[int]:
        """Nodes with a mark between two chainages, both included.

        On a closed joint the chainages may be counted on past its length or back before its start.
        """
        places, marks = self._places[joint], self.marks_um[joint]
        found = marks[bisect_left(places, low_um) : bisect_right(places, high_um)]
        if self.closed[joint]:
            length = self.lengths_um[joint]
            for turn in range(low_um // length, high_um // length + 1):
                if turn:
                    low, high = low_um - turn * length, high_um - turn * length
                    found += marks[bisect_left(places, low) : bisect_right(places, high)]
        return [node for _, node in found]

    def members_um(self, node: int) -> tuple[tuple[int, int], ...]:
        """Marks of a node as (joint number, chainage)."""
        return self._layout.members[node]

    def marks(self, joint: UUID) -> tuple[tuple[float, int], ...]:
        """Marks of a joint as (chainage in metres, node), in rising chainage.

        Raises:
            KeyError: The joint is not repaired by this method.
        """
        return tuple((to_m(at_um), node) for at_um, node in self.marks_um[self._numbers[joint]])

    def members(self, node: int) -> tuple[tuple[UUID, float], ...]:
        """Marks of a node as (joint, chainage in metres), in joint, chainage order."""
        return tuple((self.joints[joint], to_m(at_um)) for joint, at_um in self._layout.members[node])

    def is_free_end(self, node: int) -> bool:
        """Whether nothing goes on from a node but one arm."""
        return node in self._free

    def free_ends_within(self, length_um: int) -> list[int]:
        """Free ends whose arm is no longer than a length."""
        nodes: list[int] = self._layout.free[self._layout.free_um <= length_um].tolist()
        return nodes

    def distances(self, joint: UUID, at_m: float, limit_m: float | None = None) -> dict[int, float]:
        """Distance along the network from a place to every node within a limit, in metres.

        Args:
            joint: A joint of the network.
            at_m: Chainage on it.
            limit_m: Nodes farther than this are left out; None gives every node that is joined.

        Returns:
            Node to distance; empty on a ring without marks.
        """
        limit_um = None if limit_m is None else to_um(limit_m)
        found = self.distances_um(self.ways_out(self._numbers[joint], to_um(at_m)), limit_um)
        return {node: to_m(distance) for node, distance in found.items()}

    def distance(self, joint: UUID, at_m: float, other: UUID, other_at_m: float) -> float:
        """Distance along the network between two places, in metres; infinite when nothing joins them."""
        one, two = self._numbers[joint], self._numbers[other]
        at_um, other_um = to_um(at_m), to_um(other_at_m)
        known = self.distances_um(self.ways_out(one, at_um))
        ways = [known[node] + left for node, left in self.ways_out(two, other_um) if node in known]
        ways += self._straight_um(one, at_um, other_um) if one == two else ()
        return to_m(min(ways)) if ways else inf

    def ways_out(self, joint: int, at_um: int) -> tuple[tuple[int, int], ...]:
        """The nodes at the two ends of the edge that holds a place, each with its distance."""
        number, at_um = self.edge_at(joint, at_um)
        edge = self.edges[number]
        if edge.from_node == NO_NODE:
            return ()
        return (edge.from_node, at_um - edge.from_um), (edge.to_node, edge.to_um - at_um)

    def distances_um(self, sources: Iterable[tuple[int, int]], limit_um: int | None = None) -> dict[int, int]:
        """Least distance to every node from the nearest of several nodes, each with a start value."""
        queue = [(distance, node) for node, distance in sources]
        heapify(queue)
        found: dict[int, int] = {}
        while queue:
            distance, node = heappop(queue)
            if node in found or (limit_um is not None and distance > limit_um):
                continue
            found[node] = distance
            for arm in self.arms[node]:
                if arm.to_node not in found:
                    heappush(queue, (distance + arm.length_um, arm.to_node))
        return found

    def _straight_um(self, joint: int, one_um: int, two_um: int) -> tuple[int, ...]:
        apart_um = abs(one_um - two_um)
        return (apart_um, self.lengths_um[joint] - apart_um) if self.closed[joint] else (apart_um,)
