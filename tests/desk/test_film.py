"""The film of marks: what is painted in parts is what is painted whole, and nothing is waited for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.film import AT_ONCE_S
from leakmap.desk.plan.view import PlanView
from leakmap.desk.things import Stage
from leakmap.model.drawing import IntArray
from leakmap.model.words import Wetness
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.leaks import add_leak, move_leak_ends, remove_leak, set_wetness
from tests.benchmarks.bench_workout import basement
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak, with_line
from tests.helpers.windows import all_painted

ROUNDING = 6  # of 255: where Qt cuts a path at an edge it rounds a few of its pixels otherwise


@pytest.fixture(params=[6.0, 12.0, 30.0, 60.0])
def view(request: pytest.FixtureRequest, qtbot: QtBot, tmp_path: Path) -> Iterator[PlanView]:
    """Four joints with leaks in stage Repair, on a plan of 800 by 600 px, from afar to near."""
    job, first = one_line([(0, 0), (16, 0)])
    job, second = with_line(job, [(4, 0), (4, 9)])
    job, third = with_line(job, [(0, 6), (16, 6), (16, 0)])
    for joint, from_m, to_m, wetness in (
        (first, 2.0, 3.5, Wetness.RUN),
        (first, 9.0, 10.0, Wetness.SEEP),
        (second, 4.0, 6.5, Wetness.JET),
        (third, 11.0, 12.0, Wetness.DRIP),
    ):
        job, _ = with_leak(job, joint, from_m, to_m, wetness)
    with desk_with(job, tmp_path, Stage.REPAIR) as desk:
        plan = PlanView(desk)
        qtbot.addWidget(plan)
        plan.resize(800, 600)
        plan.show()
        plan.look(Camera(px_per_m=request.param, centre=(8.0, 3.0), field=plan.camera.field))
        settled(plan)
        yield plan


def settled(plan: PlanView) -> QImage:
    """The plan when all of it is made and shown."""
    plan.scene.finish()
    plan.scene.changed.emit()
    all_painted(plan)
    return plan.grab().toImage()


def pixels(image: QImage) -> IntArray:
    """The colours of all pixels."""
    plain = image.convertToFormat(QImage.Format.Format_ARGB32)
    return np.frombuffer(plain.constBits(), np.uint8).astype(np.int32)


def apart(one: QImage, other: QImage) -> int:
    """The largest difference of a colour of a pixel, of 255."""
    return int(np.abs(pixels(one) - pixels(other)).max())


def edits(plan: PlanView) -> Iterator[Edit]:
    """Edits one after another, each on the job that the one before left."""
    desk = plan.desk
    for make in (
        lambda job: move_leak_ends(job, leak=leak_named(job, "L-01").id, to_m=4.5),
        lambda job: set_wetness(job, leak=leak_named(job, "L-02").id, wetness=Wetness.JET),
        lambda job: add_leak(job, joint=joint_named(job, "J-03").id, from_m=7.0, to_m=8.0, wetness=Wetness.RUN),
        lambda job: remove_leak(job, leak=leak_named(job, "L-03").id),
    ):
        assert desk.job is not None
        yield make(desk.job)


def test_what_is_painted_in_parts_is_what_is_painted_whole(view: PlanView) -> None:
    """After each edit, and after it is undone, no pixel differs visibly from all of it painted anew."""
    before = settled(view)
    for edit in edits(view):
        view.desk.do(edit)
        parts = settled(view)
        assert apart(parts, before) > 10 * ROUNDING
        view._marks.touch()
        before = settled(view)
        assert apart(before, parts) <= ROUNDING
    view.desk.undo()
    parts = settled(view)
    view._marks.touch()
    assert apart(settled(view), parts) <= ROUNDING


def test_an_edit_paints_its_places_on_the_film_that_is_there(view: PlanView) -> None:
    """A leak that is made wetter needs no new film."""
    assert view.desk.job is not None
    before = view._marks.painted
    view.desk.do(set_wetness(view.desk.job, leak=leak_named(view.desk.job, "L-02").id, wetness=Wetness.DRIP))
    settled(view)
    assert view._marks.painted == before


def test_a_film_is_painted_once(view: PlanView, monkeypatch: pytest.MonkeyPatch) -> None:
    """However often the plan is looked at while the film of another zoom is painted, one is enough."""
    monkeypatch.setattr("leakmap.desk.plan.film.SLICE_S", 0.0)
    before, view._marks._at_once_s = view._marks.painted, 0.0
    view.look(view.camera.zoomed(1.2, view.camera.middle))
    settled(view)
    assert view._marks.painted == before + 1


def test_a_step_of_zoom_waits_for_nothing(qtbot: QtBot, tmp_path: Path) -> None:
    """With 600 leaks seen whole, a step of zoom shows the film that is there, sized, before the new one is painted."""
    with desk_with(basement(600, lines=60), tmp_path, Stage.REPAIR) as desk:
        plan = PlanView(desk)
        qtbot.addWidget(plan)
        plan.resize(800, 600)
        plan.show()
        settled(plan)
        before, start = plan._marks.painted, perf_counter()
        plan.look(plan.camera.zoomed(1.2, plan.camera.middle))
        plan.repaint()
        assert plan._marks.painted == before
        assert perf_counter() - start < 100 * AT_ONCE_S  # a step that waits for all would take longer still
        qtbot.waitUntil(lambda: not plan.scene.busy and not plan.at_work, timeout=20_000)
        assert plan._marks.painted > before
