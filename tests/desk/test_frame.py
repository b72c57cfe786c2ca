"""The frame of the window: stages, undo, levels, keys, panes; checked on the desk and the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QItemSelectionModel, Qt
from pytestqt.qtbot import QtBot

from leakmap.base.errors import EditRefused
from leakmap.desk.faces import text
from leakmap.desk.job_menu import job_menu
from leakmap.desk.long_work import Errand
from leakmap.desk.pens import width_of
from leakmap.desk.strip import Strip
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tokens import BODY_TYPE, COMPACT, WIDE
from leakmap.desk.tools.issue_tools import Check
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.trouble import Answer, Trouble
from leakmap.desk.window import MainWindow
from leakmap.model.words import Kind, Wetness
from leakmap.work.edits.facts import set_kind
from leakmap.work.edits.leaks import set_wetness
from leakmap.work.edits.sheets import add_sheet, set_floor_level
from leakmap.work.kept_settings import kept_settings
from leakmap.work.recent import recent
from leakmap.work.settings import Role
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import window_with

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a job with a leak on B2, and B1 above it."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    lower = next(iter(job.sheets))
    job = set_floor_level(job, sheet=lower, floor_level_m=-7.8).job
    job = add_sheet(job, name="B1", floor_level_m=-3.6).job
    with window_with(job, tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def shown_level(window: MainWindow) -> str:
    """Name of the level on the plan."""
    assert window.desk.job is not None
    assert window.desk.level is not None
    return window.desk.job.sheets[window.desk.level].name


def wetness(window: MainWindow) -> Wetness:
    """Wetness of the only leak."""
    assert window.desk.job is not None
    (leak,) = window.desk.job.leaks.values()
    return leak.wetness


def make_it_drip(window: MainWindow) -> None:
    """Do a deed."""
    assert window.desk.job is not None
    window.desk.do(set_wetness(window.desk.job, leak=next(iter(window.desk.job.leaks)), wetness=Wetness.DRIP))


def test_every_stage_has_a_key_and_can_be_clicked(window: MainWindow, qtbot: QtBot) -> None:
    """Ctrl with 1 to 6, and a click on a cell, go to a stage at any time, and its actions stand in the strip."""
    for stage in (*Stage, Stage.JOINTS):
        qtbot.keyClick(window.plan, getattr(Qt.Key, f"Key_{stage.value}"), CTRL)
        assert window.desk.stage is stage
    assert [button.key for button in window.strip.buttons] == ["J", "F", "V", "B", "S", "C"]
    qtbot.mouseClick(window.stage_line.cells[2], LEFT)
    assert window.desk.stage is Stage.LEAKS
    assert [cell.stage for cell in window.stage_line.cells if cell.current] == [Stage.LEAKS]


def test_undo_and_redo_say_what_they_turn_back(window: MainWindow, qtbot: QtBot) -> None:
    """The buttons name the deed; a click or the keys take it back and do it again."""
    line = window.stage_line
    assert not line.undo.isEnabled()
    make_it_drip(window)
    assert line.undo.toolTip().startswith("Undo ")
    assert "L-01" in line.undo.toolTip()
    qtbot.mouseClick(line.undo, LEFT)
    assert wetness(window) is Wetness.SEEP
    assert line.redo.toolTip().startswith("Redo ")
    qtbot.mouseClick(line.redo, LEFT)
    assert wetness(window) is Wetness.DRIP
    qtbot.keyClick(window.plan, Qt.Key.Key_Z, CTRL)
    assert wetness(window) is Wetness.SEEP
    qtbot.keyClick(window.plan, Qt.Key.Key_Z, CTRL | SHIFT)
    assert wetness(window) is Wetness.DRIP


def test_keys_that_hands_know_from_elsewhere_do_what_is_expected(window: MainWindow, qtbot: QtBot) -> None:
    """Ctrl Y does again, Ctrl S says that there is nothing to save, Ctrl F finds, Ctrl N puts the job away; the menu says so."""
    window.activateWindow()
    make_it_drip(window)
    window.desk.undo()
    qtbot.keyClick(window.plan, Qt.Key.Key_Y, CTRL)
    assert wetness(window) is Wetness.DRIP
    entries = [action.text().split("\t") for action in job_menu(window).actions()]
    assert {entry[0]: entry[1] for entry in entries if len(entry) > 1} == {
        "New job": "Ctrl N", "Open a job": "Ctrl O", "Settings": "Ctrl ,"
    }  # fmt: skip
    qtbot.keyClick(window.plan, Qt.Key.Key_S, CTRL)
    assert window.centre.band.sentence == "Every change is on disk already; there is nothing to save."
    qtbot.keyClick(window.plan, Qt.Key.Key_F, CTRL)
    assert window.finder.isAncestorOf(window.focusWidget())
    window.plan.setFocus()
    qtbot.keyClick(window.plan, Qt.Key.Key_N, CTRL)
    assert window.desk.job is None
    assert window.start.isVisible()


def test_levels_stand_highest_on_top_and_change_by_click_and_key(window: MainWindow, qtbot: QtBot) -> None:
    """B1 at -3.60 stands over B2 at -7.80; a click and Page Up and Down change the level, and stop at the ends."""
    assert window.desk.job is not None
    names = [window.desk.job.sheets[key].name for key in window.levels.boxes()]
    assert names == ["B1", "B2"]
    assert shown_level(window) == "B2"
    top = next(iter(window.levels.boxes().values()))
    qtbot.mouseClick(window.levels, LEFT, pos=top.center().toPoint())
    assert shown_level(window) == "B1"
    for key, level in ((Qt.Key.Key_PageDown, "B2"), (Qt.Key.Key_PageDown, "B2"), (Qt.Key.Key_PageUp, "B1")):
        qtbot.keyClick(window.plan, key)
        assert shown_level(window) == level


def test_a_letter_takes_the_tool_of_the_stage(window: MainWindow, qtbot: QtBot) -> None:
    """L takes Leak stretch in stage Leaks and its button is full; Esc puts it away; L in stage Joints is nobody's."""
    qtbot.keyClick(window.plan, Qt.Key.Key_3, CTRL)
    qtbot.keyClick(window.plan, Qt.Key.Key_L)
    assert window.desk.tool is not None
    assert [button.text() for button in window.strip.buttons if button.full] == ["Leak stretch"]
    assert window.strip.sentence == window.desk.tool.sentence()
    assert [cell.text()[0] for cell in window.strip.choices] == list("012345")
    qtbot.keyClick(window.plan, Qt.Key.Key_Escape)
    assert window.desk.tool is None
    qtbot.keyClick(window.plan, Qt.Key.Key_2, CTRL)
    qtbot.keyClick(window.plan, Qt.Key.Key_L)
    assert window.desk.tool is None


