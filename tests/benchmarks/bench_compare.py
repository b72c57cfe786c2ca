"""Speed of comparing two revisions beside working one of them out; prints ratios side by side.

Run from the top of the working copy: ``python -m tests.benchmarks.bench_compare [--leaks N]``. The old revision is a
basement of so many leaks on one network, frozen as an issue freezes it; in the later one every ninth leak is longer, every
eleventh is gone and every thirteenth is wetter. Times are of the processor, the least of some runs. The peer of each is the
whole work-out of the later job: what a comparison cannot do without, for either side.
"""

from __future__ import annotations

import argparse
import pickle
from collections.abc import Callable
from dataclasses import replace
from time import process_time

from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.records.frozen import frozen_text, job_of_frozen
from leakmap.repair.comparison import comparison
from leakmap.repair.listed_changes import listed_changes
from leakmap.repair.work_out import repairs
from leakmap.work.issuing import numbered
from tests.benchmarks.bench_workout import basement


def later(job: Job) -> Job:
    """The job after some days on site."""
    leaks = {}
    for number, (key, leak) in enumerate(job.leaks.items()):
        if number % 11 == 0:
            continue
        room = min(leak.to_m + 0.4, job.joints[leak.joint].length_m)
        changed = replace(leak, to_m=room) if number % 9 == 0 else leak
        leaks[key] = replace(changed, wetness=Wetness.RUN) if number % 13 == 0 else changed
    return replace(job, leaks=leaks)


def seconds(work: Callable[[], object], runs: int) -> float:
    """Least processor time of some runs."""
    best = float("inf")
    for _ in range(runs):
        start = process_time()
        work()
        best = min(best, process_time() - start)
    return best


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--leaks", type=int, default=10_000)
    parser.add_argument("--runs", type=int, default=3)
    words = parser.parse_args()
    drawn = basement(words.leaks)
    old = numbered(drawn, repairs(drawn))
    new, text = later(old), frozen_text(old)
    before, after = repairs(old), repairs(new)
    packed = pickle.dumps((old, before), pickle.HIGHEST_PROTOCOL)
    peer = seconds(lambda: repairs(new), words.runs)
    print(f"{words.leaks:,} leaks; the peer, one whole work-out: {peer * 1000:.0f} ms")
    for name, work in (
        ("unpack a frozen job", lambda: job_of_frozen(text)),
        ("take it with its work-out from another process", lambda: pickle.loads(packed)),  # noqa: S301 - packed a line above
        ("compare stretches and zones", lambda: comparison(old, before, new, after)),
        ("list joints, leaks and rules", lambda: listed_changes(old, new)),
    ):
        took = seconds(work, words.runs)
        print(f"{name:48}{took * 1000:8.0f} ms   peer / this {peer / took:7.1f}")


if __name__ == "__main__":
    main()
