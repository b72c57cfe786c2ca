"""The first-job guide in the window: played with real keys and clicks on the sample, it follows the job and covers nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.find.rows import Doings, rows_for
from leakmap.desk.guide.guide import DONE, LEFT_AT, Guide
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.work.first_job import first_job
from leakmap.work.open_job import opened
from leakmap.work.recent import recent
from leakmap.work.sample_file import make_sample_file
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import AT, HAND, window_with

LEFT = Qt.MouseButton.LeftButton
CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
NONE = Qt.KeyboardModifier.NoModifier
Key = Qt.Key


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a copy of the sample."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        path = tmp_path / "sample.gpkg"
        make_sample_file(path, user="ann", at=AT)
        window.desk.put(opened(path, HAND))
        QApplication.processEvents()
        yield window


@pytest.fixture
def small(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A compact window on a small job."""
    with window_with(one_line()[0], tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        yield window


class Player:
    """Somebody who follows the guide."""

    def __init__(self, window: MainWindow) -> None:
        self.window, self.plan, self.desk = window, window.plan, window.desk

    @property
    def guide(self) -> Guide:
        """The guide."""
        return self.window.leading.guide

    @property
    def job(self) -> Job:
        """The job as kept."""
        assert self.desk.open_job is not None
        return self.desk.open_job.job

    def press(self, key: Qt.Key, hold: Qt.KeyboardModifier = NONE, times: int = 1) -> None:
        """Press a key on the plan."""
        for _ in range(times):
            QTest.keyClick(self.plan, key, hold)

    def click(self, place: Point) -> None:
        """Move the mouse to a place and click."""
        x, y = self.plan.camera.to_screen(place)
        pixel = QPoint(round(x), round(y))
        QTest.mouseMove(self.plan, pixel)
        QTest.mouseClick(self.plan, LEFT, NONE, pixel)

    def type(self, words: str) -> None:
        """Type on the plan."""
        QTest.keyClicks(self.plan, words)

    def led_to(self) -> QRect:
        """The thing that the line leads to, in the window."""
        QApplication.processEvents()
        thing = self.window.leading.leader.thing
        assert thing is not None
        return thing

    def go(self, number: int, tool: str) -> None:
        """Go to a stage and take a tool as the guide says, and look where its line leads."""
        stage_line, strip = self.window.stage_line, self.window.strip
        assert self.guide.number == number
        if self.desk.stage != number + 1:
            assert placed(self.window, stage_line.cells[number]).contains(self.led_to())
        self.press(Qt.Key(Key.Key_1.value + number), CTRL)
        if tool:
            button = next(button for button in strip.buttons if button.key == tool)
            assert placed(self.window, button).contains(self.led_to())
            self.type(tool.lower())
            assert self.guide.at_press == 2
            assert self.led_to() == strip.sentence_room().translated(strip.pos())


def placed(window: MainWindow, widget: object) -> QRect:
    """Where a widget stands in the window."""
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())  # type: ignore[attr-defined] # a widget


def test_the_whole_guide_is_played_by_doing_it(window: MainWindow) -> None:
    """Six steps end one by one by a length, a joint, a leak, an overrun, a begun revision and a look; then it is remembered."""
    hand = Player(window)
    before = hand.job
    window.leading.begin()
    assert window.leading.bar.isVisible()
    hand.go(0, "S")
    hand.click((0.0, 0.0))
    hand.click((31.2, 0.0))
    hand.type("31.20")
    hand.press(Key.Key_Return)
    sheet = hand.desk.level
    assert sheet is not None
    assert [round(known.length_m, 2) for known in hand.job.sheets[sheet].lengths] == [31.2, 21.6, 31.2]
    hand.press(Key.Key_Escape)
    hand.go(1, "J")
    hand.press(Key.Key_Right)
    hand.press(Key.Key_Space)
    hand.press(Key.Key_Right, SHIFT, times=2)
    hand.press(Key.Key_Space)
    hand.press(Key.Key_Return)
    (joint,) = (each for key, each in hand.job.joints.items() if key not in before.joints)
    assert joint.length_m == pytest.approx(2.0, abs=0.15)
    hand.press(Key.Key_Escape)
    assert joint.path is not None
    (x0, y0), (x1, y1) = joint.path.points[0], joint.path.points[-1]
    hand.go(2, "L")
    hand.type("3")
    hand.click((x0 + 0.3 * (x1 - x0), y0 + 0.3 * (y1 - y0)))
    hand.click((x0 + 0.7 * (x1 - x0), y0 + 0.7 * (y1 - y0)))
    (leak,) = (each for key, each in hand.job.leaks.items() if key not in before.leaks)
    assert (leak.joint, int(leak.wetness)) == (joint.id, 3)
    hand.press(Key.Key_Escape)
    hand.go(3, "O")
    hand.click((x0 + 0.5 * (x1 - x0), y0 + 0.5 * (y1 - y0)))
    hand.press(Key.Key_Tab)
    hand.type("0.60")
    hand.press(Key.Key_Return)
    assert 0.6 in (hand.job.leaks[leak.id].overrun_from_m, hand.job.leaks[leak.id].overrun_to_m)
    hand.press(Key.Key_Escape, times=2)
    hand.go(4, "R")
    hand.type("p")
    assert hand.desk.begun is not None
    hand.go(5, "")
    assert hand.guide.done == frozenset(range(6))
    assert window.leading.bar.title == first_job().end_title
    QApplication.processEvents()
    assert not window.leading.leader.isVisible()
    QTest.mouseClick(window.leading.bar.leave, LEFT)
    assert not window.leading.bar.isVisible()
    assert recent().window[DONE] == 1


