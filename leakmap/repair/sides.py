"""Two jobs side by side, each under the name that people know it by, and everything that differs."""

from __future__ import annotations

from dataclasses import dataclass

from leakmap.model.job import Job
from leakmap.repair.compared import Comparison
from leakmap.repair.listed_changes import Listed, listed_changes
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs


@dataclass(frozen=True, slots=True)
class Side:
    """One of two jobs that are compared.

    Attributes:
        name: Of its revision, such as C01; "now" for the job as it is.
    """

    name: str
    job: Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """What changed from one side to the other.

    Attributes:
        found: Stretches, zones and metres.
        listed: Joints, leaks and rules.
    """

    old: Side
    new: Side
    old_repairs: Repairs
    new_repairs: Repairs
    found: Comparison
    listed: tuple[Listed, ...]


def differences(old: Side, new: Side, *, new_repairs: Repairs | None = None) -> Differences:
    """Compare two sides.

    Args:
        old: The earlier one.
        new: The later one.
        new_repairs: Its work-out, where it is known.
    """
    from leakmap.repair.comparison import comparison  # noqa: PLC0415 - late

    before, after = repairs(old.job), new_repairs or repairs(new.job)
    found = comparison(old.job, before, new.job, after)
    listed = listed_changes(old.job, new.job)
    return Differences(old=old, new=new, old_repairs=before, new_repairs=after, found=found, listed=listed)
