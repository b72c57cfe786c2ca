"""Repair zones: a card for each, firm ones first, provisional ones apart; then lengths, coats and volumes.

Every sum is added up from the rows that are printed above it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final
from uuid import UUID

from reportlab.platypus import CondPageBreak, Flowable, Spacer

from leakmap.issue.heading import Heading
from leakmap.issue.schedule_pdf.furniture import WIDTH_MM
from leakmap.issue.schedule_pdf.hold_points import ASKED, points_of
from leakmap.issue.schedule_pdf.lettering import MM
from leakmap.issue.schedule_pdf.strip import DEPTH_SCALE
from leakmap.issue.schedule_pdf.strip_lines import zone_strip
from leakmap.issue.schedule_pdf.styles import BOLD, HEADING, TEXT, Bookmark, Setting
from leakmap.issue.schedule_pdf.tables import Column, Grid, marked, section
from leakmap.issue.schedule_pdf.zone_card import ROOMS_MM, ZoneCard
from leakmap.issue.zone_sums import HEADED, firm_and_provisional, total
from leakmap.model.job import Job
from leakmap.model.words import Purpose
from leakmap.repair.network import Network
from leakmap.repair.results import Repairs, Zone

_NOMINAL: Final = "Volumes are nominal section × length; waste is not in these figures."
_WHY: Final = "Suspects alone, or a joint not yet confirmed dormant. They are subtotalled apart and may change."

_QUANTITIES: Final = (
    ("Measured m", "length_m"),
    ("Chargeable m", "chargeable_m"),
    *HEADED,
)


def zone_sections(
    setting: Setting, job: Job, repairs: Repairs, *, heading: Heading, network: Network, plans: Mapping[UUID, str]
) -> list[Flowable]:
    """The zones of the paper; ``plans`` gives the place of each level's plan."""
    firm, provisional = firm_and_provisional(repairs)
    if not repairs.zones:
        words = "Nothing to repair: no leak lies on a repairable joint."
        return marked(Bookmark("zones", "Repair zones", 0), [Spacer(1, 5 * MM), setting.words(words, TEXT)])
    apart = "Provisional zones: not for work" if heading.purpose is Purpose.WORK else "Provisional zones"
    story: list[Flowable] = []
    for zones, words, more in (
        (firm, "Repair zones", ""),
        (provisional, apart, _WHY),
    ):
        if not zones:
            continue
        told = [setting.words(words, HEADING)]
        told += [setting.words(more, TEXT), Spacer(1, 2 * MM)] if more else []
        if not story:
            told += [setting.marked(_how_to_read(setting, job, zones[0]), TEXT), Spacer(1, 3 * MM)]
        cards = []
        for zone in zones:
            plan = next((plans[sheet] for sheet in zone.sheets if sheet in plans), "")
            points = () if zone.provisional and heading.purpose is Purpose.WORK else points_of(job, zone)
            strip = zone_strip(job, zone, network, ROOMS_MM)
            cards.append(ZoneCard(setting, job, strip, points=points, plan=plan))
        need = sum(float(item.wrap(WIDTH_MM * MM, 10_000)[1]) for item in (*told, cards[0])) + 8 * MM
        story += [CondPageBreak(min(need, 80 * MM)), *told, *cards]
    quantities = section(setting, "Lengths, coats and volumes", _quantities(setting, firm, provisional), after=_NOMINAL)
    return [
        *marked(Bookmark("zones", "Repair zones", 0), story),
        *marked(Bookmark("quantities", "Lengths, coats and volumes", 0), quantities),
    ]


def _how_to_read(setting: Setting, job: Job, zone: Zone) -> list[tuple[str, bool]]:
    """What a reader of the cards must know, and what each hold point stands for."""
    words = (
        "Each zone's joints are laid out straight, true to the scale at the right of its head, with chainages in "
        f"{job.units.words}; a joint that branches off hangs from its junction. Hatched: overrun. Tinted: wet. Under them "
        f"the slot from the side, depths 1:{DEPTH_SCALE}: dry-pack light, plug dark. Circles number the filling order, "
        "arrows lead to the relief point, the black circle is closed last. "
    )
    found = [(setting.trade(words), False), ("The work stops at each hold point until it is ticked and signed: ", True)]
    for number, point in enumerate([*points_of(job, zone), ASKED]):
        found += [(f"{'; ' if number else ''}{point.words}", True)]
        found += [(setting.trade(f": {point.meaning}"), False)]
    return [*found, (".", False)]


def _quantities(setting: Setting, firm: Sequence[Zone], provisional: Sequence[Zone]) -> Grid:
    columns = [Column("Zone", 0), *(Column(words, 19.0, right=True) for words, _ in _QUANTITIES)]
    grid = Grid(setting, columns, dense=True)
    for zone in firm:
        _quantity_row(grid, zone)
    if firm and provisional:
        _quantity_total(grid, "Firm", firm, strong=False)
    for zone in provisional:
        _quantity_row(grid, zone)
    if provisional:
        _quantity_total(grid, "Provisional", provisional, strong=False)
    _quantity_total(grid, "All zones", [*firm, *provisional])
    return grid


def _quantity_row(grid: Grid, zone: Zone) -> None:
    grid.row(grid.setting.link(zone.ref, f"zone-{zone.ref}", BOLD), *_sums(grid, [zone]))


def _quantity_total(grid: Grid, words: str, zones: Sequence[Zone], *, strong: bool = True) -> None:
    grid.total(words, *_sums(grid, zones), strong=strong)


def _sums(grid: Grid, zones: Sequence[Zone]) -> list[str]:
    return [grid.setting.units.figure(name, total(zones, name)) for _, name in _QUANTITIES]
