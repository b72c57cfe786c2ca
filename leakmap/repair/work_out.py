"""The whole work-out: from a job to its zones with all quantities.

The cover comes from ``leakmap.repair.cover``. Here its connected parts become zones, get their
numbers, and are measured.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal
from functools import partial
from math import inf
from operator import itemgetter
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.base.rounding import rounded
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.words import Method, Wetness
from leakmap.repair.areas import Laid, coats_of_zones, laid_out
from leakmap.repair.bands import opened_spans
from leakmap.repair.chainages import Span, Spans, merged, spans_of
from leakmap.repair.coats import second_coat
from leakmap.repair.cover import covered
from leakmap.repair.depths import depths_of
from leakmap.repair.joining import joined_parts
from leakmap.repair.levels import listing_order
from leakmap.repair.measure import Measure, quantity
from leakmap.repair.parts import Covered, Part
from leakmap.repair.references import Cover, zone_numbers
from leakmap.repair.relief import hidden_finding, opened_at, relief_at, relief_places
from leakmap.repair.results import AnotherMethod, Relief, Repairs, Totals, Zone
from leakmap.repair.sources import is_treated
from leakmap.repair.wet import Wet, wet_leaks
from leakmap.repair.zones import Plan, Workings, plan_of, zone_of


def repairs(job: Job) -> Repairs:
    """Everything that follows from a job: zones, quantities, what needs another method, findings, totals."""
    return worked_out(job, covered(job))


def worked_out(job: Job, cover: Covered) -> Repairs:
    """The repairs of a job whose cover is known.

    Args:
        job: The job.
        cover: Its cover, as ``covered(job)`` gives it.
    """
    leaks = wet_leaks(job, cover.network)
    works = Workings(
        job=job,
        network=cover.network,
        depths=depths_of(job, cover.network, cover.parts, leaks),
        measure=Measure(job.rules.measuring_step_m),
    )
    laid = laid_out(job, cover.network, cover.parts, partial(second_coat, rules=job.rules))
    plans = _plans(works, cover, laid)
    coats = coats_of_zones(job, cover.network, laid, cover.parts, [(plan.parts, plan.rows) for plan in plans])
    relief, findings = _relief(works, leaks, cover, plans)
    zones = tuple(zone_of(works, plan, coats[i], relief[i]) for i, plan in enumerate(plans))
    return Repairs(
        zones=zones,
        another_method=_another_method(job, cover, works.measure),
        watched=_watched(job, cover),
        findings=tuple(dict.fromkeys((*cover.findings, *findings))),
        totals=_totals(job, cover, works.measure, zones),
    )


def _plans(works: Workings, cover: Covered, laid: Laid) -> list[Plan]:
    """Zones in the order of their numbers, measured along their joints."""
    groups = joined_parts(len(cover.parts), laid.shared_m2, cover.apart)
    covers = [_cover_of([cover.parts[part] for part in group]) for group in groups]
    numbered = sorted(
        (
            (number, issued, group)
            for (number, issued), group in zip(zone_numbers(works.job, covers), groups, strict=True)
        ),
        key=itemgetter(0),
    )
    order = listing_order(works.job)
    plans = []
    for number, issued, group in numbered:
        parts = [cover.parts[part] for part in group]
        pieces = [(part.whole, piece) for part in parts for piece in part.pieces]
        ends = [end for part in parts for end in part.ends]
        if len(parts) > 1:
            pieces.sort(key=lambda item: (order[item[1].joint], item[1].from_m, item[1].to_m))
            ends.sort(key=lambda end: (order[end.joint], end.at_m))
        plans.append(plan_of(works, number=number, issued=issued, parts=group, pieces=pieces, ends=ends))
    return plans


def _cover_of(parts: Sequence[Part]) -> Cover:
    found: dict[UUID, list[Span]] = defaultdict(list)
    for part in parts:
        for piece in part.pieces:
            found[piece.joint].append((piece.from_m, piece.to_m))
    return {joint: merged(spans) for joint, spans in found.items()}


def _relief(
    works: Workings, leaks: Sequence[Wet], cover: Covered, plans: Sequence[Plan]
) -> tuple[list[tuple[Relief, ...]], list[Finding]]:
    """Relief points of each zone, and findings about those that cannot be made."""
    places, findings = relief_places(works.job, cover.network, leaks)
    opened: dict[UUID, list[tuple[float, float, int]]] = defaultdict(list)
    for zone, plan in enumerate(plans if places else ()):
        for part in plan.parts:
            for joint, spans in opened_spans(cover.parts[part]).items():
                opened[joint].extend((from_m, to_m, zone) for from_m, to_m in spans)
    for slots_of_joint in opened.values():
        slots_of_joint.sort()
    found: list[list[Relief]] = [[] for _ in plans]
    said = list(findings)
    slots = {joint: Spans(merged((a, b) for a, b, _ in spans)) for joint, spans in opened.items()}
    for place in places:
        at_m = opened_at(place, slots.get(place.joint, Spans(())))
        if at_m is None:
            said.append(hidden_finding(works.job, place))
            continue
        depth_m = works.depths.depth_m(place.joint, at_m)
        found[_zone_at(opened[place.joint], at_m)].append(relief_at(works.job.rules, place, at_m, depth_m))
    order = listing_order(works.job)
    return [tuple(sorted(points, key=lambda point: (order[point.joint], point.at_m))) for points in found], said


def _zone_at(opened: Sequence[tuple[float, float, int]], at_m: float) -> int:
    """The first zone whose slot holds a place.

    Args:
        opened: Slots of one joint as (from, to, zone), sorted; at most two hold one place.
        at_m: A chainage on one of them.
    """
    after = bisect_right(opened, (at_m + MICRON_M, inf, 0))
    return min(zone for _, to_m, zone in opened[max(after - 2, 0) : after] if at_m <= to_m + MICRON_M)


def _watched(job: Job, cover: Covered) -> tuple[UUID, ...]:
    """Suspects on joints of the network that the rules only watch."""
    return tuple(
        leak.id
        for leak in job.leaks.values()
        if leak.joint in cover.network and leak.method is not Method.ANOTHER and not is_treated(job, leak)
    )


def _another_method(job: Job, cover: Covered, measure: Measure) -> tuple[AnotherMethod, ...]:
    found = []
    for leak in _lying(job):
        joint = job.joints[leak.joint]
        if leak.joint not in cover.network:
            why = f"{joint.ref} is a {joint.kind} joint: rigid filling fails where a joint moves"
        elif leak.method is Method.ANOTHER:
            why = "another method was asked for"
        else:
            continue
        length_m = _measured(measure, spans_of(joint, leak.from_m, leak.to_m))
        found.append(AnotherMethod(leak=leak.id, joint=joint.id, length_m=length_m, why=why))
    return tuple(found)


def _lying(job: Job) -> list[Leak]:
    """Leaks that lie on a joint of the job."""
    return [leak for leak in job.leaks.values() if leak.joint in job.joints]


def _measured(measure: Measure, spans: Sequence[Span]) -> Decimal:
    return sum((measure.of(to_m) - measure.of(from_m) for from_m, to_m in spans), measure.of(0.0))


def _totals(job: Job, cover: Covered, measure: Measure, zones: Sequence[Zone]) -> Totals:
    none_m = measure.of(0.0)
    wet: dict[UUID, list[Span]] = defaultdict(list)
    for leak in _lying(job):
        if leak.wetness > Wetness.SUSPECT:
            wet[leak.joint].extend(spans_of(job.joints[leak.joint], leak.from_m, leak.to_m))

    def total(of: str) -> Decimal:
        return sum((getattr(zone, of) for zone in zones), none_m if of.endswith("_m") else quantity(0))

    return Totals(
        joint_m=sum((measure.of(joint.length_m) for joint in job.joints.values()), none_m),
        wet_m=sum((_measured(measure, merged(spans)) for spans in wet.values()), none_m),
        repair_m=total("length_m"),
        provisional_m=sum((zone.length_m for zone in zones if zone.provisional), none_m),
        saved_m=rounded(cover.own_cover_m - cover.cover_m, job.rules.measuring_step_m),
        bridged_m=total("bridged_m"),
        blind_m=total("blind_m"),
        chargeable_m=total("chargeable_m"),
        coat1_m2=total("coat1_m2"),
        coat2_m2=total("coat2_m2"),
        wash_m2=total("wash_m2"),
        slot_l=total("slot_l"),
        plug_l=total("plug_l"),
        drypack_l=total("drypack_l"),
    )
