"""What is mixed and ordered, as sentences below the table of zones."""

from __future__ import annotations

from functools import partial
from typing import Final
from uuid import UUID

from leakmap.base.differing import counting
from leakmap.base.sentences import capital
from leakmap.issue.need_words import mixed_words, order_words, placed_words
from leakmap.model.job import Job
from leakmap.repair.needs import Need, mixes_of, needs_of, order_of
from leakmap.repair.results import Repairs, Zone
from leakmap.work.kept import Kept
from leakmap.work.ledger_notes import Note, Section

MOST_ZONES: Final = 200
"""More zones are not added up while the window waits."""

_ORDER: Final = "To order"


def mixed_section(job: Job, repairs: Repairs, picked: frozenset[int], kept: Kept) -> Section | None:
    """What zones that are picked take of each material; None where none is, or the job knows no material.

    Args:
        job: The job.
        repairs: Its work-out.
        picked: Numbers of zones.
        kept: What was made before.
    """
    zones = [zone for zone in repairs.zones if zone.number in picked]
    if not zones or not job.materials.known:
        return None
    notes = tuple(
        Note(words=capital(placed_words(job.units, need)), more=mixed_words(job.units, need))
        for zone in zones
        for need in _needs(job, zone, kept)
    )
    return Section(heading=f"Mixed for {', '.join(zone.ref for zone in zones)}", notes=notes)


def order_section(job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept) -> Section | None:
    """What is ordered of each material; None where the job knows none, or there is no zone.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Zones that are counted on this level only; None for all.
        kept: What was made before.
    """
    on: dict[UUID, int] = kept.of("zones of levels", (), lambda: counting(_home_of)).of(repairs.zones)
    number = sum(on.values()) if sheet is None else on.get(sheet, 0)
    if not number or not job.materials.known:
        return None
    if number > MOST_ZONES:
        note = Note(words=f"{number} zones are too many to add up here", more="the repair schedule and the workbook do")
        return Section(heading=_ORDER, notes=(note,))
    zones = [zone for zone in repairs.zones if sheet in (None, zone.sheets[0])]
    order = order_of(job, (need for zone in zones for need in _needs(job, zone, kept)))
    return Section(heading=_ORDER, notes=tuple(Note(words=capital(order_words(job.units, each))) for each in order))


def _home_of(zone: Zone) -> UUID:
    return zone.sheets[0]


def _needs(job: Job, zone: Zone, kept: Kept) -> tuple[Need, ...]:
    mixes = kept.of("mixes", (job.materials, job.units), partial(mixes_of, job))
    return kept.of(("needs", zone.number), (zone, mixes), partial(needs_of, job, zone, mixes))
