"""Work that Esc stops, in a thread or in slices: the window goes on, and there is exactly one end."""

from __future__ import annotations

import threading
from collections.abc import Generator

from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from leakmap.base.errors import EditRefused
from leakmap.base.progress import Progress
from leakmap.desk.aside import WatchedAside
from leakmap.desk.band import Band
from leakmap.desk.slices import Slices
from leakmap.desk.state import Desk
from leakmap.desk.watched import Watched


def ends_of(work: Watched) -> list[str]:
    """Names of the ends that a work comes to from now on."""
    ends: list[str] = []
    work.finished.connect(lambda outcome: ends.append(f"finished {outcome}"))
    work.failed.connect(lambda sentence: ends.append(f"failed {sentence}"))
    work.stopped.connect(lambda: ends.append("stopped"))
    return ends


def counting(parts: int) -> Generator[int, None, str]:
    """Work in steps of no length."""
    yield from range(parts)
    return "all"


def refused() -> Generator[int, None, str]:
    """Work that comes to nothing at its first step."""
    yield 0
    raise EditRefused("Not so.")


def test_slices_come_to_one_end(qtbot: QtBot) -> None:
    """What comes out is told once, a refusal as its sentence; a stop takes effect at once and nothing comes after it."""
    owner = QObject()
    works = [Slices("Counting", 5, steps, owner) for steps in (counting(5), refused(), counting(5))]
    ends = [ends_of(work) for work in works]
    assert all(work.running for work in works)
    works[2].stop()
    assert ends == [[], [], ["stopped"]]
    qtbot.waitUntil(lambda: ends[0] == ["finished all"] and ends[1] == ["failed Not so."])
    assert ends[2] == ["stopped"]
    assert not any(work.running for work in works)


def test_stop_of_a_thread_is_told_before_the_thread_has_left(qtbot: QtBot) -> None:
    """The hand does not wait for the thread, which leaves at its next report; what it would have told is told nobody."""
    owner, go_on, left = QObject(), threading.Event(), threading.Event()

    def work(progress: Progress) -> str:
        try:
            go_on.wait(5)
            progress.report("Still here", 0, None)
        finally:
            left.set()
        return "too late"

    watched = WatchedAside(work, owner)
    ends = ends_of(watched)
    with qtbot.waitSignal(watched.stopped):
        watched.stop()
    assert not left.is_set()
    with qtbot.waitSignal(watched.destroyed):
        go_on.set()
    assert left.is_set()
    assert ends == ["stopped"]


def test_band_goes_back_to_the_work_that_began_before(qtbot: QtBot) -> None:
    """Esc stops what began last; what began before it still runs, and the next Esc stops that."""
    desk, owner = Desk(), QObject()
    band = Band(desk)
    qtbot.addWidget(band)
    works = [Slices("Counting", 9, counting(9), owner) for _ in range(3)]
    ends = [ends_of(work) for work in works]
    for work in works:
        desk.working.emit(work)
    works[1].stop()
    assert band.working
    for stopped in (2, 0):
        assert band.stop()
        assert ends[stopped] == ["stopped"]
    assert not band.working