def test_it_is_left_at_any_time_and_goes_on_there(small: MainWindow) -> None:
    """Next passes a step; Esc first leaves a tool, then what is picked, then the guide; begun again it goes on there."""
    hand = Player(small)
    bar, guide = small.leading.bar, hand.guide
    small.leading.begin()
    bar.go_on.setFocus()
    QTest.keyClick(bar.go_on, Key.Key_Space)
    assert (guide.number, guide.done) == (1, frozenset())
    hand.press(Key.Key_2, CTRL)
    hand.type("j")
    assert guide.at_press == 2
    hand.press(Key.Key_Escape)
    assert hand.desk.tool is None
    assert guide.number is not None
    hand.press(Key.Key_Escape)
    assert guide.number is None
    assert bar.isHidden()
    QApplication.processEvents()
    assert small.leading.leader.isHidden()
    assert recent().window[LEFT_AT] == 1
    small.leading.begin()
    assert guide.number == 1
    QTest.keyClick(bar.leave, Key.Key_Escape)
    assert guide.number is None
    small.leading.begin()
    assert small.sitting.close()
    assert guide.number is None


def test_it_covers_nothing_and_is_deaf_to_the_mouse(small: MainWindow) -> None:
    """The bar takes room of its own above the foot; the line lies outside plan, ledger and tape and lets clicks through."""
    hand = Player(small)
    small.leading.begin()
    hand.press(Key.Key_3, CTRL)
    hand.led_to()
    bar, leader = small.leading.bar, small.leading.leader
    rooms = [placed(small, pane) for pane in (small.plan, small.ledger, small.tape.view, small.foot)]
    assert not any(room.intersects(placed(small, bar)) for room in rooms)
    assert not any(leader.mask().intersects(room.adjusted(2, 2, -2, -2)) for room in rooms)
    assert leader.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    cell = small.stage_line.cells[1]
    assert small.childAt(placed(small, cell).center()) is cell


@pytest.mark.parametrize(("percent", "glove"), [(100, True), (200, False)])
def test_it_says_everything_at_every_size(small: MainWindow, percent: int, *, glove: bool) -> None:
    """In glove mode buttons are 48 high; at double text size all words have room in the bar, and the plan is still there."""
    desk: Desk = small.desk
    desk.change_setting("text_percent", percent)
    desk.change_setting("glove_mode", glove)
    small.leading.begin()
    QApplication.processEvents()
    bar = small.leading.bar
    for number in range(7):
        assert small.leading.guide.number == number
        QApplication.processEvents()
        assert bar._words_room().bottom() <= bar.height()
        assert placed(small, bar).bottom() <= placed(small, small.foot).top()
        assert small.tape.isHidden()  # gloves and large letters put it away
        assert placed(small, small.plan).bottom() <= placed(small, bar).top()
        assert bar._words_room().width() >= 200
        assert all(bar.rect().contains(button.geometry()) for button in bar._buttons())
        assert all(box.right() <= bar.width() for box in bar._boxes(bar._left, 0.0))
        assert small.plan.height() >= 150
        if glove:
            assert bar.leave.height() >= 48
        small.leading.guide.go_on()
    assert not bar.isVisible()
    desk.change_setting("text_percent", 100)
    desk.change_setting("glove_mode", False)


def test_it_is_said_and_found(small: MainWindow) -> None:
    """A screen reader hears step, words and keys; the find box offers to begin and, while it leads, to leave."""
    doings = Doings()

    def found() -> list[str]:
        return [row.title for row in rows_for(small, "first job", None, doings) if row.go is not None]

    assert found() == ["First job, step by step"]
    heard: list[str] = []
    small.spoken.said.connect(lambda words, _now: heard.append(words))
    small.leading.begin()
    assert small.leading.bar.said() in heard
    assert found() == ["Leave the first job"]
    said = small.leading.bar.accessibleDescription()
    assert said.startswith("Step 1 of 6: Prove the scale. ")
    assert "Press: Ctrl 1, then S, then click" in said
    panes = small._panes()
    assert small.leading.bar in panes
    small.desk.go_to(Stage.JOINTS)
    small.plan.setFocus()
    small.next_pane(1)
    small.next_pane(1)
    small.next_pane(1)
    assert small.leading.bar.go_on.hasFocus()
    QTest.keyClick(small.leading.bar.go_on, Key.Key_Tab)
    assert small.leading.bar.leave.hasFocus()
    QTest.keyClick(small.leading.bar.leave, Key.Key_Tab)
    assert small.foot.scale.hasFocus()


def test_the_start_sheet_begins_it_with_the_sample(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its button, heavy until the guide was gone through, asks for the sample and begins when that lies on the desk."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        asked: list[object] = []
        monkeypatch.setattr(window.sitting, "look_round", lambda *, then: asked.append(then))
        assert window.start.first_job.loud
        assert window.start.first_job.isVisible()
        QTest.mouseClick(window.start.first_job, LEFT)
        assert asked == [window.leading.guide.start]
        assert not window.leading.guide.leads
