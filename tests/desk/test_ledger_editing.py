"""Cells of the ledger edited in place, with keys as a user types them."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.ledger.cell_field import Below
from leakmap.desk.ledger.thin_bar import ThinBar
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.issue_tools import IssueRevision
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.work.edits.leaks import set_note
from leakmap.work.settings import Role
from tests.helpers.ledger_hands import LEFT, Ledger
from tests.helpers.small_jobs import joint_named, leak_named

CTRL, SHIFT, NONE = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.NoModifier,
)


@pytest.fixture
def ledger(desk: Desk, qtbot: QtBot) -> Ledger:
    """Its ledger."""
    made = Ledger(desk, qtbot)
    made.frame.activateWindow()
    return made


def _wetness(desk: Desk, ref: str) -> Wetness:
    assert desk.job is not None
    return leak_named(desk.job, ref).wetness


def _undo_words(desk: Desk) -> str | None:
    assert desk.open_job is not None
    return desk.open_job.undo_words


def test_enter_edits_in_place_and_esc_gives_back(ledger: Ledger, desk: Desk) -> None:
    """Enter opens a cell, Enter takes it as one undo, Esc leaves it; keys meanwhile work the field and not the table."""
    field = ledger.edit("L-03", "wetness")
    assert (field.text(), field.accessibleName()) == ("seep", "Wetness of L-03")
    assert field.palette().highlight().color().alpha() == 255  # what is selected can be seen
    ledger.type("jet")
    assert _wetness(desk, "L-03") is Wetness.JET
    assert _undo_words(desk) == "set wetness of L-03"
    assert ledger.table.editing.field is None
    assert ledger.table.hasFocus()
    ledger.key(Qt.Key.Key_F2)
    ledger.type("damp", Qt.Key.Key_Escape)
    assert _wetness(desk, "L-03") is Wetness.JET
    assert ledger.table.editing.field is None
    desk.undo()
    assert _wetness(desk, "L-03") is Wetness.SEEP


def test_a_cell_that_is_typed_in_stands_beside_the_scroll_bar(ledger: Ledger) -> None:
    """Where rows scroll, neither the field of the last column nor the choices below it lie under the bar, which is 10 px wide."""
    ledger.pane.setFixedHeight(360)
    QApplication.processEvents()
    (bar,) = ledger.table.findChildren(ThinBar)
    assert bar.isVisible()
    field = ledger.edit("L-03", "wetness")
    for part in (field, *ledger.table.viewport().findChildren(Below)):
        assert part.geometry().right() == ledger.table.viewport().width() - 11 - (part is not field) * 4


def test_the_row_with_the_keyboard_is_framed_again_after_its_cell_was_typed_in(ledger: Ledger) -> None:
    """The field gives the keyboard back to the row where keys had brought it: its frame is there after Enter and after Esc."""
    ledger.table.setFocus()
    ledger.key(Qt.Key.Key_Down)
    ledger.edit("L-03", "wetness")
    row = ledger.table.currentIndex().row()
    ledger.type("jet")
    assert ledger.table.focus_row() == row
    ledger.key(Qt.Key.Key_F2)
    ledger.type("damp", Qt.Key.Key_Escape)
    assert ledger.table.focus_row() == row


def test_what_is_refused_stays_with_its_sentence(ledger: Ledger, desk: Desk) -> None:
    """A wetness that is none stays in the field with why below it, until it is mended or given up."""
    ledger.edit("L-03", "wetness")
    before = desk.job
    ledger.type("soaked")
    assert ledger.field.text() == "soaked"
    assert ledger.below.wrong
    assert ledger.below.sentence.startswith("“soaked” is no wetness")
    assert ledger.field.accessibleDescription() == ledger.below.sentence
    ledger.frame.setFocus()
    assert (ledger.field.text(), desk.job) == ("soaked", before)
    ledger.qtbot.keyClicks(ledger.field, "x")
    assert not ledger.below.wrong
    ledger.type("3")
    assert _wetness(desk, "L-03") is Wetness.DRIP


def test_choices_by_arrow_digit_and_click(ledger: Ledger, desk: Desk) -> None:
    """Down goes to the next wetness, its digit is as good as its word, a click on it takes it."""
    field = ledger.edit("L-03", "wetness")
    ledger.qtbot.keyClick(field, Qt.Key.Key_Down)
    assert field.text() == "drip"
    ledger.qtbot.keyClick(field, Qt.Key.Key_Return)
    assert _wetness(desk, "L-03") is Wetness.DRIP
    ledger.edit("L-03", "wetness")
    ledger.qtbot.mouseClick(ledger.below, LEFT, NONE, ledger.below.middle_of("5"))
    assert _wetness(desk, "L-03") is Wetness.JET


def test_tab_goes_from_cell_to_cell(ledger: Ledger, desk: Desk) -> None:
    """Tab takes a cell and opens the next one, over the end of a row too; Shift Tab goes back."""
    desk.take_role(Role.ENGINEER)
    ledger.edit("L-02", "from")
    ledger.type("1.2", Qt.Key.Key_Tab)
    assert desk.job is not None
    assert leak_named(desk.job, "L-02").from_m == pytest.approx(1.2)
    assert ledger.field.accessibleName().startswith("To of L-02")
    ledger.type("2.2", Qt.Key.Key_Tab)
    ledger.type("run", Qt.Key.Key_Tab)
    assert ledger.field.accessibleName().startswith("From of L-03")
    ledger.qtbot.keyClick(ledger.field, Qt.Key.Key_Backtab)
    assert ledger.field.accessibleName() == "Wetness of L-02"
    assert leak_named(desk.job, "L-02").to_m == pytest.approx(2.2)
    assert _wetness(desk, "L-02") is Wetness.RUN


def test_picked_rows_are_set_together(ledger: Ledger, desk: Desk) -> None:
    """With two leaks picked their wetness is set on both as one undo, and the field says so; a chainage is not."""
    ledger.click("L-02")
    ledger.key(Qt.Key.Key_Down, SHIFT)
    assert len(desk.picked) == 2
    at = [column.name for column in ledger.model.columns].index("wetness")
    ledger.table.editing.open(1, at)
    assert ledger.below.sentence == "How wet it is; sets wetness of all 2 picked."
    ledger.type("jet")
    assert (_wetness(desk, "L-02"), _wetness(desk, "L-03")) == (Wetness.JET, Wetness.JET)
    assert _undo_words(desk) == "set wetness of 2 leaks"
    ledger.table.editing.open(1, at - 1)
    assert ledger.below.sentence == "Its length; where it starts stays."


def test_leaving_a_field_takes_it(ledger: Ledger, desk: Desk) -> None:
    """A click elsewhere takes what stands in the field; another stage gives it up."""
    ledger.edit("L-03", "wetness")
    ledger.field.setText("run")
    ledger.click("L-01")
    assert _wetness(desk, "L-03") is Wetness.RUN
    ledger.edit("L-03", "wetness")
    ledger.field.setText("jet")
    desk.go_to(Stage.JOINTS)
    assert ledger.table.editing.field is None
    assert _wetness(desk, "L-03") is Wetness.RUN


def test_kind_and_draft_are_cells_too(ledger: Ledger, desk: Desk) -> None:
    """A joint's kind is chosen by digit; the draft of a revision takes to whom it goes, which Issue then offers."""
    desk.go_to(Stage.JOINTS)
    ledger.edit("J-01", "kind")
    ledger.type("5")
    assert desk.job is not None
    assert joint_named(desk.job, "J-01").kind is Kind.CRACK
    desk.go_to(Stage.ISSUE)
    desk.begin_revision(Purpose.PRICE)
    ledger.edit("P01", "whom")
    ledger.type("the site office")
    assert ledger.column("whom") == ["the site office"]
    assert IssueRevision(desk).to_whom == "the site office"


