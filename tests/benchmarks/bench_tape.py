"""How fast the tape follows the hand; prints milliseconds and their ratio to one frame.

Run from the top of the working copy: ``QT_QPA_PLATFORM=offscreen python tests/benchmarks/bench_tape.py``.
Plan to tape: the pointer moves on the plan, the thing under it is found, the desk told, and plan and tape are painted.
Tape to plan: the same from the tape. Zoom, pan: the tape shown otherwise and painted. Drag: an end of a leak moved, worked
out, and made anew on plan and tape. Another joint: one picked, laid out and painted. A basement of 2,000 leaks, of which the
joint with most lies on the tape, and the same with all 2,000 on one joint.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime
from itertools import cycle
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID, uuid4

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.tape.pane import TapePane
from leakmap.desk.tape.view import TapeView
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.model.job import Job, Numbers
from leakmap.model.leak import Leak
from leakmap.model.words import Kind, Wetness
from leakmap.records.job_file import create_job_file
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.leaks import move_leak_ends
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.open_job import Hand, opened
from tests.benchmarks.bench_hover import hover, milliseconds, say
from tests.benchmarks.bench_workout import basement

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)


def one_long_joint(leaks: int) -> Job:
    """A joint with so many leaks, 1 m of each 3 m."""
    edit = add_sheet(Job(id=uuid4(), name="Long"), name="B1")
    edit = draw_joint(edit.job, sheet=edit.made[0], kind=Kind.CONSTRUCTION, points=((0, 0), (3.0 * leaks, 0.0)))
    joint, wet = edit.made[0], {}
    for number in range(leaks):
        key = uuid4()
        wet[key] = Leak(
            id=key, ref=f"L-{number}", joint=joint, from_m=3.0 * number + 0.5, to_m=3.0 * number + 1.5,
            wetness=Wetness(number % 6),
        )  # fmt: skip
    return replace(edit.job, leaks=wet, numbers=Numbers(joint=10, leak=100_000, zone=100_000))


def busiest(job: Job) -> UUID:
    """The joint with most leaks."""
    return Counter(leak.joint for leak in job.leaks.values()).most_common(1)[0][0]


def over(view: TapeView, x: float, y: float) -> None:
    """Move the pointer over the tape."""
    where, none = QPointF(x, y), Qt.MouseButton.NoButton
    move = QMouseEvent(QEvent.Type.MouseMove, where, where, none, none, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(view, move)


def measure(job: Job, name: str, folder: Path) -> None:
    """All rows of one job."""
    path = folder / f"{name}.gpkg"
    create_job_file(path, job, user="ann", at=AT, sources=())
    open_job = opened(path, Hand(user="ann", host="site", clock=lambda: AT))
    desk = Desk()
    desk.put(open_job)
    joint = job.joints[busiest(job)]
    desk.show_level(joint.sheet)
    desk.go_to(Stage.REPAIR)
    plan, pane = PlanView(desk), TapePane(desk)
    plan.resize(1072, 650)
    pane.resize(1164, 184)
    plan.show()
    pane.show()
    desk.pick(Thing(Sort.JOINT, joint.id))
    QApplication.processEvents()
    plan.scene.finish()
    plan.scene.changed.emit()
    plan.repaint()
    on_it = sum(leak.joint == joint.id for leak in job.leaks.values())
    print(f"{name}, {len(job.leaks)} leaks, {on_it} on the joint of {joint.length_m:.0f} m on the tape")
    rows(desk, plan, pane)
    desk.put(None)
    open_job.close()


def rows(desk: Desk, plan: PlanView, pane: TapePane) -> None:
    """Each way that the hand meets the tape."""
    view = pane.view
    job, shown = desk.job, view.shown
    assert job is not None
    assert shown is not None
    assert shown.layout.joint.path is not None
    length_m, path = shown.layout.joint.length_m, shown.layout.joint.path
    spots = cycle([path.point_at(length_m * (k % 37 + 0.5) / 38) for k in range(37)])

    def from_plan() -> None:
        hover(plan, next(spots))
        view.repaint()

    say("on the plan alone", milliseconds(lambda: hover(plan, next(spots))))
    say("plan to tape", milliseconds(from_plan))
    say("the tape alone", milliseconds(view.repaint))
    places = iter([(24.0 + 23 * k, 50.0 if k % 2 else 126.0) for k in range(40)])

    def from_tape() -> None:
        over(view, *next(places))
        view.repaint()
        plan.repaint()

    say("tape to plan", milliseconds(from_tape))
    look_rows(desk, view)
    leak = next(leak for leak in job.leaks.values() if leak.joint == shown.layout.joint.id and leak.to_m > leak.from_m)
    steps = iter(leak.from_m + (leak.to_m - leak.from_m) * (0.5 + k / 60) for k in range(1, 30))

    def drag() -> None:
        desk.show(move_leak_ends(job, leak=leak.id, to_m=next(steps)))

    def lay_out() -> None:
        view._layout = view._shown = None
        view.repaint()

    say("drag, shown to plan and tape", milliseconds(drag, 12))
    say("laid out and painted again", milliseconds(lay_out, 12))
    desk.show(None)


def look_rows(desk: Desk, view: TapeView) -> None:
    """Zoom, pan, and another joint."""
    turns = iter([1.19, 1 / 1.19] * 10)

    def zoom() -> None:
        assert view.reel is not None
        view.hand.look(view.reel.zoomed(next(turns), 500.0))
        view.repaint()

    say("zoom", milliseconds(zoom))

    def pan() -> None:
        assert view.reel is not None
        view.look(view.reel.panned(-3.0))
        view.repaint()

    for _ in range(12):
        assert view.reel is not None
        view.look(view.reel.zoomed(1.19, 500.0))
    say("pan by 3 px, zoomed in", milliseconds(pan))
    view.fit()
    assert desk.job is not None
    joints = iter(list(desk.job.joints) * 20)

    def another() -> None:
        desk.pick(Thing(Sort.JOINT, next(joints)))
        view.repaint()

    here = desk.picked
    say("another joint", milliseconds(another))
    desk.pick(*here)


def main() -> None:
    """Measure both jobs."""
    words = argparse.ArgumentParser()
    words.add_argument("--leaks", type=int, default=2000)
    chosen = words.parse_args()
    app = QApplication([])
    with TemporaryDirectory() as folder:
        large = replace(basement(chosen.leaks), numbers=Numbers(joint=10_000, leak=100_000, zone=100_000))
        measure(large, "basement", Path(folder))
        measure(one_long_joint(chosen.leaks), "one joint", Path(folder))
    app.quit()


if __name__ == "__main__":
    main()
