"""``leakmap new``: a job from a drawing and tables."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final, TypeVar
from uuid import UUID

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.findings import Finding
from leakmap.base.measures import System, Units
from leakmap.console.bar import Bar
from leakmap.console.drawing_words import drawing_asked, take_words
from leakmap.console.from_marked import run_from_marked
from leakmap.console.joint_words import add_joint_words, as_joint_of, joint_words_given, least_of
from leakmap.console.outcome import Outcome, done
from leakmap.console.parser import Parser, a_line, a_locale, a_number, given
from leakmap.console.places import new_job_path
from leakmap.console.schedule_text import findings_text
from leakmap.drawings.grid_lines import grid_found
from leakmap.geometry.path import Point
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.records.job_file import create_job_file
from leakmap.records.tables.reading import read_blind, read_joints, read_leaks
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.paper import straighten
from leakmap.work.edits.sheets import set_north
from leakmap.work.here import now, system_units, user
from leakmap.work.job_drawings import NewDrawing
from leakmap.work.kept_settings import kept_settings
from leakmap.work.new_job import Composed, empty_job, sheet_named, with_drawing, with_lines, with_rows
from leakmap.work.offered import refs_words
from leakmap.work.proposals import Proposal, long_enough, lying_on, proposed_by_layer, too_short
from leakmap.work.settings import NewUnits

_EXAMPLE: Final = """\
  leakmap new pit.gpkg --drawing pit-B2.dxf --unit mm --sheet B2 --joints-from-layer JOINTS
  leakmap new pit.gpkg --drawing pit-B2.dxf --sheet B2 --joints-from-layer WALLS --kind wall-base --face corner
  leakmap new pit.gpkg --drawing pit-B2.dxf --sheet B2 --joints joints.csv --leaks leaks.csv
  leakmap new pit.gpkg --drawing pit.pdf --page 2 --scale 1:50 --sheet B2 --joints joints.csv
  leakmap new pit.gpkg --drawing pit-all.dxf --crop 0,0,31200,21600 --sheet B2 --joints joints.csv
  leakmap new pit.gpkg --drawing scan.png --straight 120,85,4710,132 --sheet B2
  leakmap new pit.gpkg --joints joints.csv --leaks leaks.csv
  leakmap new pit.gpkg --from-marked "pit C01 marked plan pit-B2.dxf"

"leakmap pages FILE" lists the pages of a PDF and the plans of a drawing before one is taken. --straight turns the
drawing until the line between two points of it, in its own units, lies level or upright.
Where several plans stand side by side in one drawing, the corners of each are said; --crop keeps one of them.
The letters of a DXF from before 2007 are read by the code page that it names, or else by a guess; --codepage
gives it: cp1250 to cp1258, cp874, cp932, cp936, cp949, cp950 or utf-8.
A PDF is read page by page; its own layers are layers, and what lies on none of them is on "lines", "fills" or "text".
The scale on a print is not trusted until lengths are known. A locked PDF asks for its password, which is kept nowhere.

joints.csv needs the columns ref, sheet, kind and wkt:
  ref,sheet,kind,wkt
  J-01,B2,wall-base,"LINESTRING (0 0, 12.5 0)"
  kind: construction, contraction, movement, wall-base, crack or pipe collar
  wkt: metres in the site plane, which is the drawing's own plane in metres
  It may have face, height_m, room_side, rise_m, head_sheet, diameter_m, start_m, dormant and waterstop.
  A vertical joint is a POINT with rise_m; a pipe collar may be a POINT with diameter_m.

leaks.csv needs joint, from_m, to_m and wetness; or sheet, x, y and wetness, for the nearest joint within 0.5 m:
  joint,from_m,to_m,wetness
  J-01,2.40,3.10,seep
  wetness: suspect, damp, seep, drip, run or jet (or 0 to 5)
  It may have ref, seen, overrun_from_m, overrun_to_m, flow_l_min, worst_m and note.

