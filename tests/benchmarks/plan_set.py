"""How long the plan set of a job with 500 zones on two dozen parts takes, beside its repair schedule, and its memory.

    python tests/benchmarks/plan_set.py

Both papers print the same job with a drawing of 100,000 segments; the schedule has a plan page of each level on one
sheet, the plan set has parts, details and tapes. Printed: seconds, ratio, pages, and the peak of memory of the process.
"""

from __future__ import annotations

import resource
import sys
import time
from datetime import UTC, datetime
from io import BytesIO
from uuid import UUID

import numpy as np
import pikepdf

from leakmap.geometry.path import Path
from leakmap.issue.heading import Heading
from leakmap.issue.plan_set.plan_set import plan_set
from leakmap.issue.schedule_pdf.schedule import schedule_pdf
from leakmap.model.drawing import Drawing, Layer, Strokes, UnitHint
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules
from leakmap.model.sheet import Sheet, Source
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.work_out import repairs

ZONES, SEGMENTS = 500, 100_000
WIDE, HIGH = 160.0, 120.0
PAPER = sys.argv[1] if len(sys.argv) > 1 else "A2"
SOURCE = Source(name="hall.dxf", sha256="a" * 64)


def drawing() -> Drawing:
    """Lines of about 0.5 m all over the level, level and upright, in metres."""
    rng = np.random.default_rng(2)
    starts = rng.uniform((0, 0), (WIDE, HIGH), (SEGMENTS, 2))
    way = rng.normal(0, 0.5, SEGMENTS)
    upright = rng.random(SEGMENTS) < 0.5
    ends = starts + np.stack((np.where(upright, 0, way), np.where(upright, way, 0)), axis=1)
    xy = np.stack((starts, ends), axis=1).reshape(-1, 2)
    strokes = Strokes(xy, np.arange(0, 2 * SEGMENTS + 1, 2, dtype=np.int32), np.zeros(SEGMENTS, dtype=np.int32))
    shown = (0.0, 0.0, WIDE, HIGH)
    return Drawing((0.0, 0.0), (Layer("W"),), strokes, (), UnitHint(1.0, "metre"), shown)


def job() -> Job:
    """Rows of joints across the level, each with leaks 6 m apart."""
    sheet = Sheet(id=UUID(int=1), name="B1", source=SOURCE)
    rows, each = 20, ZONES // 20
    joints, leaks = {}, {}
    for row in range(rows):
        y = (row + 0.5) * HIGH / rows
        joint = Joint(
            id=UUID(int=100 + row),
            ref=f"J-{row + 1:02d}",
            sheet=sheet.id,
            kind=Kind.CONSTRUCTION,
            face=Face.FLOOR,
            path=Path(((0.0, y), (WIDE, y))),
        )
        joints[joint.id] = joint
        for number in range(each):
            at = 2.0 + number * (WIDE - 4) / each
            key = row * each + number
            leak = Leak(
                id=UUID(int=10_000 + key),
                ref=f"L-{key + 1}",
                joint=joint.id,
                from_m=at,
                to_m=at + 0.4 + key % 7 * 0.2,
                wetness=Wetness(1 + key % 5),
            )
            leaks[leak.id] = leak
    rules = Rules(largest_paper=PAPER)
    return Job(id=UUID(int=2), name="Hall", sheets={sheet.id: sheet}, joints=joints, leaks=leaks, rules=rules)


def main() -> None:
    """Print what was measured."""
    made = job()
    work = repairs(made)
    heading = Heading(job_name="Hall", at=datetime(2026, 11, 25, tzinfo=UTC), provisional=True)
    given = {"drawings": {SOURCE: drawing()}, "heading": heading}
    taken = {}
    for name, writer in (("repair schedule", schedule_pdf), ("plan set", plan_set)):
        start = time.perf_counter()
        data = writer(made, work, **given).data  # type: ignore[operator]
        taken[name] = time.perf_counter() - start
        with pikepdf.open(BytesIO(data)) as pdf:
            print(f"{name:16} {taken[name]:6.2f} s  {len(pdf.pages)} pages  {len(data) / 1e6:.2f} MB")
    print(f"{len(work.zones)} zones, ratio {taken['plan set'] / taken['repair schedule']:.2f}")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
