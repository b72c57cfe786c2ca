"""The work-out after an edit: the same value as the whole work-out gives, from what the edit reached.

Terms:
    island: cover that acts on no other cover, the leaks that made it, and the zones that follow. Two
        wholes act on each other when their coat bands share area, when a gap between them could be
        bridged, or when a deep stretch or the plug of one could reach the other.

An edit touches the islands of its leaks as they were, and those near its leaks as they are. Their
leaks, the changed ones too, are worked out by themselves, as a smaller job on the same ground; if
what comes out acts on further islands, these are taken in and it is done again. All other islands
stay. Zones are numbered and totals are summed over all islands. The whole work-out is the same,
started from a job without leaks.

An edit of joints, or of parted junctions, first tells the ground anew round what changed
(``leakmap.repair.shifted``); it touches the islands on and near the changed places, and those whose
filling order could go another way through them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from decimal import Decimal
from operator import attrgetter, itemgetter
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.collecting import collecting_later
from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_m, to_um
from leakmap.base.rounding import rounded
from leakmap.model.faults import Row
from leakmap.model.job import Job
from leakmap.model.leak import Cut, ReliefPoint
from leakmap.repair.cover import Reached, clearance_findings, no_length, parted, reach_of, reached
from leakmap.repair.ground import Ground, ground_of
from leakmap.repair.islands import SLACK_UM, Island, acting_um, cover_spans, islands_of
from leakmap.repair.marked import Marked, marked_again
from leakmap.repair.measure import Measure
from leakmap.repair.nearby import Bands, Placing, around
from leakmap.repair.network import Network
from leakmap.repair.reach import JointSpan
from leakmap.repair.references import Cover, Issued, Sharing, issued_of, numbers_of, provisional_number
from leakmap.repair.results import Repairs, Zone
from leakmap.repair.shaken import on_shifted, shaken
from leakmap.repair.shifted import in_order, shifted
from leakmap.repair.sources import is_treated, source_of
from leakmap.repair.work_out import (
    Grouped,
    Hiding,
    Measured,
    grouped,
    joint_m,
    measured,
    sums_of,
    totals,
    wet_m,
)
from leakmap.repair.worked_out import NOWHERE, Held, Place, WorkedOut

_PLACE: Final = itemgetter(0)


class _Fresh(NamedTuple):
    """Islands that were worked out now, and those that they took the place of."""

    gone: set[int]
    found: Reached
    group: Grouped
    islands: Mapping[int, Island]
    of_part: Sequence[int]


@collecting_later()
def work_out(job: Job) -> WorkedOut:
    """The whole work-out of a job, ready for edits."""
    return _on_ground(job, ground_of(job))


@collecting_later()
def work_out_again(previous: WorkedOut, job: Job, changed: frozenset[Row]) -> WorkedOut:
    """The work-out of a job that differs in some rows from one that is worked out.

    Args:
        previous: The job worked out before.
        job: The job now.
        changed: Rows that differ, as an edit tells them.
    """
    names = {name for name, _ in changed}
    if "sheets" in names or job.units != previous.job.units:  # units stand in sentences of the ground
        return work_out(job)
    ground, before = previous.ground, previous
    gone: AbstractSet[int] = _NOBODY
    same_rules = job.rules == previous.job.rules and job.water == previous.job.water
    if names & _GROUND:
        joints = {key for name, key in changed if name == "joints"}
        if not same_rules or not in_order((previous.job, job), joints):
            return work_out(job)
        found = shifted(ground, (previous.job, job), changed)
        ground, gone = found.ground, shaken(previous, found)
        before = on_shifted(previous, job, found)
    if not same_rules or ground.origin_m != previous.ground.origin_m:
        return _on_ground(job, ground)
    gone |= _touched(previous, job, ground, changed)
    return _again(before, job, _leaks_of(previous, changed), gone)


_NOBODY: Final[frozenset[int]] = frozenset()

_GROUND: Final = frozenset({"joints", "parted"})
"""Collections that the ground follows from, besides sheets."""

_MARKS: Final = ("leaks", "cuts", "reliefs")
"""Collections of what lies on it."""


def _on_ground(job: Job, ground: Ground) -> WorkedOut:
    """The whole work-out of a job: everything that is marked is new."""
    return _again(_nothing_marked(job, ground), job, frozenset(job.leaks), _NOBODY)


def _nothing_marked(job: Job, ground: Ground) -> WorkedOut:
    bare = replace(job, leaks={}, cuts={}, reliefs={})
    measure = Measure(job)
    sums, length_m = sums_of(measure, ()), joint_m(job, measure)
    return WorkedOut(
        job=bare,
        ground=ground,
        measure=measure,
        joint_m=length_m,
        marked=Marked(changed=frozenset(), rank={}, ids=(), on={}, said={}, others={}, watched={}),
        wet_m={},
        islands={},
        next_island=0,
        own_um=0,
        before_um=0,
        placing=Placing({}),
        bands=Bands(),
        issued=issued_of(job),
        zones=(),
        sums=sums,
        no_length={},
        idle={},
        off_wet={},
        hidden={},
        repairs=Repairs(
            zones=(),
            another_method=(),
            watched=(),
            findings=(),
            totals=totals(sums, joint_m=length_m, wet_m=measure.of(0.0), saved_m=measure.of(0.0)),
        ),
    )


def _again(before: WorkedOut, job: Job, leaks: frozenset[UUID], touched: AbstractSet[int]) -> WorkedOut:
    """The work-out of a job by the same rules.

    Args:
        before: The job worked out before, on the ground of the job now.
        job: The job now.
        leaks: Leaks of which something may have changed.
        touched: Islands that cannot stay as they were.
    """
    marked = marked_again(
        before.marked, (before.job, job), leaks, network=before.ground.network, measure=before.measure
    )
    gone = set(touched)
    while True:
        fresh = _worked(before, job, marked, gone)
        found = _numbered(before, job, fresh)
        if not found.turned:
            return _put_together(before, job, marked, fresh, found)
        gone = fresh.gone | found.turned


def _leaks_of(before: WorkedOut, changed: frozenset[Row]) -> frozenset[UUID]:
    """Leaks that changed, or that lie on joints that did."""
    on = (before.marked.on.get(key, ()) for name, key in changed if name == "joints")
    return frozenset(key for name, key in changed if name == "leaks").union(*on)


def _touched(before: WorkedOut, job: Job, ground: Ground, changed: frozenset[Row]) -> set[int]:
    """Islands that hold what was changed, as it was or as it is, or that lie near it."""
    found: set[int] = set()
    for each, network in ((before.job, before.ground.network), (job, ground.network)) if before.islands else ():
        places = []
        for name, key in changed:
            item = getattr(each, name).get(key) if name in _MARKS else None
            if item is None or item.joint not in network:
                continue
            if name != "leaks":
                places += around(network, [_place(network, item)], SLACK_UM)
            elif is_treated(each, item):
                source = source_of(each, network, item)
                places += around(network, reach_of(each, network, source), acting_um(each))
        found |= before.placing.owners(network, places)
    return found


def _place(network: Network, item: Cut | ReliefPoint) -> JointSpan:
    joint = network.number(item.joint)
    at_um = min(to_um(item.at_m), network.lengths_um[joint])
    return joint, at_um, at_um


def _worked(before: WorkedOut, job: Job, marked: Marked, gone: set[int]) -> _Fresh:
    """The islands that take the place of some, with further ones taken in until they act on no other."""
    ground, gone = before.ground, set(gone)
    present = [key for key in marked.changed if key in job.leaks]
    while True:
        held = (leak for island in gone for leak in before.islands[island].leaks)
        leaks = sorted({*present, *(key for key in held if key in job.leaks)}, key=marked.rank.__getitem__)
        part = job if len(leaks) == len(job.leaks) else replace(job, leaks={key: job.leaks[key] for key in leaks})
        found = reached(part, ground)
        more = _near(before, found, acting_um(job)) - gone
        if not more:
            group = grouped(part, parted(part, ground, found), ground.order, ground.origin_m)
            islands, of_part = islands_of(found, group, before.next_island)
            bands = [band for island in islands.values() for band in island.bands]
            more = {owner for owner in before.bands.owners(bands) if owner in before.islands} - gone
        if not more:
            return _Fresh(gone, found, group, islands, of_part)
        gone |= more


def _near(before: WorkedOut, found: Reached, way_um: int) -> set[int]:
    """Islands so near some cover that the two could act on each other."""
    if not before.islands:
        return set()
    network = before.ground.network
    return before.placing.owners(network, around(network, cover_spans(found), way_um))


def _numbered(before: WorkedOut, job: Job, fresh: _Fresh) -> _Numbered:
    """Every zone with its number."""
    group = fresh.group
    gone = [zone for zone in before.zones if zone.island in fresh.gone]
    kept = [zone for zone in before.zones if zone.island not in fresh.gone] if gone else list(before.zones)
    issued = before.issued
    if job.issued is not before.job.issued or job.joints is not before.job.joints:
        issued = issued_of(job)
    if job.issued is not before.job.issued:
        kept = [zone._replace(sharing=issued.shared_with(zone.cover)) for zone in kept]
    unmeasured = [
        _Unmeasured(_listed(group, parts), fresh.of_part[parts[0]], cover, issued.shared_with(cover), item)
        for item, (parts, cover) in enumerate(zip(group.groups, group.covers, strict=True))
    ]
    every: list[Held | _Unmeasured] = sorted((*kept, *unmeasured), key=_PLACE)
    if issued.covers or before.issued.covers or job.numbers.zone != before.job.numbers.zone:
        low, high = 0, len(every)
        numbers = numbers_of(job, issued, [zone.sharing for zone in every])
        if turned := _turned(every, numbers):
            return _Numbered([], gone, turned, issued, None)
    else:
        low, high = _shifted(every, [*map(_PLACE, gone), *map(_PLACE, unmeasured)], len(before.zones))
        numbers = [provisional_number(job, at) for at in range(low, high)]
    own = [(0, False)] * len(unmeasured)
    for zone, number in zip(every[low:high], numbers, strict=True):
        if isinstance(zone, _Unmeasured):
            own[zone.group] = number
    made = measured(group, own)
    zone_of = dict(zip(made.group, made.zones, strict=True))
    told = [
        _measured(zone, zone_of[zone.group]) if isinstance(zone, _Unmeasured) else _renumbered(zone, number)
        for zone, number in zip(every[low:high], numbers, strict=True)
    ]
    zones = [zone for zone in (*every[:low], *told, *every[high:]) if isinstance(zone, Held)]
    return _Numbered(zones, gone, set(), issued, made)


def _shifted(zones: Sequence[Held | _Unmeasured], places: Sequence[Place], before: int) -> tuple[int, int]:
    """Between which indices provisional numbers change.

    Args:
        zones: Every zone.
        places: Places of zones that came or went.
        before: Number of zones before.
    """
    if not places:
        return 0, 0
    if NOWHERE in places:
        return 0, len(zones)
    low = bisect_left(zones, min(places), key=_PLACE)
    return low, bisect_right(zones, max(places), key=_PLACE) if len(zones) == before else len(zones)


class _Numbered(NamedTuple):
    """Zones with their numbers.

    Attributes:
        zones: In sheet, joint, chainage order.
        gone: Zones that they took the place of.
        turned: Islands whose zones must be measured again, in another order; while there are any, nothing is measured.
        issued: Zones as last issued.
        made: What was measured now.
    """

    zones: list[Held]
    gone: list[Held]
    turned: set[int]
    issued: Issued
    made: Measured | None


class _Unmeasured(NamedTuple):
    """A zone that has no number yet: the same as a zone's, and its group."""

    place: Place
    island: int
    cover: Cover
    sharing: Sharing
    group: int


