"""Revisions of a job looked up, unfrozen and told apart: which is meant, which one comes after it, what it held."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from leakmap.base.errors import BadValue
from leakmap.model.job import Job
from leakmap.model.revision import Revision
from leakmap.model.words import Purpose
from leakmap.records.frozen import job_of_frozen
from leakmap.repair.sides import Side

NOW: Final = "now"
"""What the job as it is is called beside its revisions."""

BlobOf = Callable[[str], bytes]
"""Gives the bytes of a file that the job holds, by their SHA-256; raises where it is missing or damaged."""


@dataclass(frozen=True, slots=True)
class FrozenSide:
    """A revision as its job file keeps it, not yet unpacked: that takes long, and no window waits for it.

    Attributes:
        name: Of the revision, such as C01.
        content: Its frozen job.
    """

    name: str
    content: bytes


AnySide = Side | FrozenSide


def unpacked(side: AnySide) -> Side:
    """A side with its job.

    Raises:
        UnusableJobFile: The frozen job is damaged.
    """
    if isinstance(side, Side):
        return side
    return Side(side.name, job_of_frozen(side.content.decode("utf-8")))


def side_of(job: Job, name: str, blob_of: BlobOf) -> Side:
    """A revision by its name as it was frozen, or the job as it is for "now".

    Raises:
        BadValue: There is no such revision; the sentence names those that there are.
        UnusableJobFile: Its frozen job is missing or damaged.
    """
    if name.strip().lower() == NOW:
        return Side(NOW, job)
    return unpacked(frozen_side(revision_named(job, name), blob_of))


def sides_of(job: Job, picked: Sequence[UUID], blob_of: BlobOf) -> tuple[AnySide, AnySide] | None:
    """What is compared when revisions are picked: two with each other, one with now, none the last one with now.

    Returns:
        The earlier and the later side; None before the first issue.

    Raises:
        UnusableJobFile: A frozen job is missing or damaged.
    """
    issued = list(job.revisions.values())
    chosen = [revision for revision in issued if revision.id in picked] or issued[-1:]
    if not chosen:
        return None
    later = frozen_side(chosen[-1], blob_of) if len(chosen) > 1 else Side(NOW, job)
    return frozen_side(chosen[0], blob_of), later


def frozen_side(revision: Revision, blob_of: BlobOf) -> FrozenSide:
    """A revision as it was frozen.

    Raises:
        UnusableJobFile: Its frozen job is missing, or is not what was sealed.
    """
    return FrozenSide(revision.name, blob_of(revision.job_sha256))


def revision_named(job: Job, name: str) -> Revision:
    """The revision of a name, in capitals or not.

    Raises:
        BadValue: There is none; the sentence names those that there are.
    """
    for revision in job.revisions.values():
        if revision.name == name.strip().upper():
            return revision
    names = ", ".join(revision.name for revision in job.revisions.values()) or "none yet"
    raise BadValue(f"There is no revision {name}; issued are: {names}. Nothing was changed.")


def before_next(job: Job, purpose: Purpose | None) -> Revision | None:
    """The revision that the next one of a purpose is compared with; None before the first issue.

    It is the last one of the same purpose: whoever works to C01 never saw P02. Before there is one, the last of all.
    """
    issued = list(job.revisions.values())
    same = [revision for revision in issued if revision.purpose is purpose]
    return next(reversed(same or issued), None)


def side_before(job: Job, purpose: Purpose | None, blob_of: BlobOf) -> FrozenSide | None:
    """That revision as it was frozen.

    Raises:
        UnusableJobFile: Its frozen job is missing, or is not what was sealed.
    """
    revision = before_next(job, purpose)
    return None if revision is None else frozen_side(revision, blob_of)


def superseded_by(job: Job, revision: Revision) -> Revision | None:
    """The revision that took the place of another; None while it is in force.

    One for work is replaced by a later one for work, one for price by any later one.
    """
    issued = list(job.revisions.values())
    later = issued[[each.id for each in issued].index(revision.id) + 1 :]
    return next((each for each in reversed(later) if revision.purpose in (Purpose.PRICE, each.purpose)), None)
