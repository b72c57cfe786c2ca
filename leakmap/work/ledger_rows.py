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

Value = str | Decimal | date | Wetness
"""What a cell holds."""

METHOD_WORDS: Final = {
    Method.SLOT: "Slot, no plug",
    Method.SLOT_PLUG: "Slot + plug",
    Method.DEEP_PLUG: "Deep + plug",
    Method.DEEP_PLUG_RELIEF: "Deep + relief",
    Method.ANOTHER: "Another method",
}
"""Methods in a narrow column; the whole words are those of ``Method``."""

_FIGURES: Final = ("measured", "chargeable", "area", "litres")
SPOT: Final = "spot"
"""What stands for the length of a leak that has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row.

    Attributes:
        where: What it stands for; None for a sum, or for what is not there yet.
        values: By name of column; what is missing is empty.
        sheet: The level that it lies on; None for sums and revisions.
        kind: Kind of a joint.
        upright: Whether it is a vertical joint.
        alarm: Names of columns whose words want a look.
        by_hand: What a person set instead of the rules, in words; empty when nothing.
        elsewhere: Where it is counted instead of here; empty when it counts here.
        tip: More words, for whoever points at it.
    """

    where: Where | None = None
    values: Mapping[str, Value] = field(default_factory=dict)
    sheet: UUID | None = None
    kind: Kind | None = None
    upright: bool = False
    alarm: frozenset[str] = frozenset()
    by_hand: str = ""
    elsewhere: str = ""
    tip: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows, and the sums that close them: subtotals first, the total last."""

    lines: tuple[Line, ...]
    sums: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerTotals:
    """The four figures at the ledger's foot.

    Attributes:
        saved_m: Of the whole job: overruns merge across levels.
    """

    joint_m: Decimal
    wet_m: Decimal
    repair_m: Decimal
    saved_m: Decimal


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
    total = Line(values={"ref": "Total", "wetness": _many(len(lines), "leak"), "length": _sum(lines, "length")})
    return Table(lines=lines, sums=(total,) if lines else ())


def zone_table(job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept | None = None) -> Table:
    """Zones with their figures; where some are provisional, firm and provisional ones are summed apart.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Zones that reach this level only; None for all.
        kept: What was made before.
    """
    kept = kept or Kept()
    zones = [zone for zone in repairs.zones if sheet is None or sheet in zone.sheets]
    lines = tuple(
        kept.of(("zone", zone.number, sheet), _zone_values(job, zone, kept), partial(_zone_line, job, zone, sheet))
        for zone in zones
    )
    if not lines:
        return Table(lines=())
    counted = [(line, zone.provisional) for line, zone in zip(lines, zones, strict=True) if not line.elsewhere]
    parts = [[line for line, loose in counted if loose is wanted] for wanted in (False, True)]
    subtotals = [_zone_sum(words, some) for words, some in zip(("Firm", "Provisional"), parts, strict=True) if some]
    total = _zone_sum("", [line for line, _ in counted])
    return Table(lines=lines, sums=(*(subtotals if parts[1] else ()), total))


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


def ledger_totals(job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept | None = None) -> LedgerTotals:
    """The four figures of a level, or of the whole job.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: The level; None for the whole job.
        kept: What was made before.
    """
    totals = repairs.totals
    if sheet is None:
        return LedgerTotals(
            joint_m=totals.joint_m, wet_m=totals.wet_m, repair_m=totals.repair_m, saved_m=totals.saved_m
        )
    joints = [joint for joint in job.joints.values() if joint.sheet == sheet]
    step = job.rules.measuring_step_m
    return LedgerTotals(
        joint_m=sum((rounded(joint.length_m, step) for joint in joints), rounded(0, step)),
        wet_m=_wet_m(job, {joint.id for joint in joints}, kept or Kept()),
        repair_m=sum((zone.length_m for zone in repairs.zones if home_of(zone) == sheet), rounded(0, step)),
        saved_m=totals.saved_m,
    )


def home_of(zone: Zone) -> UUID:
    """The level that a zone is counted on: the first that it lies on."""
    return zone.sheets[0]


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


def in_order_of(lines: Iterable[Line], column: str, *, falling: bool = False) -> tuple[Line, ...]:
    """Lines sorted by a column: numbers by size, references by their number; empty cells stay last."""
    every = list(lines)
    filled = [line for line in every if column in line.values]
    filled.sort(key=lambda line: _rank(line.values[column]), reverse=falling)
    return (*filled, *(line for line in every if column not in line.values))


_Rank = tuple[tuple[int, Decimal, str], ...]


def _rank(value: Value) -> _Rank:
    if isinstance(value, (Decimal, Wetness)):
        return ((0, Decimal(value), ""),)
    if isinstance(value, date):
        return ((0, Decimal(value.toordinal()), ""),)
    if value == SPOT:
        return ((0, ZERO, ""),)
    parts = re.findall(r"[0-9]+|[^0-9]+", value.casefold())
    return tuple((0, Decimal(part), "") if part.isdecimal() else (1, ZERO, part) for part in parts)


def _in_order(job: Job) -> list[Joint]:
    order = listing_order(job)
    return sorted(job.joints.values(), key=lambda joint: order[joint.id])


def _sum(lines: Iterable[Line], column: str) -> Decimal:
    return sum((value for line in lines if isinstance(value := line.values.get(column), Decimal)), ZERO)


def _many(count: int, one: str) -> str:
    return f"{count} {one}{'' if count == 1 else 's'}"


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
    count = _many(len(lines), "joint")
    name = {"ref": "Total", "kind": count} if not words else {"kind": f"{words}, {len(lines)}"}
    return Line(values={**name, "length": _sum(lines, "length")})


def _leak_line(job: Job, leak: Leak) -> Line:
    joint, step = job.joints[leak.joint], job.rules.measuring_step_m
    values: dict[str, Value] = {
        "ref": leak.ref,
        "on": joint.ref,
        "from": chainage_m(job, joint, rounded(leak.from_m, step)),
        "to": chainage_m(job, joint, rounded(leak.to_m, step)),
        "length": SPOT if leak.from_m == leak.to_m else _measured(spans_of(joint, leak.from_m, leak.to_m), step),
        "wetness": leak.wetness,
    }
    if leak.seen is not None:
        values["seen"] = leak.seen
    return Line(where=Where("leak", leak.id), sheet=joint.sheet, values=values, by_hand=_hand(leak), tip=leak.note)


def _hand(leak: Leak) -> str:
    """What a person set on a leak instead of the rules."""
    overrun = leak.overrun_from_m is not None or leak.overrun_to_m is not None
    return " and ".join(word for word, held in (("overrun", overrun), ("method", leak.method is not None)) if held)


def _zone_values(job: Job, zone: Zone, kept: Kept) -> tuple[object, ...]:
    """All that a zone's line is made from."""
    leaks = kept.of(("leaks of", zone.number), (zone,), partial(_leaks_of, zone))
    ends = (zone.rows[0].joint, zone.rows[-1].joint) if zone.rows else ()
    return (
        zone,
        job.sheets[home_of(zone)],
        job.units,
        job.grid,
        *map(job.joints.get, ends),
        *map(job.leaks.get, leaks),
    )


