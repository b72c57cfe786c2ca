"""From one thing to the next by keys: , and . for leaks or zones, [ and ] for joints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from uuid import UUID

from leakmap.desk.ledger.answers import look_at
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.model.job import Job
from leakmap.repair.results import Repairs
from leakmap.work.stepping import joints_in_order, leaks_in_order, stepped, zones_in_order

_KEYS: Final = {",": (-1, False), ".": (1, False), "[": (-1, True), "]": (1, True)}
"""Step of a key, and whether it goes from joint to joint."""


def step_by_key(desk: Desk, text: str) -> bool:
    """Pick what comes before or after the picked thing, and bring it into view; whether the key does that.

    In stage Repair , and . go from zone to zone, in every other stage from leak to leak.
    """
    if text not in _KEYS or desk.job is None:
        return False
    step, joints = _KEYS[text]
    thing = _next(desk, Sort.JOINT if joints else Sort.ZONE if desk.stage is Stage.REPAIR else Sort.LEAK, step)
    if thing is not None:
        look_at(desk, thing)
    return True


def _next(desk: Desk, sort: Sort, step: int) -> Thing | None:
    assert desk.job is not None
    assert desk.repairs is not None
    laid = desk.on_tape if sort is Sort.JOINT else None
    present = next((thing.key for thing in reversed(desk.picked) if thing.sort is sort), laid)
    key = stepped(_order(desk.job, desk.repairs, sort), present, step)
    return None if key is None else Thing(sort, key)


def _order(job: Job, repairs: Repairs, sort: Sort) -> Sequence[UUID | int]:
    if sort is Sort.ZONE:
        return zones_in_order(repairs)
    return joints_in_order(job) if sort is Sort.JOINT else leaks_in_order(job)
