"""Following lines of the drawing while a joint is drawn: real mouse and keys on the plan, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.tools import following
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.tool import LiveField, Stroke
from leakmap.desk.trouble import Trouble
from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from tests.helpers.drawn_levels import along, desk_on_drawing
from tests.helpers.plan_hand import PlanHand

ROOM = along((2, -2), (2, 2), (8, 2), (8, -2))  # three sides of a room
LAYERS = {"WALLS": [*ROOM, (12, -2, 12, 2)]}
BACK = Qt.Key.Key_Backspace


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk on a drawing of three sides of a room, 4, 6 and 4 m, and a line apart from it."""
    with desk_on_drawing(LAYERS, tmp_path) as desk:
        yield desk


@pytest.fixture
def hand(desk: Desk, qtbot: QtBot) -> PlanHand:
    """A hand that draws a joint from the foot of the left wall, 0.5 m up, and follows lines."""
    hand = PlanHand(qtbot, desk)
    hand.take(DrawJoint)
    hand.click((2, -1.5))
    hand.type("w")
    return hand


def joint_in(desk: Desk) -> Joint:
    """The one joint of the job as kept."""
    assert desk.open_job is not None
    (joint,) = desk.open_job.job.joints.values()
    return joint


def corners_in(desk: Desk) -> tuple[Point, ...]:
    """Corners of the joint as kept, to the millimetre."""
    path = joint_in(desk).path
    assert path is not None
    return tuple((round(x, 3), round(y, 3)) for x, y in path.points)


def field_of(hand: PlanHand) -> LiveField:
    """The live field."""
    field = hand.tool.overlay().field
    assert field is not None
    return field


def test_way_is_shown_with_its_length_and_one_click_takes_it(hand: PlanHand, desk: Desk) -> None:
    """Pointing at the right wall shows the way round the room, 3.5 + 6 + 1 m; a click and Enter make it the joint."""
    hand.move((8, 1))
    (live,) = hand.tool.overlay().lines
    assert live.stroke is Stroke.LIVE
    assert live.points == ((2, -1.5), (2, 2), (8, 2), (8, 1))
    assert field_of(hand).texts[:2] == ("10.50", "–")
    assert desk.job is not None
    assert [round(joint.length_m, 3) for joint in desk.job.joints.values()] == [10.5]  # told as it is drawn
    hand.click((8, 1))
    hand.enter()
    assert corners_in(desk) == ((2, -1.5), (2, 2), (8, 2), (8, 1))
    desk.undo()
    assert desk.open_job is not None
    assert not desk.open_job.job.joints


def test_following_is_off_until_it_is_asked_for(desk: Desk, qtbot: QtBot) -> None:
    """Without W a piece is straight; the cell in the strip switches, and what it was stays for the next joint."""
    hand = PlanHand(qtbot, desk)
    hand.take(DrawJoint)
    assert not [choice for choice in hand.tool.choices() if choice.key == "W"]
    hand.click((2, -1.5))
    hand.move((8, 1))
    (live,) = hand.tool.overlay().lines
    assert len(live.points) == 2
    (choice,) = hand.tool.choices()
    assert (choice.words, choice.chosen) == ("W follow lines", False)
    choice.take()
    (live,) = hand.tool.overlay().lines
    assert len(live.points) == 4
    assert hand.tool.choices()[0].chosen
    hand.take(DrawJoint)
    hand.click((2, -1.5))
    assert hand.tool.choices()[0].chosen


def test_backspace_takes_the_whole_way_back(hand: PlanHand) -> None:
    """Two ways, then Backspace: only the first is left, with all its bends."""
    hand.click((5, 2))
    hand.click((8, 0))
    assert isinstance(hand.tool, DrawJoint)
    assert len(hand.tool.points) == 5
    hand.press(BACK)
    assert hand.tool.points == [(2, -1.5), (2, 2), (5, 2)]
    hand.press(BACK)
    assert hand.tool.points == [(2, -1.5)]


