"""Another theme on a window with thousands of leaks, beside the plan painted anew for another zoom.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_theme.py``, with
``--leaks N`` for another number. It prints times of the processor and ratios of two ways side by side in one run.

Turned: from the choice until every pane was painted once in the new colours. Pause: the longest step of the event loop
until then. Sharp: until nothing more is being painted. The peer is a step of zoom, which keeps no painted thing either.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import thread_time

from PySide6.QtWidgets import QApplication

from leakmap.desk.theme import theme
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from leakmap.work.settings import Contrast, Theme
from tests.benchmarks.bench_workout import basement
from tests.helpers.windows import window_with

TIMES = 10


def timed(window: MainWindow, deed: Callable[[], object]) -> tuple[float, float, float]:
    """Milliseconds of the processor from a deed until it is painted, of the longest step, and until all is sharp."""
    app, start, steps = QApplication.instance(), thread_time(), []
    assert app is not None
    deed()
    steps.append(thread_time() - start)
    turned = 0.0
    while not turned or window.plan.at_work or window.plan.scene.busy:
        before = thread_time()
        app.processEvents()
        steps.append(thread_time() - before)
        turned = turned or thread_time() - start
    return 1000 * turned, 1000 * max(steps), 1000 * (thread_time() - start)


def main() -> None:
    """Print both ways."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--leaks", type=int, default=2000)
    leaks = parser.parse_args().leaks
    app = QApplication([])
    theme().dress(app)
    with TemporaryDirectory() as folder, window_with(basement(leaks), Path(folder)) as window:
        window.desk.go_to(Stage.REPAIR)
        timed(window, window.update)
        plan = window.plan
        ours, peer = [], []
        for turn in range(TIMES):
            shade, factor = (Theme.LIGHT, 1.1) if turn % 2 else (Theme.DARK, 1 / 1.1)
            ours.append(timed(window, lambda shade=shade: theme().choose(shade, Contrast.NORMAL)))
            nearer = replace(plan.camera, px_per_m=plan.camera.px_per_m * factor)
            peer.append(timed(window, lambda nearer=nearer: plan.look(nearer)))
        print(f"{leaks} leaks, median of {TIMES}")
        for name, one, other in zip(
            ("turned", "pause", "sharp"), zip(*ours, strict=True), zip(*peer, strict=True), strict=True
        ):
            print(f"  {name:<8} {median(one):7.1f} ms, longest {max(one):7.1f}   zoom {median(other):7.1f} ms   "
                  f"{median(one) / median(other):5.2f} times the zoom")  # fmt: skip


if __name__ == "__main__":
    main()