def _listed(group: Grouped, parts: Sequence[int]) -> Place:
    """Place of a zone in the listing: that of the first piece of its first part."""
    first = group.parts[parts[0]].pieces[0]
    return *group.order[first.joint], first.from_m


def _turned(zones: Sequence[Held | _Unmeasured], numbers: Sequence[tuple[int, bool]]) -> set[int]:
    """Islands of which two zones were measured in another order than that of their numbers now."""
    pairs = [(number, zone) for number, zone in zip(numbers, zones, strict=True) if isinstance(zone, Held)]
    moved = {zone.island for (number, _), zone in pairs if zone.zone.number != number}
    last: dict[int, int] = {}
    found = set()
    for _, zone in sorted(pairs, key=_PLACE) if moved else ():
        if zone.island in moved:
            if zone.island in last and zone.zone.number < last[zone.island]:
                found.add(zone.island)
            last[zone.island] = zone.zone.number
    return found


def _measured(zone: _Unmeasured, made: Zone) -> Held:
    return Held(zone.place, zone.island, zone.cover, zone.sharing, made)


def _renumbered(held: Held, numbered: tuple[int, bool]) -> Held:
    zone, (number, issued) = held.zone, numbered
    if zone.number == number and zone.issued == issued:
        return held
    return Held(held.place, held.island, held.cover, held.sharing, zone.renumbered(number, issued=issued))


