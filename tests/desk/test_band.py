"""The band at the foot of the plan: how long it says what, and what F1 says."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QKeyEvent
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from leakmap.desk.aside import WatchedAside
from leakmap.desk.band import Band
from leakmap.desk.faces import text
from leakmap.desk.longer import AT_PANE, AT_REST, AT_START
from leakmap.desk.plan.overlay import field_box
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tokens import BAND, BODY_TYPE, COMPACT, LEAST_WINDOW, MARGIN
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.table import ACTIONS, action_for
from leakmap.desk.tools.tool import LiveField
from leakmap.desk.trouble import Answer, Trouble
from leakmap.desk.window import MainWindow
from leakmap.work.edits.rules import rename_job
from tests.helpers.desks import desk_with
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import window_with

LEFT = Qt.MouseButton.LeftButton
OPEN = Answer(words="Open the folder", give=lambda: None)
LONGER = {
    **{action.label: action.longer for action in ACTIONS},
    **{stage.title: AT_REST[stage] for stage in Stage},
    **{f"in {pane}": words for pane, words in AT_PANE.items()},
}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk on which a job with one joint lies."""
    with desk_with(one_line()[0], tmp_path, Stage.JOINTS) as desk:
        yield desk


@pytest.fixture
def band(desk: Desk, qtbot: QtBot) -> Iterator[Band]:
    """A band in a window that is in front."""
    frame = QWidget()
    qtbot.addWidget(frame)
    band = Band(desk, frame)
    frame.show()
    frame.activateWindow()
    qtbot.waitUntil(frame.isActiveWindow)
    yield band
    frame.hide()


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a job with one joint."""
    with window_with(one_line()[0], tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def _rename(desk: Desk, name: str) -> None:
    assert desk.job is not None
    desk.do(rename_job(desk.job, name=name))


def test_a_sentence_goes_with_the_next_deed(desk: Desk, band: Band) -> None:
    """What one deed left to say stands together, and is gone after the next deed."""
    desk.said.emit("One.")
    desk.said.emit("Two.")
    assert band.sentence == "One. Two."
    _rename(desk, "Pit 2")
    assert band.sentence == ""


def test_a_question_waits_for_its_answer(desk: Desk, band: Band) -> None:
    """Neither a deed nor another stage or tool takes a question away."""
    desk.troubled.emit(Trouble(sentence="Which unit?", answers=(OPEN,)))
    _rename(desk, "Pit 2")
    desk.go_to(Stage.LEAKS)
    desk.take_tool(DrawJoint(desk))
    assert band.sentence == "Which unit?"


@pytest.mark.parametrize(
    "go_on",
    [
        lambda desk: desk.go_to(Stage.LEAKS),
        lambda desk: desk.take_tool(DrawJoint(desk)),
        lambda desk: _rename(desk, "Pit 2"),
    ],
    ids=["stage", "tool", "deed"],
)
def test_an_offer_goes_when_the_user_goes_on(desk: Desk, band: Band, go_on: object) -> None:
    """What only offers a button, as an issue does, goes with the next stage, tool or deed."""
    desk.troubled.emit(Trouble(sentence="C01 is issued.", answers=(OPEN,), grave=False, waits=False))
    assert band.sentence == "C01 is issued."
    go_on(desk)  # type: ignore[operator] # one of the three above
    assert band.sentence == ""


def test_a_question_of_the_same_words_gives_its_own_answer(desk: Desk, band: Band, qtbot: QtBot) -> None:
    """Two files ask alike, one after the other: the button answers for the second; what is refreshed keeps the keyboard."""
    given: list[str] = []
    for name in ("first", "second"):
        answer = Answer(words="metre", give=lambda name=name: given.append(name))  # type: ignore[misc] # keeps each
        desk.troubled.emit(Trouble(sentence="Which unit?", answers=(answer,), grave=False, keyboard=True))
    button = band.buttons[0]
    assert button.hasFocus()
    desk.stage_changed.emit()
    assert band.buttons[0] is button
    qtbot.keyClick(button, Qt.Key.Key_Return)
    assert given == ["second"]


def test_a_question_that_comes_out_of_long_work_gets_the_keyboard(desk: Desk, band: Band) -> None:
    """While the band still shows the work its Stop is there; the first answer has the keyboard once that is gone."""
    work = WatchedAside(lambda _progress: None, desk)
    band.watch(work)
    band._show_work(work)
    asked = Trouble(sentence="Which?", answers=(Answer(words="this", give=lambda: None),), grave=False, keyboard=True)
    desk.troubled.emit(asked)
    assert [button.text() for button in band.buttons] == ["Stop"]
    work.settle()
    assert band.buttons[0].text() == "this"
    assert band.buttons[0].hasFocus()


def test_what_was_said_behind_other_windows_stays_until_seen(desk: Desk, band: Band, qtbot: QtBot) -> None:
    """Said while another window was in front, it outlives deeds until this window was in front again."""
    other = QWidget()
    qtbot.addWidget(other)
    other.show()
    other.activateWindow()
    qtbot.waitUntil(lambda: not band.isActiveWindow())
    desk.said.emit("B1 is in: 98,400 lines, its unit from the file.")
    _rename(desk, "Pit 2")
    assert band.sentence.startswith("B1 is in")
    band.window().activateWindow()
    qtbot.waitUntil(band.isActiveWindow)
    assert band.sentence.startswith("B1 is in")
    _rename(desk, "Pit 3")
    assert band.sentence == ""


@pytest.mark.parametrize("words", [*LONGER.values(), AT_START], ids=[*LONGER, "start"])
def test_what_f1_says_fits_the_narrowest_band(words: str, qapp: object) -> None:
    """Every longer sentence stands in the band of the smallest window, and ends like a sentence."""
    del qapp  # faces need a running application
    wide = LEAST_WINDOW[0] - COMPACT.levels - COMPACT.ledger - 2 - 2 * MARGIN
    room = QFontMetricsF(text(BODY_TYPE)).boundingRect(QRect(0, 0, wide, 999), Qt.TextFlag.TextWordWrap, words)
    assert room.height() <= BAND - 2
    assert words.endswith(".")


def test_f1_explains_the_tool_in_hand_until_esc(window: MainWindow, qtbot: QtBot) -> None:
    """F1 says more of the tool; Esc puts that away and leaves the tool in hand; at rest F1 speaks of the stage."""
    band, desk = window.centre.band, window.desk
    desk.go_to(Stage.JOINTS)
    qtbot.keyClick(window.plan, Qt.Key.Key_F1)
    assert band.sentence == AT_REST[Stage.JOINTS]
    qtbot.keyClick(window.plan, Qt.Key.Key_F1)
    assert band.sentence == ""
    desk.take_tool(DrawJoint(desk))
    qtbot.keyClick(window.plan, Qt.Key.Key_F1)
    action = action_for(Stage.JOINTS, "J")
    assert action is not None
    assert band.sentence == action.longer
    qtbot.keyClick(window.plan, Qt.Key.Key_Escape)
    assert band.sentence == ""
    assert isinstance(desk.tool, DrawJoint)


def test_esc_of_another_window_is_left_alone(band: Band, qtbot: QtBot) -> None:
    """An explanation goes by Esc in its own window alone; in another one Esc is that window's."""

    class Hearing(QWidget):
        heard = False

        def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
            self.heard = event.key() == Qt.Key.Key_Escape

    other = Hearing()
    qtbot.addWidget(other)
    other.show()
    band.explain("more")
    qtbot.keyClick(other, Qt.Key.Key_Escape)
    assert (other.heard, band.sentence) == (True, "more")
    qtbot.keyClick(band.window(), Qt.Key.Key_Escape)
    assert band.sentence == ""


