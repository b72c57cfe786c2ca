"""Papers as they would be issued, to be looked at before anything is."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.issue.heading import provisional_heading
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.model.words import Purpose
from leakmap.repair.sides import differences
from leakmap.repair.work_out import repairs
from leakmap.work.revisions import AnySide, unpacked

PLAN_HEADING: Final = "Plan of {}"
"""How the schedule's bookmarks call the plan of a level."""


def schedule_preview(
    job: Job,
    *,
    purpose: Purpose | None,
    at: datetime,
    drawings: Mapping[Source, Drawing],
    progress: Progress = UNWATCHED,
) -> bytes:
    """The repair schedule of a job as a PDF file, marked as not issued.

    Args:
        job: The job.
        purpose: What the revision in the making is for; None: none was begun.
        at: Now, with time zone.
        drawings: Drawings as read, by their source.
        progress: Watches.

    Raises:
        Stopped: The watcher asked to stop.
    """
    from leakmap.issue.schedule_pdf.schedule import schedule_pdf  # noqa: PLC0415 - large libraries, for this alone

    progress.report("Laying out the pages", 0, None)
    heading = provisional_heading(job, at, purpose)
    return schedule_pdf(job, repairs(job), drawings=drawings, heading=heading, progress=progress).data


def plan_set_preview(
    job: Job,
    *,
    purpose: Purpose | None,
    at: datetime,
    drawings: Mapping[Source, Drawing],
    progress: Progress = UNWATCHED,
) -> bytes:
    """The plan set of a job as a PDF file, marked as not issued.

    Args:
        job: The job.
        purpose: What the revision in the making is for; None: none was begun.
        at: Now, with time zone.
        drawings: Drawings as read, by their source.
        progress: Told each sheet.

    Raises:
        Stopped: The watcher asked to stop.
    """
    from leakmap.issue.plan_set.plan_set import plan_set  # noqa: PLC0415 - large libraries, for this alone

    heading = provisional_heading(job, at, purpose)
    return plan_set(job, repairs(job), drawings=drawings, heading=heading, progress=progress).data


def changes_preview(
    old: AnySide, new: AnySide, *, at: datetime, drawings: Mapping[Source, Drawing], progress: Progress = UNWATCHED
) -> bytes:
    """What changed between two revisions, or since one, as a PDF file that nobody issued.

    It tells prices where neither was issued for work.

    Args:
        old: The earlier one.
        new: The later one.
        at: Now, with time zone.
        drawings: Drawings as read, by their source.
        progress: Watches.

    Raises:
        UnusableJobFile: A frozen job is damaged.
        Stopped: The watcher asked to stop.
    """
    from leakmap.issue.schedule_pdf.schedule import changes_pdf  # noqa: PLC0415 - large libraries, which no window waits for

    progress.report("Comparing the revisions", 0, None)
    now = unpacked(new)
    for_work = any(side.name.startswith(Purpose.WORK.letter) for side in (old, new))
    heading = provisional_heading(now.job, at, None if for_work else Purpose.PRICE)
    return changes_pdf(differences(unpacked(old), now), drawings=drawings, heading=heading, progress=progress)
