"""What changed since an earlier revision: zones with metres that add up, every stretch, sums, and what else differs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from reportlab.platypus import Flowable, Spacer

from leakmap.base.locales import MINUS
from leakmap.base.money import with_code
from leakmap.issue.changes import UNITS, ZONE_METRES, change_words, figures, zone_words
from leakmap.issue.listed_words import fact_words, name_words
from leakmap.issue.price_words import price_change
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.styles import BOLD, TEXT, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, section
from leakmap.issue.schedule_pdf.words import at, length
from leakmap.repair.compared import joint_of_stretch
from leakmap.repair.results import zone_ref
from leakmap.repair.sides import Differences

_NOTHING: Final = "No zone, joint, leak or rule changed since {}."


def changes_heading(found: Differences) -> str:
    """The heading of this part of the paper."""
    return f"Changes since {found.old.name}"


def changes_sections(setting: Setting, found: Differences) -> Iterator[Flowable]:
    """The part of the paper that tells what changed."""
    heading = changes_heading(found)
    changed = [zone for zone in found.found.zones if zone.changed]
    if not changed and not found.listed and not found.found.changes:
        yield setting.words(heading, BOLD)
        yield Spacer(1, 1.5 * MM)
        yield setting.words(_NOTHING.format(found.old.name), TEXT)
        return
    yield from section(setting, heading, _zones(setting, found), after=_how_it_adds_up(found))
    if found.found.changes:
        yield from section(setting, "Stretches that changed", _stretches(setting, found))
    yield from section(setting, "Quantities before and now", _sums(setting, found))
    if found.listed:
        yield from section(setting, "Joints, leaks and rules that changed", _listed(setting, found))


def _how_it_adds_up(found: Differences) -> str:
    old = found.old.name
    return (
        f"{old} + added {MINUS} gone + other zones + measured anew = now, row by row. Other zones: what came from zones of "
        "other numbers, less what went to them. Zones without a row did not change."
    )


def _zones(setting: Setting, found: Differences) -> Grid:
    columns = [
        Column("Zone", 13),
        Column("What became of it", 0),
        Column(f"{found.old.name} m", 20, right=True),
        Column("Added m", 20, right=True),
        Column("Gone m", 20, right=True),
        Column("Other zones m", 24, right=True),
        Column("Measured anew m", 22, right=True),
        Column("Now m", 20, right=True),
    ]
    grid = Grid(setting, columns)
    for zone in found.found.zones:
        if zone.changed:
            figures_m = (length(setting.units, getattr(zone, name)) for name in ZONE_METRES)
            grid.row(zone_ref(zone.number), zone_words(found, zone), *figures_m)
    same = [zone for zone in found.found.zones if not zone.changed]
    if same:
        metres = length(setting.units, sum((zone.before_m for zone in same), start=same[0].before_m * 0))
        nothing = length(setting.units, 0)
        grid.row("", f"{len(same)} unchanged", metres, *[nothing] * 4, metres)
    grid.total("All", "", *(length(setting.units, found.found.sum_of(name)) for name in ZONE_METRES))
    return grid


def _stretches(setting: Setting, found: Differences) -> Grid:
    columns = [
        Column("Zone", 16),
        Column("Level", 24),
        Column("Joint", 22),
        Column("From m", 24, right=True),
        Column("To m", 24, right=True),
        Column("Length m", 24, right=True),
        Column("Change", 0),
    ]
    grid = Grid(setting, columns)
    for each in found.found.changes:
        job, joint = joint_of_stretch(found.old.job, found.new.job, each)
        shown = each.shown
        ends = at(job, joint.id, shown.from_m), at(job, joint.id, shown.to_m)
        grid.row(
            zone_ref(shown.zone),
            job.sheet_of(joint).name,
            joint.ref,
            *ends,
            length(setting.units, shown.length_m),
            change_words(setting.units, each),
        )
    return grid


def _sums(setting: Setting, found: Differences) -> Grid:
    columns = [
        Column("", 0),
        Column("Unit", 16),
        Column(found.old.name, 30, right=True),
        Column("Difference", 30, right=True),
        Column("Now", 30, right=True),
    ]
    grid, units = Grid(setting, columns), setting.units
    for words, name, before, after in figures(found):
        unit = units.heading(UNITS[name.rpartition("_")[2]])
        shown = (units.figure(name, value) for value in (before, after - before, after))
        grid.row(setting.trade(words.capitalize()), unit, *shown)
    change = price_change(found)
    if change is not None:
        number = units.number
        same = change.currency == change.currency_before
        difference = number(change.after - change.before) if same else ""
        was = number(change.before) if same else with_code(units.locale, change.before, change.currency_before)
        grid.row(change.words, change.currency, was, difference, number(change.after))
    return grid


def _listed(setting: Setting, found: Differences) -> Grid:
    columns = [
        Column("Sort", 17),
        Column("Name", 46),
        Column("What", 32),
        Column(found.old.name, 0),
        Column("Now", 44),
    ]
    grid = Grid(setting, columns)
    for each in found.listed:
        grid.row(each.sort.value, name_words(setting.units, each), *fact_words(setting.units, each))
    return grid