def _leaks_of(zone: Zone) -> tuple[UUID, ...]:
    return tuple({leak: None for piece in zone.pieces for leak in piece.leaks})


def _zone_line(job: Job, zone: Zone, sheet: UUID | None) -> Line:
    home = job.sheets[home_of(zone)]
    line = Line(
        where=Where("zone", zone.number),
        sheet=home.id if sheet is None else sheet,
        values={
            "zone": zone.ref,
            "method": in_trade_words(job.units, METHOD_WORDS[zone.method]),
            **_zone_places(job, zone),
        },
        by_hand=_zone_hand(job, zone),
        tip=" ".join(
            part
            for part in (f"{in_trade_words(job.units, zone.method.value)}.", zone.why_provisional, *zone.holds)
            if part
        ),
    )
    if sheet not in (None, home.id):
        counted: dict[str, Value] = {"method": f"counted on {home.name}"}
        return replace(line, values={**line.values, **counted}, elsewhere=home.name)
    figures: dict[str, Value] = {
        "measured": zone.length_m,
        "chargeable": zone.chargeable_m,
        "area": zone.coat2_m2,
        "litres": zone.plug_l + zone.drypack_l,
    }
    return replace(line, values={**line.values, **figures})


def _zone_places(job: Job, zone: Zone) -> dict[str, Value]:
    """Where a zone starts and stops along its joints, and where that is on the grid."""
    if not zone.rows:
        return {"rule": "by rule"}
    first, last = zone.rows[0], zone.rows[-1]
    joint, end = job.joints[first.joint], job.joints[last.joint]
    hand = _zone_hand(job, zone)
    return {
        "from": f"{joint.ref} {job.units.shown(chainage_m(job, joint, first.from_m))}",
        "to": f"{end.ref} {job.units.shown(chainage_m(job, end, last.to_m))}",
        "grid": place_words(job, _point_on(joint, float(first.from_m))),
        "rule": f"{hand} by hand" if hand else "by rule",
    }


