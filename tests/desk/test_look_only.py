"""A job that somebody else has open: whatever would change it says so before any work is put into it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.table import ACTIONS
from leakmap.desk.tools.tool import Action
from leakmap.desk.window import MainWindow
from leakmap.records.job_file import create_job_file
from leakmap.work.open_job import Hand, opened
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import AT, window_with

SENTENCE = "This job is open on another computer (site-laptop-2). You can look, not change."
CHANGING = [action for action in ACTIONS if action.changes]
LOOKING = [action for action in ACTIONS if not action.changes]


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a job with a leak, which another computer has open."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0)
    path = tmp_path / "job.gpkg"
    create_job_file(path, job, user="ann", at=AT)
    first = opened(path, Hand(user="ben", host="site-laptop-2", clock=lambda: AT))
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        window.sitting.open_job(path)
        window.sitting.settle()
        yield window
    first.close()


def _press(window: MainWindow, qtbot: QtBot, action: Action) -> None:
    window.desk.go_to(action.stage)
    button = next(button for button in window.strip.buttons if button.key == action.key)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


@pytest.mark.parametrize("action", CHANGING, ids=lambda action: action.label)
def test_an_action_that_changes_says_so_at_its_first_click(window: MainWindow, qtbot: QtBot, action: Action) -> None:
    """The band says in the exact words who has the job, and no tool is taken."""
    _press(window, qtbot, action)
    assert window.centre.band.sentence == SENTENCE
    assert window.desk.tool is None


def test_who_has_it_open_is_said_where_it_was_left(window: MainWindow) -> None:
    """A job that was left in another stage comes back there, and the sentence is still to be read."""
    window.desk.go_to(Stage.REPAIR)
    assert window.desk.open_job is not None
    path = window.desk.open_job.file.path
    window.sitting.open_job(path)
    window.sitting.settle()
    assert window.desk.stage is Stage.REPAIR
    assert window.centre.band.sentence == SENTENCE


@pytest.mark.parametrize("action", LOOKING, ids=lambda action: action.label)
def test_what_only_looks_can_be_used(window: MainWindow, qtbot: QtBot, action: Action) -> None:
    """Layers, the check, the papers, the rates and the cautions can be looked at."""
    _press(window, qtbot, action)
    if action.lays is None:
        assert window.desk.tool is not None
        assert window.desk.tool.name == action.label
    else:
        assert window.desk.declared is action.lays


def test_the_strip_says_so_at_rest(window: MainWindow) -> None:
    """In every stage the sentence at rest is why nothing can be changed, also where something is picked."""
    job = window.desk.job
    assert job is not None
    for stage in Stage:
        window.desk.go_to(stage)
        assert window.strip.sentence == SENTENCE
    window.desk.go_to(Stage.LEAKS)
    window.desk.pick(Thing(Sort.LEAK, next(iter(job.leaks))))
    assert window.strip.sentence == SENTENCE


def test_a_cell_says_so_before_it_is_edited(window: MainWindow, qtbot: QtBot) -> None:
    """Enter on a row opens no field; the band says why."""
    window.desk.go_to(Stage.LEAKS)
    window.ledger.table.selectRow(0)
    window.ledger.table.setFocus()
    qtbot.keyClick(window.ledger.table, Qt.Key.Key_F2)
    assert window.centre.band.sentence == SENTENCE


def test_a_dropped_drawing_is_not_even_read(window: MainWindow, tmp_path: Path) -> None:
    """A drawing that could not be kept is not read at all."""
    window.sitting.open_file(tmp_path / "b1.dxf")
    window.sitting.settle()
    assert window.centre.band.sentence == SENTENCE
    assert not window.centre.band.working
