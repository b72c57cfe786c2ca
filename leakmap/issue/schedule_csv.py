"""The repair schedule as a table for machines: one row for each printed row, columns that stay."""

from __future__ import annotations

from typing import Final

from leakmap.base.csv_text import table_text
from leakmap.base.rounding import with_thousandths
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.repair.results import Repairs, Row, Zone

COLUMNS: Final = (
    "zone", "sheet", "joint", "from_m", "to_m", "length_m", "depth_mm", "plugged", "method", "provisional",
)  # fmt: skip


def schedule_csv(job: Job, repairs: Repairs) -> str:
    """The schedule of a job as CSV text; chainages are printed ones, lengths measured metres, in a job of any units."""
    return table_text(COLUMNS, (_cells(job, zone, row) for zone in repairs.zones for row in zone.rows))


def _cells(job: Job, zone: Zone, row: Row) -> tuple[str, ...]:
    joint = job.joints[row.joint]
    return (
        zone.ref,
        job.sheet_of(joint).name,
        joint.ref,
        str(with_thousandths(printed_m(joint, row.from_m))),
        str(with_thousandths(printed_m(joint, row.to_m))),
        str(with_thousandths(row.length_m)),
        f"{row.depth_mm.normalize():f}",
        "yes" if row.plugged else "no",
        zone.method.value,
        "yes" if zone.provisional else "no",
    )
