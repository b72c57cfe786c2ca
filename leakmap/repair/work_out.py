"""The whole work-out: from a job to its zones with all quantities.

The cover comes from ``leakmap.repair.cover``. Here its connected parts become zones, get their
numbers, and are measured.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from math import inf
from operator import attrgetter
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.collecting import collecting_later
from leakmap.base.findings import Finding
from leakmap.base.micrometres import to_um
from leakmap.base.rounding import rounded
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.words import Method, Wetness
from leakmap.repair.areas import Laid, coats_of_zones, laid_out, washed_out
from leakmap.repair.bands import opened_spans
from leakmap.repair.chainages import Span, Spans, merged, spans_of
from leakmap.repair.coats import second_coat
from leakmap.repair.cover import covered
from leakmap.repair.depths import depths_of
from leakmap.repair.ground import ground_of, origin_of
from leakmap.repair.joining import joined_parts
from leakmap.repair.levels import listing_order
from leakmap.repair.measure import Measure
from leakmap.repair.network import Network
from leakmap.repair.parts import Covered, Part
from leakmap.repair.references import Cover, zone_numbers
from leakmap.repair.relief import Place, hidden_finding, opened_at, relief_at, relief_places
from leakmap.repair.results import AnotherMethod, Relief, Repairs, Totals, Zone
from leakmap.repair.sources import is_treated
from leakmap.repair.wet import Wet, wet_leaks
from leakmap.repair.zones import Plan, Workings, plan_of, zone_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Grouped:
    """Parts of a cover as zones that have no numbers yet.

    Attributes:
        works: What they are measured with.
        order: Place of each joint in every list.
        leaks: Leaks that are repaired, in that order.
        parts: The connected parts.
        laid: Their bands of the second coat.
        washed: Their bands that are washed.
        groups: Numbers of the parts of each zone, in the order of their lowest parts.
        covers: Cover of each zone.
    """

    works: Workings
    order: Mapping[UUID, tuple[int, int]]
    leaks: tuple[Wet, ...]
    parts: Sequence[Part]
    laid: Laid
    washed: Laid
    groups: Sequence[Sequence[int]]
    covers: Sequence[Cover]


class Hiding(NamedTuple):
    """A relief point that cannot be made: its place among all of them, a leak that it serves, and what is said of it."""

    place: tuple[int, ...]
    leak: UUID
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Zones with all quantities.

    Attributes:
        zones: In the order of their numbers.
        group: Of each, which group it is.
        off_wet: What is said of each relief point set by hand that serves no wet stretch.
        hidden: Relief points that cannot be made.
    """

    zones: tuple[Zone, ...]
    group: tuple[int, ...]
    off_wet: Mapping[UUID, Finding]
    hidden: tuple[Hiding, ...]


@collecting_later()
def repairs(job: Job) -> Repairs:
    """Everything that follows from a job: zones, quantities, what needs another method, findings, totals."""
    ground = ground_of(job)
    return _repairs(job, covered(job, ground), ground.order, ground.origin_m)


@collecting_later()
def worked_out(job: Job, cover: Covered) -> Repairs:
    """The repairs of a job whose cover is known.

    Args:
        job: The job.
        cover: Its cover, as ``covered(job)`` gives it.
    """
    return _repairs(job, cover, listing_order(job), origin_of(job))


def _repairs(job: Job, cover: Covered, order: Mapping[UUID, tuple[int, int]], origin_m: Point) -> Repairs:
    group = grouped(job, cover, order, origin_m)
    found = measured(group, zone_numbers(job, group.covers))
    measure, network = group.works.measure, cover.network
    hidden = (item.finding for item in sorted(found.hidden, key=attrgetter("place")))
    others = (another_method(job, network, measure, leak) for leak in job.leaks.values())
    return Repairs(
        zones=found.zones,
        another_method=tuple(other for other in others if other),
        watched=tuple(leak.id for leak in job.leaks.values() if is_watched(job, network, leak)),
        findings=tuple(dict.fromkeys((*cover.findings, *found.off_wet.values(), *hidden))),
        totals=totals(
            sums_of(measure, found.zones),
            joint_m=joint_m(job, measure),
            wet_m=sum((wet_m(job, measure, joint, leaks) for joint, leaks in leaks_on(job).items()), measure.of(0.0)),
            saved_m=rounded(cover.own_cover_m - cover.cover_m, job.rules.measuring_step_m),
        ),
    )


