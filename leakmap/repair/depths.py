"""How deep the slot is, and how far its lower part is plug.

The slot has the standard depth but for deep stretches: the run or jet stretch itself, or the least
length about its worst point where it is shorter, clipped to the joint. In a slot that hangs
together with any wet stretch the lower part is plug, judged before cuts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from itertools import pairwise
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um
from leakmap.base.rounding import rounded
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.rules import PlugExtent, Rules
from leakmap.model.words import Method, Wetness
from leakmap.repair.chainages import Span, Spans, merged, round_of
from leakmap.repair.network import Network
from leakmap.repair.parts import Part
from leakmap.repair.wet import Wet, WetStretch, marks_on, spans_m, stretches_of_wet, worst_point

_NONE = Spans(())


@dataclass(frozen=True, slots=True)
class Depths:
    """Depth and filling of the slot at every place that is repaired.

    Attributes:
        run: Deep stretches of runs (and of jets), joint by joint.
        jet: Deep stretches of jets.
        plug: Where plug is placed, joint by joint; None: wherever the whole slot is plugged.
        plugged_wholes: Numbers of the components before cuts that hold plug.
    """

    rules: Rules
    run: dict[UUID, Spans]
    jet: dict[UUID, Spans]
    plug: dict[UUID, Spans] | None
    plugged_wholes: frozenset[int]

    def depth_m(self, joint: UUID, at_m: float) -> float:
        """Slot depth at a place."""
        rules = self.rules
        depth_m, run, jet = rules.slot_depth_m, self.run.get(joint), self.jet.get(joint)
        if run and run.at(at_m):
            depth_m = max(depth_m, rules.run_depth_m)
        if jet and jet.at(at_m):
            depth_m = max(depth_m, rules.jet_depth_m)
        return depth_m

    def plugged(self, whole: int, joint: UUID, at_m: float) -> bool:
        """Whether the lower part of the slot is plug at a place."""
        return whole in self.plugged_wholes and (self.plug is None or self.plug.get(joint, _NONE).at(at_m))

    def segments(self, whole: int, joint: UUID, from_m: float, to_m: float) -> list[tuple[float, float, float, bool]]:
        """A stretch parted where depth or filling changes: (from, to, depth in metres, plugged)."""
        breaks: list[float] = []
        for spans in (self.run.get(joint), self.jet.get(joint), self.plug and self.plug.get(joint)):
            if spans:
                breaks += spans.breaks(from_m, to_m)
        ends = sorted({from_m, *breaks, to_m}) if breaks else (from_m, to_m)
        return [
            (start, end, self.depth_m(joint, (start + end) / 2), self.plugged(whole, joint, (start + end) / 2))
            for start, end in pairwise(ends)
        ]


def depths_of(job: Job, network: Network, parts: Sequence[Part], leaks: Sequence[Wet]) -> Depths:
    """Depths and fillings of a job's repairs.

    Args:
        job: The job.
        network: Its network.
        parts: The connected parts of its cover.
        leaks: Leaks that are repaired.
    """
    deep = [wet for wet in leaks if wet.asks_for(Method.DEEP_PLUG)]
    jets = [wet for wet in deep if wet.leak.wetness is Wetness.JET]
    plugging = [wet for wet in leaks if wet.asks_for(Method.SLOT_PLUG)]
    plugged = {wet.leak.id for wet in plugging}
    return Depths(
        rules=job.rules,
        run=deep_spans(job, stretches_of_wet(job, network, deep)),
        jet=deep_spans(job, stretches_of_wet(job, network, jets)),
        plug=_limited_plug(job, network, plugging),
        plugged_wholes=frozenset(
            part.whole for part in parts if any(not plugged.isdisjoint(piece.leaks) for piece in part.pieces)
        ),
    )


def deep_spans(job: Job, stretches: Iterable[WetStretch]) -> dict[UUID, Spans]:
    """Deep stretches of wet stretches, joint by joint."""
    found: dict[UUID, list[Span]] = {}
    for stretch in stretches:
        spans = dict(stretch.spans)
        if stretch.length_m < job.rules.deep_length_m - MICRON_M:
            joint = job.joints[stretch.worst.leak.joint]
            worst_m, half_m = worst_point(joint, stretch.worst), job.rules.deep_length_m / 2
            spans[joint.id] = round_of(joint, worst_m - half_m, worst_m + half_m)
        for joint_id, deep in spans.items():
            found.setdefault(joint_id, []).extend(deep)
    return {joint_id: Spans(merged(spans)) for joint_id, spans in found.items()}


def _limited_plug(job: Job, network: Network, leaks: Sequence[Wet]) -> dict[UUID, Spans] | None:
    """Wet stretches and a length beyond, along the network; None where the rule plugs the whole slot."""
    if job.rules.plug_extent is PlugExtent.SLOT:
        return None
    beyond_m = job.rules.plug_beyond_m
    found: dict[UUID, list[Span]] = {}
    for wet in leaks:
        joint = job.joints[wet.leak.joint]
        from_m, end_m = to_m(wet.source.from_um), to_m(wet.source.to_um)
        found.setdefault(joint.id, []).extend(round_of(joint, from_m - beyond_m, end_m + beyond_m))
        for other, span in _beyond_nodes(job, network, wet) if beyond_m > 0 else ():
            found.setdefault(other, []).append(span)
    return {joint_id: Spans(merged(spans)) for joint_id, spans in found.items()}


def _beyond_nodes(job: Job, network: Network, wet: Wet) -> list[tuple[UUID, Span]]:
    """Spans of every joint that lie within the rule's length of a leak, past its nodes and those in between."""
    beyond_um, number = to_um(job.rules.plug_beyond_m), wet.source.joint
    sources = []
    for span in spans_m(network, wet.source):
        sources += [way for end_m in span for way in network.ways_out(number, to_um(end_m))]
        sources += [(node, 0) for _, node in marks_on(network, wet.leak.joint, span)]
    found: list[tuple[UUID, Span]] = []
    for node, distance_um in network.distances_um(sources, beyond_um).items():
        left_m = to_m(beyond_um - distance_um)
        for other, at_m in network.members(node):
            found += [(other, span) for span in round_of(job.joints[other], at_m - left_m, at_m + left_m)]
    return found


@cache
def depth_mm(depth_m: float) -> Decimal:
    """A depth as papers print it: whole millimetres, or tenths where the rule has them.

    >>> depth_mm(0.037), depth_mm(0.0385)
    (Decimal('37'), Decimal('38.5'))
    """
    tenths = rounded(depth_m * 1000, Decimal("0.1"))
    whole = tenths.to_integral_value()
    return whole if whole == tenths else tenths
