"""The tables of the plan set: how each end of each zone is found, and which points the tapes come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from reportlab.platypus import Flowable, Paragraph, Spacer

from leakmap.base.measures import Units
from leakmap.issue.plan_set.draw_view import row_key
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.set_out import LevelSetOut, ZoneEnd
from leakmap.issue.plan_set.views import PlanSheet, Sheets, View
from leakmap.issue.schedule_pdf.lettering import MM, NO_BREAK, Face
from leakmap.issue.schedule_pdf.styles import BOLD, TEXT, Bookmark, Setting
from leakmap.issue.schedule_pdf.tables import Cell, Column, Grid, marked, section
from leakmap.issue.schedule_pdf.words import at, from_grid, length, said
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.repair.results import Zone
from leakmap.repair.setting_out import Known
from leakmap.repair.tapes_to_lines import TAPE_ERROR_M, ToAxes, ToJoint

_GRID: Final = "From grid"
_ENDS: Final = (
    Column("Zone", 13),
    Column("End of", 14),
    Column("at", 14, right=True),
    Column("From", 14),
    Column("first tape", 16, right=True),
    Column("From", 14),
    Column("second tape", 17, right=True),
    Column("Side", 14),
    Column("Miss", 12, right=True),
    Column(_GRID, 0),
    Column("Sheet", 11),
)
_POINTS: Final = (Column("Point", 20), Column("What it is", 0), Column(_GRID, 50))
_SIGHT: Final = "*"


def plan_key(ref: str, sheet: PlanSheet) -> str:
    """Where a zone is shown whole, as links name it."""
    return f"plan-{ref}-{sheet.number}"


def setting_out_sections(setting: Setting, levels: Sequence[Level], sheets: Sheets) -> list[Flowable]:
    """How to read the tables, then the tables of each level."""
    found: list[Flowable] = []
    for level in levels:
        if not level.zones:
            continue
        name = level.sheet.name
        ends = section(setting, f"Setting-out, level {name}", _ends(setting, level, sheets))
        if not found:
            ends[2:2] = [setting.words(_how_to_read(setting), TEXT), Spacer(1, 2 * MM)]
        found += marked(Bookmark(f"set-out-{level.sheet.id}", f"Setting-out, level {name}", 0), ends)
        if level.set_out is not None and level.set_out.used:
            found += section(setting, f"Points of level {name}", _points(setting, level.job, level.set_out))
    return found


def _how_to_read(setting: Setting) -> str:
    error = setting.units.small(TAPE_ERROR_M)
    words = (
        "Hold tapes level. Stand at the first point and look towards the second: the end lies on the side given, "
        "where the tapes meet. “To J-05” means one tape, to where it meets that joint: of two such places the one "
        "nearer to or farther from the joint's 0. “Axis” means square from an axis, + the way the axes count. Miss: how "
        f"far off the end can lie when either tape is out by {error}. {_SIGHT} means that the drawing shows a line across "
        "every tape: make sure of the sight first. Chainages run along the joint from its 0 and are the check; an end "
        "above the floor is plumbed up from its place on the floor. Click a zone to see it on its plan."
    )
    return setting.trade(words)


def _ends(setting: Setting, level: Level, sheets: Sheets) -> Grid:
    grid = Grid(setting, _with_grid(_ENDS, level.job))
    by_zone: dict[str, list[ZoneEnd]] = {}
    for end in level.set_out.ends if level.set_out is not None else ():
        by_zone.setdefault(end.zone, []).append(end)
    for zone in level.repairs.zones:
        if zone.ref in level.zones:
            grid.begin_block()
            _zone_rows(grid, level, zone, by_zone.get(zone.ref, []), sheets.homes[zone.ref, level.sheet.name])
            grid.end_block()
    return grid


def _with_grid(columns: Sequence[Column], job: Job) -> list[Column]:
    """The columns, that of the grid without its heading where the job has none."""
    return [replace(each, heading="") if each.heading == _GRID and job.grid is None else each for each in columns]


def _zone_rows(
    grid: Grid, level: Level, zone: Zone, ends: Sequence[ZoneEnd], home: tuple[PlanSheet, View]
) -> None:  # fmt: skip
    setting, (sheet, view) = grid.setting, home
    ref: Cell = [
        Bookmark(row_key(zone.ref, view), zone.ref, 1),
        Paragraph(
            f'<a href="#{plan_key(zone.ref, sheet)}" color="#1B2327">{setting.lettering.markup(zone.ref, Face.BOLD)}</a>',
            BOLD,
        ),
    ]
    if not ends:
        grid.row(ref, _without_ends(level, zone), *[""] * 8, str(sheet.number))
        grid.spread(1, 9)
    for number, end in enumerate(ends):
        first, last = (ref, str(sheet.number)) if number == 0 else ("", "")
        here = (end.joint.ref, at(level.job, end.joint.id, end.at_m))
        place = from_grid(level.job, end.joint.id, end.at_m).replace(f"{NO_BREAK}/{NO_BREAK}", f"{NO_BREAK}/ ")
        if end.tapes is None:
            how = _along(setting, level.job, end)
            grid.row(first, *here, how, *[""] * 5, place, last, rule=number == 0)
            grid.spread(3, 8)
            continue
        tapes = _tapes(level.job.units, end, level.set_out.known if level.set_out is not None else ())
        miss = level.job.units.small(end.tapes.miss_m).replace(" ", NO_BREAK)
        grid.row(first, *here, *tapes, miss, place, last, rule=number == 0)
        if isinstance(end.tapes, ToJoint):
            grid.spread(5, 6)
        if end.height_m:
            grid.row("", f"{said(level.job.units, end.height_m)} above floor", rule=False)
            grid.spread(1, 3)


def _tapes(units: Units, end: ZoneEnd, known: Sequence[Known]) -> tuple[str, str, str, str, str]:
    """Where each of two tapes begins and how long it is, and the side."""
    found = end.tapes
    if isinstance(found, ToJoint):
        side = "farther" if found.farther else "nearer"
        return known[found.point].name, length(units, found.length_m), f"to{NO_BREAK}{end.joint.ref}", "", side
    if isinstance(found, ToAxes):
        (one, other), (past, beyond) = found.axes, found.past_m
        return f"axis{NO_BREAK}{one}", _signed(units, past), f"axis{NO_BREAK}{other}", _signed(units, beyond), ""
    assert found is not None
    flag, side = "" if found.in_sight else _SIGHT, "left" if found.left else "right"
    one, other = (f"{known[point].name}{flag}" for point in (found.first, found.second))
    return one, length(units, found.first_m), other, length(units, found.second_m), side


def _signed(units: Units, past_m: float) -> str:
    return f"{'−' if past_m < 0 else '+'}{length(units, abs(past_m))}"


def _without_ends(level: Level, zone: Zone) -> str:
    refs = dict.fromkeys(
        level.job.joints[piece.joint].ref
        for piece in zone.pieces
        if level.job.joints[piece.joint].sheet == level.sheet.id
    )
    return f"goes all round {', '.join(refs)}: no end on this level"


def _along(setting: Setting, job: Job, end: ZoneEnd) -> str:
    """How an end is found without two tapes: up a vertical joint, or along the joint."""
    if end.joint.vertical:
        return f"on {end.joint.ref}, {said(job.units, end.at_m)} above its foot"
    return setting.trade(f"no fair tapes: by its chainage along {end.joint.ref}")


def _points(setting: Setting, job: Job, found: LevelSetOut) -> Grid:
    grid = Grid(setting, _with_grid(_POINTS, job))
    for number in found.used:
        known = found.known[number]
        where = position_words(job.grid, known.at, job.units) if job.grid is not None else ""
        grid.row(setting.words(known.name, BOLD), known.what, where)
    return grid
