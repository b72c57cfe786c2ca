"""A job file against a zip of JSON: a full write, opening, and one edit at 10,000 leaks. Prints ratios.

    python tests/benchmarks/job_file.py [LEAKS]

The peer is what a user of the same libraries would write: the job as JSON text in a zip, written whole
through a neighbour at every edit. Both give back the same job.
"""

from __future__ import annotations

import sys
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from leakmap.base.file_names import write_whole  # noqa: E402 - after the path
from leakmap.model.job import Job  # noqa: E402 - after the path
from leakmap.model.leak import Leak  # noqa: E402 - after the path
from leakmap.records.frozen import frozen_text, job_of_frozen  # noqa: E402 - after the path
from leakmap.records.job_file import JobFile, create_job_file  # noqa: E402 - after the path
from tests.helpers.job_files import AT, opened  # noqa: E402 - after the path
from tests.helpers.jobs import job_of, leak, line  # noqa: E402 - after the path


def big_job(leaks: int) -> Job:
    """A job of joints 10 m long with ten leaks each."""
    joints = [line((0, row), (10, row)) for row in range(leaks // 10)]
    marked = [leak(row + 1, n + 0.1, n + 0.7, n % 6) for row in range(leaks // 10) for n in range(10)]
    return job_of(joints, marked)


def edited(job: Job, number: int) -> Job:
    """The job with one leak changed."""
    item: Leak = list(job.leaks.values())[number * 37 % len(job.leaks)]
    return replace(job, leaks={**job.leaks, item.id: replace(item, to_m=item.to_m + 0.01)})


def zipped(path: Path, job: Job) -> None:
    """Write the peer's file."""
    beside = path.with_suffix(".part")
    with zipfile.ZipFile(beside, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("job.json", frozen_text(job))
    write_whole(path, beside.read_bytes())


def unzipped(path: Path) -> Job:
    """Read the peer's file."""
    with zipfile.ZipFile(path) as archive:
        return job_of_frozen(archive.read("job.json").decode())


def seconds(work: Callable[[int], object], times: int) -> float:
    """Median time of a piece of work."""
    taken = []
    for number in range(times):
        start = perf_counter()
        work(number)
        taken.append(perf_counter() - start)
    return median(taken)


def main() -> None:
    """Measure both in one run and print the ratios."""
    leaks = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    job = big_job(leaks)
    with TemporaryDirectory() as folder:
        ours, peer = Path(folder) / "job.gpkg", Path(folder) / "job.zip"
        write = seconds(lambda _: create_job_file(ours, job, user="u", at=AT, replace=True), 5)
        write_peer = seconds(lambda _: zipped(peer, job), 5)
        read = seconds(lambda _: opened(ours, look_only=True).close(), 5)
        read_peer = seconds(lambda _: unzipped(peer), 5)
        assert unzipped(peer) == job
        changes = [job]
        for number in range(40):
            changes.append(edited(changes[-1], number))
        with opened(ours) as file:
            edit = seconds(lambda number: save(file, changes[number + 1]), 40)
        edit_peer = seconds(lambda number: zipped(peer, changes[number + 1]), 5)
        sizes = ours.stat().st_size, peer.stat().st_size
    print(f"{leaks} leaks; how many times faster than a zip of JSON, in one run:")
    for words, one, other in (("full write", write, write_peer), ("open", read, read_peer), ("edit", edit, edit_peer)):
        print(f"  {words:<10} {other / one:7.1f}")
    print(f"  size       {sizes[0] / sizes[1]:7.1f} times as large")


def save(file: JobFile, job: Job) -> None:
    """One edit of ours."""
    file.save(job, words="Moved the end of a leak", user="u", at=AT)


if __name__ == "__main__":
    main()