def test_shift_and_ctrl_draw_straight_pieces(hand: PlanHand, qtbot: QtBot) -> None:
    """With Shift the piece keeps to 45°, with Ctrl nothing catches: neither follows a line."""
    hand.move((8, 1))
    qtbot.keyPress(hand.plan, Qt.Key.Key_Shift)
    assert len(hand.tool.overlay().lines[0].points) == 2
    qtbot.keyRelease(hand.plan, Qt.Key.Key_Shift)
    assert len(hand.tool.overlay().lines[0].points) == 4
    qtbot.keyPress(hand.plan, Qt.Key.Key_Control)
    assert len(hand.tool.overlay().lines[0].points) == 2
    qtbot.keyRelease(hand.plan, Qt.Key.Key_Control)
    assert len(hand.tool.overlay().lines[0].points) == 4


def test_typed_length_goes_along_the_way(hand: PlanHand, desk: Desk) -> None:
    """5 typed on the way round the room ends 1.5 m along the far wall; more than the way is refused with its length."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand.move((8, 1))
    hand.type("50")
    hand.enter()
    assert [trouble.sentence for trouble in told] == [
        "The way along the lines is only 10.50 m long; point farther along them."
    ]
    hand.press(BACK)
    hand.enter()
    hand.enter()
    assert corners_in(desk) == ((2, -1.5), (2, 2), (3.5, 2))


def test_typed_angle_is_a_straight_piece(hand: PlanHand, desk: Desk) -> None:
    """3 at 0° goes straight into the room although lines are followed."""
    hand.move((8, 1))
    hand.type("3")
    hand.tab()
    hand.type("0")
    hand.enter()
    hand.enter()
    assert corners_in(desk) == ((2, -1.5), (5, -1.5))


def test_no_way_is_said_and_a_straight_piece_is_offered(hand: PlanHand, desk: Desk) -> None:
    """The line apart hangs together with nothing: the strip says so, and a click draws straight to it."""
    hand.move((12, 1))
    assert hand.tool.sentence() == "No lines lead there from the last point; a click draws a straight piece."
    hand.click((12, 1))
    hand.enter()
    assert corners_in(desk) == ((2, -1.5), (12, 1))


def test_joint_closes_along_lines(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    """Round a closed room: two ways, then a click on its own start closes it along the last sides."""
    del desk
    (tmp_path / "closed").mkdir()
    room = along((2, -2), (2, 2), (8, 2), (8, -2), (2, -2))
    with desk_on_drawing({"WALLS": room}, tmp_path / "closed") as closed:
        hand = PlanHand(qtbot, closed)
        hand.take(DrawJoint)
        hand.click((2, 0))
        hand.type("W")
        hand.click((5, 2))
        hand.click((8, -1))
        hand.click((2, 0))
        joint = joint_in(closed)
        assert joint.closed
        assert round(joint.length_m, 3) == 20
        hand.take(None)


def test_long_search_goes_in_slices(hand: PlanHand, desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    """A way that is not found at once is looked for between two frames; a click meanwhile takes nothing and says so."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    monkeypatch.setattr(following, "AT_ONCE_S", -1.0)
    monkeypatch.setattr(following, "_SLICE_S", -1.0)
    monkeypatch.setattr(following, "_STEPS", 1)
    hand.move((8, 1))
    assert hand.tool.sentence().startswith("Looking for the way")
    assert isinstance(hand.tool, DrawJoint)
    place = QPoint(hand.pixel((8, 1)))
    qtbot.mousePress(hand.plan, Qt.MouseButton.LeftButton, pos=place)
    assert hand.tool.points == [(2, -1.5)]
    assert "still looked for" in told[0].sentence
    qtbot.mouseRelease(hand.plan, Qt.MouseButton.LeftButton, pos=place)
    qtbot.waitUntil(lambda: "Click to take the way" in hand.tool.sentence())
    assert len(hand.tool.overlay().lines[0].points) == 4


def test_search_is_given_up_with_a_sentence(hand: PlanHand, monkeypatch: pytest.MonkeyPatch) -> None:
    """After as many places as are looked at, the straight piece is offered."""
    monkeypatch.setattr(following, "MOST_STEPS", 1)
    monkeypatch.setattr(following, "_STEPS", 1)
    hand.move((8, 1))
    assert hand.tool.sentence().startswith("No lines lead there")


def test_pipe_collar_follows_nothing(desk: Desk, qtbot: QtBot) -> None:
    """For a collar there is no cell, and W is nothing."""
    hand = PlanHand(qtbot, desk)
    hand.take(DrawJoint)
    hand.type("6")
    hand.click((2, -1.5))
    assert not hand.tool.choices()
    hand.type("w")
    assert not desk.follows
