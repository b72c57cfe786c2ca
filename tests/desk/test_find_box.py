"""The find box: real keys and clicks, checked on the desk and the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.find.box import HINT
from leakmap.desk.find.rows import Look
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.overrun import Overrun
from leakmap.desk.tools.set_scale import SetScale
from leakmap.desk.tools.table import actions_of
from leakmap.desk.window import MainWindow
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.words import Kind, Wetness
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.find.finding import NOTHING
from tests.helpers.small_jobs import leak_named, one_line, with_leak, with_line
from tests.helpers.windows import window_with

CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
LEFT = Qt.MouseButton.LeftButton
ENTER, ESC, DOWN, UP, TAB = Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_Tab


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """B2 has J-01 with L-01 (seep), B1 has J-02 with L-02 (drip), far off; axes A, B and 1, 2; stage Leaks."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SEEP)
    edit = add_sheet(job, name="B1")
    job, other = with_line(edit.job, [(200, 0), (208, 0)], sheet=edit.made[0])
    job, _ = with_leak(job, other, 3.0, 4.0, Wetness.DRIP)
    grid = Grid(letters=axes_with_bays("AB", (6.0,)), numbers=axes_with_bays("12", (4.2,), towards_deg=90.0))
    with window_with(set_grid(job, grid=grid).job, tmp_path) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        window.desk.go_to(Stage.LEAKS)
        yield window


def look_for(window: MainWindow, bot: QtBot, words: str) -> None:
    """Press Ctrl K and type; the list is complete."""
    bot.keyClick(window.plan, Qt.Key.Key_K, CTRL)
    assert window.focusWidget() is window.finder
    bot.keyClicks(window.finder, words)
    bot.waitUntil(lambda: window.finder._slices is None)


def titles(window: MainWindow, look: Look) -> list[str]:
    """Titles of the rows of a look."""
    return [row.title for row in window.finder.list.hits.rows if row.look is look]


def level(window: MainWindow) -> str:
    """Name of the level on the plan."""
    assert window.desk.job is not None
    assert window.desk.level is not None
    return window.desk.job.sheets[window.desk.level].name


def joint_of(window: MainWindow, ref: str) -> Thing:
    """A joint by its reference."""
    assert window.desk.job is not None
    return Thing(Sort.JOINT, next(joint.id for joint in window.desk.job.joints.values() if joint.ref == ref))


def room_of(window: MainWindow, widget: QWidget) -> QRect:
    """Where a widget lies in the window."""
    return QRect(widget.mapTo(window, widget.rect().topLeft()), widget.size())


def test_a_leak_is_found_by_its_wetness_on_another_level(window: MainWindow, qtbot: QtBot) -> None:
    """Typing drip lists L-02 of B1; Enter shows B1, picks the leak, brings it into view and gives the plan the keys."""
    look_for(window, qtbot, "drip")
    assert titles(window, Look.PLACE) == ["L-02"]
    qtbot.keyClick(window.finder, ENTER)
    assert window.desk.job is not None
    assert level(window) == "B1"
    assert window.desk.picked == (Thing(Sort.LEAK, leak_named(window.desk.job, "L-02").id),)
    x0, _, x1, _ = window.plan.camera.shown
    assert x0 < 203
    assert x1 > 204
    assert window.focusWidget() is window.plan
    assert not window.finder.list.isVisible()
    assert window.finder.text() == ""


