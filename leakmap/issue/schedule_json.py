"""The repair schedule as JSON, schema 1: a documented interface for other programs.

``resources/texts/schedule.schema.json`` describes every key. Lengths are metres in a job of any units and chainages are
printed ones (from the joint's ``start_m``). Measured figures carry three decimals, or as many as an eighth of an inch or its like takes; figures that a
person gave (chainages of leaks, heights, points, rules) stand as given. Hidden stretches are counted in
``blind_m`` and are no stretches.
"""

from __future__ import annotations

from dataclasses import fields
from decimal import Decimal
from enum import Enum
from typing import Final

from leakmap.base.json_text import Json, json_text
from leakmap.base.rounding import rounded, with_thousandths
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, TIE_M
from leakmap.issue.need_words import needs_json, order_json
from leakmap.issue.price_words import price_json
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of, plan_path
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules
from leakmap.model.words import Kind
from leakmap.repair.needs import needs_of
from leakmap.repair.results import FillStep, Relief, Repairs, Stretch, Totals, Why, Zone

SCHEMA: Final = 1
_MILLIMETRE: Final = Decimal("0.001")
_FIRST_TOTALS: Final = (
    "joint_m", "wet_m", "repair_m", "provisional_m", "saved_m", "bridged_m", "chargeable_m",
)  # fmt: skip


def schedule_json(job: Job, repairs: Repairs) -> str:
    """The schedule of a job as JSON text, ended by a line feed."""
    return json_text(schedule(job, repairs)) + "\n"


def schedule(job: Job, repairs: Repairs) -> dict[str, Json]:
    """The schedule of a job as the values that ``schedule_json`` writes."""
    found: dict[str, Json] = {
        "schema": SCHEMA,
        "job": job.name,
        "rules": _rules(job.rules),
        "joints": [_joint(job, joint) for joint in job.joints.values()],
        "leaks": [_leak(job, leak) for leak in job.leaks.values()],
        "zones": [_zone(job, zone) for zone in repairs.zones],
        "another_method": [
            {"leak": job.leaks[item.leak].ref, "joint": job.joints[item.joint].ref, "why": item.why}
            for item in repairs.another_method
        ],
        "findings": [
            {"code": finding.code, "where": finding.where, "text": finding.text} for finding in repairs.findings
        ],
        "totals": _totals(repairs.totals),
    }
    found |= {"materials": order_json(job, repairs)} if job.materials.known else {}
    return found | ({"price": price_json(job, repairs)} if job.rates.known else {})


def _rules(rules: Rules) -> dict[str, Json]:
    rest = {item.name: _given(getattr(rules, item.name)) for item in fields(rules) if item.name != "bridge_m"}
    return {"bridge_m": rules.bridge_m, "junction_m": DRAWING_TOLERANCE_M, "tie_m": TIE_M, **rest}


def _given(value: object) -> Json:
    if isinstance(value, tuple):
        return [_given(item) for item in value]
    if isinstance(value, Enum):
        return str(value.value)
    assert value is None or isinstance(value, int | float | Decimal | str)
    return value


def _joint(job: Job, joint: Joint) -> dict[str, Json]:
    sheet = job.sheet_of(joint)
    return {
        "ref": joint.ref,
        "sheet": sheet.name,
        "kind": joint.kind.value,
        "face": joint.face.value,
        "height_m": height_of(joint, sheet.storey_height_m),
        "rise_m": joint.rise_m,
        "repairable": joint.kind is not Kind.MOVEMENT or joint.repair_anyway is not None,
        "length_m": rounded(joint.length_m, _MILLIMETRE),
        "path_m": _path(joint),
    }


def _path(joint: Joint) -> list[Json]:
    path = plan_path(joint)
    if path is not None:
        return [[x, y] for x, y in path.corners]
    assert joint.point is not None
    return [[joint.point[0], joint.point[1]]]


def _leak(job: Job, leak: Leak) -> dict[str, Json]:
    joint = job.joints[leak.joint]
    by_rule = job.rules.overrun_m[leak.wetness]
    return {
        "ref": leak.ref,
        "joint": joint.ref,
        "from_m": float(printed_m(joint, leak.from_m)),
        "to_m": float(printed_m(joint, leak.to_m)),
        "wetness": int(leak.wetness),
        "overrun_from_m": by_rule if leak.overrun_from_m is None else leak.overrun_from_m,
        "overrun_to_m": by_rule if leak.overrun_to_m is None else leak.overrun_to_m,
    }


def _zone(job: Job, zone: Zone) -> dict[str, Json]:
    found: dict[str, Json] = {
        "ref": zone.ref,
        "sheets": [job.sheets[sheet].name for sheet in zone.sheets],
        "stretches": [_stretch(job, stretch) for stretch in zone.stretches if stretch.why is not Why.BLIND],
        "length_m": with_thousandths(zone.length_m),
        "chargeable_m": with_thousandths(zone.chargeable_m),
        "bridged_m": with_thousandths(zone.bridged_m),
        "blind_m": with_thousandths(zone.blind_m),
        "coat1_m2": with_thousandths(zone.coat1_m2),
        "coat2_m2": with_thousandths(zone.coat2_m2),
        "slot_l": with_thousandths(zone.slot_l),
        "plug_l": with_thousandths(zone.plug_l),
        "drypack_l": with_thousandths(zone.drypack_l),
        "relief": [_relief(job, relief) for relief in zone.relief],
        "order": [_step(job, step) for step in zone.order],
        "provisional": zone.provisional,
    }
    return found | ({"materials": needs_json(needs_of(job, zone))} if job.materials.known else {})


def _stretch(job: Job, stretch: Stretch) -> dict[str, Json]:
    joint = job.joints[stretch.joint]
    return {
        "joint": joint.ref,
        "from_m": with_thousandths(printed_m(joint, stretch.from_m)),
        "to_m": with_thousandths(printed_m(joint, stretch.to_m)),
        "depth_mm": _depth(stretch.depth_mm),
        "plugged": stretch.plugged,
        "why": "overrun" if stretch.why is Why.MERGED else stretch.why.value,
        "leaks": [job.leaks[leak].ref for leak in stretch.leaks],
    }


def _relief(job: Job, relief: Relief) -> dict[str, Json]:
    joint = job.joints[relief.joint]
    at_m = printed_m(joint, rounded(relief.at_m, _MILLIMETRE))
    return {"joint": joint.ref, "at_m": with_thousandths(at_m), "depth_mm": _depth(relief.depth_mm)}


def _step(job: Job, step: FillStep) -> dict[str, Json]:
    joint = job.joints[step.joint]
    return {
        "step": step.step,
        "joint": joint.ref,
        "from_m": with_thousandths(printed_m(joint, step.from_m)),
        "to_m": with_thousandths(printed_m(joint, step.to_m)),
    }


def _totals(totals: Totals) -> dict[str, Json]:
    rest = (item.name for item in fields(totals) if item.name not in _FIRST_TOTALS)
    return {name: with_thousandths(getattr(totals, name)) for name in (*_FIRST_TOTALS, *rest)}


def _depth(depth_mm: Decimal) -> Decimal:
    """A depth without idle zeros: 37, 37.5."""
    return Decimal(f"{depth_mm.normalize():f}")
