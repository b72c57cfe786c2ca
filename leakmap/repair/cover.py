"""Cover of a whole job: from its joints and leaks to connected parts (definitions 1 to 5 and 10).

The steps, each a module of its own: ``junctions`` finds where joints meet and builds the network,
``sources`` picks the leaks that are repaired, ``reach`` covers what each reaches by itself,
``bridge`` takes in short sound gaps, ``components`` parts the cover at cuts, ``tracing`` says what
each piece is there for, ``stops`` where the slot stops.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_m, to_um
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.printed import printed
from leakmap.model.words import Kind
from leakmap.repair.bridge import bridged
from leakmap.repair.components import components_of, separated
from leakmap.repair.ground import Ground, ground_of
from leakmap.repair.junctions import Junctions
from leakmap.repair.network import Network
from leakmap.repair.parts import Covered, Part
from leakmap.repair.reach import JointSpan, own_cover
from leakmap.repair.reach_all import own_covers
from leakmap.repair.sources import Source, leak_findings, sources_of, wet_stretches
from leakmap.repair.spans import Span, length_of, united
from leakmap.repair.stops import ends_of
from leakmap.repair.tracing import Bit, Trace, bits_of, piece_of

_MANY: Final = 200  # sources from which on arrays are faster


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """What is covered, and why, before it is told in pieces.

    Attributes:
        trace: Sources, what each reaches, and the parts of the cover.
        before: Of each joint, its united spans before bridging.
        after: The same after bridging.
    """

    trace: Trace
    before: Sequence[Sequence[Span]]
    after: Sequence[Sequence[Span]]


def covered(job: Job, ground: Ground | None = None) -> Covered:
    """Cover of a job, in connected parts.

    A spot whose overruns are both set to nothing covers a place without length: it makes no part.

    Args:
        job: The job.
        ground: Its ground, where it is known.
    """
    ground = ground or ground_of(job)
    return parted(job, ground, reached(job, ground))


def reached(job: Job, ground: Ground) -> Reached:
    """What the leaks of a job reach, bridged and taken apart at cuts."""
    network = ground.network
    sources = sources_of(job, network)
    stretch_of = wet_stretches(network, sources)
    reach = reach_of_all(job, network, sources)
    before = united_cover(network, (span for spans in reach for span in spans))
    taken_in = bridged(network, before, longest_bridge_um(job))
    after = united_cover(network, (*_flat(before), *taken_in)) if taken_in else before
    components = components_of(job, network, after)
    return Reached(
        trace=Trace(network, sources, stretch_of, reach, ground.hidden, components), before=before, after=after
    )


def parted(job: Job, ground: Ground, found: Reached) -> Covered:
    """What was reached, in connected parts."""
    trace, network = found.trace, ground.network
    parts, place_of = _parts(trace, bits_of(trace), [ground.order[joint] for joint in network.joints])
    apart = {
        (min(place_of[a], place_of[b]), max(place_of[a], place_of[b]))
        for a, b in separated(job, network, trace.components)
        if a in place_of and b in place_of
    }
    return Covered(
        network=network,
        parts=parts,
        apart=frozenset(apart),
        own_cover_m=to_m(sum(own_covers_um(trace.stretch_of, trace.reach).values())),
        cover_m=to_m(sum(high - low for spans in found.before for low, high in spans)),
        findings=(
            *ground.junctions.findings,
            *(finding for leak in job.leaks.values() for finding in leak_findings(job, leak)),
            *no_length(job, trace.sources, trace.reach).values(),
            *clearance_findings(job, ground.junctions, lambda joint, at: _holds(found.after[joint], at)),
            *trace.components.findings,
        ),
    )


def longest_bridge_um(job: Job) -> int:
    """Longest path that is bridged, τ and the slack of a comparison included."""
    return to_um(job.rules.bridge_m + TIE_M + MICRON_M)


def reach_of(job: Job, network: Network, source: Source) -> list[JointSpan]:
    """What a source covers by itself; all of a pipe collar that it lies on unless its perimeter is too long."""
    return _whole_collar(job, network, source, own_cover(network, source))


def reach_of_all(job: Job, network: Network, sources: Sequence[Source]) -> list[list[JointSpan]]:
    """The same of many sources."""
    if len(sources) < _MANY:
        return [reach_of(job, network, source) for source in sources]
    reach = own_covers(network, sources).lists(len(sources))
    return [
        _whole_collar(job, network, source, spans) if network.closed[source.joint] else spans
        for source, spans in zip(sources, reach, strict=True)
    ]


def united_cover(network: Network, spans: Iterable[JointSpan]) -> list[list[Span]]:
    """Of each joint of the network, its united spans."""
    cover: list[list[Span]] = [[] for _ in network.joints]
    for joint, low, high in spans:
        cover[joint].append((low, high))
    return [united(own) for own in cover]


def _flat(cover: Sequence[Sequence[Span]]) -> Iterator[JointSpan]:
    return ((joint, low, high) for joint, spans in enumerate(cover) for low, high in spans)


def _whole_collar(job: Job, network: Network, source: Source, spans: list[JointSpan]) -> list[JointSpan]:
    """A source's cover, and all of the pipe collar that it lies on unless its perimeter is too long."""
    joint = job.joints[network.joints[source.joint]]
    small = joint.length_m <= job.rules.collar_whole_m + MICRON_M
    if joint.kind is Kind.PIPE_COLLAR and joint.closed and small:
        return [*spans, (source.joint, 0, network.lengths_um[source.joint])]
    return spans


