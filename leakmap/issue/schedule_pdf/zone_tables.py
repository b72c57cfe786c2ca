"""Repair zones: what is opened and how, then coats and volumes; provisional zones apart.

Every sum is added up from the rows that are printed above it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from reportlab.platypus import Flowable, Spacer

from leakmap.issue.heading import Heading
from leakmap.issue.schedule_pdf.lettering import MM, NO_BREAK
from leakmap.issue.schedule_pdf.styles import BOLD, LOUD, RIGHT_BOLD, TEXT, WIDTH_MM, Bookmark, Setting
from leakmap.issue.schedule_pdf.tables import Cell, Column, Grid, section
from leakmap.issue.schedule_pdf.words import (
    at,
    from_grid,
    head_words,
    leak_words,
    leaks_of,
    length,
    said,
    stretch,
    zone_from_grid,
)
from leakmap.issue.zone_sums import HEADED, firm_and_provisional, total
from leakmap.model.job import Job
from leakmap.model.printed import printed
from leakmap.model.words import Purpose
from leakmap.repair.fates import history_of
from leakmap.repair.results import BlindPart, FillStep, Repairs, Zone

_COLUMNS: Final = (
    Column("Zone", 16),
    Column("Joint", 21),
    Column("Level", 15),
    Column("From m", 19, right=True),
    Column("To m", 19, right=True),
    Column("Measured m", 22, right=True),
    Column("Depth mm", 17, right=True),
    Column("Filling", 0),
    Column("Chargeable m", 24, right=True),
)
_NOMINAL: Final = "Volumes are nominal section × length; waste is not in these figures."
_NOTE_WIDTH: Final = (WIDTH_MM - 40) * MM
_STOPS: Final = {"blind": "blind stretch"}
_IN_A_ROW: Final = 30
"""Most items of a list in one row of notes."""

_QUANTITIES: Final = (
    ("Measured m", "length_m"),
    ("Chargeable m", "chargeable_m"),
    *HEADED,
)


def zone_sections(setting: Setting, job: Job, repairs: Repairs, heading: Heading) -> list[Flowable]:
    """The zone tables of the paper."""
    firm, provisional = firm_and_provisional(repairs)
    apart = "Provisional zones: not for work" if heading.purpose is Purpose.WORK else "Provisional zones"
    why = "Suspects alone, or a joint not yet confirmed dormant. They are subtotalled apart and may change."
    found: list[Flowable] = []
    if firm:
        found += section(setting, "Repair zones", _zones(setting, job, firm, "Repair, firm zones"))
    if provisional:
        note = [setting.words(why, TEXT), Spacer(1, 2 * MM)]
        grid = _zones(setting, job, provisional, "Provisional zones")
        found += section(setting, apart, grid, before=note)
    if not repairs.zones:
        found += [Spacer(1, 5 * MM), setting.words("Nothing to repair: no leak lies on a repairable joint.", TEXT)]
        return found
    return [*found, *section(setting, "Coats and volumes", _quantities(setting, firm, provisional), after=_NOMINAL)]


def _zones(setting: Setting, job: Job, zones: Sequence[Zone], sum_words: str) -> Grid:
    grid = Grid(setting, _COLUMNS)
    for zone in zones:
        grid.begin_block()
        _zone(grid, job, zone)
        grid.end_block()
    measured, chargeable = (length(job.units, total(zones, name)) for name in ("length_m", "chargeable_m"))
    grid.total(sum_words, "", "", "", "", measured, "", "", chargeable)
    grid.spread(0, 4)
    return grid


def _zone(grid: Grid, job: Job, zone: Zone) -> None:
    setting = grid.setting
    mark = Bookmark(f"zone-{zone.ref}", zone.ref, 1)
    method = f"{zone.method.value}{', provisional' if zone.provisional else ''}"
    method = setting.trade(method[0].upper() + method[1:])
    measured, chargeable = (
        setting.words(length(job.units, value), RIGHT_BOLD) for value in (zone.length_m, zone.chargeable_m)
    )
    grid.row(
        [mark, setting.link(zone.ref, f"strip-{zone.ref}", BOLD)],
        setting.words(method, BOLD),
        "",
        "",
        "",
        measured,
        "",
        "",
        chargeable,
    )
    grid.spread(1, 4)
    grid.shade()
    for row in zone.rows:
        joint = job.joints[row.joint]
        filling = "plug + dry-pack" if row.plugged else "all dry-pack"
        ends = at(job, row.joint, row.from_m), at(job, row.joint, row.to_m)
        grid.row(
            "",
            joint.ref,
            job.sheet_of(joint).name,
            *ends,
            length(job.units, row.length_m),
            job.units.depth(row.depth_mm),
            filling,
            rule=False,
        )
    for caption, words in notes_of(setting, job, zone):
        grid.note(caption, words)


def notes_of(setting: Setting, job: Job, zone: Zone) -> Iterator[tuple[str, Cell]]:
    """What stands under the rows of a zone: caption and words."""
    if where := zone_from_grid(job, zone):
        yield "From grid", where
    if zone.why_provisional:
        yield "Provisional", without(zone.why_provisional, "Provisional: ")
    yield from (("Hold", setting.fitted(without(hold, "Hold, "), LOUD, _NOTE_WIDTH)) for hold in zone.holds)
    yield from in_rows("Leaks", [leak_words(job, leak) for leak in leaks_of(job, zone)])
    for relief in zone.relief:
        by = ", set by hand" if relief.by_hand else ""
        where = (
            f"{job.joints[relief.joint].ref}{NO_BREAK}at{NO_BREAK}{printed(job, job.joints[relief.joint], relief.at_m)}"
        )
        grid = from_grid(job, relief.joint, relief.at_m)
        where += f", {grid}" if grid else ""
        deep = job.units.depth_said(relief.depth_mm)
        yield "Relief point", f"{where}, {deep} deep ({relief.wetness.word}{by}); closed last"
    for start in range(0, len(zone.order), _IN_A_ROW):
        steps = [(f"{step.step}{NO_BREAK}", step_words(job, step)) for step in zone.order[start : start + _IN_A_ROW]]
        parts = [part for number, words in steps for part in ((number, True), (f"{words}{4 * NO_BREAK} ", False))]
        yield "" if start else "Fill in order", setting.marked(parts)
    stops = [end for end in zone.ends if end.why != "overrun"]
    places = (
        f"at {_STOPS.get(end.why, end.why)} {job.joints[end.joint].ref}{NO_BREAK}{at(job, end.joint, end.at_m)}"
        for end in stops
    )
    yield from in_rows("Stops", list(places))
    for hidden in zone.blind:
        where = stretch(job, hidden.joint, hidden.from_m, hidden.to_m)
        yield "Blind", f"{where}: {hidden.what}{clearing(job, hidden)}; not opened, not measured"
    bridged = f"{said(job.units, zone.bridged_m)} of sound gap taken in" if zone.bridged_m else ""
    if bridged:
        yield "Bridged", bridged
    yield from in_rows("History", list(history_of(job, zone.number)))
    if zone.head_kpa is not None:
        yield "Head of water", head_words(job.units, zone.head_kpa)


def in_rows(caption: str, items: Sequence[str]) -> Iterator[tuple[str, Cell]]:
    """A list in rows short enough for any page; the caption stands at the first."""
    for start in range(0, len(items), _IN_A_ROW):
        yield "" if start else caption, "; ".join(items[start : start + _IN_A_ROW])


def without(words: str, start: str) -> str:
    """Words without a start that the caption says already.

    >>> without("Hold, ask the engineer.", "Hold, "), without("Ask.", "Hold, ")
    ('Ask the engineer.', 'Ask.')
    """
    rest = words.removeprefix(start)
    return rest[:1].upper() + rest[1:]


def step_words(job: Job, step: FillStep) -> str:
    """A step of the filling order; one without length is the relief point, closed last."""
    where = stretch(job, step.joint, step.from_m, step.to_m)
    return where if step.from_m != step.to_m else f"relief{NO_BREAK}{where}"


def clearing(job: Job, hidden: BlindPart) -> str:
    """Who clears a blind part; nothing for the clearance of a movement joint, which stays."""
    if hidden.cleared_by:
        return f", cleared by {hidden.cleared_by}"
    stays = all(blind.what != hidden.what for blind in job.joints[hidden.joint].blind)
    return "" if stays else ", nobody named to clear it"


def _quantities(setting: Setting, firm: Sequence[Zone], provisional: Sequence[Zone]) -> Grid:
    columns = [Column("Zone", 0), *(Column(words, 18.5, right=True) for words, _ in _QUANTITIES)]
    grid = Grid(setting, columns)
    for zone in firm:
        _quantity_row(grid, zone.ref, [zone])
    if firm and provisional:
        _quantity_total(grid, "Firm", firm, strong=False)
    for zone in provisional:
        _quantity_row(grid, zone.ref, [zone])
    if provisional:
        _quantity_total(grid, "Provisional", provisional, strong=False)
    _quantity_total(grid, "All zones", [*firm, *provisional])
    return grid


def _quantity_row(grid: Grid, words: str, zones: Sequence[Zone]) -> None:
    grid.row(words, *_sums(grid, zones))


def _quantity_total(grid: Grid, words: str, zones: Sequence[Zone], *, strong: bool = True) -> None:
    grid.total(words, *_sums(grid, zones), strong=strong)


def _sums(grid: Grid, zones: Sequence[Zone]) -> list[str]:
    return [grid.setting.units.figure(name, total(zones, name)) for _, name in _QUANTITIES]
