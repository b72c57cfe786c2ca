"""The ledger's rows of sheets, joints, leaks and revisions, with their sums; those of zones are in ``ledger_zones``.

Every total is the sum of the rows above it. Figures are measured ones: Decimals, rounded once. Where what was made
before is kept, rows of things that have not changed are the very same.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import partial
from operator import attrgetter
from types import MappingProxyType
from typing import Final
from uuid import UUID

from leakmap.base.counted import many
from leakmap.base.differing import Heaps
from leakmap.base.rounding import ZERO, rounded
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Point
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.leak import Leak
from leakmap.model.printed import chainage_m
from leakmap.model.revision import Begun, Revision
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.repair.chainages import Span, spans_of
from leakmap.repair.levels import listing_order
from leakmap.work.check_list import Where, next_name
from leakmap.work.issued_sums import IssuedSum
from leakmap.work.kept import Kept
from leakmap.work.ledger_lines import SPOT, Line, Table, Value, sum_of
from leakmap.work.ledger_order import place_rank, rank_of

Days = Mapping[UUID, date]
"""The day on which something of each thing happened, by its id."""

NO_DAYS: Final[Days] = MappingProxyType({})
NO_SUMS: Final[Mapping[UUID, IssuedSum]] = MappingProxyType({})


def sheet_table(job: Job, received: Days = NO_DAYS) -> Table:
    """Every level with its drawing and how its scale is known.

    Args:
        job: The job.
        received: When the file of each level's drawing was taken in, as far as it is asked for.
    """
    return Table(lines=tuple(_sheet_line(sheet, received.get(sheet.id)) for sheet in job.sheets.values()))


def joint_table(job: Job, sheet: UUID | None, kept: Kept | None = None, *, changed: Days = NO_DAYS) -> Table:
    """Joints with subtotals by kind.

    Args:
        job: The job.
        sheet: Joints of this level only; None for all.
        kept: What was made before.
        changed: When each joint last changed, as far as it is asked for.
    """
    kept = kept or Kept()
    joints = [joint for joint in _in_order(job) if sheet in (None, joint.sheet)]
    lines = tuple(
        kept.of(
            ("joint", joint.id),
            (joint, job.rules, job.units, job.grid, day := changed.get(joint.id)),
            partial(_joint_line, job, joint, day),
        )
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
    here = {joint for joint in order if sheet in (None, job.joints[joint].sheet)}
    heaps = leaks_on_joints(job, kept)
    every = [
        kept.of(
            ("leaks on", joint),
            (job.joints[joint], job.rules, job.units, heaps[joint]),
            partial(_leaks_on, job, heaps[joint].values(), kept),
        )
        for joint in sorted(here & heaps.keys(), key=order.__getitem__)
    ]
    lines = tuple(line for lines_on, _ in every for line in lines_on)
    length_m = sum((wet_m for _, wet_m in every), ZERO)
    total = Line(values={"ref": "Total", "wetness": many(len(lines), "leak"), "length": length_m})
    return Table(lines=lines, sums=(total,) if lines else ())


def leaks_on_joints(job: Job, kept: Kept) -> Mapping[UUID, Mapping[int, Leak]]:
    """The leaks of each joint, in a mapping that is the very same while they are."""
    heaps: Heaps[Leak, UUID] = kept.of("leaks of joints", (), lambda: Heaps(attrgetter("joint")))
    return heaps.of(job.leaks)


def _leaks_on(job: Job, leaks: Iterable[Leak], kept: Kept) -> tuple[tuple[Line, ...], Decimal]:
    """Lines of the leaks of one joint, and the sum of their lengths."""
    lines = tuple(
        kept.of(("leak", leak.id), (leak, job.joints[leak.joint], job.rules, job.units), partial(_leak_line, job, leak))
        for leak in sorted(leaks, key=attrgetter("from_m", "to_m"))
    )
    return lines, sum_of(lines, "length")


def revision_table(job: Job, begun: Begun | None, sums: Mapping[UUID, IssuedSum] = NO_SUMS) -> Table:
    """Every revision, and the one that is being made.

    Args:
        job: The job.
        begun: The revision being made; None: none was begun.
        sums: What revisions came to, as far as it is asked for.
    """
    currency = common_currency(sums)
    lines = [_with_sum(job, _revision_line(each), sums.get(each.id), currency) for each in job.revisions.values()]
    if begun is not None:
        values = {"rev": next_name(job, begun.purpose), "date": "not issued", "what": f"for {begun.purpose}"}
        if begun.to_whom:
            values["whom"] = begun.to_whom
        lines.append(Line(values=values, alarm=frozenset({"date"}), draft=True))
    return Table(lines=tuple(lines))


def kind_words(joint: Joint) -> str:
    """Kind of a joint as the ledger says it.

    >>> from leakmap.model.words import Kind
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


