"""Where the slot of a repair stops, for drawing, printing and dragging.

A slot stops at the end of an overrun, at a free end, at a cut, and on both sides of whatever hides
the joint: a blind stretch, or the clearance of a movement joint. Where cover goes on round a corner
into another joint, or across the start of a closed joint, it does not stop.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise
from typing import Final, NamedTuple

from leakmap.base.micrometres import to_m
from leakmap.repair.results import End, Why
from leakmap.repair.tracing import Bit, Trace

OVERRUN_END: Final = "overrun"
JOINT_END: Final = "joint end"
AT_MOVEMENT: Final = "movement joint"
AT_CUT: Final = "cut"
AT_BLIND: Final = "blind"


def ends_of(trace: Trace, bits: Iterable[Bit]) -> tuple[End, ...]:
    """Where the slot of one part stops.

    Args:
        trace: What cover is made of.
        bits: Pieces of one part, joint after joint, in chainage order.

    Returns:
        Ends, joint after joint, in chainage order.
    """
    return tuple(end for _, own in groupby(bits, lambda bit: bit.joint) for end in _ends_on_joint(trace, tuple(own)))


class _InnerStops(NamedTuple):
    """Where the slot of a joint stops although nothing hides it."""

    cuts: frozenset[int]
    crossings: frozenset[int]


def _ends_on_joint(trace: Trace, bits: Sequence[Bit]) -> Iterator[End]:
    joint = bits[0].joint
    inner = _inner_stops(trace, joint)
    runs = list(_slot_runs(inner, bits))
    length = trace.network.lengths_um[joint]
    passes_start = (
        bool(runs)
        and trace.network.closed[joint]
        and (runs[0][0].low, runs[-1][-1].high) == (0, length)
        and 0 not in inner.cuts | inner.crossings
    )
    for run in runs:
        for bit, up in ((run[0], False), (run[-1], True)):
            if not (passes_start and (bit.high == length if up else bit.low == 0)):
                yield from _end(trace, inner, bits, bit, up=up)


def _inner_stops(trace: Trace, joint: int) -> _InnerStops:
    """Cuts, and crossings of movement joints without a clearance; the start of a closed joint is its end too."""
    length = trace.network.lengths_um[joint]
    cuts = set(trace.components.cuts.get(joint, ()))
    crossings = {span.low for span in trace.hidden.get(joint, ()) if span.low == span.high}
    for places in (cuts, crossings):
        if trace.network.closed[joint] and places & {0, length}:
            places |= {0, length}
    return _InnerStops(frozenset(cuts), frozenset(crossings))


def _slot_runs(inner: _InnerStops, bits: Iterable[Bit]) -> Iterator[list[Bit]]:
    """Pieces with a slot that follow one another without a stop."""
    run: list[Bit] = []
    for bit in _split_at(inner.crossings, bits) if inner.crossings else bits:
        stop = bit.low in inner.cuts or bit.low in inner.crossings
        if run and (bit.why is Why.BLIND or stop or run[-1].high != bit.low):
            yield run
            run = []
        if bit.why is not Why.BLIND:
            run.append(bit)
    if run:
        yield run


def _split_at(places: Iterable[int], bits: Iterable[Bit]) -> Iterator[Bit]:
    """Pieces made two wherever a place lies inside one."""
    for bit in bits:
        inside = sorted(at for at in places if bit.low < at < bit.high)
        for low, high in pairwise((bit.low, *inside, bit.high)):
            yield bit._replace(low=low, high=high)


def _end(trace: Trace, inner: _InnerStops, bits: Sequence[Bit], bit: Bit, *, up: bool) -> Iterator[End]:
    """The end of a run of slot at one of its outer pieces; none where the repair goes on round a corner."""
    at = bit.high if up else bit.low
    if at in inner.crossings:
        why, owner = AT_MOVEMENT, None
    elif (hidden := _hidden_beyond(trace, bits, at, up=up)) is not None:
        why, owner = hidden
    elif at in inner.cuts:
        why, owner = AT_CUT, None
    else:
        why, owner = _why_in_the_open(trace, bit.joint, at, up=up), _owner(trace, bit, at, up=up)
    if why:
        leak = None if owner is None else trace.sources[owner].leak
        yield End(joint=trace.network.joints[bit.joint], at_m=to_m(at), up=up, why=why, owner=leak)


def _hidden_beyond(trace: Trace, bits: Sequence[Bit], at: int, *, up: bool) -> tuple[str, int | None] | None:
    """What hides the cover just beyond a place, and who owns the end of cover if it lies in there."""
    if bits[0].joint not in trace.hidden:
        return None
    place, last = at, None
    for bit in bits if up else bits[::-1]:
        if (bit.low if up else bit.high) == place:
            if bit.why is not Why.BLIND:
                break
            place, last = (bit.high if up else bit.low), bit
    else:
        stops_in_there = not _is_start_of_closed(trace, bits[0].joint, place)
        owner = _owner(trace, last, place, up=up) if last and stops_in_there else None
        return last and (_hidden_by(trace, last.joint, at, up=up), owner)
    return last and (_hidden_by(trace, last.joint, at, up=up), None)


def _is_start_of_closed(trace: Trace, joint: int, at: int) -> bool:
    return trace.network.closed[joint] and at in (0, trace.network.lengths_um[joint])


def _hidden_by(trace: Trace, joint: int, at: int, *, up: bool) -> str:
    """What hides a joint just beyond a place: a movement joint before anything else."""
    spans = trace.hidden.get(joint, ())
    at_movement = any(
        span.at_movement and (span.low <= at < span.high if up else span.low < at <= span.high) for span in spans
    )
    return AT_MOVEMENT if at_movement else AT_BLIND


def _why_in_the_open(trace: Trace, joint: int, at: int, *, up: bool) -> str:
    """Why cover stops where nothing hides it; empty where it goes on in another joint."""
    network = trace.network
    if network.closed[joint] or at != (network.lengths_um[joint] if up else 0):
        return OVERRUN_END
    node = network.marks_um[joint][-1 if up else 0][1]
    if network.is_free_end(node):
        return JOINT_END
    return "" if _goes_on(trace, node, (joint, at)) else OVERRUN_END


def _goes_on(trace: Trace, node: int, but: tuple[int, int]) -> bool:
    """Whether cover with length leaves a node other than by one mark."""
    spans = trace.components.spans
    return any(
        spans[joint][number][0] < spans[joint][number][1]
        for joint, at in trace.network.members_um(node)
        if (joint, at) != but
        for number in trace.components.near(joint, at)
    )


def _owner(trace: Trace, bit: Bit, at: int, *, up: bool) -> int | None:
    """The wettest source of which a reach stops just there; ties take the first; None at a bridge."""
    reaching = [
        index
        for index in bit.sources
        if any(joint == bit.joint and (high if up else low) == at for joint, low, high in trace.reach[index])
    ]
    return max(reaching or bit.sources, key=lambda index: (trace.sources[index].wetness, -index), default=None)
