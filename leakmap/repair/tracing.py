"""What each bit of cover is there for, and where a repair stops.

Pieces are the finest parts of a zone: a new one starts wherever the reason, the wetness or the leaks
change. Ends are the places where the slot stops: at the end of an overrun, of a joint, at a cut, and
on both sides of whatever hides the joint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

from leakmap.base.micrometres import to_m
from leakmap.model.words import Wetness
from leakmap.repair.components import Components
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.results import End, Piece, Why
from leakmap.repair.sources import Source
from leakmap.repair.spans import Span, on_round, united

OVERRUN_END: Final = "overrun"
JOINT_END: Final = "joint end"
AT_MOVEMENT: Final = "movement joint"
AT_CUT: Final = "cut"
AT_BLIND: Final = "blind"


class Hidden(NamedTuple):
    """A stretch of a joint where no slot is opened.

    Attributes:
        low: Where it starts.
        high: Where it stops; equal to ``low`` where a clearance was not given.
        why: ``AT_BLIND`` or ``AT_MOVEMENT``.
    """

    low: int
    high: int
    why: str


class Bit(NamedTuple):
    """A piece in the engine's terms."""

    joint: int
    low: int
    high: int
    part: int
    why: Why
    wetness: Wetness | None
    sources: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Trace:
    """What cover is made of.

    Attributes:
        network: The network.
        sources: Leaks that get cover.
        stretch_of: Number of the wet stretch of each source.
        reach: What each source covers.
        hidden: Of each joint number, where no slot is opened; joints without are left out.
        components: Parts of the cover.
    """

    network: Network
    sources: Sequence[Source]
    stretch_of: Sequence[int]
    reach: Sequence[Sequence[JointSpan]]
    hidden: Mapping[int, Sequence[Hidden]]
    components: Components


def bits_of(trace: Trace) -> list[Bit]:
    """Every piece, in joint, chainage order; pieces have length."""
    reached: dict[int, list[tuple[int, int, int]]] = {}
    for index, spans in enumerate(trace.reach):
        for joint, own in _by_joint(spans).items():
            reached.setdefault(joint, []).extend((low, high, index) for low, high in united(own))
    wet: dict[int, list[tuple[int, int, int]]] = {}
    for index, source in enumerate(trace.sources):
        length = trace.network.lengths_um[source.joint]
        for low, high in on_round(source.from_um, source.to_um, length):
            wet.setdefault(source.joint, []).append((low, high, index))
    return [
        bit
        for joint, spans in enumerate(trace.components.spans)
        if spans
        for bit in _bits_of_joint(trace, joint, reached.get(joint, ()), wet.get(joint, ()))
    ]


def _by_joint(spans: Iterable[JointSpan]) -> dict[int, list[Span]]:
    found: dict[int, list[Span]] = {}
    for joint, low, high in spans:
        found.setdefault(joint, []).append((low, high))
    return found


def _bits_of_joint(
    trace: Trace, joint: int, reached: Sequence[tuple[int, int, int]], wet: Sequence[tuple[int, int, int]]
) -> Iterator[Bit]:
    """Sweep along one joint and tell a piece wherever something changes."""
    spans, parts = trace.components.spans[joint], trace.components.parts[joint]
    hidden = [(span.low, span.high) for span in trace.hidden.get(joint, ())]
    places = {at for span in spans for at in span}
    places.update(at for low, high, _ in (*reached, *wet) for at in (low, high))
    places.update(at for span in hidden for at in span)
    reaching, wetting, hiding = _Standing(reached), _Standing(wet), _Standing((*span, 0) for span in hidden)
    last: Bit | None = None
    at_span = 0
    for low, high in pairwise(sorted(places)):
        while at_span < len(spans) and spans[at_span][1] <= low:
            at_span += 1
        over, wet_here, hidden_here = reaching.at(low), wetting.at(low), hiding.at(low)
        if at_span == len(spans) or low < spans[at_span][0]:
            continue
        wetness = max((trace.sources[index].wetness for index in wet_here), default=None)
        why = _why(trace, over, wet=bool(wet_here), hidden=bool(hidden_here))
        bit = Bit(joint, low, high, parts[at_span], why, wetness, tuple(over))
        if last is not None and last.high == low and last[3:] == bit[3:]:
            last = last._replace(high=high)
        else:
            if last is not None:
                yield last
            last = bit
    if last is not None:
        yield last


