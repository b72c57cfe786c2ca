"""What a zone's card says besides what its strip shows: caption and words."""

from __future__ import annotations

from collections.abc import Iterator

from leakmap.issue.schedule_pdf.lettering import NO_BREAK
from leakmap.issue.schedule_pdf.words import from_grid, said, stretch
from leakmap.model.job import Job
from leakmap.model.printed import printed
from leakmap.repair.fates import history_of
from leakmap.repair.results import BlindPart, Zone


def notes_of(job: Job, zone: Zone) -> Iterator[tuple[str, str]]:
    """Caption and words of each note, in printing order."""
    for relief in zone.relief:
        grid = from_grid(job, relief.joint, relief.at_m)
        by = "set by hand" if relief.by_hand else ""
        if words := ", ".join(part for part in (grid, by) if part):
            joint = job.joints[relief.joint]
            yield f"Relief point {joint.ref}{NO_BREAK}{printed(job, joint, relief.at_m)}", words
    for hidden in zone.blind:
        where = stretch(job, hidden.joint, hidden.from_m, hidden.to_m)
        yield "Blind", f"{where}: {hidden.what}{clearing(job, hidden)}; not opened, not measured"
    if zone.bridged_m:
        yield "Bridged", f"{said(job.units, zone.bridged_m)} of sound gap taken in"
    if history := "; ".join(history_of(job, zone.number)):
        yield "History", history


def clearing(job: Job, hidden: BlindPart) -> str:
    """Who clears a blind part; nothing for the clearance of a movement joint, which stays."""
    if hidden.cleared_by:
        return f", cleared by {hidden.cleared_by}"
    stays = all(blind.what != hidden.what for blind in job.joints[hidden.joint].blind)
    return "" if stays else ", nobody named to clear it"
