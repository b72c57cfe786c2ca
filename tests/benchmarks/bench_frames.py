"""Frames of the plan and of the ledger with thousands of leaks, beside Qt's own scene of the same marks.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_frames.py``, with
``--leaks N`` for another number. It prints ratios of two ways side by side in one run.

The peer is what a user of the same library would write: a ``QGraphicsScene`` with one item for each mark, its path
and pen the very ones that the plan paints, in a smooth ``QGraphicsView`` of the same 1072 by 650 px. It does for a
frame what ours does: a step of zoom, a step of a pan, the mark under the pointer shown otherwise, one mark taken
out and put in again. It works out no zones, sizes no sign anew and keeps no words off each other, so it has less
to do. A frame is from the event until its repaint is over, in time of the processor. Sharp: until everything is made and painted for a new
zoom; the longest pause is that of the event loop meanwhile, and of the processor in it, since on a busy machine the
clock also counts what others do.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter, thread_time

from PySide6.QtCore import Qt
from PySide6.QtGui import QBrush, QPainter, QPen
from PySide6.QtWidgets import QApplication, QGraphicsPathItem, QGraphicsScene, QGraphicsView

from leakmap.desk.ledger.pane import LedgerPane
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.ink import pen_of, tones
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tidying import Tidying
from leakmap.geometry.path import Point
from leakmap.model.job import Job, Numbers
from leakmap.records.job_file import create_job_file
from leakmap.work.edits.leaks import move_leak_ends
from leakmap.work.open_job import Hand, opened
from tests.benchmarks.bench_hover import AT, hover
from tests.benchmarks.bench_workout import basement

FRAME_MS = 1000 / 60
STEP = 2**0.25


def milliseconds(works: Iterator[Callable[[], object]]) -> tuple[float, float]:
    """Median and longest time of the processor for some works, each done once."""
    found = []
    for work in works:
        start = thread_time()
        work()
        found.append(1000 * (thread_time() - start))
    return median(found), max(found)


def say(name: str, ours: tuple[float, float], peer: tuple[float, float] | None = None) -> None:
    """One row."""
    times = f"   peer {peer[0]:8.1f} ms   {peer[0] / ours[0]:6.1f} times ours" if peer else ""
    print(f"  {name:<26} {ours[0]:7.1f} ms, longest {ours[1]:6.1f} ms{times}", flush=True)


class Peer:
    """The same marks in Qt's own scene."""

    def __init__(self, plan: PlanView) -> None:
        self.scene = QGraphicsScene()
        inks, px_per_mm = tones(), plan.scene.detail.px_per_mm
        self.items: list[QGraphicsPathItem] = []
        for (coat, _, fill, pen), path in plan.scene.looks((-1e6, -1e6, 1e6, 1e6), frozenset()):
            item = QGraphicsPathItem(path)
            item.setPen(QPen(Qt.PenStyle.NoPen) if pen is None else _cosmetic(pen_of(pen, px_per_mm, inks)))
            item.setBrush(QBrush(Qt.BrushStyle.NoBrush) if fill is None else QBrush(inks[fill]))
            item.setZValue(float(coat))
            self.scene.addItem(item)
            self.items.append(item)
        self.view = QGraphicsView(self.scene)
        self.view.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.view.setFixedSize(1072, 650)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.show()
        QApplication.processEvents()
        self._lit: QGraphicsPathItem | None = None

    def look(self, camera: Camera) -> None:
        """Show what a camera shows."""
        self.view.resetTransform()
        self.view.scale(camera.px_per_m, -camera.px_per_m)
        self.view.centerOn(*camera.centre)
        self._paint()

    def pan(self, right: int, down: int) -> None:
        """Move the paper."""
        for bar, step in ((self.view.horizontalScrollBar(), right), (self.view.verticalScrollBar(), down)):
            bar.setValue(bar.value() - step)
        self._paint()

    def hover(self, site: Point) -> None:
        """Show the mark under the pointer otherwise."""
        if self._lit is not None:
            self._lit.setOpacity(1.0)
        at = self.view.mapFromScene(*site)
        found = self.view.items(at.x() - 10, at.y() - 10, 20, 20)
        self._lit = found[0] if found else None
        if self._lit is not None:
            self._lit.setOpacity(0.5)
        self._paint()

    def deed(self, number: int) -> None:
        """Take a mark out and put it in again."""
        item = self.items[number]
        self.scene.removeItem(item)
        self.scene.addItem(item)
        self._paint()

    def _paint(self) -> None:
        self.view.viewport().repaint()