Where "joints.csv" has a "blind.csv" beside it (or "pit C01 joints.csv" a "pit C01 blind.csv", as issues write them),
hidden stretches are read from there: joint, from_m, to_m, what.

Commas or semicolons between cells, a decimal point in numbers, text in UTF-8. A row that cannot be used is
left out and said; the rest is kept. Joints of a layer are numbered after those of the table; a line that lies on joints
of the table (80 % of it within 20 mm, the same face and height) is left out and said."""

_JOINTS: Final = "joints.csv"
_BLIND: Final = "blind.csv"
_OF_A_DRAWING: Final = (
    "unit", "crop", "corners", "codepage", "sheet", "straight", "north", "joints-from-layer",
    "grid-from-drawing",
)  # fmt: skip
_FACTS: Final = ("locale", "legal_owner", "approver")
Row = TypeVar("Row")
Reader = Callable[[bytes, str], tuple[tuple[Row, ...], tuple[Finding, ...]]]


def parser() -> Parser:
    """Its command line."""
    found = Parser("new", "Make a job from a drawing and tables. No file is ever replaced.", example=_EXAMPLE)
    found.add_argument("job", metavar="JOB", help="the job file to make, such as pit.gpkg; the job gets its name")
    found.add_argument(
        "--drawing",
        metavar="FILE",
        help="DXF, DWG or PDF drawing, or scan, of one level (without one, sheets are blank)",
    )
    take_words(found)
    found.add_argument("--sheet", metavar="NAME", help="name of the drawing's level, such as B2 (else the file's name)")
    found.add_argument(
        "--straight", type=a_line, metavar="X0,Y0,X1,Y1", help="two points of a line that should lie level or upright"
    )
    found.add_argument("--joints", metavar="FILE.csv", help="table of joints")
    found.add_argument("--joints-from-layer", metavar="NAME", help="chain the lines of this layer into joints")
    add_joint_words(found)
    found.add_argument("--leaks", metavar="FILE.csv", help="table of leaks")
    found.add_argument(
        "--units", choices=list(System), metavar="UNITS", help="metric or imperial (else as in the settings)"
    )
    found.add_argument(
        "--locale", type=a_locale, metavar="LOCALE", help="how figures and days are written, such as de or en-US"
    )
    found.add_argument("--legal-owner", metavar="NAME", help="who owns the papers before the law, for title blocks")
    found.add_argument("--approver", metavar="NAME", help="who approves the papers, for title blocks")
    found.add_argument(
        "--north", type=a_number, metavar="DEG", help="from straight up on the plan to true north, degrees clockwise"
    )
    found.add_argument(
        "--from-marked",
        metavar="FILE.dxf",
        nargs="+",
        help="take the job as issued from drawings that leakmap marked: one, or those of all its levels",
    )
    found.add_argument("--grid-from-drawing", action="store_true", help="take the grid axes that the drawing shows")
    return found


def run(words: Namespace) -> Outcome:
    """Make the job and say what was read and what comes next."""
    if words.from_marked is not None:
        return run_from_marked(words)
    _refuse_half_a_call(words)
    path = new_job_path(words.job)
    with Bar() as bar:
        drawing = drawing_asked(words, bar) if words.drawing is not None else None
        made = _composed(words, path.stem, drawing)
        bar.report(f"Writing {path.name}", 0, None)
        create_job_file(
            path,
            made.job,
            user=user(),
            at=now(),
            sources=[drawing.content] if drawing else [],
            parsed=drawing.parsed if drawing else {},
        )
    findings = (*(drawing.drawing.findings if drawing else ()), *made.findings)
    print("\n".join(_report(path, made, drawing, findings)))
    return done(findings)


def _refuse_half_a_call(words: Namespace) -> None:
    needs_drawing = given(words, _OF_A_DRAWING)
    if words.drawing is None and needs_drawing:
        raise BadValue(f"{needs_drawing[0]} says something of a drawing; give it with --drawing.")
    of_joints = joint_words_given(words)
    if of_joints and words.joints_from_layer is None:
        raise BadValue(f"{of_joints[0]} says what lines of a layer become; give the layer with --joints-from-layer.")
    if not (words.drawing or words.joints):
        raise BadValue("A new job needs a drawing (--drawing) or a table of joints (--joints); give one of them.")


def _composed(words: Namespace, name: str, drawing: NewDrawing | None) -> Composed:
    """The job: the drawing's sheet, joints of the table, those of the layer, then leaks."""
    settings = kept_settings()
    if words.units is not None:
        settings = replace(settings, units=NewUnits(words.units))
    for fact in _FACTS:
        if (said := getattr(words, fact)) is not None:
            settings = settings.with_value(fact, said)
    made = empty_job(name, settings=settings, system=system_units())
    made, joints = _read(made, words.joints, read_joints)
    made, leaks = _read(made, words.leaks, read_leaks)
    sheet = words.sheet or Path(words.drawing or "").stem
    if drawing is not None:
        made = with_drawing(made, sheet=sheet, source=drawing.source, hint=drawing.drawing.unit)
        if words.straight is not None:
            made = _straightened(made, sheet, words.straight)
        if words.north is not None:
            made = made.plus(set_north(made.job, sheet=_sheet_of(made, sheet), north_deg=words.north).job)
        if words.grid_from_drawing:
            made = _with_grid(made, drawing, sheet)
    made, blind = _read(made, _blind_beside(words.joints), read_blind)
    made = with_rows(made, joints=joints, blind=blind)
    if drawing is not None and words.joints_from_layer is not None:
        made = _with_layer(made, drawing, sheet, words)
    made = with_rows(made, leaks=leaks)
    return made.plus(made.job, _undrawn(made))