def _put_together(before: WorkedOut, job: Job, marked: Marked, fresh: _Fresh, found: _Numbered) -> WorkedOut:
    """Everything that follows from a job: what was worked out now, and what stayed."""
    assert found.made is not None
    was = [before.islands[number] for number in fresh.gone]
    islands = dict(before.islands)
    for number in fresh.gone:
        del islands[number]
    placing = before.placing.less([span for island in was for span in island.spans], fresh.gone)
    told = _told(before, job, fresh, placing, found.made)
    islands.update(fresh.islands)
    measure = before.measure
    now = replace(
        before,
        job=job,
        marked=marked,
        wet_m=_wet_m(before, job, marked),
        islands=islands,
        next_island=before.next_island + len(fresh.islands),
        own_um=before.own_um
        + sum(island.own_um for island in fresh.islands.values())
        - sum(island.own_um for island in was),
        before_um=before.before_um
        + sum(island.before_um for island in fresh.islands.values())
        - sum(island.before_um for island in was),
        placing=placing.plus((span, number) for number, island in fresh.islands.items() for span in island.spans),
        bands=before.bands.plus([band for island in fresh.islands.values() for band in island.bands], islands),
        issued=found.issued,
        zones=found.zones,
        sums=before.sums.less(sums_of(measure, [held.zone for held in found.gone])).plus(
            sums_of(measure, found.made.zones)
        ),
        no_length=told.no_length,
        idle=told.idle,
        off_wet=told.off_wet,
        hidden=told.hidden,
    )
    return replace(now, repairs=_repairs(now))


