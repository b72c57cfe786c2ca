"""What a comparison of two revisions says: values, without how they are found."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from leakmap.base.rounding import ZERO
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.revision import ZoneFate
from leakmap.repair.results import Repairs, Row


class Change(StrEnum):
    """What became of a stretch; each is told apart from the others on paper without colour."""

    KEPT = "kept"
    ADDED = "added"  # of a zone of which nothing was there before
    LONGER = "longer"
    SHORTER = "shorter"
    GONE = "gone"  # of a zone of which nothing is left


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed(Row):
    """A printed row of one of the two jobs, or a part of it.

    Attributes:
        zone: Number of its zone in that job.
    """

    zone: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A stretch of the comparison.

    Attributes:
        before: Where it was in the old job; None where it is added or longer.
        after: Where it is in the new one; None where it is gone or shorter.
    """

    change: Change
    before: Placed | None = None
    after: Placed | None = None

    @property
    def shown(self) -> Placed:
        """Where it is now, or where it was."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def cut_otherwise(self) -> bool:
        """Whether it is opened in both, but to another depth or with another filling."""
        if self.before is None or self.after is None:
            return False
        return (self.before.depth_mm, self.before.plugged) != (self.after.depth_mm, self.after.plugged)

    @property
    def changed(self) -> bool:
        """Whether it is not as it was."""
        return self.change is not Change.KEPT or self.cut_otherwise


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneCompared:
    """A zone of either job; metres of the printed rows.

    Attributes:
        before_m: Measured length in the old job.
        added_m: Opened now and not before.
        gone_m: Opened before and not any more.
        passed_m: Came from zones with other numbers, less what went to such.
        anew_m: By how much what stayed is measured longer now.
        after_m: Measured length in the new job: the sum of the others.
    """

    number: int
    before_m: Decimal
    added_m: Decimal
    gone_m: Decimal
    passed_m: Decimal
    anew_m: Decimal
    after_m: Decimal

    @property
    def changed(self) -> bool:
        """Whether any metre of it changed."""
        return any((self.added_m, self.gone_m, self.passed_m, self.anew_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The comparison of two jobs.

    Attributes:
        stretches: Every printed row of both, cut where the two differ, in the order of the zones' numbers.
        zones: Zones of both, lowest number first.
        fates: What became of old zones.
    """

    stretches: tuple[Compared, ...]
    zones: tuple[ZoneCompared, ...]
    fates: tuple[ZoneFate, ...]

    def sum_of(self, name: str) -> Decimal:
        """The sum of a figure of all zones."""
        return sum((getattr(zone, name) for zone in self.zones), ZERO)

    @property
    def changes(self) -> tuple[Compared, ...]:
        """The stretches that are not as they were."""
        return tuple(each for each in self.stretches if each.changed)


@dataclass(frozen=True, slots=True)
class OldZone:
    """What a comparison needs of a zone of the old job."""

    number: int
    rows: tuple[Row, ...]
    length_m: Decimal


@dataclass(frozen=True, slots=True)
class OldRepairs:
    """What a comparison needs of the old job's work-out: little enough to come from another process at once."""

    zones: tuple[OldZone, ...]


def old_repairs_of(repairs: Repairs) -> OldRepairs:
    """That of a whole work-out."""
    return OldRepairs(tuple(OldZone(zone.number, zone.rows, zone.length_m) for zone in repairs.zones))


def joint_of_stretch(old: Job, new: Job, each: Compared) -> tuple[Job, Joint]:
    """The job in which a stretch is shown, and its joint there."""
    job = old if each.after is None else new
    return job, job.joints[each.shown.joint]
