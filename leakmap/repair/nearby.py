"""What lies near some cover: along the network, and by its coat bands in plan.

Both answer more rather than less: what they leave out is surely too far away to act on the cover.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import Final
from uuid import UUID

import numpy as np
import shapely

from leakmap.repair.bands import Flat
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.spans import on_round

_MOST_LOOSE: Final = 256  # bands looked at one by one before a tree is made of all

Placed = tuple[int, int, int]
"""A stretch of cover on a joint: from, to, number of its owner."""

Lying = tuple[UUID, int, int]
"""A stretch of a joint by its id, which stays when joints get other numbers: joint, from, to."""


def around(network: Network, spans: Iterable[JointSpan], way_um: int) -> list[JointSpan]:
    """Every place within a way of some stretches, along the network; what overlaps comes more than once."""
    found: list[JointSpan] = []
    starts: list[tuple[int, int]] = []
    for joint, low, high in spans:
        found += _on_joint(network, joint, low - way_um, high + way_um)
        starts += network.ways_out(joint, low) + network.ways_out(joint, high)
        starts += [(node, 0) for node in network.nodes_on(joint, low, high)]
    for node, distance in network.distances_um(starts, way_um).items():
        left = way_um - distance
        for joint, at in network.members_um(node):
            found += _on_joint(network, joint, at - left, at + left)
    return found


def _on_joint(network: Network, joint: int, low: int, high: int) -> list[JointSpan]:
    length = network.lengths_um[joint]
    if not network.closed[joint]:
        return [(joint, max(low, 0), min(high, length))]
    turn = low // length * length
    return [(joint, *span) for span in on_round(low - turn, high - turn, length)]


@dataclass(frozen=True, slots=True)
class Placing:
    """Which owner has which cover.

    Attributes:
        on: Of each joint, disjoint stretches in rising order; joints without are left out.
    """

    on: Mapping[UUID, Sequence[Placed]]

    def owners(self, network: Network, spans: Iterable[JointSpan]) -> set[int]:
        """Owners of cover that meets any of some stretches of a network, ends included."""
        found: set[int] = set()
        for joint, low, high in spans:
            own = self.on.get(network.joints[joint], ())
            for index in range(bisect_left(own, low, key=itemgetter(1)), len(own)):
                if own[index][0] > high:
                    break
                found.add(own[index][2])
        return found

    def owners_on(self, joints: Iterable[UUID]) -> set[int]:
        """Owners of cover anywhere on some joints."""
        return {owner for joint in joints for _, _, owner in self.on.get(joint, ())}

    def less(self, spans: Iterable[Lying], owners: set[int]) -> Placing:
        """The same without some owners, whose stretches are given."""
        on = dict(self.on)
        for joint in {joint for joint, _, _ in spans}:
            on[joint] = [item for item in on[joint] if item[2] not in owners]
        return Placing(on)

    def plus(self, spans: Iterable[tuple[Lying, int]]) -> Placing:
        """The same with further stretches and their owners."""
        more: dict[UUID, list[Placed]] = {}
        for (joint, low, high), owner in spans:
            more.setdefault(joint, []).append((low, high, owner))
        return Placing({**self.on, **{joint: sorted([*self.on.get(joint, ()), *own]) for joint, own in more.items()}})


@dataclass(frozen=True, slots=True)
class Banded:
    """A coat band on a flat face, and who owns it."""

    flat: Flat
    shape: shapely.Geometry
    owner: int


@dataclass(frozen=True, slots=True)
class Bands:
    """Coat bands of all owners, of some that are gone too.

    Attributes:
        rooted: Those that lie in the tree.
        tree: A tree of them; None when there are none.
        loose: The others.
    """

    rooted: Sequence[Banded] = ()
    tree: shapely.STRtree | None = None
    loose: tuple[Banded, ...] = ()

    def owners(self, bands: Sequence[Banded]) -> set[int]:
        """Owners whose bands touch any of some bands on the same face."""
        if not bands:
            return set()
        shapes = np.array([band.shape for band in bands], dtype=object)
        found: set[int] = set()
        if self.tree is not None:
            for one, other in self.tree.query(shapes, predicate="intersects").T.tolist():
                if bands[one].flat == self.rooted[other].flat:
                    found.add(self.rooted[other].owner)
        if self.loose:
            others = np.array([band.shape for band in self.loose], dtype=object)
            for one, other in np.argwhere(shapely.intersects(shapes[:, None], others[None, :])).tolist():
                if bands[one].flat == self.loose[other].flat:
                    found.add(self.loose[other].owner)
        return found

    def plus(self, bands: Sequence[Banded], owners: Mapping[int, object]) -> Bands:
        """The same with further bands.

        Args:
            bands: The bands.
            owners: Everybody who is still there.
        """
        loose = (*self.loose, *bands)
        if len(loose) <= _MOST_LOOSE:
            return Bands(self.rooted, self.tree, loose)
        every = [band for band in (*self.rooted, *loose) if band.owner in owners]
        return Bands(every, shapely.STRtree([band.shape for band in every]))
