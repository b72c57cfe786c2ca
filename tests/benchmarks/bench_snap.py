"""How long catching takes among a million segments, beside looking at every one of them.

Run: python tests/benchmarks/bench_snap.py [segments]. Prints times of the index and of plain numpy over all
segments, in one run, and their ratio; processor time, so that other work on the machine does not count.
"""

from __future__ import annotations

import sys
from time import thread_time

import numpy as np

from leakmap.work.snap_drawing import DrawingPlaces, caught_on_drawing, places_of_polylines
from leakmap.work.snap_lines import feet_on

RADIUS_M = 0.4
"""14 px at 35 px/m."""


def plan_like(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Short strokes over a site of 200 m by 200 m, two to nine pieces each, and a few lines right across it."""
    random = np.random.default_rng(7)
    sizes = random.integers(3, 10, count // 5)
    steps = random.normal(0, 0.35, (int(sizes.sum()), 2))
    stroke = np.repeat(np.arange(len(sizes)), sizes)
    starts = np.cumsum(sizes) - sizes
    steps[starts] = random.uniform(0, 200, (len(sizes), 2))
    walked = np.cumsum(steps, axis=0)
    xy = walked - (walked[starts] - steps[starts])[stroke]
    long = random.uniform(0, 200, (40, 2))
    return np.concatenate((xy, long)), np.concatenate((stroke, len(sizes) + np.repeat(np.arange(20), 2)))


def brute(places: DrawingPlaces, at: tuple[float, float]) -> float:
    """Distance to the nearest line by looking at all of them."""
    foot = feet_on(places.lines.start, places.lines.end, at)
    return float(np.hypot(*(foot - at).T).min())


def main() -> None:
    """Time both ways and print ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    xy, stroke = plan_like(count)
    before = thread_time()
    places = places_of_polylines(xy, stroke)
    print(f"{len(places.lines.start):,} segments, gathered in {thread_time() - before:.2f} s")
    points = [tuple(point) for point in np.random.default_rng(8).uniform(0, 200, (3000, 2)).tolist()]
    times = []
    for point in points:
        before = thread_time()
        caught_on_drawing(places, point, RADIUS_M)
        times.append(thread_time() - before)
    times.sort()
    slow = []
    for point in points[:15]:
        before = thread_time()
        nearest = brute(places, point)
        slow.append(thread_time() - before)
        assert (nearest <= RADIUS_M) == (caught_on_drawing(places, point, RADIUS_M).line is not None)
    middle, worst, every = np.median(times), times[int(0.99 * len(times))], float(np.median(slow))
    print(f"index: median {middle * 1e3:.3f} ms, p99 {worst * 1e3:.3f} ms; every segment: {every * 1e3:.1f} ms")
    print(f"ratio: {every / middle:.0f} (median), {every / worst:.0f} (p99)")


if __name__ == "__main__":
    main()
