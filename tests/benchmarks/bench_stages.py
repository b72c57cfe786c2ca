"""From one stage to another until the window is painted, beside a step of zoom, which keeps no painted thing either.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_stages.py``, with
``--leaks N`` for another number; on the sample job and on a basement. It prints milliseconds of the processor for the
slowest pairs of stages, and the ratio of all pairs to the zoom. To reach: under 50 ms to the first painted frame.

Turned: until every pane was painted once. Pause: the longest step of the event loop until all is sharp.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from itertools import permutations
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from PySide6.QtWidgets import QApplication

from leakmap.desk.theme import theme
from leakmap.desk.things import Stage
from leakmap.desk.tidying import Tidying
from leakmap.desk.window import MainWindow
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.work.sample_job import sample_job
from tests.benchmarks.bench_theme import timed
from tests.benchmarks.bench_workout import basement
from tests.helpers.windows import window_with

TARGET_MS = 50.0
TIMES = 3


def measure(job: Job, name: str) -> None:
    """All pairs of stages of one job."""
    with TemporaryDirectory() as folder, window_with(job, Path(folder)) as window:
        timed(window, window.update)
        pairs: dict[tuple[Stage, Stage], list[tuple[float, float, float]]] = {}
        for _ in range(TIMES):
            for one, other in permutations(Stage, 2):
                timed(window, going(window, one))
                pairs.setdefault((one, other), []).append(timed(window, going(window, other)))
        plan = window.plan
        cameras = [replace(plan.camera, px_per_m=plan.camera.px_per_m * factor) for factor in (1.1, 1.0) * 4]
        zoom = median(timed(window, lambda camera=camera: plan.look(camera))[0] for camera in cameras)
        say(name, {pair: (median(each[0] for each in found), max(each[1] for each in found))
                   for pair, found in pairs.items()}, zoom)  # fmt: skip


def going(window: MainWindow, stage: Stage) -> Callable[[], object]:
    """The deed of going to a stage."""
    return lambda: window.desk.go_to(stage)


def say(name: str, pairs: dict[tuple[Stage, Stage], tuple[float, float]], zoom: float) -> None:
    """Print what was found of one job."""
    turned, pauses = zip(*pairs.values(), strict=True)
    print(f"{name}: turned {median(turned):.1f} ms, {median(turned) / zoom:.2f} times a zoom; "
          f"slowest {max(turned):.1f} (to reach: {TARGET_MS:.0f}); longest pause {max(pauses):.1f}")  # fmt: skip
    for (one, other), (ms, pause) in sorted(pairs.items(), key=lambda pair: -pair[1][0])[:4]:
        print(f"  {one.title} to {other.title}: {ms:.1f} ms, pause {pause:.1f}")


def main() -> None:
    """Measure both jobs."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--leaks", type=int, default=2000)
    leaks = parser.parse_args().leaks
    app = QApplication([])
    Tidying(app)
    theme().dress(app)
    sample = sample_job(sources={name: Source(name=f"{name}.dxf", sha256="0" * 64) for name in ("B1", "B2")})
    blank = {key: replace(sheet, source=None, lengths=()) for key, sheet in sample.sheets.items()}
    measure(replace(sample, sheets=blank), "sample")
    measure(basement(leaks), f"{leaks} leaks")


if __name__ == "__main__":
    main()
