"""What changed in the zones since a revision, as the ledger lists it and names that revision.

Since the last issue it is told at once, by the covers that the issue stored and deeds carried on. Since any other one, or
where the plan shows it too, it is what the comparison of both jobs found.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from leakmap.base.measures import Units
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.repair.chainages import length_of, shared_m
from leakmap.repair.fates import fate_words
from leakmap.repair.references import Cover, cover_of, issued_of
from leakmap.repair.results import Repairs, zone_ref
from leakmap.work.changes_since import Changes
from leakmap.work.check_list import Where
from leakmap.work.ledger_notes import Note, Section, Sign

_LEAST_M: Final = 0.0005
"""A zone that differs by less from what was issued has not changed."""


def changes_section(
    job: Job, repairs: Repairs, since: Revision | None, found: Changes | None, *, comes: bool = False
) -> Section | None:
    """What changed in the zones since a revision; None before the first issue.

    Args:
        job: The job.
        repairs: Its work-out.
        since: The revision.
        found: What the comparison with it found; None: nothing yet.
        comes: Whether a comparison is on its way, so that nothing is worked out here meanwhile.
    """
    if since is None:
        return None
    heading = f"Changed since {since.name}"
    if found is None and (comes or since is not list(job.revisions.values())[-1]):
        return Section(heading=heading, notes=(Note(words=f"{since.name} is being compared with the job"),))
    notes = tuple(_changes(job, repairs) if found is None else _compared(job, repairs, found))
    return Section(heading=heading, notes=notes or (Note(words="Nothing changed", sign=Sign.DONE),))


def _compared(job: Job, repairs: Repairs, found: Changes) -> Iterator[Note]:
    """A note for each zone of which a stretch changed, then what became of those that are no longer there."""
    there = {zone.number for zone in repairs.zones}
    told = {fate.zone: fate_words(fate) for fate in found.found.fates if fate.zone not in there}
    for number in sorted(found.groups.keys() | told.keys()):
        if number in there:
            yield Note(words=found.words(number, job.units), where=Where("zone", number), shows=True)
        else:
            yield Note(words=told.get(number, f"{zone_ref(number)} is gone"))


def _changes(job: Job, repairs: Repairs) -> Iterator[Note]:
    """Zones that are new, longer, shorter, moved or gone, by their cover as issued and now, hidden parts included."""
    before = dict(sorted(issued_of(job).covers.items()))
    now = {zone.number: cover_of(zone) for zone in repairs.zones}
    for zone in repairs.zones:
        where = Where("zone", zone.number)
        old, new = before.get(zone.number), now[zone.number]
        if old is None:
            yield Note(words=f"{zone.ref} new, {job.units.with_unit(zone.length_m)}", where=where, shows=True)
        elif words := _difference(job.units, old, new):
            yield Note(words=f"{zone.ref} {words}", where=where, shows=True)
    for number, old in before.items():
        if number not in now:
            yield Note(words=f"{zone_ref(number)} {_fate(old, now)}")


def _length_m(cover: Cover) -> float:
    return sum(length_of(spans) for spans in cover.values())


def _common_m(one: Cover, other: Cover) -> float:
    return sum(shared_m(spans, other.get(joint, ())) for joint, spans in one.items())


def _difference(units: Units, old: Cover, new: Cover) -> str:
    """What became of a zone, in words; empty when it is as issued."""
    longer_m = _length_m(new) - _length_m(old)
    if abs(longer_m) > _LEAST_M:
        return f"{'longer' if longer_m > 0 else 'shorter'} by {units.with_unit(abs(longer_m))}"
    moved_m = _length_m(old) - _common_m(old, new)
    return f"moved by {units.with_unit(moved_m)}" if moved_m > _LEAST_M else ""


def _fate(old: Cover, now: dict[int, Cover]) -> str:
    """Where a zone went that is no longer there."""
    heirs = [(_common_m(old, cover), -number) for number, cover in now.items()]
    most_m, number = max(heirs, default=(0.0, 0))
    return f"joined {zone_ref(-number)}" if most_m > _LEAST_M else "is gone"
