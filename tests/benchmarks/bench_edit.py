"""Speed of the work-out after one edit beside the whole work-out; prints ratios side by side.

Run from the top of the working copy: ``python -m tests.benchmarks.bench_edit [--leaks N]``. All leaks
lie on one connected network. Times are of the processor, the median of several runs; "whole" is the
whole work-out of the job after the same edit. Every result is held against the whole one.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import replace
from statistics import median
from time import process_time
from uuid import UUID

from leakmap.model.job import Job, Numbers
from leakmap.model.leak import IssuedStretch
from leakmap.model.sheet import Source
from leakmap.model.words import Kind, Wetness
from leakmap.repair.local import work_out, work_out_again
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.edits import bends, facts, joints, leaks, marks, splits
from leakmap.work.edits.edit import Edit
from leakmap.work.sample_job import DRAWINGS, sample_job
from tests.benchmarks.bench_workout import basement
from tests.helpers.jobs import cut_id

TARGET = 1000


def edits(job: Job, place: float) -> Iterator[tuple[str, Edit]]:
    """One edit of each sort, on the leak at a share of the list of leaks."""
    leak = list(job.leaks.values())[int(len(job.leaks) * place)]
    wetness = Wetness.DAMP if leak.wetness is not Wetness.DAMP else Wetness.SEEP
    yield "set wetness", leaks.set_wetness(job, leak=leak.id, wetness=wetness)
    end_m = min(leak.to_m + 0.05, job.joints[leak.joint].length_m)
    yield "move an end", leaks.move_leak_ends(job, leak=leak.id, to_m=end_m)
    yield "add a leak", leaks.add_leak(job, joint=leak.joint, from_m=0.2, to_m=0.4, wetness=Wetness.DRIP)
    yield "cut", marks.add_cut(job, joint=leak.joint, at_m=(leak.from_m + leak.to_m) / 2 + 0.013)


def joint_edits(job: Job, place: float) -> Iterator[tuple[str, Edit]]:
    """One edit of each sort of joints and junctions, round the joint at a share of the list."""
    joint = list(job.joints.values())[int(len(job.joints) * place)]
    assert joint.path is not None
    (x, y), sheet = joint.path.point_at(joint.length_m / 2), joint.sheet
    short = [(x + 0.3, y + 0.4), (x + 1.2, y + 2.9)]
    left = min(line.path.points[0][0] for line in job.joints.values() if line.path is not None) - 3.0
    yield (
        "draw left of all others",
        joints.draw_joint(job, sheet=sheet, kind=Kind.CRACK, points=[(left, y), (left, y + 2)]),
    )
    yield "draw a short joint", joints.draw_joint(job, sheet=sheet, kind=Kind.CRACK, points=short)
    yield (
        "stand a vertical joint",
        joints.draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=joint.path.points[-1]),
    )
    yield (
        "move the end of a whole line",
        bends.move_bend(
            job, joint=joint.id, bend=len(joint.path.points) - 1, to=joint.path.point_at(joint.length_m - 0.8)
        ),
    )
    yield "split a line", splits.split_joint(job, joint=joint.id, at_m=joint.length_m / 2 + 0.3)
    yield "make a line a movement joint", facts.set_kind(job, joint=joint.id, kind=Kind.MOVEMENT)
    yield "remove a line", joints.remove_joint(job, joint=joint.id)
    for other in job.joints.values():
        at_m, apart_m = joint.path.nearest(other.path.points[0]) if other.path and other.sheet == sheet else (0.0, 1.0)
        if apart_m == 0 and other is not joint:
            yield "part a junction", marks.part_junction(job, joint=joint.id, at_m=at_m, other=other.id, other_at_m=0.0)
            return


def seconds(work: Callable[[], object], runs: int) -> float:
    """Median processor time of some runs."""
    times = []
    for _ in range(runs):
        start = process_time()
        work()
        times.append(process_time() - start)
    return median(times)


def issued(job: Job, found: Repairs) -> Job:
    """The job as after an issue of all its zones."""
    stretches: dict[UUID, IssuedStretch] = {}
    for zone in found.zones:
        for row in zone.rows:
            identity = cut_id(len(stretches))
            stretches[identity] = IssuedStretch(
                id=identity, zone=zone.number, joint=row.joint, from_m=float(row.from_m), to_m=float(row.to_m)
            )
    return replace(job, issued=stretches, numbers=replace(job.numbers, zone=len(found.zones)))


def compare(words: str, job: Job, runs: int) -> None:
    """Print the local work-out of every edit beside the whole one."""
    whole = seconds(lambda: repairs(job), 3)
    start = work_out(job)
    print(f"{words}: {len(job.leaks)} leaks, {len(start.repairs.zones)} zones; whole {whole * 1000:.1f} ms")
    for name, edit in (*edits(job, 0.5), *joint_edits(job, 0.25)):
        assert work_out_again(start, edit.job, edit.changed).repairs == repairs(edit.job)
        local = seconds(lambda edit=edit: work_out_again(start, edit.job, edit.changed), runs)  # type: ignore[misc]
        print(f"  {name}: {local * 1000:.2f} ms, {whole / local:.0f} times as fast; target {TARGET} times")


def main() -> None:
    """Print every ratio."""
    parser = argparse.ArgumentParser(description="Speed of the work-out after an edit beside the whole work-out.")
    parser.add_argument("--leaks", type=int, default=10_000)
    parser.add_argument("--runs", type=int, default=15)
    given = parser.parse_args()
    drawn = {sheet: Source(name=name, sha256="0" * 64) for sheet, name in DRAWINGS.items()}
    compare("sample job", sample_job(sources=drawn), given.runs)
    job = basement(given.leaks)
    job = replace(job, numbers=Numbers(joint=len(job.joints), leak=len(job.leaks)))
    compare("basement", job, given.runs)
    compare("basement, issued", issued(job, repairs(job)), given.runs)


if __name__ == "__main__":
    main()
