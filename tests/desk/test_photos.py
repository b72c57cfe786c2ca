"""Photos of a leak in the window: chosen or dropped on it, seen small, removed, and brought back by undo."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt, QUrl
from PySide6.QtGui import QDesktopServices, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.desk.photos_in import NO_LEAK
from leakmap.desk.picture_list import picture_of
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.window import MainWindow
from leakmap.model.leak import Leak
from leakmap.work.edits.leaks import add_photos
from tests.helpers.made_scans import photo_file
from tests.helpers.small_jobs import leak_named, one_line, photo, with_leak
from tests.helpers.windows import drop, window_with

LONG_MS = 20_000


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window in stage Leaks on a joint from (0, 0) with a leak from 2 to 3 m."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 2, 3)
    with window_with(job, tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        window.desk.go_to(Stage.LEAKS)
        window.plan.fit()
        yield window


def leak_of(window: MainWindow) -> Leak:
    """The leak as kept."""
    assert window.desk.open_job is not None
    return leak_named(window.desk.open_job.job, "L-01")


@pytest.mark.slow
def test_photos_are_chosen_seen_and_removed(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """P adds two photos of the picked leak as one step; Delete removes one, undo brings it back; Enter opens its very file."""
    files = [photo_file(tmp_path / "a.jpg", (400, 300)), photo_file(tmp_path / "b.png", (30, 40))]
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(path) for path in files], ""))
    QTest.keyClick(window.plan, Qt.Key.Key_P)
    assert window.centre.band.sentence == NO_LEAK
    window.desk.pick(Thing(Sort.LEAK, leak_of(window).id))
    assert not window.ledger.photos.isVisible()
    QTest.keyClick(window.plan, Qt.Key.Key_P)
    qtbot.waitUntil(lambda: len(leak_of(window).photos) == 2, timeout=LONG_MS)
    assert window.ledger.photos.isVisible()
    cells = window.ledger.photos.list
    assert cells.accessibleName() == "Photos of L-01"
    assert [cells.item(k).text() for k in range(cells.count())] == ["a.jpg, photo 1 of 2", "b.png, photo 2 of 2"]
    seen = [picture_of(cells.model().index(k, 0)) for k in range(2)]
    sizes = [picture.size().toTuple() for picture in seen if picture is not None]
    assert sizes == [(320, 240), (30, 40)]  # never larger than it is
    QTest.keyClick(cells, Qt.Key.Key_Right)
    QTest.keyClick(cells, Qt.Key.Key_Delete)
    assert [photo.name for photo in leak_of(window).photos] == ["a.jpg"]
    window.desk.undo()
    assert [photo.name for photo in leak_of(window).photos] == ["a.jpg", "b.png"]
    opened: list[QUrl] = []
    monkeypatch.setattr(QDesktopServices, "openUrl", lambda url: bool(opened.append(url)) or True)
    cells.setCurrentRow(0)
    QTest.keyClick(cells, Qt.Key.Key_Return)
    assert Path(opened[0].toLocalFile()).read_bytes() == files[0].read_bytes()
    window.desk.undo()
    assert leak_of(window).photos == ()
    assert not window.ledger.photos.isVisible()


def test_photos_give_way_where_letters_leave_little_room(window: MainWindow) -> None:
    """At double text size photos keep their names and the buttons, and totals that are shown are whole; else cells are."""
    job, leak = window.desk.job, leak_of(window)
    assert job is not None
    window.desk.do(add_photos(job, leak=leak.id, photos=[photo("a.jpg")]))
    window.desk.pick(Thing(Sort.LEAK, leak.id))
    photos, totals = window.ledger.photos, window.ledger.totals
    cells = []
    for percent in (100, 200, 100):
        window.desk.change_setting("text_percent", percent)
        window.beside.show(ledger=True, tape=True)
        QApplication.processEvents()
        assert photos.isVisible()
        assert photos.geometry().bottom() < totals.y()
        assert totals.geometry().bottom() <= window.ledger.height()
        assert window.ledger.mapTo(window, window.ledger.rect().bottomLeft()).y() <= window.foot.y()
        cells.append(photos.list.cells.high_px)
    assert cells[0] == cells[2] > cells[1]


@pytest.mark.slow
def test_photos_are_dropped_on_the_leak(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """On the plan, or on its row; one of two that is no picture keeps both out, in one sentence."""
    good, bad = photo_file(tmp_path / "a.jpg", (40, 30)), tmp_path / "b.jpg"
    bad.write_text("no picture")
    joint = window.desk.job.joints[leak_of(window).joint]  # type: ignore[union-attr] # a job is open
    assert joint.path.points[0] == (0, 0)
    x, y = window.plan.camera.to_screen((2.5, 0.0))
    on_plan = window.plan.mapTo(window, QPoint(round(x), round(y)))
    drop(window, good, bad, at=on_plan)
    qtbot.waitUntil(lambda: window.centre.band.sentence.startswith("b.jpg is no photo"), timeout=LONG_MS)
    assert leak_of(window).photos == ()
    drop(window, good, at=on_plan)
    qtbot.waitUntil(lambda: len(leak_of(window).photos) == 1, timeout=LONG_MS)
    table = window.ledger.table
    row = table.visualRect(table.model().index(0, 0)).center()
    other = photo_file(tmp_path / "c.jpg", (50, 30))
    drop(window, other, at=table.viewport().mapTo(window, row))
    qtbot.waitUntil(lambda: len(leak_of(window).photos) == 2, timeout=LONG_MS)


@pytest.mark.slow
def test_a_picture_that_is_dropped_beside_leaks_is_a_drawing(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A scan on the bare plan comes in as a level, as ever."""
    picture = photo_file(tmp_path / "scan.png", (60, 40))
    assert not QImage(str(picture)).isNull()
    drop(window, picture, at=window.plan.mapTo(window, QPoint(40, 40)))
    qtbot.waitUntil(lambda: "scan.png" in window.strip.sentence, timeout=LONG_MS)
    assert leak_of(window).photos == ()
