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
from itertools import pairwise
from math import inf
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um

NO_NODE: Final = -1
"""Stands where a ring has no node."""


class Edge(NamedTuple):
    """The part of a joint between two neighbouring marks.

    Attributes:
        joint: Number of the joint.
        from_um: Chainage of its lower end.
        to_um: Chainage of its upper end; past the joint's length where it passes the start.
        from_node: Node at its lower end; ``NO_NODE`` on a ring without marks.
        to_node: Node at its upper end.
    """

    joint: int
    from_um: int
    to_um: int
    from_node: int
    to_node: int


class Arm(NamedTuple):
    """A way out of a node along an edge.

    Attributes:
        edge: Number of the edge.
        up: Whether it leaves along rising chainage.
        length_um: Length of the edge.
        to_node: Node at its other end.
    """

    edge: int
    up: bool
    length_um: int
    to_node: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Joints, their marks, and what is one place.

    Attributes:
        joints: Joints repaired by this method, in the job's order.
        lengths_um: Length of each.
        closed: Whether each returns to its start.
        marks_um: Of each, the marks as (chainage, node), in rising chainage; an open joint has one
            at 0 and one at its length.
        edges: Every edge.
        arms: Of each node, its arms.
        free_ends: Every free end with its arm.
    """

    joints: tuple[UUID, ...]
    lengths_um: tuple[int, ...]
    closed: tuple[bool, ...]
    marks_um: tuple[tuple[tuple[int, int], ...], ...]
    edges: tuple[Edge, ...] = field(init=False, repr=False, compare=False)
    arms: tuple[tuple[Arm, ...], ...] = field(init=False, repr=False, compare=False)
    free_ends: tuple[tuple[int, Arm], ...] = field(init=False, repr=False, compare=False)
    _numbers: Mapping[UUID, int] = field(init=False, repr=False, compare=False)
    _edges_of: tuple[tuple[int, tuple[int, ...]], ...] = field(init=False, repr=False, compare=False)
    _members: tuple[tuple[tuple[int, int], ...], ...] = field(init=False, repr=False, compare=False)
    _places: tuple[tuple[int, ...], ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Lay out edges, arms and members."""
        edges: list[Edge] = []
        edges_of = []
        for joint, length_um in enumerate(self.lengths_um):
            own = _edges_of_joint(joint, length_um, self.marks_um[joint], closed=self.closed[joint])
            edges_of.append((len(edges), tuple(edge.from_um for edge in own)))
            edges += own
        put = object.__setattr__
        put(self, "edges", tuple(edges))
        put(self, "_edges_of", tuple(edges_of))
        put(self, "_numbers", {joint: number for number, joint in enumerate(self.joints)})
        put(self, "_members", _members_of(self.marks_um))
        put(self, "_places", tuple(tuple(at for at, _ in marks) for marks in self.marks_um))
        put(self, "arms", _arms_of(edges, len(self._members)))
        put(self, "free_ends", tuple((node, arms[0]) for node, arms in enumerate(self.arms) if len(arms) == 1))

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
        first, starts = self._edges_of[joint]
        return range(first, first + len(starts))

    def edge_at(self, joint: int, at_um: int) -> tuple[int, int]:
        """The edge that holds a chainage, and the chainage as that edge counts it.

        A chainage on a mark belongs to the edge above it, at the end of an open joint to the last.
        """
        first, starts = self._edges_of[joint]
        if at_um < starts[0]:  # a closed joint whose first mark lies past its start
            return first + len(starts) - 1, at_um + self.lengths_um[joint]
        return first + bisect_right(starts, at_um) - 1, at_um

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
        return self._members[node]

    def marks(self, joint: UUID) -> tuple[tuple[float, int], ...]:
        """Marks of a joint as (chainage in metres, node), in rising chainage.

        Raises:
            KeyError: The joint is not repaired by this method.
        """
        return tuple((to_m(at_um), node) for at_um, node in self.marks_um[self._numbers[joint]])

    def members(self, node: int) -> tuple[tuple[UUID, float], ...]:
        """Marks of a node as (joint, chainage in metres), in joint, chainage order."""
        return tuple((self.joints[joint], to_m(at_um)) for joint, at_um in self._members[node])

    def is_free_end(self, node: int) -> bool:
        """Whether nothing goes on from a node but one arm."""
        return len(self.arms[node]) == 1

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


def _edges_of_joint(joint: int, length_um: int, marks: tuple[tuple[int, int], ...], *, closed: bool) -> list[Edge]:
    if not marks:
        return [Edge(joint, 0, length_um, NO_NODE, NO_NODE)]
    edges = [Edge(joint, low, high, below, above) for (low, below), (high, above) in pairwise(marks)]
    if closed:
        edges.append(Edge(joint, marks[-1][0], marks[0][0] + length_um, marks[-1][1], marks[0][1]))
    return edges


def _members_of(marks_um: tuple[tuple[tuple[int, int], ...], ...]) -> tuple[tuple[tuple[int, int], ...], ...]:
    members: dict[int, list[tuple[int, int]]] = {}
    for joint, marks in enumerate(marks_um):
        for at_um, node in marks:
            members.setdefault(node, []).append((joint, at_um))
    return tuple(tuple(members[node]) for node in range(len(members)))


def _arms_of(edges: Iterable[Edge], nodes: int) -> tuple[tuple[Arm, ...], ...]:
    arms: list[list[Arm]] = [[] for _ in range(nodes)]
    for number, edge in enumerate(edges):
        if edge.from_node != NO_NODE:
            length_um = edge.to_um - edge.from_um
            arms[edge.from_node].append(Arm(number, up=True, length_um=length_um, to_node=edge.to_node))
            arms[edge.to_node].append(Arm(number, up=False, length_um=length_um, to_node=edge.from_node))
    return tuple(map(tuple, arms))
