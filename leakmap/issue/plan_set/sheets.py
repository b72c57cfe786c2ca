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
from leakmap.issue.plan_set.crowded import SHORT_MM, Detail, details, letters
from leakmap.issue.plan_set.laid_out import LaidOut
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.paper import Paper, allowed, ways
from leakmap.issue.plan_set.tiles import Parting, parting
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View

_MOST_NAMED: Final = 150
"""A general plan of more joints, leaks and zones bears references of zones alone, where a free place is left, and of more
zones none: its parts bear them all."""

_LEAST_MM2: Final = 100.0
"""Of the level on paper for each reference."""

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
        band_m = level.job.rules.band_m
        part = parting(level.box, level.marked, whole, largest=level.largest_paper, band_m=band_m)
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
    wide, high = (side * 1000 / scale for side in size_of(level.box))
    most = min(_MOST_NAMED, wide * high / _LEAST_MM2)
    all_named = zones + others <= most
    named = ALL if all_named else frozenset({What.ZONE} if zones <= most else ())
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
    paper, shown = _on_paper(places, part, level.job.rules.largest_paper, len(found.details))
    for detail in shown:
        view = View(level, detail.box, detail.scale, detail.at_mm, detail)
        if detail.page not in on_page:
            sheet = PlanSheet(len(found.each) + 1, Kind.DETAILS, level, paper, [], part)
            found.each.append(sheet)
            on_page[detail.page] = sheet
        on_page[detail.page].views.append(view)
        found.details[detail.letter] = on_page[detail.page].number


def _on_paper(places: Sequence[Box], part: Parting, largest: str, named: int) -> tuple[Paper, list[Detail]]:
    """Details on the paper of the plans; where all find room on one smaller sheet, as large as there, on that one."""
    usual = details(places, part.paper, part.scale, islice(letters(), named, None))
    for name, sides in allowed(largest).items():
        for paper in ways(name, sides) if name != part.paper.name else ():
            found = details(places, paper, part.scale, islice(letters(), named, None))
            if all(one.page == 0 for one in found) and [one.scale for one in found] == [one.scale for one in usual]:
                return paper, found
        if name == part.paper.name:
            break
    return part.paper, usual


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
