"""Settings and rules on a sheet in the plan's place."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.desk.declared_line import LineField, LineRow
from leakmap.desk.larger import larger
from leakmap.desk.table_in import take_table_of
from leakmap.desk.things import Declared, Stage
from leakmap.desk.window import MainWindow
from leakmap.model.rules import Rules
from leakmap.work.kept_settings import kept_settings
from leakmap.work.settings import DECLARED, DEFAULTS
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import window_with

LEFT = Qt.MouseButton.LeftButton
CTRL = Qt.KeyboardModifier.ControlModifier


def row_of(window: MainWindow, name: str) -> LineRow:
    """The row of a setting or rule."""
    return next(row for row in window.declared.rows if row.line.name == name)


def field_of(window: MainWindow, name: str) -> LineField:
    """The field of a setting or rule."""
    field = row_of(window, name).field
    assert field is not None
    return field


def press(row: LineRow, words: str) -> None:
    """Click one of the words of a row."""
    QTest.mouseClick(next(word for word in row.words if word.text() == words), LEFT)


def test_settings_are_made_from_their_declaration(window: MainWindow) -> None:
    """Ctrl and a comma shows every setting; whatever can be pressed or typed in says what it is; Esc shows the plan."""
    QTest.keyClick(window, Qt.Key.Key_Comma, CTRL)
    assert window.declared.isVisible()
    assert [row.line.name for row in window.declared.rows] == [setting.name for setting in DECLARED]
    for row in window.declared.rows:
        named = [*row.findChildren(QAbstractButton), *row.findChildren(LineField)]
        assert all(control.accessibleName() for control in named)
        assert row.first.focusPolicy() & Qt.FocusPolicy.TabFocus
    QTest.keyClick(window.declared, Qt.Key.Key_Escape)
    assert window.plan.isVisible()
    assert window.desk.declared is None


def test_tab_goes_from_what_was_typed_to_the_next_value(window: MainWindow) -> None:
    """Tab after Enter passes by Default and the steps of the next line; Shift Tab reaches them all."""
    window.desk.turn(Declared.RULES)
    window.activateWindow()
    bridge = row_of(window, "bridge_m")
    after = window.declared.rows[window.declared.rows.index(bridge) + 1]
    field = field_of(window, "bridge_m")
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "0.25")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert bridge.usual.isVisible()
    QTest.keyClick(field, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is after.first
    QTest.keyClick(after.first, Qt.Key.Key_Space)
    assert bridge.line.text == "0.25 m"
    way_back: list[object] = []
    while (focus := QApplication.focusWidget()) is not None and focus is not field:
        QTest.keyClick(focus, Qt.Key.Key_Tab, Qt.KeyboardModifier.ShiftModifier)
        way_back.append(QApplication.focusWidget())
    assert way_back == [*reversed(after.beside), bridge.usual, field]


def test_the_keyboard_stays_on_a_line_that_is_made_anew(window: MainWindow) -> None:
    """Gloves make every row anew, larger: who chose them by Space is on the chosen word then, and so who leaves them."""
    window.desk.show_declared(Declared.SETTINGS)
    window.activateWindow()
    for chosen, on in (("on", True), ("off", False)):
        before = row_of(window, "glove_mode")
        word = next(word for word in before.words if word.text() == chosen)
        word.setFocus()
        QTest.keyClick(word, Qt.Key.Key_Space)
        after = row_of(window, "glove_mode")
        assert (window.desk.settings.glove_mode, after is before) == (on, False)
        assert [each.text() for each in after.words if each.hasFocus()] == [chosen]


def test_a_setting_is_in_force_at_once_and_kept(window: MainWindow) -> None:
    """Words are chosen, figures typed or stepped, within their limits; each goes back to its default alone."""
    desk = window.desk
    desk.show_declared(Declared.SETTINGS)
    press(row_of(window, "letter_keys"), "off")
    press(row_of(window, "role"), "archivist")
    field = field_of(window, "snap_px")
    QTest.keyClick(field, Qt.Key.Key_Up)
    assert (desk.settings.letter_keys, desk.role, desk.settings.snap_px) == (False, "archivist", 16)
    field.selectAll()
    QTest.keyClicks(field, "300")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert field.text() == "16 px"
    assert "from 4 to 40" in window.centre.band.sentence
    name = field_of(window, "user_name")
    QTest.keyClicks(name, "A. Fitter")
    QTest.keyClick(name, Qt.Key.Key_Return)
    assert kept_settings() == desk.settings
    assert desk.settings.user_name == "A. Fitter"
    for each in ("letter_keys", "role", "snap_px", "user_name"):
        row = row_of(window, each)
        QTest.mouseClick(row.usual, LEFT)
        assert not row.usual.isVisible()
    assert kept_settings() == desk.settings == DEFAULTS


def test_rules_are_changed_as_deeds(window: MainWindow) -> None:
    """A rule of the job is seen with its origin, is a deed that Undo takes back, and a wrong figure changes nothing."""
    desk = window.desk
    assert desk.open_job is not None
    desk.show_declared(Declared.RULES)
    row = row_of(window, "overrun_m.3")
    assert "no published source" in row.line.words
    field = field_of(window, "overrun_m.3")
    for typed, kept in (("0.55", 0.55), ("wide", 0.55)):
        field.selectAll()
        QTest.keyClicks(field, typed)
        QTest.keyClick(field, Qt.Key.Key_Return)
        assert desk.open_job.job.rules.overrun_m[3] == kept
        assert field.text() == "0.55 m"
    press(row_of(window, "largest_paper"), "ARCH C")
    assert desk.open_job.job.rules.largest_paper == "ARCH C"
    desk.undo()
    press(row_of(window, "plug_extent"), "wet stretches")
    desk.undo()
    assert row_of(window, "plug_extent").line.text == "whole slot"
    desk.undo()
    assert desk.open_job.job.rules == Rules()
    assert field.text() == "0.40 m"
    desk.go_to(Stage.REPAIR)
    assert window.plan.isVisible()


def test_large_letters_of_a_sheet_take_the_room_of_ledger_and_tape(qtbot: QtBot, tmp_path: Path) -> None:
    """At 1280 by 800 and double size more than one setting is seen whole; what lay beside the plan comes back with it."""
    with window_with(one_line()[0], tmp_path, size=(1280, 800)) as window:
        qtbot.waitExposed(window)
        window.desk.change_setting("text_percent", 200)
        window.beside.show(ledger=True, tape=True)
        assert window.tape.isVisible()
        window.desk.show_declared(Declared.SETTINGS)
        qtbot.waitUntil(lambda: not window.tape.isVisible())
        QApplication.processEvents()
        seen = [row for row in window.declared.rows if row.visibleRegion().boundingRect().size() == row.size()]
        assert len(seen) > 1
        window.desk.show_declared(None)
        assert window.tape.isVisible()
        assert window.ledger.isVisible()
    larger().follow(DEFAULTS)


def test_facts_and_materials_of_the_job_are_changed_as_deeds(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Locale and a figure of a material are typed on their sheets, a table is taken from a file, and Undo takes each back."""
    desk = window.desk
    assert desk.open_job is not None
    before = desk.open_job.job
    desk.show_declared(Declared.RULES)
    field = field_of(window, "locale")
    for typed, kept in (("de", "de"), ("zz", "de")):
        field.selectAll()
        QTest.keyClicks(field, typed)
        QTest.keyClick(field, Qt.Key.Key_Return)
        assert desk.open_job.job.units.locale == kept
    assert "no locale" in window.centre.band.sentence
    assert field_of(window, "overrun_m.3").text() == "0,40 m"
    desk.show_declared(Declared.MATERIALS)
    field = field_of(window, "plugging_mortar.bag_kg")
    field.selectAll()
    QTest.keyClicks(field, "12,5")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert desk.open_job.job.materials.plugging_mortar.bag_kg.value == 12.5
    own = tmp_path / "own.toml"
    own.write_text("[dry_pack]\nbag_kg = 25\ncolour = 'grey'\n", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(own), ""))
    QTest.mouseClick(window.declared.table, LEFT)
    assert desk.open_job.job.materials.dry_pack.bag_kg.value == 25
    own.write_text("[", encoding="utf-8")
    take_table_of(desk, Declared.MATERIALS, own)
    assert "no TOML" in window.centre.band.sentence
    for _ in range(3):
        desk.undo()
    assert desk.open_job.job == before
