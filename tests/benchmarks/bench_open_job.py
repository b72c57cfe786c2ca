"""One deed on the sample job, at once on disk: what it takes, and which part of it is the disk. Prints figures side by side.

    python tests/benchmarks/bench_open_job.py

The same deeds are done on a file in a folder and on one whose disk is taken away (SQLite does not wait
for it and keeps its journal in memory), in turns, in one run.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory
from time import perf_counter

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from leakmap.work.edits.leaks import move_leak_ends  # noqa: E402 - after the path
from leakmap.work.open_job import OpenJob, opened  # noqa: E402 - after the path
from leakmap.work.sample_file import make_sample_file  # noqa: E402 - after the path
from tests.helpers.open_jobs import MORNING, hand  # noqa: E402 - after the path

TIMES = 60


def moved(job: OpenJob, number: int) -> None:
    """Move the end of a leak by a centimetre."""
    leak = list(job.job.leaks.values())[number % len(job.job.leaks)]
    job.do(move_leak_ends(job.job, leak=leak.id, from_m=max(0.0, leak.from_m - 0.01)))


def milliseconds(work: Callable[[int], object]) -> tuple[float, float]:
    """Median and 95th percentile of a piece of work."""
    taken = []
    for number in range(TIMES):
        start = perf_counter()
        work(number)
        taken.append((perf_counter() - start) * 1000)
    return median(taken), quantiles(taken, n=20)[-1]


def main() -> None:
    """Measure and print."""
    with TemporaryDirectory() as folder:
        paths = [Path(folder) / name for name in ("disk.gpkg", "none.gpkg")]
        for path in paths:
            make_sample_file(path, user="A. Rook", at=MORNING)
        start = perf_counter()
        disk = opened(paths[0], hand())
        print(f"open, worked out       {(perf_counter() - start) * 1000:8.1f} ms")
        none = opened(paths[1], hand())
        for pragma in ("synchronous = OFF", "journal_mode = MEMORY"):
            none.file._connection.execute(f"PRAGMA {pragma}")
        for words, job in (("deed, with the disk", disk), ("deed, without the disk", none)):
            print(
                "{:<22} {:8.1f} ms, 95 % within {:.1f} ms".format(
                    words, *milliseconds(lambda n, job=job: moved(job, n))
                )
            )
        print(
            "{:<22} {:8.1f} ms, 95 % within {:.1f} ms".format(
                "undo and redo", *milliseconds(lambda _: (disk.undo(), disk.redo()))
            )
        )
        disk.close()
        none.close()
        again = opened(paths[0], hand())
        start = perf_counter()
        assert again.undo_words
        print(f"first look at the past {(perf_counter() - start) * 1000:8.1f} ms")
        again.close()


if __name__ == "__main__":
    main()