def _why(trace: Trace, over: Sequence[int], *, wet: bool, hidden: bool) -> Why:
    if hidden:
        return Why.BLIND
    if wet:
        return Why.LEAK
    stretches = {trace.stretch_of[index] for index in over}
    return (Why.BRIDGE, Why.OVERRUN, Why.MERGED)[min(len(stretches), 2)]


class _Standing:
    """Which of many spans lie over a place that only moves on."""

    def __init__(self, spans: Iterable[tuple[int, int, int]]) -> None:
        self._coming = sorted(spans, reverse=True)
        self._here: list[tuple[int, int]] = []

    def at(self, place: int) -> list[int]:
        """Sorted numbers of the spans that go on beyond the place."""
        while self._coming and self._coming[-1][0] <= place:
            _, high, index = self._coming.pop()
            self._here.append((index, high))
        self._here = [item for item in self._here if item[1] > place]
        return sorted({index for index, _ in self._here})


def piece_of(trace: Trace, bit: Bit) -> Piece:
    """A piece as everybody else reads it."""
    return Piece(
        joint=trace.network.joints[bit.joint],
        from_m=to_m(bit.low),
        to_m=to_m(bit.high),
        why=bit.why,
        wetness=bit.wetness,
        leaks=tuple(trace.sources[index].leak for index in bit.sources),
    )


def ends_of(trace: Trace, bits: Sequence[Bit]) -> list[End]:
    """Where the slot of one part stops.

    Args:
        trace: What cover is made of.
        bits: Pieces of one part, in joint, chainage order.

    Returns:
        Ends in joint, chainage order.
    """
    runs = list(_slot_runs(trace, bits))
    starts = {(run[0].joint, run[0].low) for run in runs}
    stops = {(run[-1].joint, run[-1].high) for run in runs}
    ends = []
    for run in runs:
        first, last = run[0], run[-1]
        length = trace.network.lengths_um[first.joint]
        closed = trace.network.closed[first.joint]
        if not (closed and first.low == 0 and (first.joint, length) in stops and not _is_cut(trace, first.joint, 0)):
            ends.append(_end(trace, bits, first, up=False))
        if not (
            closed and last.high == length and (last.joint, 0) in starts and not _is_cut(trace, last.joint, length)
        ):
            ends.append(_end(trace, bits, last, up=True))
    return [end for end in ends if end is not None]


def _slot_runs(trace: Trace, bits: Sequence[Bit]) -> Iterator[list[Bit]]:
    """Pieces with a slot that follow one another without a stop."""
    run: list[Bit] = []
    for bit in _split_at_movement(trace, bits):
        goes_on = run and run[-1].joint == bit.joint and run[-1].high == bit.low and not _is_stop(trace, bit)
        if run and not (goes_on and bit.why is not Why.BLIND):
            yield run
            run = []
        if bit.why is not Why.BLIND:
            run.append(bit)
    if run:
        yield run


def _split_at_movement(trace: Trace, bits: Iterable[Bit]) -> Iterator[Bit]:
    """Pieces made two where a movement joint without a given clearance crosses them."""
    for bit in bits:
        places = {span.low for span in trace.hidden.get(bit.joint, ()) if span.low == span.high}
        inside = sorted(at for at in places if bit.low < at < bit.high)
        for low, high in pairwise((bit.low, *inside, bit.high)):
            yield bit._replace(low=low, high=high)


