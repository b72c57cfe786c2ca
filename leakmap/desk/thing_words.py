"""Things of the job in words, as who cannot see them hears them."""

from __future__ import annotations

from typing import Final
from uuid import UUID

from leakmap.desk.things import Sort, Thing
from leakmap.model.job import Job
from leakmap.repair.results import Repairs
from leakmap.work.aloud import aloud
from leakmap.work.check_list import Where

_NAMED: Final = (Sort.SHEET, Sort.JOINT, Sort.LEAK, Sort.ZONE, Sort.REVISION)


def words_of(job: Job, repairs: Repairs, thing: Thing) -> str:
    """A thing as it is called and what it is; empty for what has no name."""
    if thing.sort not in _NAMED:
        return ""
    from leakmap.work.find.places import Place, what_it_is  # noqa: PLC0415 - late

    what = what_it_is(job, repairs, None, Place("", Where(str(thing.sort), thing.key)))
    return aloud(", ".join(part for part in (ref_of(job, repairs, thing), what) if part))


def ref_of(job: Job, repairs: Repairs, thing: Thing) -> str:
    """What a thing is called; empty for what has no name."""
    if thing.sort is Sort.ZONE:
        return next((zone.ref for zone in repairs.zones if zone.number == thing.key), "")
    if thing.sort is Sort.SHEET:
        return next((sheet.name for sheet in job.sheets.values() if sheet.id == thing.key), "")
    if thing.sort is Sort.REVISION:
        return next((revision.name for revision in job.revisions.values() if revision.id == thing.key), "")
    if not isinstance(thing.key, UUID):
        return ""
    item = job.joints.get(thing.key) or job.leaks.get(thing.key)
    return item.ref if item is not None else ""
