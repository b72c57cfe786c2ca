"""How long the window stands still while it shows what changed since a revision: choosing it, an edit, stage Issue.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python -m tests.benchmarks.bench_since [--leaks N]``.
It drives the real window on a basement that was issued twice and worked on since. For each step it prints the longest
turn of the event loop until the changes are found, and from then until they are drawn, in milliseconds of the processor
and on the clock. To reach: 100 ms.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter, thread_time

from PySide6.QtWidgets import QApplication

from leakmap.desk.theme import theme
from leakmap.desk.things import Stage
from leakmap.desk.tidying import Tidying
from leakmap.desk.window import MainWindow
from leakmap.model.job import Numbers
from leakmap.model.words import Purpose
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.leaks import move_leak_ends
from tests.benchmarks.bench_compare import later
from tests.benchmarks.bench_workout import basement
from tests.helpers.bare_issues import bare_issue
from tests.helpers.windows import window_with

MOST_MS = 100.0
PATIENCE_S = 120.0
QUIET = 30


class Timed:
    """A window on a job, whose turns are timed.

    Args:
        app: The application.
        window: The window.
    """

    def __init__(self, app: QApplication, window: MainWindow) -> None:
        self.app, self.window, self.desk = app, window, window.desk

    def step(self, name: str, do: Callable[[], object], found: Callable[[], bool]) -> None:
        """Do something; print the longest turns until it is found, and from then until all is drawn."""
        start, worked = perf_counter(), thread_time()
        do()
        first = perf_counter() - start, thread_time() - worked
        until_found = tuple(map(max, first, self._turn(found, 1)))
        drawn = self._turn(lambda: found() and not self.window.plan.scene.busy, QUIET)
        told = "".join(
            f"   {words} {1000 * work:6.0f} ms ({1000 * turn:.0f} on the clock){' <--' if 1000 * work > MOST_MS else ''}"
            for words, (turn, work) in (("found", until_found), ("drawn", drawn))
        )
        print(f"  {name:<28}{told}", flush=True)

    def _turn(self, until: Callable[[], bool], quiet: int) -> tuple[float, float]:
        worst, most, begun, still = 0.0, 0.0, perf_counter(), 0
        while still < quiet:
            start, worked = perf_counter(), thread_time()
            self.app.processEvents()
            worst, most = max(worst, perf_counter() - start), max(most, thread_time() - worked)
            still = still + 1 if until() else 0
            assert perf_counter() - begun < PATIENCE_S, "it never came to its end"
        return worst, most


def measure(app: QApplication, leaks: int) -> None:
    """All steps on one job."""
    job = basement(leaks)
    job = replace(job, numbers=Numbers(joint=len(job.joints), leak=leaks))
    with TemporaryDirectory() as folder, window_with(job, Path(folder)) as window:
        desk, timed = window.desk, Timed(app, window)
        assert desk.open_job is not None
        bare_issue(desk.open_job, Purpose.PRICE, Path(folder))
        bare_issue(desk.open_job, Purpose.WORK, Path(folder))
        for stage in (Stage.REPAIR, Stage.ISSUE, Stage.REPAIR):
            desk.go_to(stage)
            timed._turn(lambda: not window.plan.scene.busy, QUIET)
        _work(timed)


def _work(timed: Timed) -> None:
    desk, since = timed.desk, timed.desk.since
    assert desk.job is not None
    first, last = desk.job.revisions

    def found(revision: object) -> Callable[[], bool]:
        return lambda: since.found(revision) is not None and since.found(revision).new is desk.job  # type: ignore[arg-type, union-attr] # ids

    def worked_on() -> None:
        before, after = desk.job, later(desk.job) if desk.job is not None else None
        assert before is not None
        assert after is not None
        rows = ((key, leak) for key, leak in before.leaks.items() if after.leaks.get(key) != leak)
        desk.do(Edit(job=after, changed=frozenset(("leaks", key) for key, _ in rows), words="work on site"))

    def edit(number: int) -> None:
        assert desk.open_job is not None
        job = desk.open_job.job
        leak = next(each for each in list(job.leaks.values())[number:] if each.to_m - each.from_m > 0.2)
        desk.do(move_leak_ends(job, leak=leak.id, to_m=leak.to_m - 0.05))

    print(f"{len(desk.job.leaks):,} leaks, {len(desk.job.joints):,} joints")
    worked_on()
    timed._turn(lambda: not timed.window.plan.scene.busy, QUIET)
    timed.step("choose a revision", lambda: since.choose(first), found(first))
    for number in (100, 200, 300):
        timed.step("an edit", lambda number=number: edit(number), found(first))  # type: ignore[misc] # a default keeps the value of each turn
    timed.step("choose none", lambda: since.choose(None), lambda: True)
    timed.step("choose it again", lambda: since.choose(first), found(first))
    timed.step("choose none", lambda: since.choose(None), lambda: True)
    timed.step("stage Issue, nothing chosen", lambda: desk.go_to(Stage.ISSUE), lambda: True)
    timed.step("an edit there", lambda: edit(400), lambda: True)
    timed.step("a revision for work", lambda: desk.begin_revision(Purpose.WORK), lambda: True)
    timed.step("the last one is chosen", lambda: since.choose(last), found(last))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--leaks", type=int, nargs="*", default=[2_500, 10_000])
    app = QApplication([])
    Tidying(app)
    theme().dress(app)
    for leaks in parser.parse_args().leaks:
        measure(app, leaks)


if __name__ == "__main__":
    main()
