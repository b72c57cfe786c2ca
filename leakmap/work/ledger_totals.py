"""The four figures at the ledger's foot, of a level or of the whole job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from uuid import UUID

from leakmap.base.differing import Tally
from leakmap.base.rounding import rounded
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.words import Wetness
from leakmap.repair.chainages import merged, spans_of
from leakmap.repair.results import Repairs, Zone
from leakmap.work.kept import Kept
from leakmap.work.ledger_rows import leaks_on_joints, measured
from leakmap.work.ledger_zones import home_of


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerTotals:
    """The four figures at the ledger's foot.

    Attributes:
        saved_m: Of the whole job: overruns merge across levels.
    """

    joint_m: Decimal
    wet_m: Decimal
    repair_m: Decimal
    saved_m: Decimal


def ledger_totals(job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept | None = None) -> LedgerTotals:
    """The four figures of a level, or of the whole job.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: The level; None for the whole job.
        kept: What was made before.
    """
    totals = repairs.totals
    if sheet is None:
        return LedgerTotals(
            joint_m=totals.joint_m, wet_m=totals.wet_m, repair_m=totals.repair_m, saved_m=totals.saved_m
        )
    joints = [joint for joint in job.joints.values() if joint.sheet == sheet]
    step = job.rules.measuring_step_m
    kept = kept or Kept()
    zones_m = kept.of("repair of levels", (), lambda: Tally(_home_m)).of(repairs.zones)
    return LedgerTotals(
        joint_m=sum((rounded(joint.length_m, step) for joint in joints), rounded(0, step)),
        wet_m=_wet_m(job, joints, kept),
        repair_m=zones_m.get(sheet, rounded(0, step)),
        saved_m=totals.saved_m,
    )


def _home_m(zone: Zone) -> Iterator[tuple[UUID, Decimal]]:
    """The level that a zone is counted on, and its metres."""
    yield home_of(zone), zone.length_m


def _wet_m(job: Job, joints: Sequence[Joint], kept: Kept) -> Decimal:
    """Union of the leaks of wetness 1 and more on some joints, as the totals of the job measure it."""
    on = leaks_on_joints(job, kept)
    lengths = (
        kept.of(("wet", joint.id), (joint, job.rules, leaks), partial(_wet_on, job, joint, leaks.values()))
        for joint in joints
        if (leaks := on.get(joint.id)) is not None
    )
    return sum(lengths, rounded(0, job.rules.measuring_step_m))


def _wet_on(job: Job, joint: Joint, leaks: Iterable[Leak]) -> Decimal:
    wet = (leak for leak in leaks if leak.wetness > Wetness.SUSPECT)
    spans = [span for leak in wet for span in spans_of(joint, leak.from_m, leak.to_m)]
    return measured(merged(spans), job.rules.measuring_step_m)