def own_covers_um(stretch_of: Sequence[int], reach: Sequence[Sequence[JointSpan]]) -> dict[int, int]:
    """Length of each wet stretch's own cover (definition 10)."""
    of_stretch: dict[int, list[JointSpan]] = {}
    for stretch, spans in zip(stretch_of, reach, strict=True):
        of_stretch.setdefault(stretch, []).extend(spans)
    return {stretch: _length_um(spans) for stretch, spans in of_stretch.items()}


def _length_um(spans: Sequence[JointSpan]) -> int:
    """Length of the union of stretches of joints."""
    if len(spans) == 1:
        return spans[0][2] - spans[0][1]
    own: dict[int, list[Span]] = {}
    for joint, low, high in spans:
        own.setdefault(joint, []).append((low, high))
    return sum(map(length_of, own.values()))


def _parts(
    trace: Trace, bits: Sequence[Bit], order: Sequence[tuple[int, int]]
) -> tuple[tuple[Part, ...], dict[int, int]]:
    """Parts in sheet, joint, chainage order of their first piece, and the place of each component among them."""
    own: dict[int, list[Bit]] = {}
    for bit in sorted(bits, key=lambda bit: order[bit.joint]):  # stable: each joint's pieces stay in order
        own.setdefault(bit.part, []).append(bit)
    parts = tuple(
        Part(
            pieces=tuple(piece_of(trace, bit) for bit in mine),
            ends=ends_of(trace, mine),
            whole=trace.components.wholes[part],
        )
        for part, mine in own.items()
    )
    return parts, {part: place for place, part in enumerate(own)}


def no_length(job: Job, sources: Sequence[Source], reach: Sequence[Sequence[JointSpan]]) -> dict[UUID, Finding]:
    """Of each leak that covers nothing with length, what is said of it."""
    found = {}
    for source, spans in zip(sources, reach, strict=True):
        if all(low == high for _, low, high in spans):
            ref = job.leaks[source.leak].ref
            found[source.leak] = Finding(
                "no-length",
                ref,
                f"{ref} is a spot with both overruns set to 0, so that nothing is repaired there; give it an overrun.",
            )
    return found


def clearance_findings(job: Job, junctions: Junctions, is_covered: Callable[[int, int], bool]) -> Iterator[Finding]:
    """One finding for each movement joint without a clearance that cover comes to.

    Args:
        job: The job.
        junctions: Where its joints meet.
        is_covered: Whether cover holds a place, told by joint number and chainage.
    """
    told: set[str] = set()
    for crossing in junctions.movement:
        movement, joint = job.joints[crossing.movement], job.joints[crossing.joint]
        if movement.clearance_m is not None or movement.ref in told:
            continue
        if is_covered(junctions.network.number(joint.id), to_um(crossing.at_m)):
            told.add(movement.ref)
            yield _no_clearance(job, movement, joint, crossing.at_m)


def _holds(spans: Iterable[Span], at: int) -> bool:
    return any(low <= at <= high for low, high in spans)


def _no_clearance(job: Job, movement: Joint, joint: Joint, at_m: float) -> Finding:
    return Finding(
        "no-clearance",
        movement.ref,
        f"The {in_trade_words(job.units, 'slot')} of {joint.ref} meets movement joint {movement.ref} at {printed(job, joint, at_m)}, and no "
        "clearance is given; it is worked out with none until you give one.",
    )
