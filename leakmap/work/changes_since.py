"""What changed since a revision, as a window shows it beside the job and keeps it up to date while work goes on.

Unpacking a revision and working it out takes as long as opening a job; that is done once, apart, and what comes out is
little. The comparison with the job as it is takes a fifth of that, in steps.
"""

from __future__ import annotations

import pickle
from collections import defaultdict
from collections.abc import Generator, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, NamedTuple, TypeAlias
from uuid import UUID

from leakmap.base.measures import Units
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.base.rounding import ZERO
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.repair.compared import Change, Compared, Comparison, OldRepairs, joint_of_stretch, old_repairs_of
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


class Changed(NamedTuple):
    """A stretch that is not as it was, and its joint as it is, or as it was where the stretch is no longer opened."""

    stretch: Compared
    joint: Joint


Group: TypeAlias = Mapping[Change, tuple[Changed, ...]]
"""What changed of one zone: new before longer, shorter, gone."""


@dataclass(frozen=True, eq=False, slots=True)
class Changes:
    """What changed from a revision to the job as it was when it was compared.

    Attributes:
        since: Name of the revision.
        new: That job.
        found: The comparison.
        groups: What changed of each zone, by its number; the very same as in the comparison before where nothing else did.
        said: The same in words, such as "Z-01 longer 0.90 m, shorter 0.30 m".
        upright: Vertical joints on which something changed.
    """

    since: str
    new: Job
    found: Comparison
    groups: Mapping[int, Group]
    said: Mapping[int, str]
    upright: frozenset[UUID]

    def words(self, number: int) -> str:
        """What changed of a zone; its reference alone where nothing did."""
        return self.said.get(number) or zone_ref(number)


def changes_steps(
    before: Before, job: Job, found: Repairs, last: Changes | None = None
) -> Generator[int, None, Changes]:
    """Compare a revision with a job: yields how many zones of the revision are done, returns what changed.

    Args:
        before: The revision.
        job: The job.
        found: Its work-out.
        last: What the comparison before found.
    """
    from leakmap.repair.comparison import comparison_steps  # noqa: PLC0415 - late

    done = len(before.repairs.zones)
    compared = yield from comparison_steps(before.job, before.repairs, job, found)
    sorted_out: dict[int, dict[Change, list[Changed]]] = defaultdict(lambda: defaultdict(list))
    for each in compared.stretches:
        if each.changed:
            changed = Changed(each, joint_of_stretch(before.job, job, each)[1])
            sorted_out[each.shown.zone][each.change].append(changed)
        yield done
    groups: dict[int, Group] = {}
    said: dict[int, str] = {}
    for number, of in sorted_out.items():
        group = {change: tuple(of[change]) for change in _ORDER if change in of}
        held = None if last is None else last.groups.get(number)
        groups[number] = held if held is not None and held == group else group
        said[number] = _said(number, groups[number], job.units)
        yield done
    upright = (each.joint for group in groups.values() for parts in group.values() for each in parts)
    return Changes(
        since=before.name,
        new=job,
        found=compared,
        groups=groups,
        said=said,
        upright=frozenset(joint.id for joint in upright if joint.vertical),
    )


def _said(number: int, group: Group, units: Units) -> str:
    told = (
        f"{_WORDS.get(change, change.value)} {units.with_unit(_length_m(each.stretch for each in parts))}"
        for change, parts in group.items()
    )
    return f"{zone_ref(number)} {', '.join(told)}"


def _length_m(parts: Iterable[Compared]) -> Decimal:
    return sum((part.shown.length_m for part in parts), ZERO)
