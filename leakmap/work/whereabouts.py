"""Where on the grid a thing lies, in words for lists of things to look at."""

from __future__ import annotations

from uuid import UUID

from leakmap.geometry.path import Point
from leakmap.model.grid import position_words
from leakmap.model.job import Job
from leakmap.model.joint import plan_point
from leakmap.repair.results import Repairs


def at_words(job: Job, repairs: Repairs, where: tuple[str, UUID | int]) -> str:
    """Where a thing starts, from the grid; empty for a level, for what is not there, and where no grid is set.

    Args:
        job: The job.
        repairs: Its work-out.
        where: Its sort and its key, as in ``leakmap.work.check_list.Where``.
    """
    start = _start(job, repairs, *where)
    return "" if job.grid is None or start is None else position_words(job.grid, start, job.units)


def _start(job: Job, repairs: Repairs, sort: str, key: UUID | int) -> Point | None:
    if sort == "zone":
        rows = next((zone.rows for zone in repairs.zones if zone.number == key), ())
        return plan_point(job.joints[rows[0].joint], float(rows[0].from_m)) if rows else None
    if not isinstance(key, UUID):
        return None
    leak = job.leaks.get(key) if sort == "leak" else None
    joint = job.joints.get(key if leak is None else leak.joint)
    return None if joint is None else plan_point(joint, 0.0 if leak is None else leak.from_m)
