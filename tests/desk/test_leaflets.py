"""Cautions and what is new lie in the plan's place, by keys alone; F1 speaks of the pane that has the keyboard."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from leakmap.base.measures import Units
from leakmap.desk.longer import AT_PANE, AT_REST, longer_sentence
from leakmap.desk.things import Pane, Stage
from leakmap.desk.tools.table import action_for
from leakmap.desk.window import MainWindow
from leakmap.issue.cautions import cautions
from leakmap.work.edits.rules import set_units

F1 = Qt.Key.Key_F1


def test_cautions_are_read_beside_the_ledger(window: MainWindow) -> None:
    """In stage Issue A shows every caution in the plan's place, the ledger stays; US words come with feet and inches."""
    desk = window.desk
    desk.go_to(Stage.ISSUE)
    QTest.keyClick(window.plan, Qt.Key.Key_A)
    view = window.leaflets
    assert view.isVisible()
    assert window.ledger.isVisible()
    assert len(view.rows) == len(cautions())
    assert "silica dust" in view.accessibleDescription()
    assert desk.job is not None
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    assert "groove" in view.accessibleDescription()
    focus = view.focusProxy()  # whether the window is in front or not
    assert focus is not None
    QTest.keyClick(focus, Qt.Key.Key_L)  # takes no tool behind it
    assert view.isVisible()
    QTest.keyClick(focus, Qt.Key.Key_Escape)  # what the band says of the units goes first
    QTest.keyClick(focus, Qt.Key.Key_Escape)
    assert window.plan.isVisible()
    QTest.keyClick(window.plan, Qt.Key.Key_A)
    desk.go_to(Stage.REPAIR)
    assert window.plan.isVisible()


def test_what_is_new_is_found_by_the_find_box(window: MainWindow) -> None:
    """Its row shows the change record in the plan's place; Page Down goes on, Back leaves."""
    QTest.keyClick(window, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(window.finder, "what is new")
    QTest.keyClick(window.finder, Qt.Key.Key_Return)
    assert window.leaflets.isVisible()
    assert window.leaflets.rows[0].accessibleName().startswith("Unreleased: added.")
    QApplication.processEvents()
    focus = window.leaflets.focusProxy()
    assert focus is not None
    bar = window.leaflets._scroll.verticalScrollBar()
    QTest.keyClick(focus, Qt.Key.Key_PageDown)
    assert bar.value() > 0
    QTest.keyClick(focus, F1)
    assert window.centre.band.sentence == AT_PANE[Pane.LEAFLET]
    QTest.mouseClick(window.leaflets.back, Qt.MouseButton.LeftButton)
    assert window.plan.isVisible()


def test_f1_speaks_of_the_pane_with_the_keyboard(window: MainWindow) -> None:
    """On stage line, levels, tape, ledger, foot and find box F1 says what can be done there; on a button what it does."""
    desk, band = window.desk, window.centre.band
    desk.go_to(Stage.LEAKS)
    panes = {
        Pane.STAGES: window.stage_line.cells[0],
        Pane.LEVELS: window.levels,
        Pane.TAPE: window.tape.view,
        Pane.FOOT: window.foot.units,
        Pane.FIND: window.finder,
    }
    for pane, widget in panes.items():
        widget.setFocus()
        QTest.keyClick(widget, F1)
        assert band.sentence == AT_PANE[pane], pane
        QTest.keyClick(widget, F1)
        assert band.sentence == ""
    window.give_keyboard_back()
    window.strip.buttons[0].setFocus()
    QTest.keyClick(window.strip.buttons[0], F1)
    action = action_for(Stage.LEAKS, "L")
    assert action is not None
    assert band.sentence == action.longer


def test_f1_says_what_the_tool_means_where_tools_work(window: MainWindow) -> None:
    """On the tape a tool in hand comes first; in the ledger the pane does; an imperial job hears words of its trade."""
    desk = window.desk
    desk.go_to(Stage.LEAKS)
    action = action_for(Stage.LEAKS, "L")
    assert action is not None
    assert action.tool is not None
    desk.take_tool(action.tool(desk))
    assert longer_sentence(desk, Pane.TAPE) == action.longer
    assert longer_sentence(desk, Pane.LEDGER) == AT_PANE[Pane.LEDGER]
    desk.go_to(Stage.REPAIR)
    assert longer_sentence(desk) == AT_REST[Stage.REPAIR]
    assert desk.job is not None
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    assert "a station such as J-05" in longer_sentence(desk, Pane.FIND)