def _read(made: Composed, path: str | None, read: Reader[Row]) -> tuple[Composed, tuple[Row, ...]]:
    """The rows of a table; its findings go to the job in the making."""
    if path is None:
        return made, ()
    rows, noticed = read(Path(path).read_bytes(), Path(path).name)
    return made.plus(made.job, noticed), rows


def _blind_beside(joints: str | None) -> str | None:
    """The table of blind stretches that belongs to a table of joints, where there is one."""
    if joints is None or not joints.endswith(_JOINTS):
        return None
    beside = Path(joints.removesuffix(_JOINTS) + _BLIND)
    return str(beside) if beside.is_file() else None


def _with_layer(made: Composed, drawing: NewDrawing, sheet: str, words: Namespace) -> Composed:
    """With a joint for each line of the layer that is long enough and lies on no joint of the table."""
    key = _sheet_of(made, sheet)
    as_joint, least = as_joint_of(words), least_of(words)
    found, noticed = proposed_by_layer(drawing.drawing, made.job.sheets[key].placement, words.joints_from_layer)
    long = long_enough(found, least)
    on = ((),) * len(long) if words.twice else lying_on(made.job, key, long, as_joint)
    twins = [_twin(made.job.units, proposal, refs) for proposal, refs in zip(long, on, strict=True) if refs]
    lines = [proposal.path for proposal, refs in zip(long, on, strict=True) if not refs]
    made = made.plus(made.job, (*noticed, *too_short(found, least, made.job.units), *twins))
    return with_lines(
        made, sheet=sheet, lines=lines, kind=as_joint.kind, face=as_joint.face, height_m=as_joint.height_m,
        room_side=as_joint.room_side,
    )  # fmt: skip


def _twin(units: Units, proposal: Proposal, refs: Sequence[str]) -> Finding:
    """The finding that a line is left out because it lies on joints."""
    long, place = units.printed(proposal.path.length_m), units.place(*proposal.path.points[0])
    text = f"A line of {long} from {place} on {proposal.origin} {refs_words(refs)}; it is left out."
    return Finding("lies-on", refs[0], f"{text} Give --twice to take such lines all the same.")


def _straightened(made: Composed, sheet: str, line: Sequence[Point]) -> Composed:
    """With the drawing turned until a line of it lies straight, before anything is drawn on it."""
    return made.plus(straighten(made.job, sheet=_sheet_of(made, sheet), start=line[0], end=line[1]).job)