def test_the_click_after_f1_does_its_work(window: MainWindow, qtbot: QtBot) -> None:
    """The next click takes the explanation away and means what it always means; a question comes back."""
    band, desk = window.centre.band, window.desk
    desk.troubled.emit(Trouble(sentence="Which unit?", answers=(OPEN,)))
    qtbot.keyClick(window.plan, Qt.Key.Key_F1)
    assert band.sentence == AT_REST[Stage.DRAWING]
    qtbot.mouseClick(window.stage_line.cells[1], LEFT)
    assert desk.stage is Stage.JOINTS
    assert band.sentence == "Which unit?"


def test_the_live_field_stands_clear_of_the_band(window: MainWindow) -> None:
    """While the band speaks the plan keeps its height free at the foot, for the field of a place low on the plan."""
    plan = window.plan
    assert plan.covered_px == 0
    window.desk.said.emit("There is no leak here.")
    assert plan.covered_px == BAND
    live = LiveField(at=plan.camera.to_site((300.0, plan.height() - 5.0)), texts=("6.30",), units=("m",))
    room = QRectF(plan.rect()).adjusted(0, 0, 0, -plan.covered_px)
    assert room.contains(field_box(live, plan.camera, room, None, None))
    window.centre.band.stop()
    assert plan.covered_px == 0
