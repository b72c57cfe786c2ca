"""The deed that drags an end of a zone (definition 3): it sets overruns of leaks by hand.

Dragged inwards to a place p, every side that reaches past p gets its distance to p. Dragged outwards,
the side that owns the end gets its distance to p; all its other arms follow. A drag may follow the network
into joints that meet, up and down vertical joints too: distances are measured along it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple
from uuid import UUID

from leakmap.base.micrometres import to_m, to_um
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.repair.junctions import junctions_of
from leakmap.repair.network import Network
from leakmap.repair.results import End
from leakmap.repair.sources import TIE_UM, Source, sources_of
from leakmap.repair.spans import Span, on_round
from leakmap.repair.ways import Place, way_between
from leakmap.work.edits.edit import Changes, Edit, deed, edited, joint_of, refused
from leakmap.work.edits.leaks import LeakEnd
from leakmap.work.edits.places import placed
from leakmap.work.edits.sides import Between, Side, covers, deciding_side, distance_um, largest, near_sources


@deed
def drag_end(
    job: Job,
    *,
    end: End,
    to_m: float,
    on: UUID | None = None,
    step_m: float | None = None,
    network: Network | None = None,
) -> Edit:
    """Drag an end of a zone along its joint, or into one that joins it.

    Args:
        job: The job.
        end: The end, as the work-out gave it.
        to_m: Chainage where the zone shall end.
        on: The joint of that chainage; None: that of the end.
        step_m: Step that overruns are rounded to; None: they are exact.
        network: The job's network where the caller has it.

    Raises:
        EditRefused: The place lies past the joint's end, a leak is in the way, no overrun decides the end, or
            nothing joins the place to it.
    """
    joint, goal = joint_of(job, end.joint), joint_of(job, end.joint if on is None else on)
    place = placed(job, goal, to_m)
    if end.why == "cut":
        raise refused(f"A cut ends the zone on {joint.ref}; move or remove the cut.", where=joint.ref)
    network = network or junctions_of(job).network
    if joint.id not in network:
        raise refused(f"{joint.ref} is not repaired by this method, so no zone ends on it.", where=joint.ref)
    sources = sources_of(job, network)
    if goal.id != joint.id:
        return _set(job, _through_nodes(job, end, (goal, to_um(place)), sources, network), step_m)
    number, length = network.number(joint.id), network.lengths_um[network.number(joint.id)]
    from_um, by_um = to_um(end.at_m), to_um(place) - to_um(end.at_m)
    if joint.closed and abs(by_um) > length / 2:
        by_um += -length if by_um > 0 else length
    low, high = min(from_um, from_um + by_um), max(from_um, from_um + by_um)
    spans = _laid(low, high, length, closed=joint.closed)
    between = Between(network, tuple((number, *span) for span in spans))
    if (by_um > 0) == end.up:
        overruns = _lengthened(job, joint, end, between, sources)
    else:
        overruns = _shortened(job, joint, between, sources)
    return _set(job, overruns, step_m)


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
    side = deciding_side(end, sources_of(job, network), network)
    return None if side is None else EndSide(side.source.leak, side.end, to_m(side.overrun_um))


def _laid(low: int, high: int, length: int, *, closed: bool) -> Iterator[Span]:
    if not closed:
        yield low, high
        return
    turn = low // length * length
    yield from on_round(low - turn, high - turn, length)


def _shortened(job: Job, joint: Joint, between: Between, sources: tuple[Source, ...]) -> list[tuple[Side, int]]:
    """Sides that reach past the place, each with its distance to it."""
    near = near_sources(between, sources)
    for source in near:
        if between.reached_um(source._replace(before_um=0, after_um=0)) > TIE_UM:
            leak = job.leaks[source.leak]
            raise refused(f"{leak.ref} itself lies there; move its end instead.", where=leak.ref)
    sides = [Side(source, end) for source in near for end in LeakEnd]
    passing = [side for side in sides if between.reached_um(side.with_overrun(side.overrun_um))]
    if not passing:
        raise refused(f"No overrun reaches this end of the zone on {joint.ref}; it is a bridge.", where=joint.ref)
    return [
        (side, largest(lambda reach, side=side: not between.reached_um(side.with_overrun(reach)), 0, side.overrun_um))  # type: ignore[misc]
        for side in passing
    ]


def _lengthened(
    job: Job, joint: Joint, end: End, between: Between, sources: tuple[Source, ...]
) -> list[tuple[Side, int]]:
    """The side that owns the end, with its distance to the place."""
    owner = next((source for source in sources if source.leak == end.owner), None)
    if owner is None or end.why not in {"overrun", "joint end"}:
        raise refused(f"No overrun decides this end of the zone on {joint.ref}, so it cannot be drawn out.")
    most = between.length_um + TIE_UM
    for side in sorted((Side(owner, side) for side in LeakEnd), key=lambda side: -side.overrun_um):
        enough = side.overrun_um + most

        def falls_short(reach: int, side: Side = side) -> bool:
            return between.reached_um(side.with_overrun(reach)) < between.length_um

        if not falls_short(enough):
            return [(side, largest(falls_short, 0, enough) + 1)]
    leak = job.leaks[owner.leak]
    raise refused(f"{leak.ref} does not reach this end of the zone on {joint.ref}; it cannot be drawn out.")


def _through_nodes(
    job: Job, end: End, goal: tuple[Joint, int], sources: tuple[Source, ...], network: Network
) -> list[tuple[Side, int]]:
    """Sides that change where an end is dragged to a place on another joint, each with its distance to it."""
    joint, (other, at_um) = job.joints[end.joint], goal
    start = network.number(joint.id), to_um(end.at_m)
    stop = (network.number(other.id), at_um) if other.id in network else None
    way = None if stop is None else way_between(network, start, stop)
    if stop is None or way is None:
        raise refused(f"{other.ref} is not joined to {joint.ref}, so this end of the zone cannot go there.")
    between = Between(network, way)
    side = deciding_side(end, sources, network)
    if side is None:
        raise refused(f"No overrun decides this end of the zone on {joint.ref}, so it cannot go round a junction.")
    most = side.overrun_um + between.length_um + TIE_UM
    if not covers(side.with_overrun(most), network, stop):
        leak = job.leaks[side.source.leak]
        raise refused(f"{leak.ref} itself lies in between; drag the end on its other side.", where=leak.ref)
    to_start, to_stop = distance_um(network, side, start, most), distance_um(network, side, stop, most)
    if to_stop + between.length_um <= to_start + TIE_UM:  # the way leads back along the way that the water came
        return _shortened(job, joint, between, sources)
    if to_stop > side.overrun_um:
        return [(side, to_stop)]
    return _with_distances(job, near_sources(between, sources), network, stop)


def _with_distances(job: Job, near: list[Source], network: Network, place: Place) -> list[tuple[Side, int]]:
    """Sides that reach past a place on an arm beside their way, each with its distance to it."""
    for source in near:
        if covers(source._replace(before_um=0, after_um=0), network, place):
            leak = job.leaks[source.leak]
            raise refused(f"{leak.ref} itself lies there; move its end instead.", where=leak.ref)
    sides = [Side(source, end) for source in near for end in LeakEnd]
    passing = [side for side in sides if covers(side.with_overrun(side.overrun_um), network, place)]
    return [(side, distance_um(network, side, place, side.overrun_um)) for side in passing]


def _set(job: Job, overruns: list[tuple[Side, int]], step_m: float | None) -> Edit:
    leaks: dict[UUID, Leak] = {}
    said = []
    for side, exact_um in overruns:
        overrun_um = exact_um if step_m is None else round(exact_um / to_um(step_m)) * to_um(step_m)
        leak = leaks.get(side.source.leak, job.leaks[side.source.leak])
        new = {f"overrun_{side.end}_m": to_m(overrun_um)}
        leaks[leak.id] = replace(leak, **new)  # type: ignore[arg-type]
        said.append(
            f"The overrun {'before' if side.end is LeakEnd.FROM else 'after'} {leak.ref} is now {job.units.said(to_m(overrun_um))}."
        )
    changes = Changes(leaks={leak.id: leak for leak in leaks.values()})
    words = f"move end of {' and '.join(leak.ref for leak in leaks.values())}"
    return edited(job, changes, words=words, said=said)
