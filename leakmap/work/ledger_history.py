"""What became of issued zones, as the ledger lists it below the revisions."""

from __future__ import annotations

from leakmap.model.job import Job
from leakmap.repair.fates import fate_words
from leakmap.work.check_list import Where
from leakmap.work.ledger_notes import Note, Section


def history_section(job: Job) -> Section | None:
    """Which zones joined, parted or went, the latest revision first; None while none did."""
    revisions = reversed(list(job.revisions.values()))
    notes = tuple(
        Note(
            words=fate_words(fate, revision.name),
            where=Where("zone", fate.heirs[0]) if fate.heirs else None,
            shows=bool(fate.heirs),
        )
        for revision in revisions
        for fate in revision.fates
    )
    return Section(heading="What became of zones", notes=notes) if notes else None