def test_keys_step_through_the_list_and_a_click_takes(window: MainWindow, qtbot: QtBot) -> None:
    """Down and Up go over headings, past the end comes the first; Tab enters the list, letters come back to the box."""
    look_for(window, qtbot, "j")
    rows = window.finder.list
    assert titles(window, Look.HEADING)[0].startswith("On the plan")
    first = rows.current
    assert first is not None
    assert first.title == "J-01"
    assert window.finder.accessibleDescription().startswith("J-01, construction joint")
    qtbot.keyClick(window.finder, UP)
    last = rows.current
    qtbot.keyClick(window.finder, DOWN)
    assert (rows.current, last is first) == (first, False)
    qtbot.keyClick(window.finder, TAB)
    assert window.focusWidget() is rows
    qtbot.keyClick(rows, DOWN)
    assert rows.current is not None
    assert rows.current.title == "J-02"
    qtbot.keyClicks(rows, "2")
    assert (window.finder.text(), window.focusWidget()) == ("j2", window.finder)
    index = next(k for k, row in enumerate(rows.hits.rows) if row.title == "J-02")
    qtbot.mouseClick(rows.viewport(), LEFT, pos=rows.visualRect(rows.hits.index(index, 0)).center())
    assert window.desk.picked == (joint_of(window, "J-02"),)


def test_spots_are_marked_and_chainages_pick_their_joint(window: MainWindow, qtbot: QtBot) -> None:
    """B2 of the grid comes after the level B2; j1 5.5 picks J-01 and marks 4, 1.5; another pick takes the mark away."""
    look_for(window, qtbot, "b2")
    assert titles(window, Look.PLACE)[:2] == ["B2", "B / 2"]
    qtbot.keyClick(window.finder, DOWN)
    qtbot.keyClick(window.finder, ENTER)
    assert window.desk.spot == pytest.approx((6.0, 4.2))
    look_for(window, qtbot, "j1 5.5")
    qtbot.keyClick(window.finder, ENTER)
    assert window.desk.spot == pytest.approx((4.0, 1.5))
    assert window.desk.picked == (joint_of(window, "J-01"),)
    window.desk.pick()
    assert window.desk.spot is None


def test_enter_on_an_action_does_it_in_its_stage(window: MainWindow, qtbot: QtBot) -> None:
    """scale, with a slip, takes Set scale in stage Drawing; a zone's name offers to set its overrun, which picks it."""
    look_for(window, qtbot, "scael")
    assert titles(window, Look.DOING)[0] == "Set scale"
    qtbot.keyClick(window.finder, ENTER)
    assert window.desk.stage is Stage.DRAWING
    assert isinstance(window.desk.tool, SetScale)
    look_for(window, qtbot, "z2")
    assert titles(window, Look.DOING)[0] == "Set the overrun of Z-02"
    qtbot.keyClick(window.finder, DOWN)
    while window.finder.list.current is not None and not window.finder.list.current.title.startswith("Set the"):
        qtbot.keyClick(window.finder, DOWN)
    qtbot.keyClick(window.finder, ENTER)
    assert (window.desk.stage, window.desk.picked) == (Stage.REPAIR, (Thing(Sort.ZONE, 2),))
    assert isinstance(window.desk.tool, Overrun)


def test_nothing_found_says_what_to_try_and_esc_leaves(window: MainWindow, qtbot: QtBot) -> None:
    """The exact sentence stands alone; Esc clears and gives the keyboard back; nothing typed lists the stage's tools."""
    look_for(window, qtbot, "xyzzyx")
    assert [row.title for row in window.finder.list.hits.rows] == [NOTHING]
    qtbot.keyClick(window.finder, ENTER)
    qtbot.keyClick(window.finder, ESC)
    assert not window.finder.list.isVisible()
    assert window.focusWidget() is window.plan
    look_for(window, qtbot, "")
    assert titles(window, Look.NOTE) == [HINT]
    assert titles(window, Look.DOING) == [action.label for action in actions_of(Stage.LEAKS)]


def test_the_list_lies_clear_of_box_stages_and_the_middle(window: MainWindow, qtbot: QtBot) -> None:
    """480 wide at the right under the box, at any size; it covers neither box, undo, a stage nor the plan's middle."""
    line = window.stage_line
    for size in ((1600, 1000), (1280, 800), (1180, 720)):
        window.resize(*size)
        look_for(window, qtbot, "l")
        room = room_of(window, window.finder.list)
        assert (room.width(), room.right()) == (480, window.width() - 1)
        assert room.bottom() < window.height()
        for other in (window.finder, line.undo, line.redo, *line.cells):
            assert not room.intersects(room_of(window, other))
        assert not room.contains(room_of(window, window.plan).center())
        assert room_of(window, window.finder).left() > room_of(window, line.redo).right()
        qtbot.keyClick(window.finder, ESC)