def _cosmetic(pen: QPen) -> QPen:
    pen.setCosmetic(True)
    return pen


def zooms(camera: Camera) -> list[Camera]:
    """Steps of the wheel, nearer and back."""
    return [camera.zoomed(STEP**turn, camera.middle) for turn in (1, 2, 3, 2, 1, 0)]


def places(camera: Camera) -> list[Point]:
    """Places all over what a camera sees."""
    x0, y0, x1, y1 = camera.shown
    return [(x0 + (x1 - x0) * k / 24, y0 + (y1 - y0) * (k * 7 % 24) / 24) for k in range(1, 24)]


def settle(plan: PlanView) -> tuple[float, float, float]:
    """Let everything be made and painted; seconds until then, and the longest pause on the clock and of work, ms."""
    start = perf_counter()
    worst = most = 0.0
    while plan.scene.busy or plan.at_work:
        begin, worked = perf_counter(), thread_time()
        QApplication.processEvents()
        worst, most = max(worst, perf_counter() - begin), max(most, thread_time() - worked)
    return perf_counter() - start, 1000 * worst, 1000 * most


def compare(plan: PlanView, camera: Camera) -> None:
    """Frames of the plan from one camera."""
    desk = plan.desk
    plan.look(camera)
    settle(plan)
    peer = Peer(plan)
    peer.look(camera)
    print(f"{len(peer.items):,} marks seen at {camera.px_per_m:.0f} px a metre", flush=True)

    def look(to: Camera) -> None:
        plan.look(to)
        plan.repaint()

    ours = milliseconds(lambda to=to: look(to) for to in zooms(camera))  # type: ignore[misc] # the default binds each
    say("zoom step", ours, milliseconds(lambda to=to: peer.look(to) for to in zooms(camera)))  # type: ignore[misc]
    sharp = settle(plan)
    print(f"  sharp after {1000 * sharp[0]:.0f} ms; longest pause {sharp[1]:.0f} ms, {sharp[2]:.0f} ms of it work")
    ours = milliseconds(lambda k=k: look(camera.panned(12 * k, 7 * k)) for k in range(24))  # type: ignore[misc]
    settle(plan)
    say("pan step", ours, milliseconds(lambda: peer.pan(12, 7) for _ in range(24)))
    look(camera)
    settle(plan)
    peer.look(camera)
    ours = milliseconds(lambda at=at: hover(plan, at) for at in places(camera))  # type: ignore[misc]
    say("hover to marked", ours, milliseconds(lambda at=at: peer.hover(at) for at in places(camera)))  # type: ignore[misc]
    peer_deed = milliseconds(lambda k=k: peer.deed(k) for k in range(0, 1200, 100))  # type: ignore[misc]
    say("drag of a leak's end", milliseconds(_dragged(plan)), peer_deed)
    desk.show(None)
    settle(plan)
    say("one deed to painted", milliseconds(_done(plan)), peer_deed)
    settle(plan)
    peer.view.close()


def _leaks(plan: PlanView, camera: Camera) -> list[tuple[object, float, float]]:
    """Stretches that a camera sees."""
    x0, y0, x1, y1 = camera.shown
    found = []
    assert plan.desk.job is not None
    for leak in plan.desk.job.leaks.values():
        drawn = plan.scene.level.of(Thing(Sort.LEAK, leak.id))
        if drawn and leak.to_m - leak.from_m > 0.15 and x0 < drawn.box[0] < x1 and y0 < drawn.box[1] < y1:
            found.append((leak.id, leak.from_m, leak.to_m))
    return found


