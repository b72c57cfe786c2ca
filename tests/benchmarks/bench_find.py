"""How long a keystroke in the find box takes, beside looking at every name, and how long the gathering steps are.

    python tests/benchmarks/bench_find.py [LEAKS]

Prints, for several queries on a job of so many joints and leaks, the time of what the box does beside that of a plain
loop over all references, as a ratio in one run, and the share of a frame of 16 ms that it takes. Time is that of
the processor, so that others on the machine do not count.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from dataclasses import replace
from statistics import median
from time import process_time
from uuid import UUID

from leakmap.geometry.path import Path
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.find.finding import find
from leakmap.work.find.folding import folded
from leakmap.work.find.index import Index, Putting
from leakmap.work.find.places import gathering, places_of, what_it_is

FRAME_S = 0.016
TIMES = 15
QUERIES = ("l", "j-0", "z7", "drip", "dirp", "movement joint", "drip b1", "j-77 1.2", "xyzzyx")


def large_job(count: int) -> Job:
    """So many joints of 4 m, 10 m apart, each with a leak."""
    sheet = Sheet(id=UUID(int=1), name="B1")
    kinds, wets = tuple(Kind)[:5], tuple(Wetness)
    joints, leaks = {}, {}
    for number in range(count):
        x, y = 10.0 * (number % 100), 10.0 * (number // 100)
        key = UUID(int=1000 + number)
        joints[key] = Joint(
            id=key,
            ref=f"J-{number + 1:02d}",
            sheet=sheet.id,
            kind=kinds[number % 5],
            face=Face.FLOOR,
            path=Path(((x, y), (x + 4.0, y))),
        )
        leak = UUID(int=1_000_000 + number)
        leaks[leak] = Leak(
            id=leak, ref=f"L-{number + 1:02d}", joint=key, from_m=1.0, to_m=2.0, wetness=wets[number % 6]
        )
    return replace(Job(id=UUID(int=2), name="Large"), sheets={sheet.id: sheet}, joints=joints, leaks=leaks)


def seconds(work: Callable[[], object]) -> float:
    """Median of several runs."""
    taken = []
    for _ in range(TIMES):
        start = process_time()
        work()
        taken.append(process_time() - start)
    return median(taken)


def main(count: int) -> None:
    """Print the ratios."""
    gc.disable()  # as the window does while it is in front
    job = large_job(count)
    found = repairs(job)
    steps, longest, start = gathering(job, found, {}), 0.0, process_time()
    begun = start
    for _ in steps:
        now = process_time()
        longest, begun = max(longest, now - begun), now
    whole = process_time() - start
    places = places_of(job, found, {})
    put = Putting()
    for words in ("Set scale", "Undo", "Draw joint", "Leak stretch"):
        put.put(folded(words), ())
    actions = Index(put)
    print(f"{count:,} joints, {count:,} leaks, {len(found.zones):,} zones; gathered in {whole / FRAME_S:.1f} frames,")
    print(f"longest step {longest / FRAME_S:.2f} frames")
    print("query             plain loop / find    frames a keystroke")
    for query in QUERIES:

        def look(query: str = query) -> object:
            hits = find(query, job, places, actions, level=UUID(int=1), most=7)
            return [what_it_is(job, found, places, place) for place in hits.places]

        def loop(query: str = query) -> object:
            return [place for place in places.each if query in place.title.casefold()]

        taken = seconds(look)
        print(f"{query:<18}{seconds(loop) / taken:10.2f} {taken / FRAME_S:20.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
