"""From one thing to the next in the order of the ledger: joints, leaks along their joints, zones by number."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import TypeVar
from uuid import UUID

from leakmap.model.job import Job
from leakmap.repair.levels import listing_order
from leakmap.repair.results import Repairs

Key = TypeVar("Key", bound=Hashable)


def joints_in_order(job: Job) -> list[UUID]:
    """Joints as the ledger lists them, level after level."""
    order = listing_order(job)
    return sorted(job.joints, key=lambda key: order[key])


def leaks_in_order(job: Job) -> list[UUID]:
    """Leaks in the order of their joints and chainages."""
    order = listing_order(job)
    leaks = sorted(job.leaks.values(), key=lambda leak: (order[leak.joint], leak.from_m, leak.to_m))
    return [leak.id for leak in leaks]


def zones_in_order(repairs: Repairs) -> list[int]:
    """Zones by their numbers."""
    return [zone.number for zone in repairs.zones]


def stepped(order: Sequence[Key], present: Key | None, step: int) -> Key | None:
    """What comes so many places after the present one; past the last comes the first.

    >>> stepped("abc", "c", 1), stepped("abc", None, 1), stepped("abc", None, -1), stepped("", None, 1)
    ('a', 'a', 'c', None)
    """
    if not order:
        return None
    if present is None or present not in order:
        return order[0 if step > 0 else -1]
    return order[(order.index(present) + step) % len(order)]