def _dragged(plan: PlanView) -> Iterator[Callable[[], None]]:
    assert plan.desk.job is not None
    leak, from_m, to_m = _leaks(plan, plan.camera)[0]
    job = plan.desk.job

    def drag(to: float) -> None:
        plan.desk.show(move_leak_ends(job, leak=leak, to_m=to))  # type: ignore[arg-type] # an id
        plan.repaint()

    for step in range(12):
        yield lambda to=from_m + (to_m - from_m) * (0.4 + step / 40): drag(to)  # type: ignore[misc]


def _done(plan: PlanView) -> Iterator[Callable[[], None]]:
    def do(leak: object, to: float) -> None:
        assert plan.desk.job is not None
        plan.desk.do(move_leak_ends(plan.desk.job, leak=leak, to_m=to))  # type: ignore[arg-type] # an id
        plan.repaint()

    for leak, from_m, to_m in _leaks(plan, plan.camera)[1:13]:
        yield lambda leak=leak, to=(from_m + to_m) / 2: do(leak, to)  # type: ignore[misc]


def ledger(desk: Desk) -> None:
    """The ledger of leaks and of zones beside the plan: a deed followed, something pointed at, something picked."""
    pane = LedgerPane(desk)
    pane.resize(436, 900)
    pane.show()
    for stage in (Stage.LEAKS, Stage.REPAIR):
        desk.go_to(stage)
        QApplication.processEvents()
        assert desk.job is not None
        leaks = [leak for leak in desk.job.leaks.values() if leak.to_m - leak.from_m > 0.1][20:32]
        things = [entry.thing for entry in pane.model.entries[5:29] if entry.thing is not None]

        def do(leak: object, to: float) -> None:
            assert desk.job is not None
            desk.do(move_leak_ends(desk.job, leak=leak, to_m=to))  # type: ignore[arg-type] # an id
            pane.table.viewport().repaint()

        def point(thing: Thing) -> None:
            desk.point_at(thing)
            pane.table.viewport().repaint()

        def pick(thing: Thing) -> None:
            desk.pick(thing)
            pane.table.viewport().repaint()

        print(f"ledger of {len(pane.model.entries):,} rows in stage {stage.title}")
        say(
            "one deed to painted",
            milliseconds(lambda leak=leak: do(leak.id, (leak.from_m + leak.to_m) / 2) for leak in leaks),
        )  # type: ignore[misc]
        say("pointed at", milliseconds(lambda thing=thing: point(thing) for thing in things))  # type: ignore[misc]
        say("picked", milliseconds(lambda thing=thing: pick(thing) for thing in things))  # type: ignore[misc]
    pane.close()


def main() -> None:
    """Measure a basement seen whole, and near."""
    words = argparse.ArgumentParser()
    words.add_argument("--leaks", type=int, default=2000)
    words.add_argument("--pitch", type=float, default=1.2, help="metres between joints; 100 each way")
    chosen = words.parse_args()
    app = QApplication([])
    Tidying(app)  # as the program does
    made: Job = basement(chosen.leaks, pitch_m=chosen.pitch)
    job = replace(made, numbers=Numbers(joint=10_000, leak=100_000, zone=100_000))
    with TemporaryDirectory() as folder:
        path = Path(folder) / "basement.gpkg"
        create_job_file(path, job, user="ann", at=AT, sources=())
        open_job = opened(path, Hand(user="ann", host="site", clock=lambda: AT))
        desk = Desk()
        desk.put(open_job)
        desk.go_to(Stage.REPAIR)
        plan = PlanView(desk)
        plan.resize(1072, 650)
        plan.show()
        QApplication.processEvents()
        whole = plan.camera
        for camera in (whole, replace(whole, px_per_m=11.0), replace(whole, px_per_m=60.0)):
            compare(plan, camera)
        plan.close()
        ledger(desk)
        desk.put(None)
        open_job.close()
    app.quit()


if __name__ == "__main__":
    main()
