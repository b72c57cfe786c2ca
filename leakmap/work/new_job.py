"""A new job from a drawing and tables: each row is one deed, and a row that cannot be done is a finding.

Joints come from rows of ``joints.csv`` or from the lines of a layer; leaks from rows of ``leaks.csv``, by
joint and chainage, or by position, which the nearest joint within 0.5 m takes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot
from typing import Final, TypeVar
from uuid import UUID, uuid4

from leakmap.base.errors import BadValue, EditRefused
from leakmap.base.findings import Effect, Finding
from leakmap.base.measures import Units
from leakmap.base.sentences import capital
from leakmap.geometry.path import Path, Point
from leakmap.geometry.placement import Placement
from leakmap.geometry.tolerance import MICRON_M, within
from leakmap.model.chainage import raw_m
from leakmap.model.drawing import UnitHint
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.rules import Rules
from leakmap.model.sheet import Source
from leakmap.model.words import Face, Kind, Side
from leakmap.records.tables.material_table import planning_materials
from leakmap.records.tables.rows import BlindRow, JointRow, LeakRow
from leakmap.work.edits.blinds import add_blind
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.joints import draw_collar, draw_joint, draw_vertical_joint
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.rules import set_units
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.settings import DEFAULTS, Settings

NEAREST_M: Final = 0.5
"""A leak given by position is taken by the nearest joint within this distance (ours)."""

Row = TypeVar("Row", JointRow, BlindRow, LeakRow)


@dataclass(frozen=True, slots=True, kw_only=True)
class Composed:
    """A job in the making, and what was noticed on the way."""

    job: Job
    findings: tuple[Finding, ...] = ()

    def plus(self, job: Job, findings: Iterable[Finding] = ()) -> Composed:
        """With a later state of the job and further findings."""
        return Composed(job=job, findings=(*self.findings, *findings))


def empty_job(
    name: str, *, settings: Settings = DEFAULTS, system: Units = Units.METRIC, new_id: Callable[[], UUID] = uuid4
) -> Composed:
    """A job without sheets, with the units, locale, paper and names that the settings give a new job.

    Args:
        name: Its name.
        settings: Of the person who works here.
        system: What the system of this computer measures in; counts where the settings leave it to the system.
        new_id: Gives it its id.
    """
    units = settings.units.on(system)
    rules = replace(Rules(), largest_paper=settings.paper_for(units))
    job = Job(
        id=new_id(),
        name=name,
        rules=rules,
        units=replace(Units.METRIC, locale=settings.locale),
        materials=planning_materials(),
        legal_owner=settings.legal_owner,
        approver=settings.approver,
    )
    return Composed(job=set_units(job, units=units).job)


def with_drawing(made: Composed, *, sheet: str, source: Source, hint: UnitHint) -> Composed:
    """With a sheet that shows a drawing; its site plane is the drawing's own plane in metres.

    The unit that the user gave counts, else the reader's hint; where neither is known, 1 unit is 1 m
    and that is a finding.
    """
    m_per_unit = source.unit or hint.m_per_unit
    findings = []
    if m_per_unit is None:
        text = f"The unit of {source.name} is not known ({hint.reason}); 1 unit is taken for 1 m. Give --unit, or a known length."
        findings.append(Finding("unit-unknown", source.name, text))
    scale = m_per_unit or 1.0
    placement = Placement(x_m_per_unit=scale, y_m_per_unit=scale)
    each_way = source.pixel is not None
    added = add_sheet(made.job, name=sheet, source=source, placement=placement, each_way=each_way)
    return made.plus(added.job, findings)


def with_blank_sheets(made: Composed, names: Iterable[str]) -> Composed:
    """With a blank sheet for every name that the job does not have yet."""
    job = made.job
    for name in names:
        if name.strip() and sheet_named(job, name) is None:
            job = add_sheet(job, name=name).job
    return made.plus(job)


def sheets_named(joints: Iterable[JointRow], leaks: Iterable[LeakRow]) -> tuple[str, ...]:
    """Names of sheets in the tables, in their order, each once."""
    names = [name for joint in joints for name in (joint.sheet, joint.head_sheet)]
    return tuple(dict.fromkeys(name for name in (*names, *(leak.sheet for leak in leaks)) if name.strip()))


def sheet_named(job: Job, name: str) -> UUID | None:
    """The sheet of a name; outer spaces and capitals do not count, as no two sheets of a job differ by them alone."""
    wanted = name.strip().casefold()
    return next((sheet.id for sheet in job.sheets.values() if sheet.name.casefold() == wanted), None)


def with_lines(
    made: Composed,
    *,
    sheet: str,
    lines: Iterable[Path],
    kind: Kind = Kind.CONSTRUCTION,
    face: Face = Face.FLOOR,
    height_m: float = 0.0,
    room_side: Side | None = None,
) -> Composed:
    """With a joint for each line, metres of the site plane; what they become is as for ``draw_joint``."""
    key = sheet_named(made.job, sheet)
    assert key is not None
    for line in lines:
        try:
            edit = draw_joint(
                made.job, sheet=key, kind=kind, points=line.points, closed=line.closed, face=face, height_m=height_m,
                room_side=room_side,
            )  # fmt: skip
        except EditRefused as problem:
            made = made.plus(
                made.job, [Finding("line-left-out", sheet, f"{problem.message} The line is left out.", Effect.LOST)]
            )
        else:
            made = made.plus(edit.job)
    return made


def with_rows(
    made: Composed, *, joints: Sequence[JointRow] = (), blind: Sequence[BlindRow] = (), leaks: Sequence[LeakRow] = ()
) -> Composed:
    """With everything that the tables hold; sheets that they name and the job lacks are made blank."""
    made = with_blank_sheets(made, sheets_named(joints, leaks))
    made = _with_each(made, joints, _drawn)
    by_ref = {joint.ref: joint.id for joint in made.job.joints.values()}
    made = _with_each(made, blind, lambda job, row: _hidden(job, row, _joint_of(job, by_ref, row.joint)))
    return _with_leaks(made, leaks, by_ref)


def _with_each(made: Composed, rows: Sequence[Row], do: Callable[[Job, Row], Edit]) -> Composed:
    job = made.job
    findings: list[Finding] = []
    for row in rows:
        place = capital(row.where)
        try:
            edit = do(job, row)
        except (BadValue, EditRefused) as problem:
            text = f"{place}: {problem.message} The row is left out."
            findings.append(Finding("row-left-out", row.where, text, Effect.LOST))
            continue
        job = edit.job
        findings += [Finding("row-taken", row.where, f"{place}: {sentence}") for sentence in edit.said]
    return made.plus(job, findings)


def _with_leaks(made: Composed, rows: Sequence[LeakRow], by_ref: Mapping[str, UUID]) -> Composed:
    """With a leak for each row.

    Each deed compares its leak with every other, so the leaks are kept apart from the job meanwhile:
    ten thousand rows then take a second and not a quarter of a minute.
    """
    kept = dict(made.job.leaks)
    refs = {leak.ref for leak in kept.values()}

    def mark(job: Job, row: LeakRow) -> Edit:
        if row.ref.strip() in refs:
            raise BadValue(f"{row.ref} is there already.")
        edit = _marked(job, by_ref, row)
        kept.update(edit.job.leaks)
        refs.update(leak.ref for leak in edit.job.leaks.values())
        return replace(edit, job=replace(edit.job, leaks={}))

    numbered_first = sorted(rows, key=lambda row: not row.ref)  # so that no free number is given away that a row bears
    alone = _with_each(replace(made, job=replace(made.job, leaks={})), numbered_first, mark)
    return replace(alone, job=replace(alone.job, leaks=kept))


def _drawn(job: Job, row: JointRow) -> Edit:
    sheet, head = _sheet_of(job, row.sheet), _sheet_of(job, row.head_sheet) if row.head_sheet.strip() else None
    if row.diameter_m is not None and row.kind is not Kind.PIPE_COLLAR:
        raise BadValue(f"{row.ref} has a diameter, so its kind must be pipe collar.")
    if row.path is not None:
        _refuse_measures_of_a_point(row)
        return draw_joint(
            job, sheet=sheet, kind=row.kind, points=row.path.points, closed=row.path.closed, face=row.face,
            height_m=row.height_m, room_side=row.room_side, start_m=row.start_m, dormant=row.dormant,
            waterstop=row.waterstop, ref=row.ref,
        )  # fmt: skip
    assert row.point is not None
    if (row.rise_m is None) == (row.diameter_m is None):
        raise BadValue(f"{row.ref} is a POINT: it needs either rise_m or diameter_m.")
    if row.diameter_m is not None:
        return draw_collar(
            job, sheet=sheet, point=row.point, diameter_m=row.diameter_m, face=row.face, height_m=row.height_m,
            start_m=row.start_m, waterstop=row.waterstop, ref=row.ref,
        )  # fmt: skip
    return draw_vertical_joint(
        job, sheet=sheet, kind=row.kind, point=row.point, rise_m=row.rise_m, foot_m=row.height_m, head_sheet=head,
        face=row.face, start_m=row.start_m, dormant=row.dormant, waterstop=row.waterstop, ref=row.ref,
    )  # fmt: skip


def _refuse_measures_of_a_point(row: JointRow) -> None:
    given = [name for name in ("rise_m", "diameter_m") if getattr(row, name) is not None]
    given += ["head_sheet"] if row.head_sheet.strip() else []
    if given:
        raise BadValue(f"{row.ref} is a LINESTRING: it has no {given[0]}.")


def _hidden(job: Job, row: BlindRow, joint: Joint) -> Edit:
    from_m, to_m = raw_m(joint, row.from_m), raw_m(joint, row.to_m)
    return add_blind(job, joint=joint.id, from_m=from_m, to_m=to_m, what=row.what.strip() or "hidden")


def _marked(job: Job, by_ref: Mapping[str, UUID], row: LeakRow) -> Edit:
    if row.at is None:
        joint = _joint_of(job, by_ref, row.joint)
        assert row.from_m is not None
        assert row.to_m is not None
        from_m, to_m = raw_m(joint, row.from_m), raw_m(joint, row.to_m)
        said: tuple[str, ...] = ()
    else:
        joint, from_m, said = _nearest(job, _sheet_of(job, row.sheet), row.at)
        to_m = from_m
    edit = add_leak(
        job,
        joint=joint.id,
        from_m=from_m,
        to_m=to_m,
        wetness=row.wetness,
        seen=row.seen,
        overrun_from_m=row.overrun_from_m,
        overrun_to_m=row.overrun_to_m,
        flow_l_min=row.flow_l_min,
        worst_m=None if row.worst_m is None else raw_m(joint, row.worst_m),
        note=row.note,
        ref=row.ref or None,
    )
    return replace(edit, said=(*edit.said, *said))


def _sheet_of(job: Job, name: str) -> UUID:
    key = sheet_named(job, name)
    if key is None:
        raise BadValue(f"There is no sheet {name}.")
    return key


def _joint_of(job: Job, by_ref: Mapping[str, UUID], ref: str) -> Joint:
    key = by_ref.get(ref.strip())
    if key is None:
        raise BadValue(f"There is no joint {ref}.")
    return job.joints[key]


def _nearest(job: Job, sheet: UUID, at: Point) -> tuple[Joint, float, tuple[str, ...]]:
    """The joint that takes a leak at a position, the chainage there, and what to say of it."""
    near = sorted(
        ((distance, joint.ref, joint.id, chainage) for joint, distance, chainage in _distances(job, sheet, at)),
        key=lambda found: found[0],
    )
    if not near:
        raise BadValue(f"No joint lies within {NEAREST_M:.1f} m of {at[0]:g}, {at[1]:g} on {job.sheets[sheet].name}.")
    distance, ref, key, chainage = near[0]
    joint = job.joints[key]
    said = []
    if len(near) > 1 and within(near[1][0] - distance, MICRON_M):
        said.append(f"{ref} takes the leak; {near[1][1]} lies just as near.")
    if joint.vertical:
        said.append(f"{ref} takes the leak at its foot, because x and y say nothing of its height.")
    return joint, chainage, tuple(said)


def _distances(job: Job, sheet: UUID, at: Point) -> Iterator[tuple[Joint, float, float]]:
    """Each joint of a sheet within reach of a position, its distance, and the nearest chainage."""
    for joint in job.joints.values():
        if joint.sheet != sheet:
            continue
        path = plan_path(joint)
        if path is not None:
            chainage, distance = path.nearest(at)
        else:
            assert joint.point is not None
            chainage, distance = 0.0, hypot(joint.point[0] - at[0], joint.point[1] - at[1])
        if within(distance, NEAREST_M):
            yield joint, distance, chainage
