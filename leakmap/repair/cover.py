"""Cover of a whole job: from its joints and leaks to connected parts (definitions 1 to 5 and 10).

The steps, each a module of its own: ``junctions`` finds where joints meet and builds the network,
``sources`` picks the leaks that are repaired, ``reach`` covers what each reaches by itself,
``bridge`` takes in short sound gaps, ``components`` parts the cover at cuts, ``tracing`` says what
each piece is there for, ``stops`` where the slot stops.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_m, to_um
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Kind
from leakmap.repair.bridge import bridged
from leakmap.repair.components import components_of, separated
from leakmap.repair.junctions import Junctions, junctions_of
from leakmap.repair.network import Network
from leakmap.repair.parts import Covered, Part
from leakmap.repair.reach import JointSpan, own_cover
from leakmap.repair.sources import Source, sources_of, wet_stretches
from leakmap.repair.spans import Span, length_of, on_round, united
from leakmap.repair.stops import ends_of
from leakmap.repair.tracing import Bit, Hidden, Trace, bits_of, piece_of


def covered(job: Job) -> Covered:
    """Cover of a job, in connected parts.

    A spot whose overruns are both set to nothing covers a place without length: it makes no part.
    """
    junctions = junctions_of(job)
    network = junctions.network
    sources, leak_findings = sources_of(job, network)
    stretch_of = wet_stretches(network, sources)
    reach = [_whole_collar(job, network, source, own_cover(network, source)) for source in sources]
    before = united_cover(network, (span for spans in reach for span in spans))
    taken_in = bridged(network, before, to_um(job.rules.bridge_m + TIE_M + MICRON_M))
    after = united_cover(network, (*_flat(before), *taken_in))
    components = components_of(job, network, after)
    trace = Trace(network, sources, stretch_of, reach, _hidden(job, junctions), components)
    bits = bits_of(trace)
    order = _sheet_order(job, network)
    parts, place_of = _parts(trace, bits, order)
    apart = {
        (min(place_of[a], place_of[b]), max(place_of[a], place_of[b]))
        for a, b in separated(job, network, components)
        if a in place_of and b in place_of
    }
    return Covered(
        network=network,
        parts=parts,
        apart=frozenset(apart),
        own_cover_m=to_m(_own_cover_um(stretch_of, reach)),
        cover_m=to_m(sum(length_of(spans) for spans in before)),
        findings=(
            *junctions.findings,
            *leak_findings,
            *_no_length(job, sources, reach),
            *_clearance_findings(job, junctions, after),
            *components.findings,
        ),
    )


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


def _own_cover_um(stretch_of: Sequence[int], reach: Sequence[Sequence[JointSpan]]) -> int:
    """Each wet stretch's own cover, summed (definition 10)."""
    of_stretch: dict[int, list[JointSpan]] = {}
    for stretch, spans in zip(stretch_of, reach, strict=True):
        of_stretch.setdefault(stretch, []).extend(spans)
    return sum(map(_length_um, of_stretch.values()))


def _length_um(spans: Sequence[JointSpan]) -> int:
    """Length of the union of stretches of joints."""
    if len(spans) == 1:
        return spans[0][2] - spans[0][1]
    own: dict[int, list[Span]] = {}
    for joint, low, high in spans:
        own.setdefault(joint, []).append((low, high))
    return sum(map(length_of, own.values()))


def _hidden(job: Job, junctions: Junctions) -> dict[int, list[Hidden]]:
    """Of each joint number, blind stretches and the clearances at movement joints."""
    network = junctions.network
    hidden: dict[int, list[Hidden]] = {}
    for number, identity in enumerate(network.joints):
        length = network.lengths_um[number]
        for blind in job.joints[identity].blind:
            low, high = min(to_um(blind.from_m), length), min(to_um(blind.to_m), length)
            spans = _round_or_straight(network, number, low, high)
            hidden.setdefault(number, []).extend(Hidden(*span, at_movement=False) for span in spans)
    for crossing in junctions.movement:
        number = network.number(crossing.joint)
        at, keep = to_um(crossing.at_m), to_um(crossing.clearance_m)
        spans = _round_clearance(network, number, at - keep, at + keep)
        hidden.setdefault(number, []).extend(Hidden(*span, at_movement=True) for span in spans)
    return hidden


def _round_or_straight(network: Network, joint: int, low: int, high: int) -> list[Span]:
    """A stretch as stored; on a closed joint one that starts after it stops passes the start."""
    if low > high and network.closed[joint]:
        return on_round(low, high + network.lengths_um[joint], network.lengths_um[joint])
    return [(min(low, high), max(low, high))]


def _round_clearance(network: Network, joint: int, low: int, high: int) -> list[Span]:
    """A clearance, kept within an open joint and carried across the start of a closed one."""
    length = network.lengths_um[joint]
    if not network.closed[joint]:
        return [(max(low, 0), min(high, length))]
    return on_round(low + length, high + length, length) if low < 0 else on_round(low, high, length)


def _sheet_order(job: Job, network: Network) -> dict[int, tuple[int, int]]:
    """Sort key of each joint number: sheet, then joint."""
    sheets = {sheet: place for place, sheet in enumerate(job.sheets)}
    return {number: (sheets[job.joints[identity].sheet], number) for number, identity in enumerate(network.joints)}


def _parts(
    trace: Trace, bits: Sequence[Bit], order: Mapping[int, tuple[int, int]]
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


def _no_length(job: Job, sources: Sequence[Source], reach: Sequence[Sequence[JointSpan]]) -> Iterator[Finding]:
    for source, spans in zip(sources, reach, strict=True):
        if all(low == high for _, low, high in spans):
            ref = job.leaks[source.leak].ref
            yield Finding(
                "no-length",
                ref,
                f"{ref} is a spot with both overruns set to 0, so that nothing is repaired there; give it an overrun.",
            )


def _clearance_findings(job: Job, junctions: Junctions, cover: Sequence[Sequence[Span]]) -> Iterator[Finding]:
    """One finding for each movement joint without a clearance that cover comes to."""
    told: set[str] = set()
    for crossing in junctions.movement:
        movement, joint = job.joints[crossing.movement], job.joints[crossing.joint]
        at = to_um(crossing.at_m)
        reached = any(low <= at <= high for low, high in cover[junctions.network.number(joint.id)])
        if movement.clearance_m is None and reached and movement.ref not in told:
            told.add(movement.ref)
            yield _no_clearance(movement, joint, crossing.at_m)


def _no_clearance(movement: Joint, joint: Joint, at_m: float) -> Finding:
    return Finding(
        "no-clearance",
        movement.ref,
        f"The slot of {joint.ref} meets movement joint {movement.ref} at {printed_m(joint, at_m):.3f} m, and no "
        "clearance is given; it is worked out with none until you give one.",
    )