def _in_order(job: Job) -> list[Joint]:
    order = listing_order(job)
    return sorted(job.joints.values(), key=lambda joint: order[joint.id])


def _sheet_line(sheet: Sheet, received: date | None) -> Line:
    ready = scale_is_checked(sheet)
    values: dict[str, Value] = {
        "level": sheet.name,
        "scale": scale_words(sheet),
        "ready": "yes" if ready else "not yet",
    }
    if sheet.source is not None:
        values |= {"file": sheet.source.name, "checksum": sheet.source.sha256[:12]}
        if received is not None:
            values["received"] = received
    return Line(
        where=Where("sheet", sheet.id),
        sheet=sheet.id,
        values=values,
        alarm=frozenset() if ready else frozenset({"scale", "ready"}),
        tip=f"{sheet.source.name}, SHA-256 {sheet.source.sha256}" if sheet.source else "",
    )


def _joint_line(job: Job, joint: Joint, changed: date | None) -> Line:
    start, end = _ends(joint)
    goes_on = not joint.vertical and not joint.closed
    days: dict[str, Value] = {} if changed is None else {"changed": changed}
    ranks = {"from_grid": place_rank(job, start), **({"to_grid": place_rank(job, end)} if goes_on else {})}
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
            "to_grid": place_words(job, end) if goes_on else "closed" if joint.closed else "goes up",
            **days,
        },
        ranks=ranks,
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
    if leak.photos:
        values["photos"] = Decimal(len(leak.photos))
    return Line(
        where=Where("leak", leak.id), sheet=joint.sheet, values=values, by_hand=set_by_hand(leak), tip=leak.note
    )


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
            "checksum": revision.schedule_checksum[:12],
        },
        tip=f"Issued by {revision.by}. Schedule SHA-256 {revision.schedule_checksum}",
    )


def common_currency(sums: Mapping[UUID, IssuedSum]) -> str:
    """The currency of all sums, which their heading names; empty where they have several."""
    every = {found.currency for found in sums.values()}
    return every.pop() if len(every) == 1 else ""


def _with_sum(job: Job, line: Line, found: IssuedSum | None, currency: str) -> Line:
    """A revision's line with what it came to."""
    if found is None:
        return line
    plain = found.currency == currency and not found.not_priced
    words = found.words(job.units, named=found.currency != currency)
    missing = [in_trade_words(job.units, said) for said in found.not_priced]
    return replace(
        line,
        values={**line.values, "sum": found.total if plain else words},
        ranks={**line.ranks, "sum": rank_of(found.total)},
        tip=" ".join((f"{line.tip}.", *missing)) if missing else line.tip,
    )


def measured(spans: Iterable[Span], step: Decimal) -> Decimal:
    """Metres of some stretches, by their chainages as printed, so that lengths and chainages agree."""
    return sum((rounded(to_m, step) - rounded(from_m, step) for from_m, to_m in spans), rounded(0, step))
