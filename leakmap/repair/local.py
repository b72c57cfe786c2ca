"""The work-out after an edit: the same value as the whole work-out gives.

``work_out(job)`` keeps beside the repairs what a later edit needs; ``work_out_again`` takes that and
the rows that an edit changed. What it gives is always equal to the whole work-out of the new job.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from leakmap.model.faults import Row
from leakmap.model.job import Job
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs

_UNREAD: Final = frozenset({"others", "revisions"})
"""Collections that the repair engine does not read."""

_READ: Final = ("rules", "numbers", "water")
"""The job's own fields that it reads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedOut:
    """A job that is worked out.

    Attributes:
        job: The job.
        repairs: What follows from it.
    """

    job: Job
    repairs: Repairs


def work_out(job: Job) -> WorkedOut:
    """The whole work-out of a job, ready for edits."""
    return WorkedOut(job=job, repairs=repairs(job))


def work_out_again(previous: WorkedOut, job: Job, changed: frozenset[Row]) -> WorkedOut:
    """The work-out of a job that differs in some rows from one that is worked out.

    Args:
        previous: The job worked out before.
        job: The job now.
        changed: Rows that differ, as an edit tells them.
    """
    own_alike = all(getattr(job, name) == getattr(previous.job, name) for name in _READ)
    if own_alike and {name for name, key in changed if key != job.id} <= _UNREAD:
        return replace(previous, job=job)
    return work_out(job)
