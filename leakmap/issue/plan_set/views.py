"""A view: a part of a level at a scale in a rectangle of a page; and the sheets that views stand on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from leakmap.geometry.path import Box
from leakmap.issue.marks.plan import Marks, marks_on, unplaced_leaks
from leakmap.issue.plan_set.crowded import SHORT_MM, Detail, details
from leakmap.issue.plan_set.level import Level
from leakmap.issue.plan_set.paper import Paper
from leakmap.issue.plan_set.tiles import Parting, Tile, holds, meet, parting, size_of
from leakmap.issue.schedule_pdf.ink import Onto
from leakmap.issue.schedule_pdf.lettering import MM

_INSET_MM: Final = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A part of a level in a rectangle of a page.

    Attributes:
        box: What it is made to show, metres of the site plane; it lies in the middle.
        scale: Denominator of its scale.
        field_mm: The rectangle: left, bottom, right, top.
        detail: The detail that it is; None for a plan.
    """

    level: Level
    box: Box
    scale: int
    field_mm: Box
    detail: Detail | None = None

    @property
    def onto(self) -> Onto:
        """Placement on the page."""
        left, bottom, right, top = self.field_mm
        x0, y0, x1, y1 = self.box
        middle = ((left + right) / 2 * MM, (bottom + top) / 2 * MM)
        return Onto(((x0 + x1) / 2, (y0 + y1) / 2), 1000 / self.scale * MM, middle)

    def on_site(self, box_mm: Box, inset_mm: float = 0.0) -> Box:
        """A rectangle of the page on the site plane, smaller by an inset on each side."""
        (x, y), (ox, oy), k = self.onto.at, self.onto.origin, self.onto.k / MM
        left, bottom, right, top = box_mm
        x, y = x / MM, y / MM
        return (
            (left + inset_mm - x) / k + ox,
            (bottom + inset_mm - y) / k + oy,
            (right - inset_mm - x) / k + ox,
            (top - inset_mm - y) / k + oy,
        )

    @property
    def seen(self) -> Box:
        """All that shows in its rectangle, metres of the site plane."""
        return self.on_site(self.field_mm, _INSET_MM)

    def on_page(self, box: Box) -> Box:
        """A box of the site plane on the page, mm."""
        (x0, y0), (x1, y1) = self.onto(box[:2]), self.onto(box[2:])
        return x0 / MM, y0 / MM, x1 / MM, y1 / MM

    def marks(self, avoid: Iterable[tuple[Box, float]] = ()) -> Marks:
        """The marks that it shows; labels keep off boxes of the site plane by their weights."""
        job, repairs = self.level.seen_in(self.seen)
        return marks_on(
            job,
            repairs,
            self.level.sheet.id,
            scale=self.scale,
            width_of=self.level.lettering.width_mm,
            within=self.seen,
            all_named=False,
            avoid=[*avoid, *((box, 2.0) for _, box in self.level.texts if meet(box, self.seen))],
        )


class Kind(StrEnum):
    """What a sheet of the set is."""

    PLAN = "plan"
    GENERAL = "general plan"
    PART = "part"
    DETAILS = "details"


@dataclass(slots=True, eq=False)
class PlanSheet:
    """A sheet of the set.

    Attributes:
        number: Its number in the set, from 1.
        views: One, or the details of a sheet of details.
        tile: The part that it shows, where the level is parted.
        neighbours: Numbers of the sheets beyond its match lines: left, lower, right, upper.
    """

    number: int
    kind: Kind
    level: Level
    paper: Paper
    views: list[View]
    part: Parting
    tile: Tile | None = None
    neighbours: dict[str, int] = field(default_factory=dict)

    @property
    def words(self) -> str:
        """What it shows, for bookmarks and its title block."""
        name = f"level {self.level.sheet.name}"
        if self.kind is Kind.PLAN:
            return name
        return (
            f"{name}, {self.kind.value}"
            if self.tile is None
            else f"{name}, part {self.part.tiles.index(self.tile) + 1}"
        )


@dataclass(slots=True, eq=False)
class Sheets:
    """All sheets of a set with what leads from one to another.

    Attributes:
        homes: For each zone and level the view on which it lies whole.
        details: Sheet numbers of details, by letter.
    """

    each: list[PlanSheet] = field(default_factory=list)
    homes: dict[tuple[str, str], tuple[PlanSheet, View]] = field(default_factory=dict)
    details: dict[str, int] = field(default_factory=dict)

    def of(self, level: Level) -> Iterator[PlanSheet]:
        """Sheets of one level."""
        return (sheet for sheet in self.each if sheet.level is level)

    def details_in(self, view: View) -> Iterator[Detail]:
        """Details of places that a plan shows at the scale of its level."""
        for sheet in self.of(view.level):
            for shown in sheet.views:
                if shown.detail is not None and meet(shown.box, view.seen):
                    yield shown.detail


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
    view = View(level, level.box, scale, paper.field_mm)
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