def grouped(job: Job, cover: Covered, order: Mapping[UUID, tuple[int, int]], origin_m: Point) -> Grouped:
    """The parts of a cover as zones that have no numbers yet.

    Args:
        job: The job.
        cover: Its cover.
        order: Place of each joint in every list.
        origin_m: Site position from which bands are laid out.
    """
    network, parts = cover.network, cover.parts
    leaks = wet_leaks(job, network, order)
    laid = laid_out(job, network, parts, partial(second_coat, rules=job.rules), origin_m)
    groups = joined_parts(len(parts), laid.shared_m2, cover.apart)
    return Grouped(
        works=Workings(
            job=job,
            network=network,
            depths=depths_of(job, network, parts, leaks),
            measure=Measure(job),
        ),
        order=order,
        leaks=leaks,
        parts=parts,
        laid=laid,
        washed=washed_out(job, network, parts, laid),
        groups=groups,
        covers=[_cover_of([parts[part] for part in group]) for group in groups],
    )


def measured(group: Grouped, numbers: Sequence[tuple[int, bool]]) -> Measured:
    """Zones with all quantities.

    Args:
        group: The zones.
        numbers: Number of each, and whether it comes from an issue.
    """
    works, parts = group.works, group.parts
    by_number = sorted(range(len(numbers)), key=numbers.__getitem__)
    plans = [_plan(group, item, *numbers[item]) for item in by_number]
    zones = [(plan.parts, plan.rows) for plan in plans]
    coats = coats_of_zones(works.job, works.network, parts, zones, laid=group.laid, washed=group.washed)
    places, off_wet = relief_places(works.job, works.network, group.leaks)
    relief, hidden = _relief(group, plans, places)
    return Measured(
        zones=tuple(zone_of(works, plan, coats[i], relief[i]) for i, plan in enumerate(plans)),
        group=tuple(by_number),
        off_wet=off_wet,
        hidden=tuple(hidden),
    )


def _plan(group: Grouped, item: int, number: int, issued: bool) -> Plan:  # noqa: FBT001 - as references tell it
    """A zone measured along its joints."""
    members, order = group.groups[item], group.order
    parts = [group.parts[part] for part in members]
    pieces = [(part.whole, piece) for part in parts for piece in part.pieces]
    ends = [end for part in parts for end in part.ends]
    if len(parts) > 1:
        pieces.sort(key=lambda item: (order[item[1].joint], item[1].from_m, item[1].to_m))
        ends.sort(key=lambda end: (order[end.joint], end.at_m))
    return plan_of(group.works, number=number, issued=issued, parts=members, pieces=pieces, ends=ends)


def _cover_of(parts: Sequence[Part]) -> Cover:
    found: dict[UUID, list[Span]] = defaultdict(list)
    for part in parts:
        for piece in part.pieces:
            found[piece.joint].append((piece.from_m, piece.to_m))
    return {joint: merged(spans) for joint, spans in found.items()}


def _relief(
    group: Grouped, plans: Sequence[Plan], places: Sequence[Place]
) -> tuple[list[tuple[Relief, ...]], list[Hiding]]:
    """Relief points of each zone, and those that cannot be made."""
    works, order = group.works, group.order
    opened: dict[UUID, list[tuple[float, float, int]]] = defaultdict(list)
    for zone, plan in enumerate(plans if places else ()):
        for part in plan.parts:
            for joint, spans in opened_spans(group.parts[part]).items():
                opened[joint].extend((from_m, to_m, zone) for from_m, to_m in spans)
    for slots_of_joint in opened.values():
        slots_of_joint.sort()
    found: list[list[Relief]] = [[] for _ in plans]
    hidden = []
    slots = {joint: Spans(merged((a, b) for a, b, _ in spans)) for joint, spans in opened.items()}
    for place in places:
        at_m = opened_at(place, slots.get(place.joint, Spans(())))
        if at_m is None:
            leak = place.stretch.worst.leak.id
            hidden.append(Hiding(_place_of_point(order, place), leak, hidden_finding(works.job, place)))
            continue
        depth_m = works.depths.depth_m(place.joint, at_m)
        found[_zone_at(opened[place.joint], at_m)].append(relief_at(works.job.rules, place, at_m, depth_m))
    return [tuple(sorted(points, key=lambda point: (order[point.joint], point.at_m))) for points in found], hidden


def _place_of_point(order: Mapping[UUID, tuple[int, int]], place: Place) -> tuple[int, ...]:
    """Points set by hand first, as ``relief_places`` gives them; then stretches in the order of their first leaks."""
    if place.by_hand:
        return 0, place.joint.int, to_um(place.at_m)
    leaks = place.stretch.leaks
    return 1, *min((*order[wet.leak.joint], wet.source.from_um, wet.source.to_um) for wet in leaks)


