"""What changed since a revision, as a window shows it beside the job and keeps it up to date while work goes on.

Unpacking a revision and working it out takes as long as opening a job; that is done once, apart, and what comes out is
little. The comparison with the job as it is takes a fifth of that, in steps.
"""

from __future__ import annotations

import pickle
from collections import defaultdict
from collections.abc import Generator, Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Final
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.base.rounding import ZERO
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.repair.comparison import (
    Change,
    Compared,
    Comparison,
    OldRepairs,
    comparison_steps,
    joint_of_stretch,
    old_repairs_of,
)
from leakmap.repair.results import Repairs, zone_ref
from leakmap.repair.work_out import repairs
from leakmap.work.revisions import FrozenSide, unpacked

OTHERWISE: Final = "cut otherwise"
"""What is said of a stretch that stays while its slot is another."""

_WORDS: Final = {Change.ADDED: "new", Change.KEPT: OTHERWISE}
_ORDER: Final = (Change.ADDED, Change.LONGER, Change.SHORTER, Change.GONE, Change.KEPT)


@dataclass(frozen=True, slots=True)
class Before:
    """A revision, unpacked and worked out as far as a comparison needs it.

    Attributes:
        name: Of the revision.
    """

    name: str
    job: Job
    repairs: OldRepairs


def packed_before(side: FrozenSide, *, progress: Progress = UNWATCHED) -> bytes:
    """A revision unpacked and worked out, in bytes that go from one process to another.

    Raises:
        UnusableJobFile: The frozen job is damaged.
        Stopped: The watcher asked to stop.
    """
    progress.report(f"Opening {side.name}", 0, None)
    return pickle.dumps(before_of(side), pickle.HIGHEST_PROTOCOL)


def before_of(side: FrozenSide) -> Before:
    """A revision unpacked and worked out.

    Raises:
        UnusableJobFile: The frozen job is damaged.
    """
    job = unpacked(side).job
    return Before(side.name, job, old_repairs_of(repairs(job)))


def before_in(packed: bytes) -> Before:
    """What ``packed_before`` packed."""
    found = pickle.loads(packed)  # noqa: S301 - packed by our own process
    assert isinstance(found, Before)
    return found


@dataclass(frozen=True, eq=False)
class Changes:
    """What changed from a revision to the job as it was when it was compared.

    Attributes:
        since: Name of the revision.
        found: The comparison.
    """

    since: str
    old: Job
    new: Job
    found: Comparison

    @cached_property
    def groups(self) -> dict[int, dict[Change, tuple[Compared, ...]]]:
        """Stretches that are not as they were, by the number of their zone, new before longer, shorter, gone."""
        groups: dict[int, dict[Change, list[Compared]]] = defaultdict(lambda: defaultdict(list))
        for each in self.found.changes:
            groups[each.shown.zone][each.change].append(each)
        return {
            number: {change: tuple(of[change]) for change in _ORDER if change in of} for number, of in groups.items()
        }

    @cached_property
    def upright(self) -> frozenset[UUID]:
        """Vertical joints on which something changed."""
        return frozenset(joint.id for each in self.found.changes if (joint := self.joint_of(each)).vertical)

    def joint_of(self, each: Compared) -> Joint:
        """The joint that a stretch is shown on: as it is, or as it was where the stretch is no longer opened."""
        return joint_of_stretch(self.old, self.new, each)[1]

    def words(self, number: int, units: Units) -> str:
        """What changed of a zone, such as "Z-01 longer 0.90 m, shorter 0.30 m"; its reference alone where nothing did."""
        told = (
            f"{_WORDS.get(change, change.value)} {units.with_unit(_length_m(parts))}"
            for change, parts in self.groups.get(number, {}).items()
        )
        return " ".join((zone_ref(number), ", ".join(told))).rstrip()


def changes_steps(before: Before, job: Job, found: Repairs) -> Generator[int, None, Changes]:
    """Compare a revision with a job: yields how many zones of the revision are done, returns what changed."""
    compared = yield from comparison_steps(before.job, before.repairs, job, found)
    return Changes(before.name, before.job, job, compared)


def _length_m(parts: Iterable[Compared]) -> Decimal:
    return sum((part.shown.length_m for part in parts), ZERO)