def test_letter_keys_can_be_switched_off(window: MainWindow, qtbot: QtBot) -> None:
    """Letter keys off: L does nothing and Alt L marks leaks, as the button says; on again by the same box."""
    look_for(window, qtbot, "letter keys off")
    qtbot.keyClick(window.finder, ENTER)
    assert not window.desk.settings.letter_keys
    assert [button.key for button in window.strip.buttons] == [
        f"Alt {action.key}" for action in actions_of(Stage.LEAKS)
    ]
    qtbot.keyClick(window.plan, Qt.Key.Key_L)
    assert window.desk.tool is None
    qtbot.keyClick(window.plan, Qt.Key.Key_L, ALT)
    assert window.desk.tool is not None
    window.desk.take_tool(None)
    look_for(window, qtbot, "letter keys")
    assert "Letter keys off" not in titles(window, Look.DOING)
    qtbot.keyClick(window.finder, ENTER)
    assert [button.key for button in window.strip.buttons] == [action.key for action in actions_of(Stage.LEAKS)]


def test_a_deed_while_the_list_is_open_is_found_at_once(window: MainWindow, qtbot: QtBot) -> None:
    """What undo takes away is no longer listed."""
    assert window.desk.job is not None
    window.desk.do(add_sheet(window.desk.job, name="Roof"))
    look_for(window, qtbot, "roof")
    assert titles(window, Look.PLACE) == ["Roof"]
    window.desk.undo()
    qtbot.waitUntil(lambda: titles(window, Look.NOTE) == [NOTHING])


def test_units_of_the_job_and_settings_are_found(window: MainWindow, qtbot: QtBot) -> None:
    """Feet reads the job in imperial units as one step to undo, and is listed no more; dark, glove and a key are found."""
    look_for(window, qtbot, "feet")
    assert "Imperial units" in titles(window, Look.DOING)
    while window.finder.list.current is not None and window.finder.list.current.title != "Imperial units":
        qtbot.keyClick(window.finder, DOWN)
    qtbot.keyClick(window.finder, ENTER)
    assert window.desk.job is not None
    assert window.desk.job.units == Units.IMPERIAL
    window.desk.undo()
    assert window.desk.job.units == Units.METRIC
    for words, title in (("dark", "Dark theme"), ("gloves", "Glove mode on"), ("f1", "Say more of this")):
        look_for(window, qtbot, words)
        assert title in titles(window, Look.DOING)
        qtbot.keyClick(window.finder, ESC)


def test_a_height_is_pointed_at_on_its_staff(window: MainWindow, qtbot: QtBot) -> None:
    """With Leak stretch in hand, "V-01 0.4" puts the cross on the staff at 0.40 m, and Space starts the stretch there."""
    desk = window.desk
    assert desk.job is not None
    level = next(iter(desk.job.sheets))
    made = draw_vertical_joint(desk.job, sheet=level, kind=Kind.CONSTRUCTION, point=(3.0, 3.0), rise_m=2.4)
    desk.do(made)
    desk.take_tool(LeakStretch(desk))
    look_for(window, qtbot, "V-01 0.4")
    qtbot.keyClick(window.finder, ENTER)
    qtbot.keyClick(window.plan, Qt.Key.Key_Space)
    qtbot.keyClick(window.plan, TAB)
    qtbot.keyClicks(window.plan, "1.2")
    qtbot.keyClick(window.plan, ENTER)
    assert desk.job is not None
    leak = leak_named(desk.job, "L-03")
    assert (leak.joint, leak.from_m, leak.to_m) == (made.made[0], 0.4, 1.2)
