"""How fast the plan follows the hand; prints milliseconds and ratios to one frame side by side.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_hover.py``.
Hover to mark: the pointer moves, the thing under it is found, the desk told, and the plan painted. First hover
after a change: at rest, when what can be hit was gathered in slices, and at once, when it gathers that itself. Repaint: the marks' film painted anew. Zoom: everything made for
another zoom, references placed, and painted. Drag: one end of a leak moved, shown on the plan with its metres.
The sample job and a basement of 2,000 leaks, seen whole and near, on a plan of 1072 by 650 px.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.geometry.path import Point
from leakmap.model.job import Job, Numbers
from leakmap.model.sheet import Source
from leakmap.records.job_file import create_job_file
from leakmap.work.edits.leaks import move_leak_ends
from leakmap.work.open_job import Hand, opened
from leakmap.work.sample_job import sample_job
from tests.benchmarks.bench_workout import basement

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
FRAME_MS = 1000 / 60


def milliseconds(work: Callable[[], object], runs: int = 15) -> float:
    """Median time of some runs."""
    found = []
    for _ in range(runs):
        start = perf_counter()
        work()
        found.append(1000 * (perf_counter() - start))
    return median(found)


def say(name: str, took_ms: float) -> None:
    """One row."""
    print(f"  {name:<36} {took_ms:8.2f} ms   {took_ms / FRAME_MS:6.2f} frames")


def hover(view: PlanView, site: Point) -> None:
    """Move the pointer there and paint."""
    where = QPointF(*view.camera.to_screen(site))
    none = Qt.MouseButton.NoButton
    QApplication.sendEvent(
        view, QMouseEvent(QEvent.Type.MouseMove, where, where, none, none, Qt.KeyboardModifier.NoModifier)
    )
    view.repaint()


def measure(job: Job, name: str, folder: Path, sheet_name: str) -> None:
    """All rows of one job."""
    path = folder / f"{name}.gpkg"
    create_job_file(path, job, user="ann", at=AT, sources=())
    open_job = opened(path, Hand(user="ann", host="site", clock=lambda: AT))
    desk = Desk()
    desk.put(open_job)
    desk.show_level(next(sheet.id for sheet in job.sheets.values() if sheet.name == sheet_name))
    desk.go_to(Stage.REPAIR)
    view = PlanView(desk)
    view.resize(1072, 650)
    view.show()
    QApplication.processEvents()
    whole = view.camera
    middle = whole.centre
    near = Camera(px_per_m=60.0, centre=middle, field=whole.field)
    for where, camera in (("whole", whole), ("60 px/m", near)):
        print(f"{name}, {len(job.leaks)} leaks, {where} ({camera.px_per_m:.0f} px/m)")
        view.look(camera)
        view.scene.finish()
        view.scene.changed.emit()  # so that the next repaint shows all of it
        view.repaint()
        rows(view, camera)
    view.look(whole)
    change_rows(view, middle)
    drag_rows(view)
    view.close()
    desk.put(None)
    open_job.close()


def rows(view: PlanView, camera: Camera) -> None:
    """Hover, pan, repaint and zoom from where the plan is."""
    x0, y0, x1, y1 = camera.shown
    places = [(x0 + (x1 - x0) * k / 16, y0 + (y1 - y0) * (k * 7 % 16) / 16) for k in range(1, 16)]
    first = perf_counter()
    hover(view, places[0])
    say("first hover (gathers)", 1000 * (perf_counter() - first))
    spots = iter(places * 4)
    say("hover to mark", milliseconds(lambda: hover(view, next(spots))))

    def pan() -> None:
        view.look(view.camera.panned(3, 2))
        view.repaint()

    say("pan by 3 px", milliseconds(pan))
    view.look(camera)

    def repaint() -> None:
        view._marks.finish(view.camera, 1.0)
        view.repaint()

    say("repaint of all marks", milliseconds(repaint))
    factors = [1.19, 1 / 1.19] * 4
    turns = iter(factors)

    def zoom() -> None:
        view.look(view.camera.zoomed(next(turns), view.camera.middle))
        view.repaint()

    say("zoom, next frame", milliseconds(zoom, len(factors)))

    def zoom_all() -> None:
        zoom()
        view.scene.finish()
        view.repaint()

    turns = iter(factors)
    say("zoom, all of it made", milliseconds(zoom_all, 4))
    view.look(camera)
    view.scene.finish()


def change_rows(view: PlanView, spot: Point) -> None:
    """First hover after one leak became shorter."""
    desk = view.desk
    assert desk.job is not None
    long = [leak for leak in desk.job.leaks.values() if leak.to_m > leak.from_m and desk.job.joints[leak.joint].path]
    for words, turns in (("first hover after a change, at rest", 200), ("first hover after a change, at once", 0)):
        took = []
        for leak in (long * 9)[:9]:
            at_m = desk.job.leaks[leak.id].to_m
            desk.do(move_leak_ends(desk.job, leak=leak.id, to_m=leak.from_m + 0.9 * (at_m - leak.from_m)))
            view.repaint()
            for _ in range(turns):
                QApplication.processEvents()
            start = perf_counter()
            hover(view, spot)
            took.append(1000 * (perf_counter() - start))
            view.scene.finish()
        say(words, median(took))


def drag_rows(view: PlanView) -> None:
    """One end of a leak dragged, as a tool shows it."""
    desk = view.desk
    assert desk.job is not None
    job = desk.job
    leak = next(leak for leak in job.leaks.values() if leak.to_m > leak.from_m and job.joints[leak.joint].path)
    steps = iter(leak.from_m + (leak.to_m - leak.from_m) * (0.5 + k / 40) for k in range(1, 20))

    def drag() -> None:
        desk.show(move_leak_ends(job, leak=leak.id, to_m=next(steps)))
        view.repaint()

    say("drag: work out, marks, paint", milliseconds(drag, 12))
    desk.show(None)


def main() -> None:
    """Measure both jobs."""
    words = argparse.ArgumentParser()
    words.add_argument("--leaks", type=int, default=2000)
    chosen = words.parse_args()
    app = QApplication([])
    sample = sample_job(sources={name: Source(name=f"{name}.dxf", sha256="0" * 64) for name in ("B1", "B2")})
    blank = {key: replace(sheet, source=None, lengths=()) for key, sheet in sample.sheets.items()}
    with TemporaryDirectory() as folder:
        measure(replace(sample, sheets=blank), "sample", Path(folder), "B2")
        large = basement(chosen.leaks)
        large = replace(large, numbers=Numbers(joint=10_000, leak=100_000, zone=100_000))
        measure(large, "basement", Path(folder), next(iter(large.sheets.values())).name)
    app.quit()


if __name__ == "__main__":
    main()
