"""The deed that drags an end of a zone (definition 3): it sets overruns of leaks by hand.

A *side* is one end of a leak with its overrun. A side *reaches* what the engine says that it covers
(definition 2), so what is set here is what is worked out afterwards.

Dragged inwards to a place p, every side that reaches past p gets its distance to p. Dragged outwards,
the side that owns the end gets its distance to p; all its other arms follow.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import NamedTuple
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.printed import metres
from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from leakmap.repair.reach import own_cover
from leakmap.repair.results import End
from leakmap.repair.sources import TIE_UM, Source, sources_of
from leakmap.repair.spans import Span, length_of, on_round
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, refused
from leakmap.work.edits.leaks import LeakEnd
from leakmap.work.edits.places import placed


class _Side(NamedTuple):
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


@deed
def drag_end(job: Job, *, end: End, to_m: float, network: Network | None = None) -> Edit:
    """Drag an end of a zone along its joint.

    Args:
        job: The job.
        end: The end, as the work-out gave it.
        to_m: Chainage on the same joint where the zone shall end.
        network: The job's network where the caller has it.

    Raises:
        EditRefused: The place lies past the joint's end, a leak is in the way, or no overrun decides the end.
    """
    joint = joint_of(job, end.joint)
    place = placed(joint, to_m)
    if end.why == "cut":
        raise refused(f"A cut ends the zone on {joint.ref}; move or remove the cut.", where=joint.ref)
    network = network or junctions_of(job).network
    if joint.id not in network:
        raise refused(f"{joint.ref} is not repaired by this method, so no zone ends on it.", where=joint.ref)
    sources = sources_of(job, network)
    number, length = network.number(joint.id), network.lengths_um[network.number(joint.id)]
    from_um, by_um = to_um(end.at_m), to_um(place) - to_um(end.at_m)
    if joint.closed and abs(by_um) > length / 2:
        by_um += -length if by_um > 0 else length
    low, high = min(from_um, from_um + by_um), max(from_um, from_um + by_um)
    between = _Between(network, number, tuple(_laid(low, high, length, closed=joint.closed)))
    if (by_um > 0) == end.up:
        overruns = _lengthened(job, joint, end, between, sources)
    else:
        overruns = _shortened(job, joint, between, sources)
    return _set(job, overruns)


class EndSide(NamedTuple):
    """The end of a leak whose overrun decides an end of a zone.

    Attributes:
        overrun_m: The overrun in force there.
    """

    leak: UUID
    end: LeakEnd
    overrun_m: float


def side_of_end(job: Job, *, end: End, network: Network | None = None) -> EndSide | None:
    """The side whose overrun reaches an end of a zone, the farther-reaching one of two; None where none does.

    Args:
        job: The job.
        end: The end, as the work-out gave it.
        network: The job's network where the caller has it.
    """
    network = network or junctions_of(job).network
    if end.owner is None or end.joint not in network:
        return None
    source = next((source for source in sources_of(job, network) if source.leak == end.owner), None)
    if source is None:
        return None
    number, at_um = network.number(end.joint), to_um(end.at_m)
    for side in sorted((_Side(source, side) for side in LeakEnd), key=lambda side: -side.overrun_um):
        cover = own_cover(network, side.with_overrun(side.overrun_um))
        if any(joint == number and low - TIE_UM <= at_um <= high + TIE_UM for joint, low, high in cover):
            return EndSide(source.leak, side.end, to_m(side.overrun_um))
    return None


class _Between(NamedTuple):
    """The stretch between an end and the place that it is dragged to."""

    network: Network
    joint: int
    spans: tuple[Span, ...]

    @property
    def length_um(self) -> int:
        """Its length."""
        return sum(high - low for low, high in self.spans)

    def shared_um(self, spans: list[tuple[int, int, int]]) -> int:
        """How much of it some stretches of joints cover."""
        parts = [
            (max(low, start), min(high, stop))
            for joint, low, high in spans
            if joint == self.joint
            for start, stop in self.spans
            if min(high, stop) > max(low, start)
        ]
        return length_of(parts)

    def reached_um(self, source: Source) -> int:
        """How much of it a leak covers with its overruns."""
        return self.shared_um(own_cover(self.network, source))


def _laid(low: int, high: int, length: int, *, closed: bool) -> Iterator[Span]:
    if not closed:
        yield low, high
        return
    turn = low // length * length
    yield from on_round(low - turn, high - turn, length)


def _shortened(job: Job, joint: Joint, between: _Between, sources: tuple[Source, ...]) -> list[tuple[_Side, int]]:
    """Sides that reach past the place, each with its distance to it."""
    near = _near(between, sources)
    for source in near:
        if between.reached_um(source._replace(before_um=0, after_um=0)) > TIE_UM:
            leak = job.leaks[source.leak]
            raise refused(f"{leak.ref} itself lies there; move its end instead.", where=leak.ref)
    sides = [_Side(source, end) for source in near for end in LeakEnd]
    passing = [side for side in sides if between.reached_um(side.with_overrun(side.overrun_um))]
    if not passing:
        raise refused(f"No overrun reaches this end of the zone on {joint.ref}; it is a bridge.", where=joint.ref)
    return [
        (side, _largest(lambda reach, side=side: not between.reached_um(side.with_overrun(reach)), 0, side.overrun_um))  # type: ignore[misc]
        for side in passing
    ]


def _lengthened(
    job: Job, joint: Joint, end: End, between: _Between, sources: tuple[Source, ...]
) -> list[tuple[_Side, int]]:
    """The side that owns the end, with its distance to the place."""
    owner = next((source for source in sources if source.leak == end.owner), None)
    if owner is None or end.why not in {"overrun", "joint end"}:
        raise refused(f"No overrun decides this end of the zone on {joint.ref}, so it cannot be drawn out.")
    most = between.length_um + TIE_UM
    for side in sorted((_Side(owner, side) for side in LeakEnd), key=lambda side: -side.overrun_um):
        enough = side.overrun_um + most

        def falls_short(reach: int, side: _Side = side) -> bool:
            return between.reached_um(side.with_overrun(reach)) < between.length_um

        if not falls_short(enough):
            return [(side, _largest(falls_short, 0, enough) + 1)]
    leak = job.leaks[owner.leak]
    raise refused(f"{leak.ref} does not reach this end of the zone on {joint.ref}; it cannot be drawn out.")


def _near(between: _Between, sources: tuple[Source, ...]) -> list[Source]:
    """Leaks whose overrun may come to the stretch."""
    network = between.network
    limit = max((max(source.before_um, source.after_um) for source in sources), default=0) + between.length_um + TIE_UM
    ends = {at for span in between.spans for at in span}
    nodes = network.distances_um([way for at in ends for way in network.ways_out(between.joint, at)], limit)
    joints = {between.joint, *(joint for node in nodes for joint, _ in network.members_um(node))}
    return [source for source in sources if source.joint in joints]


def _largest(holds: Callable[[int], bool], low: int, high: int) -> int:
    """The largest whole number from low to below or at high for which something holds, that holds at low."""
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if holds(middle) else (low, middle - 1)
    return low


def _set(job: Job, overruns: list[tuple[_Side, int]]) -> Edit:
    leaks: dict[UUID, Leak] = {}
    said = []
    for side, overrun_um in overruns:
        leak = leaks.get(side.source.leak, job.leaks[side.source.leak])
        new = {f"overrun_{side.end}_m": to_m(overrun_um)}
        leaks[leak.id] = replace(leak, **new)  # type: ignore[arg-type]
        said.append(
            f"The overrun {'before' if side.end is LeakEnd.FROM else 'after'} {leak.ref} is now {metres(to_m(overrun_um))}."
        )
    changes = Changes(leaks={leak.id: leak for leak in leaks.values()})
    words = f"move end of {' and '.join(leak.ref for leak in leaks.values())}"
    return edited(job, changes, words=words, said=said)
