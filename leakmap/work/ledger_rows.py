"""The ledger's rows as values: what is listed of sheets, joints, leaks, zones and revisions, with their sums.

A zone that reaches over several levels is listed on each of them and counted on the first alone, so that
every total is the sum of the rows above it and the levels add up to the job. Figures are measured ones:
Decimals, rounded once. Where what was made before is kept, rows of things that have not changed are the very same.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Final
from uuid import UUID

from leakmap.base.rounding import ZERO, rounded
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Point
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.leak import Leak
from leakmap.model.printed import chainage_m
from leakmap.model.revision import Revision
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.model.words import Kind, Method, Purpose, Wetness
from leakmap.repair.chainages import Span, merged, spans_of
from leakmap.repair.levels import listing_order
from leakmap.repair.results import Repairs, Zone
from leakmap.work.check_list import Where, next_name
from leakmap.work.kept import Kept


def sheet_table(job: Job) -> Table:
    """Every level with its drawing and how its scale is known."""
    return Table(lines=tuple(map(_sheet_line, job.sheets.values())))


def joint_table(job: Job, sheet: UUID | None, kept: Kept | None = None) -> Table:
    """Joints with subtotals by kind.

    Args:
        job: The job.
        sheet: Joints of this level only; None for all.
        kept: What was made before.
    """
    kept = kept or Kept()
    joints = [joint for joint in _in_order(job) if sheet in (None, joint.sheet)]
    lines = tuple(
        kept.of(("joint", joint.id), (joint, job.rules, job.units, job.grid), partial(_joint_line, job, joint))
        for joint in joints
    )
    if not lines:
        return Table(lines=())
    by_kind: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        by_kind[str(line.values["kind"])].append(line)
    subtotals = [_joint_sum(words, some) for words, some in sorted(by_kind.items())]
    return Table(lines=lines, sums=(*(subtotals if len(by_kind) > 1 else ()), _joint_sum("", lines)))


def leak_table(job: Job, sheet: UUID | None, kept: Kept | None = None) -> Table:
    """Leaks in the order of their joints and chainages, with their total.

    Args:
        job: The job.
        sheet: Leaks of this level only; None for all.
        kept: What was made before.
    """
    kept = kept or Kept()
    order = listing_order(job)
    leaks = [leak for leak in job.leaks.values() if sheet in (None, job.joints[leak.joint].sheet)]
    leaks.sort(key=lambda leak: (order[leak.joint], leak.from_m, leak.to_m))
    lines = tuple(
        kept.of(("leak", leak.id), (leak, job.joints[leak.joint], job.rules, job.units), partial(_leak_line, job, leak))
        for leak in leaks
    )
    total = Line(values={"ref": "Total", "wetness": many(len(lines), "leak"), "length": sum_of(lines, "length")})
    return Table(lines=lines, sums=(total,) if lines else ())


def revision_table(job: Job, draft: Purpose | None) -> Table:
    """Every revision, and the one that is being made.

    Args:
        job: The job.
        draft: What the revision being made is for; None: none was begun.
    """
    lines = [_revision_line(revision) for revision in job.revisions.values()]
    if draft is not None:
        values = {"rev": next_name(job, draft), "date": "not issued", "what": f"for {draft.value}"}
        lines.append(Line(values=values, alarm=frozenset({"date"})))
    return Table(lines=tuple(lines))


def kind_words(joint: Joint) -> str:
    """Kind of a joint as the ledger says it.

    >>> kind_words(Joint(id=UUID(int=1), ref="V-01", sheet=UUID(int=2), kind=Kind.CRACK, face="wall", point=(0, 0),
    ...     rise_m=2.0))
    'Vertical, crack'
    """
    return f"Vertical, {joint.kind.value}" if joint.vertical else joint.kind.value.capitalize()


def scale_words(sheet: Sheet) -> str:
    """How a sheet's scale is known, in a few words."""
    if sheet.source is None:
        return "blank sheet"
    if not sheet.lengths:
        return "not checked"
    if scale_is_checked(sheet):
        return f"{len(sheet.lengths)} lengths agree"
    return "one way only" if len(sheet.lengths) == 1 else "lengths disagree"