def _zone_at(opened: Sequence[tuple[float, float, int]], at_m: float) -> int:
    """The first zone whose slot holds a place.

    Args:
        opened: Slots of one joint as (from, to, zone), sorted; at most two hold one place.
        at_m: A chainage on one of them.
    """
    after = bisect_right(opened, (at_m + MICRON_M, inf, 0))
    return min(zone for _, to_m, zone in opened[max(after - 2, 0) : after] if at_m <= to_m + MICRON_M)


def is_watched(job: Job, network: Network, leak: Leak) -> bool:
    """Whether a leak is a suspect on a joint of the network that the rules only watch."""
    return leak.joint in network and leak.method is not Method.ANOTHER and not is_treated(job, leak)


def another_method(job: Job, network: Network, measure: Measure, leak: Leak) -> AnotherMethod | None:
    """The leak as one that is not repaired here, with the reason; None where it is, or lies on no joint."""
    joint = job.joints.get(leak.joint)
    if joint is None or (leak.joint in network and leak.method is not Method.ANOTHER):
        return None
    why = "another method was asked for"
    if leak.joint not in network:
        why = f"{joint.ref} is a {joint.kind} joint: rigid filling fails where a joint moves"
    length_m = _measured(measure, spans_of(joint, leak.from_m, leak.to_m))
    return AnotherMethod(leak=leak.id, joint=joint.id, length_m=length_m, why=why)


def _measured(measure: Measure, spans: Sequence[Span]) -> Decimal:
    return sum((measure.of(to_m) - measure.of(from_m) for from_m, to_m in spans), measure.of(0.0))


def joint_m(job: Job, measure: Measure) -> Decimal:
    """Measured length of all joints."""
    return sum((measure.of(joint.length_m) for joint in job.joints.values()), measure.of(0.0))


def leaks_on(job: Job) -> dict[UUID, list[Leak]]:
    """Leaks of each joint that has any."""
    found: dict[UUID, list[Leak]] = defaultdict(list)
    for leak in job.leaks.values():
        if leak.joint in job.joints:
            found[leak.joint].append(leak)
    return found


def wet_m(job: Job, measure: Measure, joint: UUID, leaks: Iterable[Leak]) -> Decimal:
    """Measured length of the union of a joint's leaks of wetness 1 and more."""
    wet = [leak for leak in leaks if leak.wetness > Wetness.SUSPECT]
    spans = [span for leak in wet for span in spans_of(job.joints[joint], leak.from_m, leak.to_m)]
    return _measured(measure, merged(spans))


_SUMMED: Final = (
    "bridged_m",
    "blind_m",
    "chargeable_m",
    "coat1_m2",
    "coat2_m2",
    "wash_m2",
    "slot_l",
    "plug_l",
    "drypack_l",
)
"""Totals that are sums of the zones' figures of the same names."""


class Sums(NamedTuple):
    """Sums over zones: measured length, the provisional part of it, and what ``_SUMMED`` names."""

    repair_m: Decimal
    provisional_m: Decimal
    others: tuple[Decimal, ...]

    def less(self, other: Sums) -> Sums:
        """What is left without some of the zones."""
        others = (a - b for a, b in zip(self.others, other.others, strict=True))
        return Sums(self.repair_m - other.repair_m, self.provisional_m - other.provisional_m, tuple(others))

    def plus(self, other: Sums) -> Sums:
        """Sums over other zones too."""
        others = (a + b for a, b in zip(self.others, other.others, strict=True))
        return Sums(self.repair_m + other.repair_m, self.provisional_m + other.provisional_m, tuple(others))


def sums_of(measure: Measure, zones: Sequence[Zone]) -> Sums:
    """Sums over some zones; the figures are rounded, so the sums are exact."""
    none_m = measure.of(0.0)
    none = {"m": none_m, "m2": measure.area(0), "l": measure.volume(0)}
    return Sums(
        sum((zone.length_m for zone in zones), none_m),
        sum((zone.length_m for zone in zones if zone.provisional), none_m),
        tuple(sum((getattr(zone, of) for zone in zones), none[of.rpartition("_")[2]]) for of in _SUMMED),
    )


def totals(sums: Sums, *, joint_m: Decimal, wet_m: Decimal, saved_m: Decimal) -> Totals:
    """Totals of a job."""
    others = dict(zip(_SUMMED, sums.others, strict=True))
    return Totals(
        joint_m=joint_m,
        wet_m=wet_m,
        repair_m=sums.repair_m,
        provisional_m=sums.provisional_m,
        saved_m=saved_m,
        **others,
    )
