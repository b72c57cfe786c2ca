"""Fingers on the plan, and glove mode."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QInputDevice, QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLineEdit, QScroller
from pytestqt.qtbot import QtBot

from leakmap.desk.alphabets import ALPHABETS, FEET
from leakmap.desk.job_menu import job_menu
from leakmap.desk.larger import GLOVE_PX, RING_ABOVE_PX, larger, reach_of
from leakmap.desk.ledger.pane import LedgerPane
from leakmap.desk.ledger.table import acts
from leakmap.desk.taking import take
from leakmap.desk.things import OF_JOB, Declared, Sort, Stage
from leakmap.desk.tools.issue_tools import IssueRevision
from leakmap.desk.tools.table import action_for
from leakmap.desk.units_menu import units_menu
from leakmap.desk.window import MainWindow
from leakmap.geometry.path import Point
from leakmap.model.words import Purpose, Wetness
from leakmap.work.edits.leaks import add_leak
from leakmap.work.recent import remember, with_recipient
from leakmap.work.settings import DEFAULTS, Role, Settings
from tests.helpers.desks import desk_with
from tests.helpers.mouse import move_mouse
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import window_with

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(scope="module")
def screen() -> QPointingDevice:
    """A touch screen."""
    return QTest.createTouchDevice(QInputDevice.DeviceType.TouchScreen)


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window in glove mode on a job with one straight joint of 10 m."""
    with window_with(one_line()[0], tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        window.desk.change_setting("glove_mode", True)
        window.beside.show_plan_only()  # ledger and tape beside it again: a screen for tests is 800 px wide
        QApplication.processEvents()
        yield window
    larger().follow(DEFAULTS)


class Finger:
    """Fingers on the plan of a window; places are of the site, metres."""

    def __init__(self, window: MainWindow, screen: QPointingDevice) -> None:
        self.plan, self.screen = window.plan, screen

    def pixel(self, at: Point) -> QPoint:
        """Where a place is on the plan."""
        x, y = self.plan.camera.to_screen(at)
        return QPoint(round(x), round(y))

    def tap(self, at: QPoint) -> None:
        """Tap a pixel."""
        QTest.touchEvent(self.plan, self.screen).press(1, at, self.plan).commit()
        QTest.touchEvent(self.plan, self.screen).release(1, at, self.plan).commit()

    def put(self, at: Point) -> None:
        """Point at a place with the ring and pick it with a second tap."""
        under = self.pixel(at) + QPoint(0, int(RING_ABOVE_PX))
        self.tap(under)
        self.tap(under)

    def slide(self, ways: dict[int, tuple[QPoint, QPoint]], *, steps: int = 4) -> None:
        """Slide fingers from and to pixels together."""
        down = QTest.touchEvent(self.plan, self.screen)
        for finger, (start, _) in ways.items():
            down.press(finger, start, self.plan)
        down.commit()
        for step in range(1, steps + 1):
            moved = QTest.touchEvent(self.plan, self.screen)
            for finger, (start, end) in ways.items():
                moved.move(finger, start + (end - start) * step / steps, self.plan)
            moved.commit()
        up = QTest.touchEvent(self.plan, self.screen)
        for finger, (_, end) in ways.items():
            up.release(finger, end, self.plan)
        up.commit()


def tool(window: MainWindow, stage: Stage, key: str) -> None:
    """Take a tool as a click on its button does."""
    window.desk.go_to(stage)
    action = action_for(stage, key)
    assert action is not None
    take(window.desk, action)


def test_a_joint_and_a_leak_are_made_by_touch_alone(window: MainWindow, screen: QPointingDevice) -> None:
    """Taps draw a joint of the length that was pointed at and mark a leak on it; a first tap alone changes nothing."""
    finger, desk = Finger(window, screen), window.desk
    assert desk.open_job is not None
    before = set(desk.open_job.job.joints)
    x0, y0, x1, y1 = window.plan.camera.shown
    start, end = (x0 + 0.4 * (x1 - x0), y0 + 0.6 * (y1 - y0)), (x0 + 0.7 * (x1 - x0), y0 + 0.6 * (y1 - y0))
    tool(window, Stage.JOINTS, "J")
    finger.put(start)
    finger.tap(finger.pixel(end) + QPoint(0, int(RING_ABOVE_PX)))
    assert set(desk.open_job.job.joints) == before
    finger.tap(finger.pixel(end) + QPoint(0, int(RING_ABOVE_PX)))
    QTest.mouseClick(window.glove_row.buttons["Done"], LEFT)
    (made,) = set(desk.open_job.job.joints) - before
    joint = desk.open_job.job.joints[made]
    assert joint.path is not None
    pixel_m = window.plan.camera.m_per_px
    assert joint.path.length_m == pytest.approx(end[0] - start[0], abs=2 * pixel_m)
    tool(window, Stage.LEAKS, "L")
    a, b = joint.path.point_at(0.25 * joint.path.length_m), joint.path.point_at(0.75 * joint.path.length_m)
    finger.put(a)
    finger.put(b)
    (leak,) = desk.open_job.job.leaks.values()
    assert (leak.joint, leak.wetness) == (made, Wetness.SEEP)
    assert leak.to_m - leak.from_m == pytest.approx(joint.path.length_m / 2, abs=4 * pixel_m)


def test_two_fingers_move_and_zoom(window: MainWindow, screen: QPointingDevice) -> None:
    """Fingers that part by a factor bring the plan nearer by it, and together they move it; nothing is picked or drawn."""
    finger, plan = Finger(window, screen), window.plan
    tool(window, Stage.JOINTS, "J")
    before = plan.camera
    a, b = QPoint(300, 250), QPoint(500, 250)
    finger.slide({1: (a, a - QPoint(100, 0)), 2: (b, b + QPoint(100, 0))})
    assert plan.camera.px_per_m == pytest.approx(2 * before.px_per_m)
    middle = plan.camera
    finger.slide({1: (a, a + QPoint(60, 30)), 2: (b, b + QPoint(60, 30))})
    assert plan.camera.px_per_m == pytest.approx(middle.px_per_m)
    moved = (plan.camera.centre[0] - middle.centre[0], plan.camera.centre[1] - middle.centre[1])
    assert moved == pytest.approx((-60 * middle.m_per_px, 30 * middle.m_per_px))
    assert window.desk.open_job is not None
    assert not window.desk.open_job.undo_words


def test_without_a_tool_one_tap_points_and_a_second_picks(window: MainWindow, screen: QPointingDevice) -> None:
    """A tap on a joint marks it, a second picks it, one finger that slides moves the paper."""
    finger, desk = Finger(window, screen), window.desk
    desk.go_to(Stage.JOINTS)
    assert desk.open_job is not None
    ((key, joint),) = desk.open_job.job.joints.items()
    assert joint.path is not None
    at = finger.pixel(joint.path.point_at(joint.path.length_m / 2))
    finger.tap(at)
    assert desk.pointed is not None
    assert (desk.pointed.key, desk.picked) == (key, ())
    finger.tap(at)
    assert [(thing.sort, thing.key) for thing in desk.picked] == [(Sort.JOINT, key)]
    before = window.plan.camera.centre
    free = at - QPoint(0, 150)
    finger.slide({1: (free, free + QPoint(80, 0))})
    assert window.plan.camera.centre[0] == pytest.approx(before[0] - 80 * window.plan.camera.m_per_px)


def test_glove_mode_makes_controls_large_and_brings_buttons(window: MainWindow) -> None:
    """Buttons and rows are 48 high, and buttons stand for keys: Type brings digits to the live field; off, all is as before."""
    desk, row = window.desk, window.glove_row
    assert all(button.height() == GLOVE_PX for button in window.strip.buttons)
    assert window.ledger.table.rowHeight(0) == GLOVE_PX
    assert window.foot.height() >= GLOVE_PX
    assert {name for name, button in row.buttons.items() if button.isVisible()} == {
        "Done", "Back", "Delete", "Edit", "Type",
    }  # fmt: skip
    tool(window, Stage.JOINTS, "J")
    QTest.mouseClick(row.buttons["Type"], LEFT)
    QTest.mouseClick(row.digits["3"], LEFT)
    assert desk.kind.value == "movement"
    QTest.mouseClick(row.buttons["Back"], LEFT)
    assert desk.tool is None
    QTest.mouseClick(row.buttons["Type"], LEFT)
    QTest.mouseClick(row.beside["Ledger"], LEFT)
    assert not window.ledger.isVisible()
    desk.change_setting("glove_mode", False)
    assert not row.isVisible()
    assert all(button.height() == 40 for button in window.strip.buttons)


def test_a_glove_reaches_farther() -> None:
    """In glove mode a handle is hit within 44 px, and places catch within twice the radius that was set."""
    glove = reach_of(Settings(glove_mode=True, snap_px=14))
    assert (2 * glove.handle_px, glove.catch_px) == (44, 28)
    assert reach_of(Settings(snap_px=20)).catch_px == 20


def test_glove_mode_is_offered_at_the_first_touch(window: MainWindow, screen: QPointingDevice) -> None:
    """The first finger is asked once whether it wants more room, and a press gives it."""
    window.desk.change_setting("glove_mode", False)
    finger, band = Finger(window, screen), window.centre.band
    finger.tap(QPoint(300, 250))
    assert "glove mode" in band.sentence
    QTest.mouseClick(next(button for button in band.buttons if button.text() == "Glove mode"), LEFT)
    assert window.desk.settings.glove_mode
    window.desk.change_setting("glove_mode", False)
    finger.tap(QPoint(300, 250))
    assert "glove mode" not in band.sentence


def test_type_brings_feet_and_inches_only_where_they_are_typed(window: MainWindow) -> None:
    """In a metric job Type shows digits alone; in feet and inches also what 2'6-3/8" needs; Units offers both."""
    row = window.glove_row
    row.buttons["Type"].click()
    shown = {sign for sign, button in row.digits.items() if button.isVisible()}
    menu = units_menu(window.desk, window)
    assert [action.text() for action in menu.actions() if action.isChecked()] == ["Metric", "Glove mode"]
    next(action for action in menu.actions() if action.text() == "Feet and inches").trigger()
    assert {sign for sign, button in row.digits.items() if button.isVisible()} - shown == set(FEET)
    next(action for action in menu.actions() if action.text() == "Glove mode").trigger()
    assert not row.isVisible()


def _type(window: MainWindow, words: str) -> None:
    """Press a button for each letter, Capital before each that is one."""
    row = window.glove_row
    for letter in words:
        if letter == " ":
            QTest.mouseClick(row.space, LEFT)
            continue
        if letter.isalpha() and letter.isupper() is not row.capitals:
            QTest.mouseClick(row.capital, LEFT)
        button = row.letters[row.alphabet][letter.lower()]
        assert button.isVisible()
        assert button.width() >= GLOVE_PX
        assert row.rect().contains(button.geometry())
        QTest.mouseClick(button, LEFT)


def test_a_glove_types_whom_an_issue_goes_to(window: MainWindow) -> None:
    """Letters come by themselves where words are asked for: Latin, Greek and Cyrillic; they go with the field."""
    desk, row = window.desk, window.glove_row
    window.activateWindow()
    desk.go_to(Stage.ISSUE)
    desk.begin_revision(Purpose.PRICE)
    desk.take_tool(IssueRevision(desk))
    QApplication.processEvents()
    assert row.typing
    assert row.capitals
    _type(window, "Crew ")
    for alphabet, words in (("αβγ", "Ώρα"), ("абв", "Їж"), ("äéñ", "Ñß")):
        QTest.mouseClick(row.alphabets[alphabet], LEFT)
        _type(window, words)
    QTest.mouseClick(row.alphabets["123"], LEFT)
    QTest.mouseClick(row.digits["2"], LEFT)
    assert desk.begun is not None
    assert desk.begun.to_whom == "Crew ΏραЇжÑß2"
    QTest.mouseClick(row.digits["⌫"], LEFT)
    assert desk.begun.to_whom == "Crew ΏραЇжÑß"
    assert {len(set(letters)) - len(letters) for letters in ALPHABETS.values()} == {0}
    desk.take_tool(None)
    QApplication.processEvents()
    assert not row.typing


def test_every_field_brings_what_is_typed_in_it(window: MainWindow) -> None:
    """The find box and names bring letters, figures digits, of rules, rates and the ground water, entered or not; all have 48 px."""
    desk, row = window.desk, window.glove_row
    window.activateWindow()
    window.finder.take_keyboard()
    QApplication.processEvents()
    assert (row.typing, row.alphabet) == (True, "abc")
    _type(window, "plan")
    assert window.finder.text().lower() == "plan"
    assert window.finder.list.geometry().bottom() < row.y()
    assert all(button.height() == GLOVE_PX <= button.width() for button in row.letters["abc"].values())
    window.finder.leave()
    for declared, name, alphabet in (
        (Declared.RULES, "name", "abc"),
        (Declared.RULES, "bridge_m", "123"),
        (Declared.RATES, "currency", "abc"),
        (Declared.RATES, "slot_plug", "123"),
        (Declared.MATERIALS, "plugging_mortar.bag_kg", "123"),
    ):
        desk.show_declared(declared)
        field = next(row.field for row in window.declared.rows if row.line.name == name)
        assert field is not None
        field.setFocus()
        QApplication.processEvents()
        assert row.alphabet == alphabet, name
        assert window.declared.visibleRegion().boundingRect().bottom() < row.y()
    desk.show_declared(None)
    QTest.mouseClick(window.levels.water, LEFT)
    assert (row.typing, row.alphabet) == (True, "123")
    for sign in "-2.4":
        QTest.mouseClick(row.digits[sign], LEFT)
    QTest.mouseClick(row.buttons["Done"], LEFT)
    assert desk.job is not None
    assert desk.job.water is not None
    assert desk.job.water.level_m == -2.4
    assert not row.typing


def test_cells_of_the_ledger_bring_digits_for_figures(window: MainWindow) -> None:
    """Where a leak stops is typed by digits, what a joint is called by letters."""
    desk, model, editing = window.desk, window.ledger.model, window.ledger.table.editing
    window.activateWindow()
    assert desk.job is not None
    (joint,) = desk.job.joints
    desk.do(add_leak(desk.job, joint=joint, from_m=1.0, to_m=2.0, wetness=Wetness.SEEP))
    desk.take_role(Role.ENGINEER)
    for stage, column, alphabet in ((Stage.JOINTS, "ref", "abc"), (Stage.LEAKS, "to", "123")):
        desk.go_to(stage)
        assert editing.open(0, [each.name for each in model.columns].index(column))
        assert window.glove_row.alphabet == alphabet


def test_who_got_an_issue_of_another_job_is_offered_to_a_glove(window: MainWindow) -> None:
    """Five who got one before are cells to a glove, two at a desk, the latest first; one press takes a name."""
    for name in ("a", "b", "c", "d", "e", "f"):
        remember(lambda old, name=name: with_recipient(old, name))  # type: ignore[misc] # the default binds each
    desk = window.desk
    desk.go_to(Stage.ISSUE)
    desk.begin_revision(Purpose.PRICE)
    desk.take_tool(IssueRevision(desk))
    names = [cell.choice.words for cell in window.strip.choices][2:-1]
    assert names == ["f", "e", "d", "c", "b"]
    QTest.mouseClick(window.strip.choices[4], LEFT)
    assert desk.begun is not None
    assert desk.begun.to_whom == "d"
    desk.change_setting("glove_mode", False)
    assert [cell.choice.words for cell in window.strip.choices][2:-1] == ["f", "e"]


def _small(window: MainWindow) -> list[str]:
    """What is pressed or typed in and lower than a glove needs."""
    QApplication.processEvents()
    pressed = [*window.findChildren(QAbstractButton), *window.findChildren(QLineEdit)]
    found = [
        f"{each.accessibleName()}: {each.height()}" for each in pressed if each.isVisible() and each.height() < GLOVE_PX
    ]
    header = window.ledger.table.horizontalHeader()
    return found + ([f"headings: {header.height()}"] if header.isVisible() and header.height() < GLOVE_PX else [])


def test_whatever_a_glove_presses_is_48_high(window: MainWindow) -> None:
    """In every stage, on every sheet, in menus and in the guide: buttons, words, fields and headings are 48 px high."""
    desk = window.desk
    for stage in Stage:
        desk.go_to(stage)
        assert not _small(window), stage
    for declared in (*OF_JOB, Declared.SETTINGS, Declared.OLD_JOBS, Declared.CAUTIONS):
        desk.show_declared(declared)
        assert not _small(window), declared
    desk.show_declared(None)
    window.leading.begin()
    assert not _small(window)
    for menu in (units_menu(desk, window), job_menu(window)):
        menu.ensurePolished()
        assert all(menu.actionGeometry(each).height() >= GLOVE_PX for each in menu.actions() if not each.isSeparator())


def test_a_finger_slides_what_is_listed(qtbot: QtBot, tmp_path: Path, screen: QPointingDevice) -> None:
    """Sliding up brings later rows of the ledger into view and picks no row after another; a tap picks one, as ever."""
    job, joint = one_line()
    for number in range(40):
        job, _ = with_leak(job, joint, 0.1 * number, 0.1 * number + 0.05, Wetness.SUSPECT)
    with desk_with(job, tmp_path, Stage.LEAKS) as desk:
        pane = LedgerPane(desk)
        qtbot.addWidget(pane)
        pane.resize(440, 500)
        pane.show()
        qtbot.waitExposed(pane)
        rows, bar = pane.table.viewport(), pane.table.verticalScrollBar()
        QTest.touchEvent(rows, screen).press(1, QPoint(100, 200), rows).commit()
        for number in range(1, 9):
            QTest.touchEvent(rows, screen).move(1, QPoint(100, 200 - 18 * number), rows).commit()
        QTest.touchEvent(rows, screen).release(1, QPoint(100, 56), rows).commit()
        qtbot.waitUntil(lambda: bar.value() > 0)
        assert len(desk.picked) <= 1
        qtbot.waitUntil(lambda: QScroller.scroller(rows).state() is QScroller.State.Inactive)
        QTest.touchEvent(rows, screen).press(1, QPoint(100, 100), rows).commit()
        QTest.touchEvent(rows, screen).release(1, QPoint(100, 100), rows).commit()
        qtbot.waitUntil(lambda: len(desk.picked) == 1)


def test_a_note_waits_for_the_finger_to_be_lifted(qtbot: QtBot, tmp_path: Path, screen: QPointingDevice) -> None:
    """A note of the check list does nothing under a finger that may slide on, and what it offers once that is lifted."""
    job, joint = one_line()
    with desk_with(with_leak(job, joint, 1.0, 2.0, Wetness.SUSPECT)[0], tmp_path, Stage.ISSUE) as desk:
        pane = LedgerPane(desk)
        qtbot.addWidget(pane)
        pane.resize(440, 500)
        pane.show()
        qtbot.waitExposed(pane)
        rows = pane.table.viewport()
        note = next(number for number, entry in enumerate(pane.model.entries) if acts(entry))
        at = pane.table.visualRect(pane.model.index(note, 0)).center()
        assert rows.rect().contains(at)
        acted: list[object] = []
        pane.table.acted.connect(acted.append)
        QTest.touchEvent(rows, screen).press(1, at, rows).commit()
        assert not acted
        QTest.touchEvent(rows, screen).release(1, at, rows).commit()
        assert len(acted) == 1


def test_the_start_sheet_slides_under_a_finger(window: MainWindow) -> None:
    """In large letters and gloves the last button of the start sheet is drawn into view."""
    desk, start = window.desk, window.start
    window.sitting.close()
    desk.change_setting("text_percent", 200)
    QApplication.processEvents()
    last = start.first_job
    assert last.geometry().bottom() > start.height()
    QTest.mousePress(start, LEFT, pos=QPoint(40, 300))
    move_mouse(start, QPoint(40, 40))
    QTest.mouseRelease(start, LEFT, pos=QPoint(40, 40))
    assert last.geometry().bottom() <= start.height()
