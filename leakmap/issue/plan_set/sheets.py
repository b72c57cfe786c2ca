"""Every sheet of a plan set, level by level: the plan, or a general plan with its parts, and details."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import islice
from typing import Final

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.geometry.boxes import holds, meet, size_of
from leakmap.geometry.path import Box
from leakmap.issue.heading import Heading
from leakmap.issue.marks.plan import ALL
from leakmap.issue.marks.primitives import What
from leakmap.issue.plan_set.crowded import SHORT_MM, details, letters
from leakmap.issue.plan_set.laid_out import LaidOut
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.tiles import Parting, parting
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View

_MOST_NAMED: Final = 150
"""A general plan of more joints, leaks and zones bears references of zones alone, where a free place is left, and of more
zones none: its parts bear them all."""

_ROUNDS: Final = 3
"""A frame of a detail takes room from references, so crowded places are looked for again."""


def laid_out(levels: Sequence[Level], heading: Heading, progress: Progress = UNWATCHED) -> LaidOut:
    """Every sheet of the set, level by level: general plan, parts, details.

    Args:
        levels: The levels.
        heading: What the paper says of itself.
        progress: Told each sheet; may stop the work.

    Raises:
        Stopped: The watcher asked to stop.
    """
    done = LaidOut(Sheets(), heading)
    found = done.sheets
    for level in levels:
        whole = [*level.zones.values(), *level.leaks.values()]
        rules = level.job.rules
        part = parting(level.box, level.marked, whole, largest=rules.largest_paper, band_m=rules.band_m)
        _add_plans(found, level, part)
        _find_homes(found, level)
        _add_details(done, level, part, progress)
    return done


def _add_plans(found: Sheets, level: Level, part: Parting) -> None:
    if part.general is None:
        view = View(level, part.tiles[0].box, part.scale, part.paper.field_mm)
        found.each.append(PlanSheet(len(found.each) + 1, Kind.PLAN, level, part.paper, [view], part))
        return
    paper, scale = part.general
    zones, others = len(level.zones), len(level.leaks) + len(level.joints)
    all_named = zones + others <= _MOST_NAMED
    named = ALL if all_named else frozenset({What.ZONE} if zones <= _MOST_NAMED else ())
    view = View(level, level.box, scale, paper.field_mm, named=named, spare=not all_named)
    found.each.append(PlanSheet(len(found.each) + 1, Kind.GENERAL, level, paper, [view], part))
    made: dict[tuple[int, int], PlanSheet] = {}
    for tile in part.tiles:
        view = View(level, tile.box, part.scale, part.paper.field_mm)
        if any(meet(box, tile.box) for box in level.joints.values()):
            sheet = PlanSheet(len(found.each) + 1, Kind.PART, level, part.paper, [view], part, tile)
            found.each.append(sheet)
            made[tile.column, tile.row] = sheet
    _join(made)


def _join(made: Mapping[tuple[int, int], PlanSheet]) -> None:
    sides = {"left": (-1, 0), "lower": (0, 1), "right": (1, 0), "upper": (0, -1)}
    for (column, row), sheet in made.items():
        for side, (dx, dy) in sides.items():
            if (column + dx, row + dy) in made:
                sheet.neighbours[side] = made[column + dx, row + dy].number


def _add_details(done: LaidOut, level: Level, part: Parting, progress: Progress) -> None:
    """Details of crowded places, and of those that a frame of a detail made so."""
    found, short = done.sheets, SHORT_MM * part.scale / 1000
    band = level.job.rules.band_m
    places = [box for box in level.zones.values() if band + 1e-6 < max(size_of(box)) < short]
    plans, before = list(found.each), dict(found.details)
    for _ in range(_ROUNDS):
        _put_details(found, level, part, places)
        crowded = _crowded(done, level, progress)
        if not crowded:
            return
        places += crowded
        found.each, found.details = list(plans), dict(before)
    _put_details(found, level, part, places)


def _put_details(found: Sheets, level: Level, part: Parting, places: Sequence[Box]) -> None:
    on_page: dict[int, PlanSheet] = {}
    names = islice(letters(), len(found.details), None)
    for detail in details(places, part.paper, part.scale, names):
        view = View(level, detail.box, detail.scale, detail.at_mm, detail)
        if detail.page not in on_page:
            sheet = PlanSheet(len(found.each) + 1, Kind.DETAILS, level, part.paper, [], part)
            found.each.append(sheet)
            on_page[detail.page] = sheet
        on_page[detail.page].views.append(view)
        found.details[detail.letter] = on_page[detail.page].number


def _crowded(done: LaidOut, level: Level, progress: Progress) -> list[Box]:
    """Boxes of leaks that no sheet names; to draw again what a detail shows already would be of no use."""
    found, named = done.sheets, set()
    shown = [view for sheet in found.of(level) for view in sheet.views if view.detail is not None]
    for sheet in found.of(level):
        if sheet.kind is not Kind.GENERAL:
            progress.report(f"Laying out sheet {sheet.number}", sheet.number - 1, len(found.each))
            named |= done.named_leaks(sheet)
    left = (box for leak, box in level.leaks.items() if level.job.leaks[leak].ref not in named)
    return [box for box in left if not any(holds(view.box, box) for view in shown)]


def _find_homes(found: Sheets, level: Level) -> None:
    """The sheet for each zone: the first part or plan that shows it whole, else the general plan."""
    plans = [sheet for sheet in found.of(level) if sheet.kind is not Kind.DETAILS]
    order = sorted(plans, key=lambda sheet: sheet.kind is Kind.GENERAL)
    for ref, box in level.zones.items():
        home = next((sheet for sheet in order if holds(sheet.views[0].seen, box)), order[-1])
        found.homes[ref, level.sheet.name] = home, home.views[0]