def test_keys_of_the_table(ledger: Ledger, desk: Desk) -> None:
    """Ctrl-A picks all rows, Shift and arrows more, Home and End go to the first and last row, Delete removes."""
    ledger.click("L-03")
    ledger.key(Qt.Key.Key_A, CTRL)
    assert len(desk.picked) == 3
    ledger.key(Qt.Key.Key_C, CTRL)
    assert len(QGuiApplication.clipboard().text().splitlines()) == 4
    ledger.click("L-01")
    ledger.key(Qt.Key.Key_Home)
    ledger.key(Qt.Key.Key_Delete)
    assert desk.job is not None
    assert [leak.ref for leak in desk.job.leaks.values()] == ["L-01", "L-03", "L-04"]
    desk.undo()
    assert ledger.column("ref") == ["L-02", "L-03", "L-01"]


def test_the_keyboard_comes_to_the_rows(ledger: Ledger, desk: Desk) -> None:
    """Who comes to the ledger by F6 is on its rows, or where nothing is listed on the words above them."""
    ledger.frame.setFocus()
    ledger.pane.setFocus(Qt.FocusReason.TabFocusReason)
    assert ledger.table.hasFocus()
    desk.go_to(Stage.AS_BUILT)
    ledger.pane.setFocus(Qt.FocusReason.TabFocusReason)
    assert ledger.pane.head.words[0].hasFocus()


def test_zones_are_not_deleted_by_hand(ledger: Ledger, desk: Desk) -> None:
    """Delete on a zone says where zones come from."""
    desk.go_to(Stage.REPAIR)
    ledger.click("Z-01")
    with ledger.qtbot.waitSignal(desk.troubled) as told:
        ledger.key(Qt.Key.Key_Delete)
    assert "come and go with their leaks" in told.args[0].sentence


def test_headings_sort_by_keys(ledger: Ledger) -> None:
    """Right goes to the next heading, Enter sorts by it, rising, falling and not; a reader hears which."""
    header = ledger.table.horizontalHeader()
    header.setFocus(Qt.FocusReason.TabFocusReason)
    for _ in range(3):
        ledger.qtbot.keyClick(header, Qt.Key.Key_Right)
    seen = []
    for _ in range(3):
        ledger.qtbot.keyClick(header, Qt.Key.Key_Return)
        seen.append((header.accessibleName(), ledger.column("ref")[0]))
    assert seen == [("Wetness, rising", "L-03"), ("Wetness, falling", "L-01"), ("Wetness", "L-02")]


def test_copied_words_are_never_formulas(ledger: Ledger, desk: Desk) -> None:
    """A joint that is called like a formula is copied as text; its metres stay a number."""
    assert desk.job is not None
    desk.do(set_note(desk.job, leak=leak_named(desk.job, "L-01").id, note="=1+1"))
    desk.go_to(Stage.JOINTS)
    ledger.edit("J-01", "ref")
    ledger.type("=J+1")
    ledger.click("=J+1")
    ledger.key(Qt.Key.Key_C, CTRL)
    assert QGuiApplication.clipboard().text().splitlines()[1] == "'=J+1\tConstruction\t4.000"
    assert desk.picked == (Thing(Sort.JOINT, joint_named(desk.job, "=J+1").id),)
