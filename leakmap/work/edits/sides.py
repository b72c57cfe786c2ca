"""Sides of leaks and what they reach: one end of a leak with its overrun.

A side *reaches* what the engine says that it covers (definition 2), so what is set by it is what is worked
out afterwards.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from leakmap.base.micrometres import to_um
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan, own_cover
from leakmap.repair.results import End
from leakmap.repair.sources import TIE_UM, Source
from leakmap.repair.spans import Span, length_of
from leakmap.repair.ways import Place
from leakmap.work.edits.leaks import LeakEnd


class Side(NamedTuple):
    """One end of a leak with its overrun."""

    source: Source
    end: LeakEnd

    @property
    def overrun_um(self) -> int:
        """The overrun in force."""
        return self.source.before_um if self.end is LeakEnd.FROM else self.source.after_um

    def with_overrun(self, overrun_um: int) -> Source:
        """The leak with this side's overrun set, and none on the other side."""
        before, after = (overrun_um, 0) if self.end is LeakEnd.FROM else (0, overrun_um)
        return self.source._replace(before_um=before, after_um=after)


class Between(NamedTuple):
    """The stretch between an end and the place that it is dragged to."""

    network: Network
    spans: tuple[JointSpan, ...]

    @property
    def length_um(self) -> int:
        """Its length."""
        return sum(high - low for _, low, high in self.spans)

    def shared_um(self, spans: list[JointSpan]) -> int:
        """How much of it some stretches of joints cover."""
        parts: dict[int, list[Span]] = {}
        for joint, low, high in spans:
            for own, start, stop in self.spans:
                if own == joint and min(high, stop) > max(low, start):
                    parts.setdefault(joint, []).append((max(low, start), min(high, stop)))
        return sum(map(length_of, parts.values()))

    def reached_um(self, source: Source) -> int:
        """How much of it a leak covers with its overruns."""
        return self.shared_um(own_cover(self.network, source))


def deciding_side(end: End, sources: tuple[Source, ...], network: Network) -> Side | None:
    """The side whose overrun reaches an end, the farther-reaching one of two."""
    owner = next((source for source in sources if source.leak == end.owner), None)
    if owner is None:
        return None
    place = network.number(end.joint), to_um(end.at_m)
    sides = sorted((Side(owner, side) for side in LeakEnd), key=lambda side: -side.overrun_um)
    return next((side for side in sides if covers(side.with_overrun(side.overrun_um), network, place, TIE_UM)), None)


def covers(source: Source, network: Network, place: Place, slack_um: int = 0) -> bool:
    """Whether a leak covers a place with its overruns."""
    number, at = place
    return any(
        joint == number and low - slack_um <= at <= high + slack_um for joint, low, high in own_cover(network, source)
    )


def distance_um(network: Network, side: Side, place: Place, most_um: int) -> int:
    """The least overrun of a side with which it covers a place, which ``most_um`` is enough for."""
    if covers(side.with_overrun(0), network, place):
        return 0
    return largest(lambda reach: not covers(side.with_overrun(reach), network, place), 0, most_um - 1) + 1


def near_sources(between: Between, sources: tuple[Source, ...]) -> list[Source]:
    """Leaks whose overrun may come to the stretch."""
    network = between.network
    limit = max((max(source.before_um, source.after_um) for source in sources), default=0) + between.length_um + TIE_UM
    places = {(joint, at) for joint, *span in between.spans for at in span}
    nodes = network.distances_um([way for place in places for way in network.ways_out(*place)], limit)
    joints = {*(joint for joint, _ in places), *(joint for node in nodes for joint, _ in network.members_um(node))}
    return [source for source in sources if source.joint in joints]


def largest(holds: Callable[[int], bool], low: int, high: int) -> int:
    """The largest whole number from low to below or at high for which something holds, that holds at low."""
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if holds(middle) else (low, middle - 1)
    return low
