"""Rates on a sheet in the plan's place, and what zones cost beside it in the ledger, by mouse and keys on the real window."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.desk.declared_line import LineField, LineRow
from leakmap.desk.ledger import pricing
from leakmap.desk.ledger.models import Part
from leakmap.desk.state import Desk
from leakmap.desk.things import Declared, Sort, Stage, Thing
from leakmap.desk.window import MainWindow
from leakmap.model.rates import Rates
from leakmap.model.words import Purpose, Wetness
from leakmap.work.edits.leaks import set_wetness
from leakmap.work.edits.rates import take_rates
from leakmap.work.settings import Role
from tests.helpers.bare_issues import bare_issue
from tests.helpers.ledger_hands import Ledger, two_levels
from tests.helpers.windows import drop, window_with

LEFT = Qt.MouseButton.LeftButton
ALL = Rates(currency="EUR", slot_plug=Decimal("61.50"), deep_plug_relief=Decimal(120), relief_point=Decimal(85))


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on two levels with four zones, in stage Repair."""
    with window_with(two_levels(), tmp_path) as window:
        qtbot.waitExposed(window)
        window.desk.go_to(Stage.REPAIR)
        window.plan.setFocus()
        yield window


def rates(window: MainWindow) -> Rates:
    """The rates of the job."""
    assert window.desk.open_job is not None
    return window.desk.open_job.job.rates


def row_of(window: MainWindow, name: str) -> LineRow:
    """The row of a rate."""
    return next(row for row in window.declared.rows if row.line.name == name)


def press(key: Qt.Key) -> None:
    """A key where the keyboard is."""
    QTest.keyClick(QApplication.focusWidget(), key)


def type_over(words: str) -> None:
    """Type into the field that has the keyboard, as its words are picked when Tab comes to it; Enter."""
    QTest.keyClicks(QApplication.focusWidget(), words)
    press(Qt.Key.Key_Return)


def tab_to(window: MainWindow, name: str) -> None:
    """Tab until the field of a rate has the keyboard."""
    field = row_of(window, name).field
    for _ in range(2 * len(window.declared.rows)):
        if QApplication.focusWidget() is field:
            return
        press(Qt.Key.Key_Tab)
    raise AssertionError(name)


def priced(window: MainWindow) -> list[str]:
    """The column Price: zones, then the total."""
    model = window.ledger.model
    at = [column.name for column in model.columns].index("price")
    figures = [row for row, entry in enumerate(model.entries) if not entry.wide and entry.part is not Part.SUM]
    return [str(model.index(row, at).data()) for row in figures]


def notes(window: MainWindow) -> list[str]:
    """Sentences below the zones."""
    return [entry.note.words.replace("\u00a0", " ") for entry in window.ledger.model.entries if entry.wide]


def test_rates_typed_by_keys_price_every_zone(window: MainWindow) -> None:
    """P, the currency, two rates: each zone has its price at once, the other is said not to be priced; Undo takes each back."""
    desk = window.desk
    assert "price" not in [column.name for column in window.ledger.model.columns]
    press(Qt.Key.Key_P)
    assert desk.declared is Declared.RATES
    assert next(button for button in window.strip.buttons if button.key == "P").full
    type_over("eur")
    tab_to(window, "slot_plug")
    type_over("61.5")
    assert rates(window) == Rates(currency="EUR", slot_plug=Decimal("61.5"))
    assert row_of(window, "slot_plug").line.text == "61.50 EUR/m"
    assert window.ledger.model.columns[-1].title == "Price EUR"
    assert priced(window) == ["110.70", "55.35", "not priced", "166.05"]
    assert window.strip.sentence.startswith("1 zone is not priced: no rate for deep slot + plug + relief. Type a rate")
    tab_to(window, "deep_plug_relief")
    type_over("120")
    assert priced(window)[2] == "228.00"
    tab_to(window, "relief_point")
    type_over("85")
    assert priced(window) == ["110.70", "55.35", "313.00", "479.05"]
    assert "not priced" not in " ".join((window.strip.sentence, *notes(window)))
    assert notes(window)[:2] == ["Price of the whole job", "577.45 EUR, without tax"]
    press(Qt.Key.Key_Escape)
    assert window.plan.isVisible()
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "set rate: relief point"
    for _ in range(4):
        desk.undo()
    assert rates(window) == Rates()
    assert "price" not in [column.name for column in window.ledger.model.columns]


