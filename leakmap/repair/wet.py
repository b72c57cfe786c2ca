"""Wet stretches: leaks that touch or overlap, along joints and through junctions, before any cut.

What a leak asks for follows from its wetness, or from the method that a person set on it; where
leaks lie over each other, or meet, the heaviest decides.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.words import Method, Wetness
from leakmap.repair.chainages import Span, length_of, merged
from leakmap.repair.levels import height_at, listing_order
from leakmap.repair.network import Network
from leakmap.repair.sources import TIE_UM, Source, sources_of, wet_stretches
from leakmap.repair.spans import on_round

WEIGHT: Final = {method: weight for weight, method in enumerate(Method)}
"""Each method is heavier than the one before."""

_REACH_M: Final = TIE_M + MICRON_M


class Wet(NamedTuple):
    """A leak that is repaired, with its place in the engine's terms."""

    leak: Leak
    source: Source

    def asks_for(self, method: Method) -> bool:
        """Whether the leak asks for a method of ours, or for a heavier one."""
        return WEIGHT[method] <= WEIGHT[method_of(self.leak)]

    @property
    def length_m(self) -> float:
        """Length of the leak; 0 for a spot."""
        return to_m(self.source.to_um - self.source.from_um)


@dataclass(frozen=True, slots=True)
class WetStretch:
    """Leaks that hang together.

    Attributes:
        leaks: The leaks, worst first: wetness, flow, lowest, longest.
        spans: Where they lie, joint by joint; sorted and disjoint.
    """

    leaks: tuple[Wet, ...]
    spans: dict[UUID, tuple[Span, ...]]

    @property
    def length_m(self) -> float:
        """Length of the stretch over all its joints."""
        return sum(length_of(spans) for spans in self.spans.values())

    @property
    def worst(self) -> Wet:
        """The leak that decides where its worst point is."""
        return self.leaks[0]


def method_of(leak: Leak) -> Method:
    """What is done at a leak: the method set by hand, else the one that its wetness asks for."""
    if leak.method is not None:
        return leak.method
    if leak.wetness >= Wetness.RUN:
        return Method.DEEP_PLUG_RELIEF
    return Method.SLOT if leak.wetness is Wetness.SUSPECT else Method.SLOT_PLUG


def worst_point(joint: Joint, wet: Wet) -> float:
    """Chainage of highest flow: as said, else the lowest wet point of a vertical joint, else the middle."""
    from_m, to_m_ = to_m(wet.source.from_um), to_m(wet.source.to_um)
    said = wet.leak.worst_m
    if said is not None:
        return min(said, joint.length_m) if joint.closed else min(max(said, from_m), to_m_)
    if joint.vertical:
        return from_m
    middle = (from_m + to_m_) / 2
    return middle % joint.length_m if joint.closed else middle


def wet_leaks(job: Job, network: Network, order: Mapping[UUID, tuple[int, int]] | None = None) -> tuple[Wet, ...]:
    """Leaks that this method repairs, in sheet, joint, chainage order.

    Args:
        job: The job.
        network: Its network.
        order: Its listing order, where it is known.
    """
    order = order or listing_order(job)
    found = [Wet(job.leaks[source.leak], source) for source in sources_of(job, network)]
    return tuple(sorted(found, key=lambda wet: (order[wet.leak.joint], wet.source.from_um, wet.source.to_um)))


def marks_on(network: Network, joint: UUID, span: Span) -> tuple[tuple[int, int], ...]:
    """Marks on a span, ends included within the tie, as (chainage in micrometres, node).

    On a closed joint its end is its start: a mark there is found by spans at both, with its chainage past
    the length, or below 0.
    """
    number = network.number(joint)
    marks, length_um = network.marks_um[number], network.lengths_um[number]
    low, high = to_um(span[0]) - TIE_UM, to_um(span[1]) + TIE_UM
    found = marks[bisect_left(marks, (low, -1)) : bisect_left(marks, (high + 1, -1))]
    if network.closed[number] and high >= length_um:
        found += tuple((at_um + length_um, node) for at_um, node in marks if at_um + length_um <= high)
    if network.closed[number] and low < 0:
        found += tuple((at_um - length_um, node) for at_um, node in marks if at_um - length_um >= low)
    return found


def spans_m(network: Network, source: Source) -> tuple[Span, ...]:
    """Where a leak lies on its joint; two spans where it passes the start of a closed joint."""
    if source.to_um <= network.lengths_um[source.joint]:
        return ((to_m(source.from_um), to_m(source.to_um)),)
    round_um = on_round(source.from_um, source.to_um, network.lengths_um[source.joint])
    return tuple((to_m(low), to_m(high)) for low, high in round_um)


def stretches_of_wet(job: Job, network: Network, wet: Iterable[Wet]) -> tuple[WetStretch, ...]:
    """Wet stretches of some leaks, in the order of their first leaks."""
    chosen = list(wet)
    groups: dict[int, list[Wet]] = {}
    for item, number in zip(chosen, wet_stretches(network, [item.source for item in chosen]), strict=True):
        groups.setdefault(number, []).append(item)
    return tuple(_stretch(job, network, group) for group in groups.values())


def _stretch(job: Job, network: Network, wet: Sequence[Wet]) -> WetStretch:
    spans: dict[UUID, list[Span]] = {}
    for item in wet:
        spans.setdefault(item.leak.joint, []).extend(spans_m(network, item.source))

    def badness(item: Wet) -> tuple[float, ...]:
        joint = job.joints[item.leak.joint]
        floor = job.sheet_of(joint).floor_level_m or 0.0
        lowest = floor + height_at(job, joint, worst_point(joint, item))
        return -item.leak.wetness, -(item.leak.flow_l_min or 0.0), round(lowest, 6), -item.length_m

    worst_first = tuple(sorted(wet, key=badness)) if len(wet) > 1 else tuple(wet)
    return WetStretch(worst_first, {joint: merged(found, _REACH_M) for joint, found in spans.items()})
