"""The tables of the plan set: how each end of each zone is found, and which points the tapes come from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable, Paragraph, Spacer

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
from leakmap.repair.setting_out import TAPE_ERROR_M

_ENDS: Final = (
    Column("Zone", 13),
    Column("End at", 30),
    Column("First tape", 27),
    Column("Second tape", 27),
    Column("Side", 12),
    Column("Miss", 12, right=True),
    Column("From grid", 0),
    Column("Sheet", 11),
)
_POINTS: Final = (Column("Point", 20), Column("What it is", 0), Column("From grid", 50))
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
        f"where the tapes meet. Miss: how far off it can lie when either tape is out by {error}. {_SIGHT} means that the "
        "drawing shows a line across a tape: make sure of the sight first. Chainages run along the joint from its 0 and "
        "are the check; an end above the floor is plumbed up from its place on the floor. Click a zone to see it on its plan."
    )
    return setting.trade(words)


def _ends(setting: Setting, level: Level, sheets: Sheets) -> Grid:
    grid = Grid(setting, _ENDS)
    by_zone: dict[str, list[ZoneEnd]] = {}
    for end in level.set_out.ends if level.set_out is not None else ():
        by_zone.setdefault(end.zone, []).append(end)
    for zone in level.repairs.zones:
        if zone.ref in level.zones:
            grid.begin_block()
            _zone_rows(grid, level, zone, by_zone.get(zone.ref, []), sheets.homes[zone.ref, level.sheet.name])
            grid.end_block()
    return grid


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
        grid.row(ref, _without_ends(level, zone), "", "", "", "", "", str(sheet.number))
        grid.spread(1, 6)
    for number, end in enumerate(ends):
        first = ref if number == 0 else ""
        place = from_grid(level.job, end.joint.id, end.at_m)
        here = f"{end.joint.ref}{NO_BREAK}{at(level.job, end.joint.id, end.at_m)}"
        number_of = str(sheet.number) if number == 0 else ""
        if end.tapes is None:
            grid.row(first, here, _along(setting, level.job, end), "", "", "", place, number_of, rule=number == 0)
            grid.spread(2, 5)
            continue
        tapes, known = end.tapes, level.set_out.known if level.set_out is not None else ()
        flag = "" if tapes.in_sight else _SIGHT
        one, other = (
            f"{known[point].name}{4 * NO_BREAK}{length(level.job.units, tape)}{flag}"
            for point, tape in ((tapes.first, tapes.first_m), (tapes.second, tapes.second_m))
        )
        side = "left" if tapes.left else "right"
        up = f"\n{said(level.job.units, end.height_m)} above floor" if end.height_m else ""
        miss = level.job.units.small(tapes.miss_m).replace(" ", NO_BREAK)
        grid.row(first, f"{here}{up}", one, other, side, miss, place, number_of, rule=number == 0)


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
    grid = Grid(setting, _POINTS)
    for number in found.used:
        known = found.known[number]
        where = position_words(job.grid, known.at, job.units) if job.grid is not None else ""
        grid.row(setting.words(known.name, BOLD), known.what, where)
    return grid