def place_words(job: Job, point: Point) -> str:
    """A place from the grid; where no grid is set, its position in the site plane."""
    words = position_words(job.grid, point, job.units) if job.grid is not None else ""
    return words or job.units.place(*point)


def day_words(day: date) -> str:
    """A day as the ledger says it.

    >>> day_words(date(2026, 11, 2))
    '02 Nov 2026'
    """
    months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
    return f"{day.day:02d} {months[day.month - 1]} {day.year}"


def _in_order(job: Job) -> list[Joint]:
    order = listing_order(job)
    return sorted(job.joints.values(), key=lambda joint: order[joint.id])


def _sheet_line(sheet: Sheet) -> Line:
    ready = scale_is_checked(sheet)
    values: dict[str, Value] = {
        "level": sheet.name,
        "scale": scale_words(sheet),
        "ready": "yes" if ready else "not yet",
    }
    if sheet.source is not None:
        values |= {"file": sheet.source.name, "checksum": sheet.source.sha256[:12]}
    return Line(
        where=Where("sheet", sheet.id),
        sheet=sheet.id,
        values=values,
        alarm=frozenset() if ready else frozenset({"scale", "ready"}),
        tip=f"{sheet.source.name}, SHA-256 {sheet.source.sha256}" if sheet.source else "",
    )


def _joint_line(job: Job, joint: Joint) -> Line:
    start, end = _ends(joint)
    return Line(
        where=Where("joint", joint.id),
        sheet=joint.sheet,
        kind=joint.kind,
        upright=joint.vertical,
        tip=in_trade_words(job.units, f"{kind_words(joint)}, {joint.face.value}."),
        values={
            "ref": joint.ref,
            "kind": in_trade_words(job.units, kind_words(joint)),
            "length": rounded(joint.length_m, job.rules.measuring_step_m),
            "from_grid": place_words(job, start),
            "to_grid": "goes up" if joint.vertical else "closed" if joint.closed else place_words(job, end),
        },
    )


def _ends(joint: Joint) -> tuple[Point, Point]:
    """Where a joint starts and stops in plan; a mere point twice."""
    path = plan_path(joint)
    if path is None:
        assert joint.point is not None
        return joint.point, joint.point
    return path.points[0], path.points[-1]


def _joint_sum(words: str, lines: Sequence[Line]) -> Line:
    count = many(len(lines), "joint")
    name = {"ref": "Total", "kind": count} if not words else {"kind": f"{words}, {len(lines)}"}
    return Line(values={**name, "length": sum_of(lines, "length")})


def _leak_line(job: Job, leak: Leak) -> Line:
    joint, step = job.joints[leak.joint], job.rules.measuring_step_m
    values: dict[str, Value] = {
        "ref": leak.ref,
        "on": joint.ref,
        "from": chainage_m(job, joint, rounded(leak.from_m, step)),
        "to": chainage_m(job, joint, rounded(leak.to_m, step)),
        "length": SPOT if leak.from_m == leak.to_m else measured(spans_of(joint, leak.from_m, leak.to_m), step),
        "wetness": leak.wetness,
    }
    if leak.seen is not None:
        values["seen"] = leak.seen
    return Line(where=Where("leak", leak.id), sheet=joint.sheet, values=values, by_hand=set_by_hand(leak), tip=leak.note)


def set_by_hand(leak: Leak) -> str:
    """What a person set on a leak instead of the rules."""
    overrun = leak.overrun_from_m is not None or leak.overrun_to_m is not None
    return " and ".join(word for word, held in (("overrun", overrun), ("method", leak.method is not None)) if held)


def _revision_line(revision: Revision) -> Line:
    files = len(revision.papers)
    return Line(
        where=Where("revision", revision.id),
        values={
            "rev": revision.name,
            "date": revision.at.date(),
            "whom": revision.to_whom,
            "what": f"for {revision.purpose.value}",
            "files": many(files, "file"),
            "checksum": revision.schedule_sha256[:12],
        },
        tip=f"Issued by {revision.by}. Schedule SHA-256 {revision.schedule_sha256}",
    )


def measured(spans: Iterable[Span], step: Decimal) -> Decimal:
    return sum((rounded(to_m, step) - rounded(from_m, step) for from_m, to_m in spans), rounded(0, step))


