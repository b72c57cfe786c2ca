"""A marked drawing dropped on the window: the job or the drawing alone, by mouse and by keys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.marked_in import TAKE_DRAWING, TAKE_JOB
from leakmap.desk.window import MainWindow
from tests.helpers.marked_files import marked_with_record
from tests.helpers.marked_job import plan_bytes
from tests.helpers.windows import drop, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000
QUESTION = "plan B2.dxf was marked by leakmap and holds the job as it was issued."


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window without a job, in which a marked drawing was dropped and asked about."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        path = tmp_path / "plan B2.dxf"
        path.write_bytes(marked_with_record())
        drop(window, path)
        qtbot.waitUntil(lambda: window.centre.band.sentence == QUESTION)
        assert [button.text() for button in window.centre.band.buttons] == [TAKE_JOB, TAKE_DRAWING, "Close"]
        yield window


@pytest.mark.slow
def test_enter_takes_the_job(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The question has the keyboard; its job lies in a file of its own beside the drawing, and on the desk."""
    focus = window.focusWidget()
    assert focus is window.centre.band.buttons[0]
    qtbot.keyClick(focus, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.desk.open_job is not None
    assert window.desk.open_job.file.path == tmp_path / "Tern Quay.gpkg"
    assert len(window.desk.open_job.job.leaks) == 2
    assert window.desk.level is not None
    assert window.desk.open_job.drawing(window.desk.level) is not None
    assert window.centre.band.sentence.startswith("Tern Quay.gpkg is C02 of Tern Quay as it was issued: 1 level,")


@pytest.mark.slow
def test_what_was_dropped_with_it_is_taken_too(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A plain drawing beside it is no part of the issue: the band names it, and still offers the drawing alone."""
    plain = tmp_path / "plain.dxf"
    plain.write_bytes(plan_bytes())
    drop(window, tmp_path / "plan B2.dxf", plain)
    band = window.centre.band
    qtbot.waitUntil(lambda: band.sentence == QUESTION)
    qtbot.mouseClick(band.buttons[0], LEFT)
    qtbot.waitUntil(lambda: band.sentence.startswith("plain.dxf holds no record"), timeout=LONG_MS)
    assert [button.text() for button in band.buttons] == [TAKE_DRAWING, "Close"]
    assert list(tmp_path.glob("*.gpkg")) == []


def test_the_drawing_alone_is_asked_for_its_names(window: MainWindow, qtbot: QtBot) -> None:
    """The second button goes on as for any drawing: level and job are named."""
    qtbot.mouseClick(window.centre.band.buttons[1], LEFT)
    assert window.sitting.plan is not None
    assert window.start.level.text() == "B2"
    window.sitting.give_up()


def test_esc_leaves_question_and_reading(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Esc while the job is read stops that: no file is made, and the start sheet stands as before."""
    qtbot.mouseClick(window.centre.band.buttons[0], LEFT)
    assert window.centre.band.working
    qtbot.keyClick(window, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not window.centre.band.working, timeout=2_000)
    assert window.centre.band.sentence == "Stopped. Nothing was changed."
    assert list(tmp_path.glob("*.gpkg")) == []
    assert window.start.choose.isVisible()