def test_the_sheet_of_rates_is_found_and_answers_the_mouse(window: MainWindow) -> None:
    """The find box has it by words of money, F1 says what it is for; a click into a field picks its words, Clear empties a rate."""
    QTest.keyClick(window, Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(window.finder, "currency")
    found = {row.title for row in window.finder.list.hits.rows}
    assert {"Price", "Rates of this job", "Take a table of rates in"} <= found
    press(Qt.Key.Key_Escape)
    QTest.mouseClick(next(button for button in window.strip.buttons if button.key == "P"), LEFT)
    QTest.keyClick(window, Qt.Key.Key_F1)
    assert "never taken as nothing" in window.centre.band.sentence
    for name, typed in (("currency", "CHF"), ("slot_plug", "40")):
        field = row_of(window, name).field
        assert isinstance(field, LineField)
        QTest.mouseClick(field, LEFT)
        type_over(typed)
    foot = next(word for word in row_of(window, "per").words if word.text() == "foot")
    QTest.mouseClick(foot, LEFT)
    assert row_of(window, "slot_plug").line.text == "40.00 CHF/ft"
    assert "none was converted" in window.centre.band.sentence
    usual = row_of(window, "slot_plug").usual
    assert (usual.text(), usual.accessibleName()) == ("Clear", "Slot + plug: back to not entered")
    QTest.mouseClick(usual, LEFT)
    assert not rates(window).known
    type_over("-3")
    assert "from 0 to less than" in window.centre.band.sentence
    assert not rates(window).known
    QTest.mouseClick(next(button for button in window.strip.buttons if button.key == "P"), LEFT)
    assert window.plan.isVisible()


def test_a_table_of_rates_is_taken_from_a_file(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the button, or dropped on the sheet: one deed, with what it cannot hold; on the plan it is asked where it belongs."""
    own = tmp_path / "own.toml"
    own.write_text('currency = "EUR"\nslot_plug = 61.50\ndeep_plug_relief = 120\nrelief_point = 85\nhour = 70\n')
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(own), ""))
    drop(window, own)
    assert "open Materials of this job or Rates of this job, and drop it there." in window.centre.band.sentence
    assert rates(window) == Rates()
    window.desk.turn(Declared.RATES)
    QTest.mouseClick(window.declared.table, LEFT)
    assert rates(window) == ALL
    assert "hour is left out" in window.centre.band.sentence
    assert priced(window)[-1] == "479.05"
    own.write_text("[")
    QTest.mouseClick(window.declared.table, LEFT)
    assert "no TOML" in window.centre.band.sentence
    window.desk.undo()
    assert rates(window) == Rates()
    own.write_text('currency = "EUR"\nslot_plug = 61.50\n')
    drop(window, own)
    assert rates(window) == Rates(currency="EUR", slot_plug=Decimal("61.5"))


def test_prices_are_for_who_asks(window: MainWindow) -> None:
    """Only the estimator's columns show them; they sort, are copied plain and heard with their currency; what has none leads to it."""
    desk, table, model = window.desk, window.ledger.table, window.ledger.model
    press(Qt.Key.Key_P)
    type_over("EUR")
    tab_to(window, "slot_plug")
    type_over("1061.5")
    press(Qt.Key.Key_Escape)
    assert window.strip.sentence.endswith("Pick a zone, or press P to enter a rate.")
    row = next(row for row, each in enumerate(model.entries) if "is not priced" in each.note.words)
    table.scrollTo(model.index(row, 0))
    QTest.mouseClick(table.viewport(), LEFT, pos=table.visualRect(model.index(row, 0)).center())
    assert desk.picked == (Thing(Sort.ZONE, 3),)
    desk.count_whole_job(True)
    header = table.horizontalHeader()
    for _ in range(2):
        QTest.mouseClick(header.viewport(), LEFT, pos=QPoint(header.width() - 20, header.height() // 2))
    assert priced(window) == ["not priced", "1910.70", "1698.40", "955.35", "4564.45"]
    desk.pick(Thing(Sort.ZONE, 1))
    assert "1910.70 EUR" in str(model.index(1, 0).data(Qt.ItemDataRole.AccessibleTextRole))
    table.copy_rows()
    assert QApplication.clipboard().text().splitlines()[0].endswith("\tPrice EUR")
    assert QApplication.clipboard().text().splitlines()[1].endswith("\t1910.70")
    for role in (Role.ENGINEER, Role.ARCHIVIST):
        desk.take_role(role)
        assert "price" not in [column.name for column in model.columns]
        assert "Price of the whole job" not in notes(window)
        assert "not priced" not in window.strip.sentence


def test_many_zones_are_priced_while_the_window_goes_on(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    """Until all are priced by another rate no cell holds a figure of before; edits meanwhile are priced too."""
    monkeypatch.setattr(pricing, "_AT_ONCE", 1)
    desk = window.desk
    assert desk.open_job is not None
    desk.do(take_rates(desk.open_job.job, rates=ALL))
    assert priced(window) == [""] * 4
    assert "Zones are being priced" in notes(window)
    leak = next(leak for leak in desk.open_job.job.leaks.values() if leak.wetness is Wetness.DRIP)
    desk.do(set_wetness(desk.open_job.job, leak=leak.id, wetness=Wetness.SEEP))
    window.ledger.pricing.settle()
    assert priced(window) == ["98.40", "55.35", "313.00", "466.75"]
    desk.do(take_rates(desk.open_job.job, rates=replace(ALL, relief_point=None)))
    assert priced(window) == [""] * 4
    desk.undo()
    desk.take_role(Role.ENGINEER)
    assert not window.ledger.pricing.busy


def test_what_was_issued_keeps_its_sum(window: MainWindow, tmp_path: Path) -> None:
    """P01 without rates has none; P02 and P03 have those of their day, P03 not all of it; only the estimator sees them."""
    desk, ledger = window.desk, window.ledger
    assert desk.open_job is not None
    for rates in (Rates(), ALL, replace(ALL, deep_plug_relief=None)):
        desk.open_job.do(take_rates(desk.open_job.job, rates=rates))
        bare_issue(desk.open_job, Purpose.PRICE, tmp_path)
    desk.settle(())
    desk.go_to(Stage.ISSUE)
    ledger.sums.settle()
    assert [column.title for column in ledger.model.columns][-1] == "Sum EUR"
    assert [str(ledger.model.index(row, 3).data()) for row in range(3)] == ["", "577.45", "from 264.45"]
    assert "577.45 EUR" in str(ledger.model.index(1, 0).data(Qt.ItemDataRole.AccessibleTextRole))
    assert ledger.model.index(2, 3).data(Qt.ItemDataRole.ToolTipRole).count("not priced") == 1
    desk.do(take_rates(desk.open_job.job, rates=replace(ALL, slot_plug=Decimal(500))))
    assert str(ledger.model.index(1, 3).data()) == "577.45"
    desk.since.settle()
    at = notes(window).index("Price since P03")
    assert notes(window)[at + 1] == "from 264.45 EUR as issued, 2463.00 EUR now"
    desk.take_role(Role.ENGINEER)
    assert "sum" not in [column.name for column in ledger.model.columns]


def test_a_wider_ledger_shows_more_beside_the_price(desk: Desk, qtbot: QtBot) -> None:
    """As it is drawn wider litres come, and metres name their unit; as it gets narrower they go again."""
    assert desk.open_job is not None
    desk.do(take_rates(desk.open_job.job, rates=ALL))
    desk.go_to(Stage.REPAIR)
    ledger = Ledger(desk, qtbot)
    shown = []
    for width in (436, 560, 352, 436):
        ledger.pane.resize(width, 900)
        shown.append([column.words(compact=ledger.model.compact) for column in ledger.model.columns])
    plain = ["Zone", "Method", "Measured", "Chargeable", "m²", "Price EUR"]
    assert shown[0] == shown[3] == plain
    assert shown[1] == ["Zone", "Method", "Measured m", "Chargeable m", "m²", "Litres", "Price EUR"]
    assert shown[2] == ["Zone", "Method", "Chargeable", "Price EUR"]
