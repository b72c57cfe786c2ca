"""Issuing: the next revision freezes the job, gives zones their numbers for good, and makes the papers.

Work is issued only from sheets whose scale is checked. Provisional zones may be issued for price; an
issue for work lists them apart, as not for work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from uuid import UUID, uuid4

from leakmap.base.errors import EditRefused
from leakmap.base.findings import Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.issue.heading import heading_of, told_job
from leakmap.issue.schedule_json import schedule_json
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import IssuedStretch, Leak
from leakmap.model.references import number_of
from leakmap.model.revision import OwnName, Paper, Revision
from leakmap.model.sheet import Sheet, Source, scale_is_checked
from leakmap.model.words import Purpose
from leakmap.records.frozen import frozen_text
from leakmap.repair.fates import fates_of
from leakmap.repair.references import cover_of
from leakmap.repair.results import Repairs, Zone
from leakmap.repair.sides import Side, differences
from leakmap.repair.work_out import repairs as worked_out
from leakmap.work.papers import papers_of
from leakmap.work.revisions import AnySide, unpacked


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """An issue made, not yet stored.

    Attributes:
        job: The job with its zones numbered and the revision added.
        revision: The revision, with the hashes of all that it holds.
        frozen: The job as issued, as the text that is stored.
        schedule: The schedule JSON as issued.
        papers: Papers by file name.
        findings: What a person should know of the papers.
    """

    job: Job
    revision: Revision
    frozen: str
    schedule: str
    papers: Mapping[str, bytes]
    findings: tuple[Finding, ...]


def issue(
    job: Job,
    *,
    purpose: Purpose,
    to_whom: str,
    by: str,
    at: datetime,
    sources: Mapping[str, bytes],
    drawings: Mapping[Source, Drawing],
    before: AnySide | None = None,
    new_id: Callable[[], UUID] = uuid4,
    progress: Progress = UNWATCHED,
) -> Issue:
    """Make the next revision and its papers; the job given stays as it is.

    Args:
        job: The job.
        purpose: For price or for work.
        to_whom: Who gets it.
        by: Who issues it.
        at: When, with time zone.
        sources: Bytes of the source drawings by their SHA-256.
        drawings: The same drawings as read.
        before: The revision that the papers are compared with; None: they say nothing of changes.
        new_id: Gives ids.
        progress: Watches.

    Raises:
        EditRefused: Nothing may be issued, and why.
        UnusableJobFile: The frozen job of that revision is damaged.
        Stopped: The watcher asked to stop.
    """
    progress.report("Working out zones", 0, None)
    found = worked_out(job)
    refuse_to_issue(job, found, purpose=purpose, to_whom=to_whom)
    numbered_job = numbered(job, found, new_id=new_id)
    final = worked_out(numbered_job)
    draft = Revision(
        id=new_id(),
        number=next_number(job, purpose),
        purpose=purpose,
        to_whom=to_whom.strip(),
        by=by,
        at=at,
        job_sha256="",
        schedule_sha256="",
        zones=tuple(zone.number for zone in final.zones),
        fates=fates_of(job, found),
        names=own_names(job),
    )
    heading = heading_of(job, draft)
    told = _with(numbered_job, draft)
    since = None if before is None else differences(unpacked(before), Side(draft.name, told), new_repairs=final)
    frozen, schedule = frozen_text(numbered_job), schedule_json(numbered_job, final)
    kept = told_job(numbered_job, heading)  # what a marked drawing keeps, which goes wherever the papers go
    papers = papers_of(
        told,
        final,
        heading=heading,
        sources=sources,
        drawings=drawings,
        since=since,
        frozen=frozen if kept is numbered_job else frozen_text(kept),
        progress=progress,
    )
    revision = _sealed(draft, frozen, schedule, papers.files)
    return Issue(
        job=_with(numbered_job, revision),
        revision=revision,
        frozen=frozen,
        schedule=schedule,
        papers=papers.files,
        findings=papers.findings,
    )


def _with(job: Job, revision: Revision) -> Job:
    return replace(job, revisions={**job.revisions, revision.id: revision})


def _sealed(draft: Revision, frozen: str, schedule: str, papers: Mapping[str, bytes]) -> Revision:
    """A revision with the hashes of all that it holds."""
    return replace(
        draft,
        job_sha256=_sha256(frozen.encode()),
        schedule_sha256=_sha256(schedule.encode()),
        papers=tuple(Paper(name=name, sha256=_sha256(content), size=len(content)) for name, content in papers.items()),
    )


def _sha256(content: bytes) -> str:
    return sha256(content).hexdigest()


def next_number(job: Job, purpose: Purpose) -> int:
    """Number of the next revision for a purpose: P01, P02 … and C01, C02 … count on their own."""
    return max((revision.number for revision in job.revisions.values() if revision.purpose is purpose), default=0) + 1


def own_names(job: Job) -> tuple[OwnName, ...]:
    """References of joints and leaks that are of none of our series."""
    items: tuple[Joint | Leak, ...] = (*job.joints.values(), *job.leaks.values())
    return tuple(OwnName(item.ref, item.id) for item in items if number_of(item.ref) is None)


def unchecked_sheets(job: Job) -> tuple[Sheet, ...]:
    """Sheets with joints on them whose scale is not checked."""
    used = {joint.sheet for joint in job.joints.values()}
    return tuple(sheet for sheet in job.sheets.values() if sheet.id in used and not scale_is_checked(sheet))


def refuse_to_issue(job: Job, repairs: Repairs, *, purpose: Purpose, to_whom: str) -> None:
    """Refuse an issue that nobody could work to.

    Raises:
        EditRefused: Nobody is to get it, nothing is marked, or work is asked for from an unchecked scale.
    """
    if not to_whom.strip():
        raise EditRefused("An issue needs somebody to go to; say to whom.")
    if not repairs.zones and not repairs.another_method:
        raise EditRefused("No leak is marked, so there is nothing to issue; mark joints and leaks first.")
    unchecked = unchecked_sheets(job)
    if purpose is Purpose.WORK and unchecked:
        names = ", ".join(sheet.name for sheet in unchecked)
        raise EditRefused(
            f"The scale of {names} has not been checked, so nothing can be issued for work.",
            hint="Give two known lengths, one each way, that agree within 0.5 % (leakmap scale).",
            where=names,
        )


def numbered(job: Job, repairs: Repairs, *, new_id: Callable[[], UUID] = uuid4) -> Job:
    """The job with every zone's number given for good.

    The stretches of each zone are stored as items, so that later edits carry them and the number finds
    its zone again; those of the issue before make way.
    """
    stretches = [stretch for zone in repairs.zones for stretch in _issued_stretches(zone, new_id)]
    highest = max([job.numbers.zone, *(zone.number for zone in repairs.zones)])
    return replace(
        job,
        issued={stretch.id: stretch for stretch in stretches},
        numbers=replace(job.numbers, zone=highest),
    )


def _issued_stretches(zone: Zone, new_id: Callable[[], UUID]) -> Iterator[IssuedStretch]:
    for joint, spans in sorted(cover_of(zone).items(), key=lambda covered: str(covered[0])):
        for from_m, to_m in spans:
            yield IssuedStretch(id=new_id(), zone=zone.number, joint=joint, from_m=from_m, to_m=to_m)