def test_a_refused_deed_is_told_in_the_band(window: MainWindow, qtbot: QtBot) -> None:
    """The sentence stands at the foot of the plan until it is put away; Esc does so too."""

    def refused() -> None:
        raise EditRefused("L-01 cannot be longer than J-01.")

    band = window.centre.band
    assert not window.desk.attempt(refused)
    assert band.isVisible()
    assert band.sentence == "L-01 cannot be longer than J-01."
    qtbot.mouseClick(band.buttons[-1], LEFT)
    assert not band.isVisible()
    window.desk.attempt(refused)
    qtbot.keyClick(window.plan, Qt.Key.Key_Escape)
    assert not band.isVisible()


def test_a_question_waits_for_its_answer(window: MainWindow, qtbot: QtBot) -> None:
    """A deed does not take a question away; a button gives its answer, and the band is gone."""
    given: list[str] = []
    answers = tuple(Answer(words=words, give=lambda words=words: given.append(words)) for words in ("metre", "foot"))  # type: ignore[misc] # the default binds each
    window.desk.troubled.emit(Trouble(sentence="One unit is one…", answers=answers, grave=False))
    make_it_drip(window)
    band = window.centre.band
    assert band.sentence == "One unit is one…"
    qtbot.mouseClick(band.buttons[1], LEFT)
    assert given == ["foot"]
    assert not band.isVisible()


