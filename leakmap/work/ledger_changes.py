"""What changed in the zones since a revision, as the ledger lists it and names that revision."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Final

from leakmap.base.counted import many
from leakmap.model.revision import Revision
from leakmap.repair.fates import fate_words
from leakmap.repair.results import Repairs, zone_ref
from leakmap.work.changes_since import Changes
from leakmap.work.check_list import Where
from leakmap.work.ledger_notes import Note, Section, Sign

MOST_ZONES: Final = 300
"""So many zones are listed; the plan shows all of them, and the paper of changes lists them."""


def changes_section(repairs: Repairs, since: Revision, found: Changes | None, *, broken: bool = False) -> Section:
    """What changed in the zones since a revision.

    Args:
        repairs: The work-out of the job.
        since: The revision.
        found: What the comparison with it found; None: nothing yet.
        broken: Whether the revision cannot be unpacked, so that nothing will be found.
    """
    heading = f"Changed since {since.name}"
    if found is None:
        damaged = f"{since.name} is damaged, so nobody can tell what changed since"
        words = damaged if broken else f"{since.name} is being compared with the job"
        return Section(heading=heading, notes=(Note(words=words),))
    told = _told(repairs, found)
    notes = list(islice(told, MOST_ZONES))
    left = sum(1 for _ in told)
    if left:
        notes.append(Note(words=f"{many(left, 'more zone')} changed", more="listed by the paper of changes"))
    return Section(heading=heading, notes=tuple(notes) or (Note(words="Nothing changed", sign=Sign.DONE),))


def _told(repairs: Repairs, found: Changes) -> Iterator[Note]:
    """A note for each zone of which a stretch changed, or that is no longer there, lowest number first."""
    there = {zone.number for zone in repairs.zones}
    fates = {fate.zone: fate for fate in found.found.fates if fate.zone not in there}
    for number in sorted(found.groups.keys() | fates.keys()):
        if number in there:
            yield Note(words=found.words(number), where=Where("zone", number), shows=True)
        else:
            yield Note(words=fate_words(fates[number]) if number in fates else f"{zone_ref(number)} is gone")
