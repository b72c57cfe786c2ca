"""What a window and a job look like at the next start."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.memory import on_a_screen
from leakmap.desk.panes import RuleHandle
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.recent import recent, remembered_path
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import HAND, window_with


@pytest.fixture
def left(qtbot: QtBot, tmp_path: Path) -> Path:
    """A job that was left in stage Repair, on B1, zoomed in, in a window that the hand had laid out."""
    job = add_sheet(one_line()[0], name="B1").job
    with window_with(job, tmp_path, size=(1300, 800)) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        QApplication.processEvents()
        desk = window.desk
        desk.go_to(Stage.REPAIR)
        desk.show_level(list(job.sheets)[1])
        QTest.keyClick(window.plan, Qt.Key.Key_Plus)
        window._middle.moveSplitter(window._middle.width() - 500, 1)
        qtbot.keyClick(window.plan, Qt.Key.Key_F11)
        assert not window.ledger.isVisible()
        assert not window.tape.isVisible()
    return tmp_path / "pit.gpkg"


def again(qtbot: QtBot, job: Path | None) -> MainWindow:
    """The next window, with the job where one is given."""
    window = MainWindow(Desk(), HAND)
    window.show()
    qtbot.waitExposed(window)
    if job is not None:
        window.sitting.open_job(job)
        window.sitting.settle()
    return window


def put_away(window: MainWindow) -> None:
    """Close a window."""
    window.sitting.close(lose_unsaved=True)
    window.close()
    window.desk.deleteLater()
    window.deleteLater()
    QApplication.processEvents()


def test_window_and_job_come_back_as_they_were_left(left: Path, qtbot: QtBot) -> None:
    """Size, panes, plan only, stage, level and view come back; a double click on a rule brings the layout's own width."""
    known = recent()
    view = known.views[left]
    window = again(qtbot, left)
    try:
        assert (window.width(), window.height(), window.beside.plan_only) == (1300, 800, True)
        assert window.desk.stage is Stage.REPAIR
        assert str(window.desk.level) == view.level
        assert window.plan.camera.centre == view.centre
        assert window.plan.camera.px_per_m == view.px_per_m
        window.beside.show_plan_only()
        assert window.ledger.width() == pytest.approx(500, abs=2)
        handle = window._middle.handle(1)
        assert isinstance(handle, RuleHandle)
        QTest.mouseDClick(handle, Qt.MouseButton.LeftButton)
        assert window.ledger.width() == window.sizes.ledger
    finally:
        put_away(window)


def test_what_shall_not_be_remembered_is_forgotten(left: Path, qtbot: QtBot) -> None:
    """Where remembering is switched off, what was remembered goes, and nothing new is kept."""
    window = again(qtbot, None)
    window.desk.change_setting("remember", False)
    assert not remembered_path().exists()
    window.sitting.open_job(left)
    window.sitting.settle()
    assert window.desk.open_job is not None
    put_away(window)
    assert not remembered_path().exists()


def test_a_window_is_put_only_where_a_screen_is(qtbot: QtBot) -> None:
    """A window whose upper edge would lie beyond every screen stays where the system puts it."""
    del qtbot
    screen = QGuiApplication.primaryScreen().availableGeometry()
    assert on_a_screen(QRect(screen.left(), screen.top(), 1200, 800))
    assert not on_a_screen(QRect(screen.right() + 10, screen.top(), 1200, 800))
    assert not on_a_screen(QRect(screen.left(), screen.bottom() + 10, 1200, 800))
    assert not on_a_screen(QRect(screen.left(), screen.top() - 900, 1200, 800))