def _wet_m(before: WorkedOut, job: Job, marked: Marked) -> dict[UUID, Decimal]:
    """Measured wet length of each joint, told anew where leaks changed."""
    found = dict(before.wet_m)
    both = (each.leaks.get(key) for key in marked.changed for each in (before.job, job))
    for joint in {leak.joint for leak in both if leak is not None} & job.joints.keys():
        found[joint] = wet_m(job, before.measure, joint, [job.leaks[key] for key in marked.on[joint]])
    return found


class _Told(NamedTuple):
    """What is said of leaks, cuts and relief points on islands."""

    no_length: dict[UUID, Finding]
    idle: dict[UUID, Finding]
    off_wet: dict[UUID, Finding]
    hidden: dict[int, list[Hiding]]


def _told(before: WorkedOut, job: Job, fresh: _Fresh, kept: Placing, made: Measured) -> _Told:
    """What is said now: of what lies on islands that stayed the same as before, of the rest as worked out now."""
    network, trace = before.ground.network, fresh.found.trace
    renewed = {leak for number in fresh.gone for leak in before.islands[number].leaks}
    silent = {key: finding for key, finding in before.no_length.items() if key not in renewed and key in job.leaks}
    silent.update(no_length(fresh.group.works.job, trace.sources, trace.reach))
    idle, off_wet = {}, {}
    for cut in job.cuts.values():
        stays = cut.joint in network and kept.owners(network, _both_ways(network, _place(network, cut)))
        if (finding := (before.idle if stays else trace.components.idle).get(cut.id)) is not None:
            idle[cut.id] = finding
    for point in job.reliefs.values():
        stays = point.joint in network and kept.owners(network, around(network, [_place(network, point)], SLACK_UM))
        if (finding := (before.off_wet if stays else made.off_wet).get(point.id)) is not None:
            off_wet[point.id] = finding
    hidden = {number: list(items) for number, items in before.hidden.items() if number not in fresh.gone}
    for item in made.hidden:
        number = next(number for number, island in fresh.islands.items() if item.leak in island.leaks)
        hidden.setdefault(number, []).append(item)
    return _Told(silent, idle, off_wet, hidden)


def _both_ways(network: Network, place: JointSpan) -> list[JointSpan]:
    """A place; at the start of a closed joint its end too."""
    joint, at, _ = place
    length = network.lengths_um[joint]
    return [place, *((joint, end, end) for end in (0, length) if network.closed[joint] and at in (0, length))]


def _repairs(now: WorkedOut) -> Repairs:
    """The repairs of a job whose islands are known."""
    job, marked, measure = now.job, now.marked, now.measure

    def in_order(keys: Iterable[UUID]) -> list[UUID]:
        return sorted(keys, key=marked.rank.__getitem__)

    points = sorted(
        (job.reliefs[key] for key in now.off_wet),
        key=lambda point: (point.joint.int, point.at_m),
    )
    hidden = sorted((item for items in now.hidden.values() for item in items), key=attrgetter("place"))
    covered, network = now.placing, now.ground.network
    findings = (
        *now.ground.junctions.findings,
        *(finding for key in in_order(marked.said) for finding in marked.said[key]),
        *(now.no_length[key] for key in in_order(now.no_length)),
        *clearance_findings(
            job, now.ground.junctions, lambda joint, at: bool(covered.owners(network, [(joint, at, at)]))
        ),
        *now.idle.values(),
        *(now.off_wet[point.id] for point in points),
        *(item.finding for item in hidden),
    )
    zones = [held.zone for held in now.zones]
    if job.issued:
        zones.sort(key=attrgetter("number"))
    return Repairs(
        zones=tuple(zones),
        another_method=tuple(marked.others[key] for key in in_order(marked.others)),
        watched=tuple(in_order(marked.watched)),
        findings=tuple(dict.fromkeys(findings)),
        totals=totals(
            now.sums,
            joint_m=now.joint_m,
            wet_m=sum(now.wet_m.values(), measure.of(0.0)),
            saved_m=rounded(to_m(now.own_um) - to_m(now.before_um), job.rules.measuring_step_m),
        ),
    )
