"""Wet stretches: leaks that touch or overlap, along joints and through junctions, before any cut.

What a leak asks for follows from its wetness, or from the method that a person set on it; where
leaks lie over each other, or meet, the heaviest decides.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from leakmap.base.micrometres import to_um
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Suspects
from leakmap.model.words import Method, Wetness
from leakmap.repair.chainages import Span, length_of, merged, spans_of
from leakmap.repair.grouping import Groups
from leakmap.repair.levels import height_at, listing_order
from leakmap.repair.network import Network

WEIGHT: Final = {method: weight for weight, method in enumerate(Method)}
"""Each method is heavier than the one before."""

_REACH_M: Final = TIE_M + MICRON_M
_TIE_UM: Final = to_um(TIE_M)


@dataclass(frozen=True, slots=True)
class WetStretch:
    """Leaks that hang together.

    Attributes:
        leaks: The leaks, worst first: wetness, flow, lowest, longest.
        spans: Where they lie, joint by joint; sorted and disjoint.
    """

    leaks: tuple[Leak, ...]
    spans: dict[UUID, tuple[Span, ...]]

    @property
    def length_m(self) -> float:
        """Length of the stretch over all its joints."""
        return sum(length_of(spans) for spans in self.spans.values())

    @property
    def worst(self) -> Leak:
        """The leak that decides where its worst point is."""
        return self.leaks[0]


def method_of(leak: Leak) -> Method:
    """What is done at a leak: the method set by hand, else the one that its wetness asks for."""
    if leak.method is not None:
        return leak.method
    if leak.wetness >= Wetness.RUN:
        return Method.DEEP_PLUG_RELIEF
    return Method.SLOT if leak.wetness is Wetness.SUSPECT else Method.SLOT_PLUG


def asks_for(leak: Leak, method: Method) -> bool:
    """Whether a leak asks for a method of ours, or for a heavier one."""
    return WEIGHT[method] <= WEIGHT[method_of(leak)]


def length_of_leak(joint: Joint, leak: Leak) -> float:
    """Length of a leak; 0 for a spot."""
    return length_of(spans_of(joint, leak.from_m, leak.to_m))


def worst_point(joint: Joint, leak: Leak) -> float:
    """Chainage of highest flow: as said, else the lowest wet point of a vertical joint, else the middle."""
    passes_start = leak.from_m > leak.to_m
    if leak.worst_m is not None:
        return leak.worst_m if passes_start else min(max(leak.worst_m, leak.from_m), leak.to_m)
    if joint.vertical:
        return leak.from_m
    if passes_start:
        return (leak.from_m + length_of_leak(joint, leak) / 2) % joint.length_m
    return (leak.from_m + leak.to_m) / 2


def is_watched(job: Job, leak: Leak) -> bool:
    """Whether a leak is a suspect that the rules only watch."""
    return job.rules.suspects is Suspects.WATCH and leak.wetness is Wetness.SUSPECT


def repaired_leaks(job: Job, network: Network) -> tuple[Leak, ...]:
    """Leaks that this method repairs: on a joint of the network, not watched, not given to another method."""
    return tuple(
        leak
        for leak in job.leaks.values()
        if leak.joint in network and leak.method is not Method.ANOTHER and not is_watched(job, leak)
    )


def marks_on(network: Network, joint: UUID, span: Span) -> tuple[tuple[int, int], ...]:
    """Marks on a span, ends included within the tie, as (chainage in micrometres, node)."""
    marks = network.marks_um[network.number(joint)]
    low = bisect_left(marks, (to_um(span[0]) - _TIE_UM, -1))
    high = bisect_left(marks, (to_um(span[1]) + _TIE_UM + 1, -1))
    return marks[low:high]


def wet_stretches(job: Job, network: Network, leaks: Iterable[Leak]) -> tuple[WetStretch, ...]:
    """Wet stretches of some leaks, in sheet, joint, chainage order of their first leak.

    Leaks that touch within the tie are one stretch, round the start of a closed joint and through
    junctions too.
    """
    order = listing_order(job)
    wet = sorted(leaks, key=lambda leak: (order[leak.joint], leak.from_m, leak.to_m))
    groups = Groups(len(wet))
    _join_along(job, wet, groups)
    _join_at_nodes(job, network, wet, groups)
    return tuple(_stretch(job, [wet[number] for number in group]) for group in groups.all())


def _join_along(job: Job, wet: Sequence[Leak], groups: Groups) -> None:
    lying: dict[UUID, list[tuple[float, float, int]]] = {}
    for number, leak in enumerate(wet):
        for start, end in spans_of(job.joints[leak.joint], leak.from_m, leak.to_m):
            lying.setdefault(leak.joint, []).append((start, end, number))
    for joint, spans in lying.items():
        spans.sort()
        reach, last = spans[0][1], spans[0][2]
        for start, end, number in spans[1:]:
            if start <= reach + _REACH_M:
                groups.join(last, number)
            if end > reach:
                reach, last = end, number
        if job.joints[joint].closed and spans[0][0] <= _REACH_M and reach >= job.joints[joint].length_m - _REACH_M:
            groups.join(spans[0][2], last)


def _join_at_nodes(job: Job, network: Network, wet: Sequence[Leak], groups: Groups) -> None:
    first_at: dict[int, int] = {}
    for number, leak in enumerate(wet):
        for span in spans_of(job.joints[leak.joint], leak.from_m, leak.to_m):
            for _, node in marks_on(network, leak.joint, span):
                groups.join(first_at.setdefault(node, number), number)


def _stretch(job: Job, leaks: Sequence[Leak]) -> WetStretch:
    spans: dict[UUID, list[Span]] = {}
    for leak in leaks:
        spans.setdefault(leak.joint, []).extend(spans_of(job.joints[leak.joint], leak.from_m, leak.to_m))

    def badness(leak: Leak) -> tuple[float, ...]:
        joint = job.joints[leak.joint]
        floor = job.sheet_of(joint).floor_level_m or 0.0
        lowest = floor + height_at(job, joint, worst_point(joint, leak))
        return -leak.wetness, -(leak.flow_l_min or 0.0), round(lowest, 6), -round(length_of_leak(joint, leak), 6)

    worst_first = tuple(sorted(leaks, key=badness))
    return WetStretch(worst_first, {joint: merged(found, _REACH_M) for joint, found in spans.items()})