def test_long_work_shows_its_words_and_esc_stops_it(
    window: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Work that lasts is shown with its words and one button; Esc stops it wherever the keyboard is."""
    monkeypatch.setattr("leakmap.desk.band.SHOW_MS", 0)
    work, stopped = Errand(window.desk), []
    monkeypatch.setattr(work, "stop", lambda: stopped.append(True))
    window.desk.working.emit(work)
    band = window.centre.band
    work.progressed.emit("Reading pit.dxf, 61,200 of 98,400 lines, about 8 seconds left", 620, 1000)
    qtbot.waitUntil(lambda: band.sentence.startswith("Reading pit.dxf"))
    assert [(button.key, button.text()) for button in band.buttons] == [("Esc", "Stop")]
    qtbot.keyClick(window.plan, Qt.Key.Key_Escape)
    assert stopped == [True]
    work.stopped.emit()
    assert band.sentence == "Stopped. Nothing was changed."


def test_the_foot_says_whether_the_scale_is_known(window: MainWindow) -> None:
    """A blank sheet is in metres, and everything done is on disk."""
    assert window.foot.scale.text() == "blank sheet in metres"
    make_it_drip(window)
    assert window.foot.saved.text() == "all changes on disk"


def test_the_layout_follows_the_width(window: MainWindow, qtbot: QtBot) -> None:
    """Wide from 1400 px, compact below; F11 leaves the plan alone and brings ledger and tape back."""
    assert (window.levels.width(), window.stage_line.height(), window.foot.height()) == (92, 64, 46)
    assert abs(window.ledger.width() - WIDE.ledger) <= 1
    window.resize(1280, 800)
    assert (window.levels.width(), window.stage_line.height(), window.foot.height()) == (78, 56, 42)
    assert abs(window.ledger.width() - COMPACT.ledger) <= 1
    assert abs(window.tape.height() - COMPACT.tape) <= 1
    qtbot.keyClick(window.plan, Qt.Key.Key_F11)
    assert not window.ledger.isVisible()
    assert not window.tape.isVisible()
    qtbot.keyClick(window.plan, Qt.Key.Key_F11)
    assert window.ledger.isVisible()
    assert abs(window.ledger.width() - COMPACT.ledger) <= 1


def test_a_sentence_gives_way_before_labels_and_no_row_stays_that_it_does_not_need(window: MainWindow) -> None:
    """In a compact strip the sentence takes two lines, every label stays; a row of its own goes with the narrow width."""
    desk, strip = window.desk, Strip(window.desk)
    desk.go_to(Stage.LEAKS)
    desk.take_tool(LeakStretch(desk))
    strip.show()
    strip.set_sizes(COMPACT)
    strip.resize(1280, COMPACT.strip)
    assert strip.height() == COMPACT.strip
    assert not any(button.short for button in strip.buttons)
    assert width_of(strip.sentence, text(BODY_TYPE)) > strip.sentence_room().width()
    strip.resize(640, COMPACT.strip)
    assert strip.height() > COMPACT.strip
    strip.resize(1280, strip.height())
    assert strip.height() == COMPACT.strip
    strip.deleteLater()


def test_f6_goes_from_pane_to_pane(window: MainWindow, qtbot: QtBot) -> None:
    """F6 from the plan enters the tape, then the ledger; Shift F6 from there comes back the same way."""
    window.activateWindow()
    window.plan.setFocus()
    qtbot.keyClick(window.plan, Qt.Key.Key_F6)
    assert window.focusWidget() is window.tape.view
    qtbot.keyClick(window.tape.view, Qt.Key.Key_F6)
    focus = window.focusWidget()
    assert focus is not None
    assert window.ledger.isAncestorOf(focus)
    qtbot.keyClick(focus, Qt.Key.Key_F6, SHIFT)
    assert window.focusWidget() is window.tape.view
    qtbot.keyClick(window.tape.view, Qt.Key.Key_F6, SHIFT)
    assert window.focusWidget() is window.plan


def test_the_role_and_the_job_are_remembered(window: MainWindow) -> None:
    """The next start shows the same role, and the job among the recent ones."""
    window.desk.take_role(Role.ENGINEER)
    assert kept_settings().role is Role.ENGINEER
    assert [path.name for path in recent().jobs] == ["pit.gpkg"]


def test_f6_goes_to_the_levels_too(window: MainWindow, qtbot: QtBot) -> None:
    """Shift F6 from the plan enters the levels strip, where arrows change the level and F2 renames it."""
    window.activateWindow()
    window.plan.setFocus()
    qtbot.keyClick(window.plan, Qt.Key.Key_F6, SHIFT)
    assert window.focusWidget() is window.levels
    qtbot.keyClick(window.levels, Qt.Key.Key_Up)
    assert shown_level(window) == "B1"
    qtbot.keyClick(window.levels, Qt.Key.Key_Up)
    assert shown_level(window) == "B1"
    qtbot.keyClick(window.levels, Qt.Key.Key_F2)
    assert window.focusWidget() is window.plan
    qtbot.keyClicks(window.plan, "Upper deck")
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    assert shown_level(window) == "Upper deck"
    qtbot.keyClick(window.plan, Qt.Key.Key_F6, SHIFT)
    qtbot.keyClick(window.levels, Qt.Key.Key_Down)
    assert shown_level(window) == "B2"
    qtbot.keyClick(window.levels, Qt.Key.Key_F6)
    assert window.focusWidget() is window.plan


def test_the_strip_leads_back_to_the_check_list(window: MainWindow, qtbot: QtBot) -> None:
    """A check goes to the stage that mends it; [Back to check] stays in the strip until stage Issue comes again."""
    joint = next(iter(window.desk.job.joints.values())) if window.desk.job is not None else None
    assert joint is not None
    window.desk.do(set_kind(window.desk.job, joint=joint.id, kind=Kind.MOVEMENT))  # type: ignore[arg-type] # there is a job
    qtbot.keyClick(window.plan, Qt.Key.Key_5, CTRL)
    model, table = window.ledger.model, window.ledger.table
    (row,) = (k for k, entry in enumerate(model.entries) if "clearance" in entry.note.words and entry.note.shows)
    assert not window.strip.back.isVisible()
    table.setFocus()
    table.selectionModel().setCurrentIndex(model.index(row, 0), QItemSelectionModel.SelectionFlag.NoUpdate)
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert (window.desk.stage, window.desk.picked) == (Stage.JOINTS, (Thing(Sort.JOINT, joint.id),))
    assert window.strip.back.isVisible()
    qtbot.keyClick(window.plan, Qt.Key.Key_3, CTRL)
    assert window.strip.back.isVisible()
    qtbot.mouseClick(window.strip.back, LEFT)
    assert window.desk.stage is Stage.ISSUE
    assert isinstance(window.desk.tool, Check)
    assert not window.strip.back.isVisible()
