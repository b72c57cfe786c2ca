"""What the repair answers to: the leaks as marked and the joints as drawn."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Final
from uuid import UUID

from reportlab.platypus import Flowable

from leakmap.base.measures import FLOW, Units
from leakmap.base.rounding import rounded
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.schedule_pdf.styles import BOLD, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, section
from leakmap.issue.schedule_pdf.words import at, date_words, joint_words, leaks_of, length, said, wetness_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.words import Kind, Waterstop
from leakmap.repair.results import Repairs

_LEAKS: Final = (
    Column("Leak", 14),
    Column("Joint", 14),
    Column("Level", 12),
    Column("From m", 16, right=True),
    Column("To m", 16, right=True),
    Column("Wetness", 19),
    Column("Seen", 20),
    Column("Overruns m", 25, right=True),
    Column("Flow L/min", 15.5, right=True),
    Column("Answer", 0),
)
_JOINTS: Final = (
    Column("Joint", 16),
    Column("Level", 14),
    Column("Kind", 23),
    Column("Face", 15),
    Column("Height m", 17, right=True),
    Column("0 at m", 16, right=True),
    Column("Length m", 19, right=True),
    Column("What is known", 0),
)


def evidence_sections(setting: Setting, job: Job, repairs: Repairs) -> list[Flowable]:
    """The tables of leaks and joints."""
    found: list[Flowable] = []
    if job.leaks:
        found += section(setting, "Leaks as marked", _leaks(setting, job, repairs))
    if job.joints:
        found += section(setting, "Joints", _joints(setting, job))
    return found


def answers(job: Job, repairs: Repairs) -> Mapping[UUID, str]:
    """What is done about each leak: its zone (several where a cut parts it), another method, or watched."""
    zones: dict[UUID, list[str]] = {}
    for zone in repairs.zones:
        for leak in leaks_of(job, zone):
            zones.setdefault(leak.id, []).append(zone.ref)
    found = {leak: ", ".join(zones.get(leak, ["none"])) for leak in job.leaks}
    found.update({item.leak: "another method" for item in repairs.another_method})
    found.update(dict.fromkeys(repairs.watched, "watched"))
    return found


def _leaks(setting: Setting, job: Job, repairs: Repairs) -> Grid:
    grid = Grid(setting, _LEAKS, dense=True)
    answered = answers(job, repairs)
    for leak in job.leaks.values():
        joint = job.joints[leak.joint]
        seen = date_words(job.units, leak.seen) if leak.seen else ""
        flow = "" if leak.flow_l_min is None else FLOW[job.units].shown(leak.flow_l_min)
        grid.begin_block()
        grid.row(
            setting.words(leak.ref, BOLD),
            joint.ref,
            job.sheet_of(joint).name,
            at(job, leak.joint, leak.from_m),
            at(job, leak.joint, leak.to_m),
            wetness_words(leak.wetness),
            seen,
            _overruns(job, leak, answered[leak.id]),
            flow,
            answered[leak.id],
        )
        if more := _more(job, leak):
            grid.note("", more)
        grid.end_block()
    return grid


def _overruns(job: Job, leak: Leak, answer: str) -> str:
    """Both overruns; none where the leak carries none. A * marks one set by hand."""
    if answer in {"another method", "watched"}:
        return "none"
    rule = job.rules.overrun_m[leak.wetness]
    sides = [(leak.overrun_from_m, rule), (leak.overrun_to_m, rule)]
    units = job.units
    return " / ".join(length(units, by_rule) if hand is None else f"*{length(units, hand)}" for hand, by_rule in sides)


def _more(job: Job, leak: Leak) -> str:
    parts = [
        f"Worst at {at(job, leak.joint, leak.worst_m)}" if leak.worst_m is not None else "",
        f"method by hand: {in_trade_words(job.units, leak.method.value)}" if leak.method is not None else "",
        "* overrun set by hand" if leak.overrun_from_m is not None or leak.overrun_to_m is not None else "",
        f"{len(leak.photos)} photo{'s' if len(leak.photos) > 1 else ''}" if leak.photos else "",
        leak.note,
    ]
    return "; ".join(part for part in parts if part)


def _joints(setting: Setting, job: Job) -> Grid:
    grid = Grid(setting, _JOINTS, dense=True)
    total = Decimal(0)
    for kind in Kind:
        joints = [joint for joint in job.joints.values() if joint.kind is kind]
        lengths = [rounded(joint.length_m, job.rules.measuring_step_m) for joint in joints]
        for joint, measured_m in zip(joints, lengths, strict=True):
            ref, *facts = joint_words(job, joint)
            grid.row(
                setting.words(ref, BOLD),
                *facts,
                length(job.units, joint.height_m) if joint.height_m else "",
                length(job.units, joint.start_m),
                length(job.units, measured_m),
                known(job, joint),
            )
        if joints:
            grid.total(
                setting.trade(f"{_capital(kind)} joints" if kind not in _BARE else _capital(kind)),
                *[""] * 5,
                length(job.units, sum(lengths, Decimal(0))),
                strong=False,
            )
            grid.spread(0, 5)
            total += sum(lengths, Decimal(0))
    grid.total("All joints", *[""] * 5, length(job.units, total))
    grid.spread(0, 5)
    return grid


_BARE: Final = {Kind.CRACK, Kind.PIPE_COLLAR}


def _capital(kind: Kind) -> str:
    words = {Kind.CRACK: "cracks", Kind.PIPE_COLLAR: "pipe collars"}.get(kind, str(kind))
    return words[0].upper() + words[1:]


def known(job: Job, joint: Joint) -> str:
    """What is known of a joint that matters for its repair."""
    units = job.units
    head = job.sheets[joint.head_sheet].name if joint.head_sheet is not None else ""
    parts = [
        f"diameter {said(units, joint.diameter_m)}" if joint.diameter_m is not None else "",
        f"up to {head}" if head else "",
        f"room on the {joint.room_side}" if joint.room_side is not None else "",
        ("dormant" if joint.dormant else "not confirmed dormant")
        if joint.kind in {Kind.CONTRACTION, Kind.CRACK}
        else "",
        _movement(units, joint) if joint.kind is Kind.MOVEMENT else "",
        f"member {said(units, joint.thickness_m)}" if joint.thickness_m is not None else "",
        f"cover {said(units, joint.cover_m)}" if joint.cover_m is not None else "",
        _waterstop(units, joint),
        "tendons" if joint.tendons else "",
        f"seen from {joint.seen_from}" if joint.seen_from else "",
        f"repaired from {joint.repaired_from}" if joint.repaired_from else "",
        joint.access,
    ]
    return "; ".join(part for part in parts if part)


def _movement(units: Units, joint: Joint) -> str:
    if joint.repair_anyway is not None:
        signed = joint.repair_anyway
        return f"repaired by this method: {signed.reason} ({signed.name}, {signed.on.isoformat()})"
    if joint.clearance_m is None:
        return "clearance not given"
    return in_trade_words(units, f"slots keep {said(units, joint.clearance_m)} clear")


def _waterstop(units: Units, joint: Joint) -> str:
    if joint.waterstop is Waterstop.NONE:
        return "no waterstop"
    if joint.waterstop is Waterstop.AT_DEPTH:
        depth = f" {said(units, joint.waterstop_depth_m)} deep" if joint.waterstop_depth_m is not None else ""
        return f"waterstop{depth}"
    return ""
