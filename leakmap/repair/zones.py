"""One zone from its parts: measured stretches, rows, order, holds and quantities."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from uuid import UUID

from leakmap.base.rounding import rounded_up, snapped
from leakmap.model.job import Job
from leakmap.model.words import Method, Series, reference
from leakmap.repair.areas import ZoneCoats
from leakmap.repair.depths import Depths, depth_mm
from leakmap.repair.filling import filling_order
from leakmap.repair.holds import head_kpa, holds_of, why_provisional
from leakmap.repair.measure import (
    Measure,
    blind_parts,
    exposed_m2,
    is_wet,
    rows_of,
    stretches_of,
    sum_m,
    volumes_of,
)
from leakmap.repair.network import Network
from leakmap.repair.relief import holes_l
from leakmap.repair.results import End, Piece, Relief, Row, Stretch, Why, Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a zone is made of, measured along its joints.

    Attributes:
        number: 7 for Z-07.
        issued: Whether the number comes from an issue.
        parts: Numbers of its parts.
        pieces: Its pieces, in sheet, joint, chainage order.
        stretches: What is opened of them, measured.
        rows: The same as printed.
        ends: Where it stops.
    """

    number: int
    issued: bool
    parts: tuple[int, ...]
    pieces: tuple[Piece, ...]
    stretches: tuple[Stretch, ...]
    rows: tuple[Row, ...]
    ends: tuple[End, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Workings:
    """What every zone of one work-out is measured with."""

    job: Job
    network: Network
    depths: Depths
    measure: Measure


def plan_of(
    works: Workings,
    *,
    number: int,
    issued: bool,
    parts: Sequence[int],
    pieces: Iterable[tuple[int, Piece]],
    ends: Iterable[End],
) -> Plan:
    """A zone measured along its joints.

    Args:
        works: What it is measured with.
        number: Its number.
        issued: Whether the number comes from an issue.
        parts: Numbers of its parts.
        pieces: Each with the number of its component before cuts, in sheet, joint, chainage order.
        ends: Where it stops.
    """
    known = tuple(pieces)
    stretches = stretches_of(works.depths, works.measure, known)
    return Plan(
        number=number,
        issued=issued,
        parts=tuple(parts),
        pieces=tuple(piece for _, piece in known),
        stretches=stretches,
        rows=rows_of(stretches),
        ends=tuple(ends),
    )


def zone_of(works: Workings, plan: Plan, coats: ZoneCoats, relief: tuple[Relief, ...]) -> Zone:
    """A zone with all quantities."""
    job, rules = works.job, works.job.rules
    blind = blind_parts(job, works.measure, plan.pieces)
    volumes = volumes_of(rules, plan.rows)
    length_m = sum((row.length_m for row in plan.rows), works.measure.of(0.0))
    why = why_provisional(job, plan.pieces)
    return Zone(
        number=plan.number,
        ref=reference(Series.ZONE, plan.number),
        issued=plan.issued,
        sheets=_sheets(job, plan.pieces),
        pieces=plan.pieces,
        stretches=plan.stretches,
        rows=plan.rows,
        blind=blind,
        ends=plan.ends,
        relief=relief,
        order=filling_order(job, works.network, works.measure, plan.stretches, relief, limit_m=_cover_m(plan.pieces)),
        bands=coats.bands,
        method=_method(job, plan.rows, relief),
        provisional=bool(why),
        why_provisional=why,
        holds=holds_of(job, plan.rows, relief),
        head_kpa=head_kpa(job, plan.pieces),
        length_m=length_m,
        chargeable_m=rounded_up(length_m, rules.chargeable_step_m),
        wet_m=sum_m(works.measure, plan.stretches, is_wet),
        bridged_m=sum_m(works.measure, plan.stretches, lambda item: item.why is Why.BRIDGE),
        blind_m=sum((part.to_m - part.from_m for part in blind), works.measure.of(0.0)),
        coat1_m2=works.measure.area(coats.coat2_m2 + exposed_m2(rules, plan.rows)),
        coat2_m2=works.measure.area(coats.coat2_m2),
        wash_m2=works.measure.area(coats.wash_m2),
        slot_l=works.measure.volume(volumes.slot_l),
        plug_l=works.measure.volume(volumes.plug_l + snapped(holes_l(relief))),
        drypack_l=works.measure.volume(volumes.drypack_l),
    )


def _cover_m(pieces: Iterable[Piece]) -> float:
    return sum(piece.to_m - piece.from_m for piece in pieces)


def _sheets(job: Job, pieces: Iterable[Piece]) -> tuple[UUID, ...]:
    on = {job.joints[joint].sheet for joint in {piece.joint for piece in pieces}}
    return tuple(on) if len(on) == 1 else tuple(sheet for sheet in job.sheets if sheet in on)


def _method(job: Job, rows: Sequence[Row], relief: Sequence[Relief]) -> Method:
    """The heaviest method that is carried out on the zone."""
    if relief:
        return Method.DEEP_PLUG_RELIEF
    standard_mm = depth_mm(job.rules.slot_depth_m)
    if any(row.depth_mm > standard_mm for row in rows):
        return Method.DEEP_PLUG
    return Method.SLOT_PLUG if any(row.plugged for row in rows) else Method.SLOT
