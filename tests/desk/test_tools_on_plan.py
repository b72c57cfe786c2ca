"""Tools of Drawing and Joints under real mouse and key events: what the plan passes on, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.taking import take
from leakmap.desk.things import Stage
from leakmap.desk.tools.table import action_for
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from tests.helpers.desks import desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import one_line, with_line

LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


class LetterHand(PlanHand):
    """A hand that takes tools by their letters, and moves with Shift held."""

    def take_by(self, letter: str) -> None:
        """Take the tool of a letter."""
        action = action_for(self.desk.stage, letter)
        assert action is not None
        take(self.desk, action)
        self.plan.setFocus()

    def move_with_shift(self, place: Point) -> None:
        """Move the mouse there with Shift held."""
        at, nothing = QPointF(self.pixel(place)), Qt.MouseButton.NoButton
        event = QMouseEvent(QMouseEvent.Type.MouseMove, at, self.plan.mapToGlobal(at), nothing, nothing, SHIFT)
        QApplication.sendEvent(self.plan, event)

    def click_with_shift(self, place: Point) -> None:
        """Move there and click with Shift held."""
        self.move_with_shift(place)
        self.bot.mouseClick(self.plan, LEFT, SHIFT, self.pixel(place))


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[LetterHand]:
    """A hand on a plan of J-01 from 0,0 over 4,0 to 4,3 and J-02 from 8,-1 to 8,4."""
    job, _ = one_line()
    job, _ = with_line(job, [(8, -1), (8, 4)])
    with desk_with(job, tmp_path, Stage.JOINTS) as desk:
        yield LetterHand(qtbot, desk, centre=(5.0, 2.0), px_per_m=50.0)


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def corners(desk: Desk, ref: str) -> list[Point]:
    """The corners of a joint, to the centimetre."""
    joint = next(joint for joint in job_of(desk).joints.values() if joint.ref == ref)
    assert joint.path is not None
    return [(round(x, 2), round(y, 2)) for x, y in joint.path.points]


def test_a_joint_between_two_joints_by_clicks_digits_and_enter(hand: LetterHand) -> None:
    """From the bend of J-01 1.50 m typed to the right, then square to J-02, where a double click ends it."""
    hand.take_by("J")
    hand.type("2")
    hand.click((4.05, 0.05))  # caught on the bend at 4,0
    hand.move((5.5, 0.0))
    hand.type("1.5")
    hand.press(Qt.Key.Key_Return)
    hand.click((7.9, 0.05))
    assert len(job_of(hand.desk).joints) == 2
    assert hand.desk.caught is not None
    assert hand.desk.caught.catch is not None
    assert hand.desk.caught.catch.words == "square to J-02"
    hand.bot.mouseDClick(hand.plan, LEFT, pos=hand.pixel((7.9, 0.05)))
    assert corners(hand.desk, "J-03") == [(4, 0), (5.5, 0), (8, 0)]
    assert [joint.kind.value for joint in job_of(hand.desk).joints.values()][-1] == "contraction"


def test_shift_and_a_catch_go_together(hand: LetterHand) -> None:
    """With Shift the next piece stays square to the last, and ends level with the end of J-01 or on J-02 itself."""
    hand.take_by("J")
    hand.click((2, 1))
    for place, at, words in (
        ((4.05, 1.5), (4.0, 1.0), "on J-01"),
        ((7.95, 1.4), (8.0, 1.0), "on J-02"),
        ((8.05, 1.0), (8.0, 1.0), "on J-02"),
    ):
        hand.move_with_shift(place)
        assert hand.desk.caught is not None
        assert hand.desk.caught.catch is not None
        assert (hand.desk.caught.at, hand.desk.caught.catch.words) == (pytest.approx(at), words)
    hand.click_with_shift((5.5, 1.1))
    hand.move_with_shift((5.3, 4.02))
    assert hand.desk.caught.catch is None
    hand.move_with_shift((7.9, 3.95))  # the end of J-02 lies off the ray at 45°
    assert hand.desk.caught.catch is not None
    assert hand.desk.caught.catch.words == "level with end of J-02"
    hand.click_with_shift((7.9, 3.95))
    hand.press(Qt.Key.Key_Return)
    assert corners(hand.desk, "J-03") == [(2, 1), (5.5, 1), (8.25, 3.75)]


def test_tab_esc_and_backspace_reach_the_tool(hand: LetterHand) -> None:
    """Tab goes to the angle, Backspace takes a digit back, Esc steps back to nothing and then puts the tool away."""
    hand.take_by("J")
    hand.click((1, 3))
    hand.move((2, 3))
    hand.type("25")
    hand.press(Qt.Key.Key_Backspace)
    hand.press(Qt.Key.Key_Tab)
    hand.type("90")
    hand.press(Qt.Key.Key_Return)
    hand.press(Qt.Key.Key_Return)
    assert corners(hand.desk, "J-03") == [(1, 3), (1, 5)]
    hand.click((1, 1))
    hand.press(Qt.Key.Key_Escape)
    assert hand.desk.tool is not None
    hand.press(Qt.Key.Key_Escape)
    assert hand.desk.tool is None


def test_a_bend_is_dragged_and_nudged_by_arrow_keys(hand: LetterHand) -> None:
    """Dragged from 4,0 to 4.5,−0.5; then an arrow with Shift moves it 10 cm to the right."""
    hand.take_by("B")
    hand.click((2, 0))
    hand.drag((4, 0), (4.5, -0.5))
    assert corners(hand.desk, "J-01") == [(0, 0), (4.5, -0.5), (4, 3)]
    hand.bot.keyClick(hand.plan, Qt.Key.Key_Right, SHIFT)
    assert corners(hand.desk, "J-01") == [(0, 0), (4.6, -0.5), (4, 3)]
    hand.desk.undo()
    hand.desk.undo()
    assert corners(hand.desk, "J-01") == [(0, 0), (4, 0), (4, 3)]


def test_a_vertical_joint_through_keys_alone_after_its_click(hand: LetterHand) -> None:
    """Click on the end of J-01, 2.5, Enter: V-01 stands there."""
    hand.take_by("V")
    hand.click((4.05, 3.05))
    hand.type("2.5")
    hand.press(Qt.Key.Key_Return)
    (joint,) = (joint for joint in job_of(hand.desk).joints.values() if joint.vertical)
    assert (joint.point, joint.rise_m) == ((4, 3), 2.5)


def test_letters_name_a_new_level_instead_of_taking_tools(hand: LetterHand) -> None:
    """In stage Drawing the letters of a level's name go to its field, S, G and the space among them; Tab goes to its level."""
    hand.desk.go_to(Stage.DRAWING)
    hand.take_by("N")
    hand.move((2, 2))
    hand.type("SG 2")
    hand.press(Qt.Key.Key_Tab)
    hand.type("-3.6")
    hand.press(Qt.Key.Key_Return)
    sheet = list(job_of(hand.desk).sheets.values())[-1]
    assert (sheet.name, sheet.floor_level_m) == ("SG 2", -3.6)