def _sheet_of(made: Composed, sheet: str) -> UUID:
    key = sheet_named(made.job, sheet)
    assert key is not None
    return key


def _with_grid(made: Composed, drawing: NewDrawing, sheet: str) -> Composed:
    """With the grid that the drawing shows; a finding where it shows none."""
    found = grid_found(drawing.drawing, made.job.sheets[_sheet_of(made, sheet)])
    if found is not None:
        return made.plus(set_grid(made.job, grid=found.grid).job)
    text = (
        f"{drawing.source.name} shows no grid: no parallel lines that end at circles with one letter or number each."
        " Set it in the window."
    )
    return made.plus(made.job, [Finding("no-grid", sheet, text)])


def _grid_words(made: Composed, drawing: NewDrawing | None) -> Iterator[str]:
    """What was found of a grid, and how to take it."""
    sheet = next((sheet for sheet in made.job.sheets.values() if sheet.source is not None), None)
    found = grid_found(drawing.drawing, sheet) if drawing is not None and sheet is not None else None
    if found is not None:
        yield f"  {found.words}" + ("" if made.job.grid is not None else " Give --grid-from-drawing to take them.")


def _undrawn(made: Composed) -> Iterator[Finding]:
    """The finding that joints lie on blank sheets and none on the drawing: its name differs from the table's."""
    sheets = made.job.sheets
    used = {joint.sheet for joint in made.job.joints.values()}
    drawn = [sheet for sheet in sheets.values() if sheet.source is not None]
    if drawn and used and not used & {sheet.id for sheet in drawn}:
        names = ", ".join(sheets[key].name for key in sheets if key in used)
        text = (
            f"No joint lies on {drawn[0].name}, the sheet of the drawing; the tables name {names}. Was --sheet meant?"
        )
        yield Finding("drawing-unused", drawn[0].name, text)


def _report(path: Path, made: Composed, drawing: NewDrawing | None, findings: tuple[Finding, ...]) -> Iterator[str]:
    job = made.job
    yield f"{path} is made: {many(len(job.sheets), 'sheet')}, {many(len(job.joints), 'joint')}, {many(len(job.leaks), 'leak')}."
    for sheet in job.sheets.values():
        joints = [joint.ref for joint in job.joints.values() if joint.sheet == sheet.id]
        yield f"  {sheet.name}: {_ground(sheet, drawing, job.units)}; {_listed(joints)}"
    yield from _grid_words(made, drawing)
    blind = sum(len(joint.blind) for joint in job.joints.values())
    if blind:
        yield f"  {many(blind, 'hidden stretch', 'hidden stretches')} from the {_BLIND} beside the joints"
    yield from findings_text(findings)
    yield "Next:"
    for sheet in job.sheets.values():
        if not scale_is_checked(sheet):
            yield f"  two lengths known on site, one each way: leakmap scale {_word(path)} --sheet {_word(sheet.name)} --from X,Y --to X,Y --length M"
    yield f"  zones and quantities: leakmap schedule {_word(path)}"


def _ground(sheet: Sheet, drawing: NewDrawing | None, units: Units) -> str:
    if sheet.source is None or drawing is None:
        return f"blank, in {units.words}"
    read = drawing.drawing
    unit = f"1 unit is {sheet.placement.x_m_per_unit:g} m"
    why = "as you said" if sheet.source.unit is not None else read.unit.reason.removesuffix(".")
    return f"{sheet.source.name}, {len(read.strokes):,} lines and {len(read.texts):,} texts, {unit} ({why})"


def _listed(refs: list[str]) -> str:
    if not refs:
        return "no joints"
    return f"joints {refs[0]} to {refs[-1]}" if len(refs) > 2 else f"joints {', '.join(refs)}"


def _word(value: object) -> str:
    """A word as a shell takes it: between quotes where it has a space."""
    text = str(value)
    return f'"{text}"' if " " in text else text
