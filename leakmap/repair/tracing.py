"""What each bit of cover is there for.

Pieces are the finest parts of a zone: a new one starts wherever the reason, the wetness or the leaks
change. Where cover is hidden the reason is ``Why.BLIND``, but wetness and leaks are told all the same.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from leakmap.base.micrometres import to_m
from leakmap.model.words import Wetness
from leakmap.repair.components import Components
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.results import Piece, Why
from leakmap.repair.sources import Source
from leakmap.repair.spans import Span, on_round, united


class Hidden(NamedTuple):
    """A stretch of a joint where no slot is opened.

    Attributes:
        low: Where it starts.
        high: Where it stops; equal to ``low`` where a clearance was not given.
        at_movement: Whether it is the clearance of a movement joint.
    """

    low: int
    high: int
    at_movement: bool


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
        if len(spans) == 1:
            reached.setdefault(spans[0][0], []).append((*spans[0][1:], index))
            continue
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
    """Pieces of one joint: one for each run of steps about which the same is told."""
    last: Bit | None = None
    if joint in trace.hidden or joint in trace.components.cuts:
        steps = _steps_of_joint(trace, joint, reached, wet)
    else:
        steps = _open_steps_of_joint(trace, joint, reached, wet)
    for bit in steps:
        if last is None:
            last = bit
        elif last.high == bit.low and last[3:] == bit[3:]:
            last = last._replace(high=bit.high)
        else:
            yield last
            last = bit
    if last is not None:
        yield last


def _open_steps_of_joint(
    trace: Trace, joint: int, reached: Sequence[tuple[int, int, int]], wet: Sequence[tuple[int, int, int]]
) -> Iterator[Bit]:
    """Covered steps of a joint without a cut, of which nothing is hidden: stretch of cover after stretch of cover."""
    own, mine = trace.components.spans[joint], trace.components.parts[joint]
    lows = [low for low, _ in own]
    over: list[list[tuple[int, int, int]]] = [[] for _ in own]
    wetting: list[list[tuple[int, int, int]]] = [[] for _ in own]
    for spans, of in ((reached, over), (wet, wetting)):
        for span in spans:
            of[bisect_right(lows, span[0]) - 1].append(span)
    for cover, part, reaching, wet_there in zip(own, mine, over, wetting, strict=True):
        if len(reaching) == 1 and reaching[0][:2] == cover and len(wet_there) <= 1:
            yield from _steps_of_one(trace, joint, part, reaching[0], wet_there)
        else:
            yield from _steps_between(trace, joint, reaching, wet_there, hidden=(), parts=[(*cover, part)])


def _steps_of_one(
    trace: Trace, joint: int, part: int, reach: tuple[int, int, int], wet: Sequence[tuple[int, int, int]]
) -> Iterator[Bit]:
    """Steps of cover that one leak made alone."""
    low, high, index = reach
    over = (index,)
    for wet_low, wet_high, _ in wet:
        if wet_low < wet_high:
            if low < wet_low:
                yield Bit(joint, low, wet_low, part, Why.OVERRUN, None, over)
            yield Bit(joint, wet_low, wet_high, part, Why.LEAK, trace.sources[index].wetness, over)
            low = wet_high
    if low < high:
        yield Bit(joint, low, high, part, Why.OVERRUN, None, over)


def _steps_of_joint(
    trace: Trace, joint: int, reached: Sequence[tuple[int, int, int]], wet: Sequence[tuple[int, int, int]]
) -> Iterator[Bit]:
    """Covered steps from one place where anything starts or stops to the next."""
    hidden = [(span.low, span.high, 0) for span in trace.hidden.get(joint, ())]
    parts = [
        (*span, part) for span, part in zip(trace.components.spans[joint], trace.components.parts[joint], strict=True)
    ]
    yield from _steps_between(trace, joint, reached, wet, hidden=hidden, parts=parts)


def _steps_between(
    trace: Trace,
    joint: int,
    reached: Sequence[tuple[int, int, int]],
    wet: Sequence[tuple[int, int, int]],
    *,
    hidden: Sequence[tuple[int, int, int]],
    parts: Sequence[tuple[int, int, int]],
) -> Iterator[Bit]:
    """Covered steps, from spans each told with a number: the source, or the part."""
    places = sorted({at for spans in (reached, wet, hidden, parts) for span in spans for at in span[:2]})
    reaching, wetting, hiding, covering = map(_Standing, (reached, wet, hidden, parts))
    for low, high in pairwise(places):
        over, wet_here = reaching.at(low), wetting.at(low)
        hidden_here, part_here = hiding.at(low), covering.at(low)
        if part_here:
            wetness = max((trace.sources[index].wetness for index in wet_here), default=None)
            why = _why(trace, over, wet=bool(wet_here), hidden=bool(hidden_here))
            yield Bit(joint, low, high, part_here[0], why, wetness, over)


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

    def at(self, place: int) -> tuple[int, ...]:
        """Sorted numbers of the spans that go on beyond the place."""
        while self._coming and self._coming[-1][0] <= place:
            _, high, number = self._coming.pop()
            self._here.append((number, high))
        if not self._here:
            return ()
        self._here = [item for item in self._here if item[1] > place]
        return tuple(sorted({number for number, _ in self._here}))


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
