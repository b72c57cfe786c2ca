"""What follows from each leak by itself, whatever else there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from leakmap.base.findings import Finding
from leakmap.model.job import Job
from leakmap.repair.measure import Measure
from leakmap.repair.network import Network
from leakmap.repair.results import AnotherMethod
from leakmap.repair.sources import leak_findings
from leakmap.repair.work_out import another_method, is_watched


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """What follows from each leak by itself, and the leaks of each joint.

    Attributes:
        changed: Leaks that the last edit changed.
        rank: Place of each leak among the leaks; some that are gone too.
        ids: Leaks in the job's order.
        on: Of each joint, its leaks.
        said: Findings about a leak; leaks without are left out, here and below.
        others: Leaks that need another method.
        watched: Suspects that the rules only watch.
    """

    changed: frozenset[UUID]
    rank: Mapping[UUID, int]
    ids: Sequence[UUID]
    on: Mapping[UUID, tuple[UUID, ...]]
    said: Mapping[UUID, tuple[Finding, ...]]
    others: Mapping[UUID, AnotherMethod]
    watched: Mapping[UUID, bool]


def marked_again(
    old: Marked, jobs: tuple[Job, Job], changed: frozenset[UUID], *, network: Network, measure: Measure
) -> Marked:
    """What follows from each leak by itself, told anew of those that changed.

    Args:
        old: What followed before.
        jobs: The job before and the job now.
        changed: Leaks that differ.
        network: The network of both.
        measure: The rounding of chainages.
    """
    before, job = jobs
    on, said, others, watched = dict(old.on), dict(old.said), dict(old.others), dict(old.watched)
    ids, rank = _ranked(old, job)
    for key in changed:
        for found in (said, others, watched):
            found.pop(key, None)
        was, leak = before.leaks.get(key), job.leaks.get(key)
        if was is not None:
            on[was.joint] = tuple(other for other in on[was.joint] if other != key)
        if leak is not None:
            on[leak.joint] = (*on.get(leak.joint, ()), key)
            if findings := tuple(leak_findings(job, leak)):
                said[key] = findings
            if (other := another_method(job, network, measure, leak)) is not None:
                others[key] = other
            if is_watched(job, network, leak):
                watched[key] = True
    return Marked(changed=changed, rank=rank, ids=ids, on=on, said=said, others=others, watched=watched)


def _ranked(old: Marked, job: Job) -> tuple[Sequence[UUID], Mapping[UUID, int]]:
    """Leaks in the job's order, and the place of each."""
    ids = list(job.leaks)
    if ids == old.ids:
        return old.ids, old.rank
    count = len(old.ids)
    if ids[:count] == old.ids:  # some were added
        return ids, {**old.rank, **{key: rank for rank, key in enumerate(ids[count:], count)}}
    return ids, {key: rank for rank, key in enumerate(ids)}
