"""Every sheet of a plan set, level by level: the plan, or a general plan with its parts, and details."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from leakmap.geometry.boxes import holds, meet, size_of
from leakmap.geometry.path import Box
from leakmap.issue.marks.plan import unplaced_leaks
from leakmap.issue.plan_set.crowded import SHORT_MM, details
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.tiles import Parting, parting
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View

_MOST_NAMED: Final = 150
"""A general plan of more joints, leaks and zones bears no references: its parts do."""


def sheets_of(levels: Sequence[Level], names: Iterator[str]) -> Sheets:
    """Every sheet of the set, level by level: general plan, parts, details."""
    found = Sheets()
    for level in levels:
        whole = [*level.zones.values(), *level.leaks.values()]
        rules = level.job.rules
        part = parting(level.box, level.marked, whole, largest=rules.largest_paper, band_m=rules.band_m)
        _add_plans(found, level, part)
        _add_details(found, level, part, names)
        _find_homes(found, level)
    return found


def _add_plans(found: Sheets, level: Level, part: Parting) -> None:
    if part.general is None:
        view = View(level, part.tiles[0].box, part.scale, part.paper.field_mm)
        found.each.append(PlanSheet(len(found.each) + 1, Kind.PLAN, level, part.paper, [view], part))
        return
    paper, scale = part.general
    named = len(level.zones) + len(level.leaks) + len(level.joints) <= _MOST_NAMED
    view = View(level, level.box, scale, paper.field_mm, named=named)
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


def _add_details(found: Sheets, level: Level, part: Parting, names: Iterator[str]) -> None:
    plans = [sheet for sheet in found.of(level) if sheet.kind is not Kind.GENERAL]
    places = _crowded(level, [sheet.views[0] for sheet in plans], part.scale)
    on_page: dict[int, PlanSheet] = {}
    for detail in details(places, part.paper, part.scale, names):
        view = View(level, detail.box, detail.scale, detail.at_mm, detail)
        if detail.page not in on_page:
            sheet = PlanSheet(len(found.each) + 1, Kind.DETAILS, level, part.paper, [], part)
            found.each.append(sheet)
            on_page[detail.page] = sheet
        on_page[detail.page].views.append(view)
        found.details[detail.letter] = on_page[detail.page].number


def _crowded(level: Level, views: Sequence[View], scale: int) -> list[Box]:
    """Boxes of leaks that no plan names, and of zones that are too short on paper."""
    short = SHORT_MM * scale / 1000
    band = level.job.rules.band_m
    places = [box for box in level.zones.values() if band + 1e-6 < max(size_of(box)) < short]
    unnamed = None
    for view in views:
        job, _ = level.seen_in(view.seen)
        left = set(unplaced_leaks(job, level.sheet.id, view.marks()))
        named = {leak.ref for leak in job.leaks.values()} - left
        unnamed = (unnamed or {leak.ref for leak in level.job.leaks.values() if leak.id in level.leaks}) - named
    refs = unnamed or set()
    return [*places, *(box for leak, box in level.leaks.items() if level.job.leaks[leak].ref in refs)]


def _find_homes(found: Sheets, level: Level) -> None:
    """The sheet for each zone: the first part or plan that shows it whole, else the general plan."""
    plans = [sheet for sheet in found.of(level) if sheet.kind is not Kind.DETAILS]
    order = sorted(plans, key=lambda sheet: sheet.kind is Kind.GENERAL)
    for ref, box in level.zones.items():
        home = next((sheet for sheet in order if holds(sheet.views[0].seen, box)), order[-1])
        found.homes[ref, level.sheet.name] = home, home.views[0]