def _is_stop(trace: Trace, bit: Bit) -> bool:
    """Whether a piece starts at a movement joint without a given clearance, or at a cut."""
    at_movement = any(span.low == span.high == bit.low for span in trace.hidden.get(bit.joint, ()))
    return at_movement or _is_cut(trace, bit.joint, bit.low)


def _is_cut(trace: Trace, joint: int, at: int) -> bool:
    cuts = trace.components.cuts.get(joint, ())
    length = trace.network.lengths_um[joint]
    round_start = trace.network.closed[joint] and at in (0, length)
    return at in cuts or (round_start and (0 in cuts or length in cuts))


def _end(trace: Trace, bits: Sequence[Bit], bit: Bit, *, up: bool) -> End | None:
    """The end of a run of slot at one of its outer pieces; None where the repair goes on round a corner."""
    at = bit.high if up else bit.low
    why: str | None
    owner: int | None
    beyond = _hidden_beyond(trace, bits, bit.joint, at, up=up)
    if beyond is not None:
        why, owner = beyond
    elif _is_cut(trace, bit.joint, at):
        why, owner = AT_CUT, None
    else:
        why, owner = _why_at_end(trace, bit, at, up=up), _owner(trace, bit, at, up=up)
    if why is None:
        return None
    leak = None if owner is None else trace.sources[owner].leak
    return End(joint=trace.network.joints[bit.joint], at_m=to_m(at), up=up, why=why, owner=leak)


def _hidden_beyond(
    trace: Trace, bits: Sequence[Bit], joint: int, at: int, *, up: bool
) -> tuple[str, int | None] | None:
    """What hides the joint just beyond a place, and who owns the end of cover if it lies in there."""
    here = [span for span in trace.hidden.get(joint, ()) if span.low <= at <= span.high]
    reasons = {span.why for span in here if (span.high > at if up else span.low < at) or span.low == span.high}
    if not reasons:
        return None
    why = AT_MOVEMENT if AT_MOVEMENT in reasons else AT_BLIND
    chain = [bit for bit in bits if bit.joint == joint and (bit.low >= at if up else bit.high <= at)]
    place, last = at, None
    for bit in chain if up else chain[::-1]:
        if bit.why is not Why.BLIND or (bit.low if up else bit.high) != place:
            break
        last, place = bit, (bit.high if up else bit.low)
    goes_on = any((bit.low if up else bit.high) == place for bit in chain if bit.why is not Why.BLIND)
    if last is None and not any(span.low == span.high for span in here):
        return None
    return why, None if goes_on or last is None else _owner(trace, last, place, up=up)


def _why_at_end(trace: Trace, bit: Bit, at: int, *, up: bool) -> str | None:
    """Why cover stops at a place that nothing hides; None where it goes on in another joint."""
    network = trace.network
    length = network.lengths_um[bit.joint]
    if network.closed[bit.joint] or at != (length if up else 0):
        return OVERRUN_END
    node = network.marks_um[bit.joint][-1 if up else 0][1]
    if network.is_free_end(node):
        return JOINT_END
    return None if _goes_on_at(trace, node, (bit.joint, at)) else OVERRUN_END


def _goes_on_at(trace: Trace, node: int, but: tuple[int, int]) -> bool:
    """Whether cover with length leaves a node other than by one mark."""
    spans = trace.components.spans
    return any(
        spans[joint][number][0] < spans[joint][number][1]
        for joint, at in trace.network.members_um(node)
        if (joint, at) != but
        for number in trace.components.near(joint, at)
    )


def _owner(trace: Trace, bit: Bit, at: int, *, up: bool) -> int | None:
    """The wettest source of which a reach stops just there; ties take the first."""
    reaching = [
        index
        for index in bit.sources
        if any(joint == bit.joint and (high if up else low) == at for joint, low, high in trace.reach[index])
    ]
    return max(reaching or bit.sources, key=lambda index: (trace.sources[index].wetness, -index), default=None)