def _point_on(joint: Joint, at_m: float) -> Point:
    path = plan_path(joint)
    if path is None:
        assert joint.point is not None
        return joint.point
    return path.point_at(min(at_m, path.length_m))


def _zone_hand(job: Job, zone: Zone) -> str:
    words = {word for leak in _leaks_of(zone) for word in _hand(job.leaks[leak]).split(" and ") if word}
    return " and ".join(sorted(words, reverse=True))


def _zone_sum(words: str, lines: Sequence[Line]) -> Line:
    figures = {name: _sum(lines, name) for name in _FIGURES}
    if words:
        return Line(values={"method": f"{words}, {len(lines)}", **figures})
    return Line(values={"zone": "Total", "method": _many(len(lines), "zone"), **figures})


def _revision_line(revision: Revision) -> Line:
    files = len(revision.papers)
    return Line(
        where=Where("revision", revision.id),
        values={
            "rev": revision.name,
            "date": revision.at.date(),
            "whom": revision.to_whom,
            "what": f"for {revision.purpose.value}",
            "files": _many(files, "file"),
            "checksum": revision.schedule_sha256[:12],
        },
        tip=f"Issued by {revision.by}. Schedule SHA-256 {revision.schedule_sha256}",
    )


def _measured(spans: Iterable[Span], step: Decimal) -> Decimal:
    return sum((rounded(to_m, step) - rounded(from_m, step) for from_m, to_m in spans), rounded(0, step))


def _wet_m(job: Job, joints: set[UUID], kept: Kept) -> Decimal:
    """Union of the leaks of wetness 1 and more on some joints, as the totals of the job measure it."""
    wet: dict[UUID, list[Leak]] = defaultdict(list)
    for leak in job.leaks.values():
        if leak.joint in joints and leak.wetness > Wetness.SUSPECT:
            wet[leak.joint].append(leak)
    lengths = (
        kept.of(("wet", key), (job.joints[key], job.rules, *leaks), partial(_wet_on, job, job.joints[key], leaks))
        for key, leaks in wet.items()
    )
    return sum(lengths, rounded(0, job.rules.measuring_step_m))


def _wet_on(job: Job, joint: Joint, leaks: Sequence[Leak]) -> Decimal:
    spans = [span for leak in leaks for span in spans_of(joint, leak.from_m, leak.to_m)]
    return _measured(merged(spans), job.rules.measuring_step_m)


def copied(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Rows with their headings as tab-separated text; what would part a cell is a space."""
    cells = ([" ".join(cell.split()) for cell in row] for row in (headings, *rows))
    return "".join("\t".join(row) + "\n" for row in cells)
