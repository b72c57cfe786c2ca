"""Tools of Drawing and Joints under real mouse and key events: what the plan passes on, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.strip import take
from leakmap.desk.things import Stage
from leakmap.desk.tools.table import action_for
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from tests.helpers.desks import desk_with
from tests.helpers.mouse import move_mouse
from tests.helpers.small_jobs import one_line, with_line

LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


class Fingers:
    """A hand with a mouse and a keyboard on a plan at 50 px a metre."""

    def __init__(self, bot: QtBot, plan: PlanView) -> None:
        self.bot, self.plan, self.desk = bot, plan, plan.desk

    def take(self, letter: str) -> None:
        """Take the tool of a letter."""
        action = action_for(self.desk.stage, letter)
        assert action is not None
        take(self.desk, action)
        self.plan.setFocus()

    def pixel(self, place: Point) -> QPoint:
        """The pixel of a place."""
        x, y = self.plan.camera.to_screen(place)
        return QPoint(round(x), round(y))

    def move(self, place: Point) -> None:
        """Move the mouse there."""
        move_mouse(self.plan, self.pixel(place))

    def click(self, place: Point) -> None:
        """Move there and click."""
        self.move(place)
        self.bot.mouseClick(self.plan, LEFT, pos=self.pixel(place))

    def move_with_shift(self, place: Point) -> None:
        """Move the mouse there with Shift held."""
        at, nothing = QPointF(self.pixel(place)), Qt.MouseButton.NoButton
        event = QMouseEvent(QMouseEvent.Type.MouseMove, at, self.plan.mapToGlobal(at), nothing, nothing, SHIFT)
        QApplication.sendEvent(self.plan, event)

    def click_with_shift(self, place: Point) -> None:
        """Move there and click with Shift held."""
        self.move_with_shift(place)
        self.bot.mouseClick(self.plan, LEFT, SHIFT, self.pixel(place))

    def drag(self, start: Point, stop: Point) -> None:
        """Press, move and let go."""
        self.move(start)
        self.bot.mousePress(self.plan, LEFT, pos=self.pixel(start))
        self.move(((start[0] + stop[0]) / 2, (start[1] + stop[1]) / 2))
        self.move(stop)
        self.bot.mouseRelease(self.plan, LEFT, pos=self.pixel(stop))

    def type(self, words: str) -> None:
        """Type characters."""
        self.bot.keyClicks(self.plan, words)

    def press(self, key: Qt.Key) -> None:
        """Press a key."""
        self.bot.keyClick(self.plan, key)


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[Fingers]:
    """A hand on a plan of J-01 from 0,0 over 4,0 to 4,3 and J-02 from 8,-1 to 8,4."""
    job, _ = one_line()
    job, _ = with_line(job, [(8, -1), (8, 4)])
    with desk_with(job, tmp_path, Stage.JOINTS) as desk:
        plan = PlanView(desk)
        qtbot.addWidget(plan)
        plan.resize(900, 600)
        plan.show()
        qtbot.waitExposed(plan)
        plan.look(Camera(px_per_m=50.0, centre=(5.0, 2.0), field=plan.camera.field))
        yield Fingers(qtbot, plan)


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def corners(desk: Desk, ref: str) -> list[Point]:
    """The corners of a joint, to the centimetre."""
    joint = next(joint for joint in job_of(desk).joints.values() if joint.ref == ref)
    assert joint.path is not None
    return [(round(x, 2), round(y, 2)) for x, y in joint.path.points]


def test_a_joint_between_two_joints_by_clicks_digits_and_enter(hand: Fingers) -> None:
    """From the bend of J-01 1.50 m typed to the right, then square to J-02, where a double click ends it."""
    hand.take("J")
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


def test_shift_and_a_catch_go_together(hand: Fingers) -> None:
    """With Shift the next piece stays square to the last, and ends level with the end of J-01 or on J-02 itself."""
    hand.take("J")
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


def test_tab_esc_and_backspace_reach_the_tool(hand: Fingers) -> None:
    """Tab goes to the angle, Backspace takes a digit back, Esc steps back to nothing and then puts the tool away."""
    hand.take("J")
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


def test_a_bend_is_dragged_and_nudged_by_arrow_keys(hand: Fingers) -> None:
    """Dragged from 4,0 to 4.5,−0.5; then an arrow with Shift moves it 10 cm to the right."""
    hand.take("B")
    hand.click((2, 0))
    hand.drag((4, 0), (4.5, -0.5))
    assert corners(hand.desk, "J-01") == [(0, 0), (4.5, -0.5), (4, 3)]
    hand.bot.keyClick(hand.plan, Qt.Key.Key_Right, SHIFT)
    assert corners(hand.desk, "J-01") == [(0, 0), (4.6, -0.5), (4, 3)]
    hand.desk.undo()
    hand.desk.undo()
    assert corners(hand.desk, "J-01") == [(0, 0), (4, 0), (4, 3)]


def test_a_vertical_joint_through_keys_alone_after_its_click(hand: Fingers) -> None:
    """Click on the end of J-01, 2.5, Enter: V-01 stands there."""
    hand.take("V")
    hand.click((4.05, 3.05))
    hand.type("2.5")
    hand.press(Qt.Key.Key_Return)
    (joint,) = (joint for joint in job_of(hand.desk).joints.values() if joint.vertical)
    assert (joint.point, joint.rise_m) == ((4, 3), 2.5)


def test_letters_name_a_new_level_instead_of_taking_tools(hand: Fingers) -> None:
    """In stage Drawing the letters of a level's name go to its field, S, G and the space among them; Tab goes to its level."""
    hand.desk.go_to(Stage.DRAWING)
    hand.take("N")
    hand.move((2, 2))
    hand.type("SG 2")
    hand.press(Qt.Key.Key_Tab)
    hand.type("-3.6")
    hand.press(Qt.Key.Key_Return)
    sheet = list(job_of(hand.desk).sheets.values())[-1]
    assert (sheet.name, sheet.floor_level_m) == ("SG 2", -3.6)
