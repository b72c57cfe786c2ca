"""Papers that were issued, taken out again: as they were sealed, or marked as superseded where a later one replaced them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from leakmap.model.job import Job
from leakmap.model.revision import Paper, Revision
from leakmap.work.revisions import BlobOf, superseded_by


@dataclass(frozen=True, slots=True, kw_only=True)
class Reprint:
    """A copy of an issued paper.

    Attributes:
        name: Name of the file; it says where the paper is superseded.
        by: The revision that took its place; None: the bytes are those that were sealed.
    """

    name: str
    content: bytes
    by: Revision | None


def owner_of(job: Job, paper: Paper) -> Revision | None:
    """The revision that a paper belongs to; None where it is none of the job's."""
    return next((each for each in job.revisions.values() if paper in each.papers), None)


def reprint(job: Job, revision: Revision, paper: Paper, blob_of: BlobOf) -> Reprint:
    """A copy of a paper; its sealed bytes are proved by their hash first.

    Raises:
        UnusableJobFile: It is missing from the job file, or damaged there.
        UnusableDrawing: A marked drawing could not be read to mark it as superseded.
    """
    content, by = blob_of(paper.sha256), superseded_by(job, revision)
    if by is None:
        return Reprint(name=paper.name, content=content, by=None)
    from leakmap.issue.superseded import superseded, superseded_name  # noqa: PLC0415 - large libraries, for old papers only

    name = superseded_name(paper.name, revision, by)
    return Reprint(name=name, content=superseded(paper.name, content, revision, by, job.units.locale), by=by)


def reprints(job: Job, revision: Revision, blob_of: BlobOf) -> Iterator[Reprint]:
    """Copies of all papers of a revision, as ``reprint`` makes them."""
    return (reprint(job, revision, paper, blob_of) for paper in revision.papers)
