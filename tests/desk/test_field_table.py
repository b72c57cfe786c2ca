"""Field sheets in stage Leaks: made on the paper of the hand's choice; a filled table is listed first, then taken as one step."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.field_table import offer_field_rows
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from leakmap.drawings.pdf_pages import PdfPages
from leakmap.work.edits.rules import set_rule
from leakmap.work.field import read_field
from tests.helpers.windows import drop, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000
TABLE = "joint,from,to,wetness,note\nJ-01,1,2,3,\nJ-01,4,5,9,\n"


def _choices(window: MainWindow) -> list[str]:
    return [cell.choice.words for cell in window.strip.choices]


@pytest.mark.slow
def test_sheets_are_made_on_the_chosen_paper(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """F, 2 and Enter put strips on A3 (297 by 420 mm, ISO 216) and the table into the folder; made again, nothing is replaced."""
    folder = tmp_path / "field"
    folder.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))
    window.desk.go_to(Stage.LEAKS)
    QTest.keyClick(window.plan, Qt.Key.Key_F)
    assert _choices(window) == ["1 A4", "2 A3", "3 Letter", "4 Tabloid", "Make them", "T filled table"]
    QTest.keyClick(window.plan, Qt.Key.Key_2)
    assert "on A3;" in window.strip.sentence
    QTest.keyClick(window.plan, Qt.Key.Key_Return)
    band = window.centre.band
    qtbot.waitUntil(lambda: band.sentence == f"Field sheets and the table are in {folder}.", timeout=LONG_MS)
    files = {path.suffix: path for path in folder.iterdir()}
    assert set(files) == {".pdf", ".xlsx"}
    pages = PdfPages(files[".pdf"].read_bytes())
    assert sorted(round(side / 72 * 25.4) for side in pages.size_pt(0)) == [297, 420]
    pages.close()
    QTest.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "there already" in band.sentence, timeout=LONG_MS)


def test_a_job_on_us_paper_offers_letter_first(window: MainWindow) -> None:
    """Where the largest paper is of a US series, Letter is chosen and Tabloid second (ANSI/ASME Y14.1 A and B, from memory)."""
    desk = window.desk
    assert desk.job is not None
    desk.do(set_rule(desk.job, name="largest_paper", value="ARCH D"))
    desk.go_to(Stage.LEAKS)
    QTest.keyClick(window.plan, Qt.Key.Key_F)
    assert _choices(window)[:4] == ["1 Letter", "2 Tabloid", "3 A4", "4 A3"]
    assert window.strip.choices[0].choice.chosen


@pytest.mark.slow
def test_a_dropped_table_is_listed_before_it_is_taken(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """All that was noticed and the leaks lie in the plan's place, nothing changes before the button; one undo takes them back."""
    path = tmp_path / "t.csv"
    path.write_text(TABLE)
    desk, band = window.desk, window.centre.band
    drop(window, path)
    qtbot.waitUntil(window.leaflets.isVisible, timeout=LONG_MS)
    assert band.sentence == "t.csv has 1 leak to take; 1 thing to look at first stands in the list above."
    left_out, to_take = (row.accessibleName() for row in window.leaflets.rows)
    assert left_out.startswith("Left out. ")
    assert 'wetness is "9"' in left_out
    assert to_take == "Leaks to take. L-01  J-01  1.000 m to 2.000 m  drip"
    assert desk.job is not None
    assert not desk.job.leaks
    assert [button.text() for button in band.buttons] == ["Take it", "Close"]
    assert window.focusWidget() is band.buttons[0]
    QTest.keyClick(band.buttons[0], Qt.Key.Key_Return)
    assert [leak.from_m for leak in desk.job.leaks.values()] == [1.0]
    assert window.plan.isVisible()
    desk.undo()
    assert not desk.job.leaks


@pytest.mark.slow
def test_a_table_that_is_left_alone_changes_nothing(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """T asks for the file; Close puts the list away and the plan is there again."""
    path = tmp_path / "t.csv"
    path.write_text(TABLE)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    window.desk.go_to(Stage.LEAKS)
    QTest.keyClick(window.plan, Qt.Key.Key_F)
    QTest.keyClick(window.plan, Qt.Key.Key_T)
    qtbot.waitUntil(window.leaflets.isVisible, timeout=LONG_MS)
    QTest.mouseClick(window.centre.band.buttons[1], LEFT)
    assert window.plan.isVisible()
    assert window.desk.job is not None
    assert not window.desk.job.leaks


def test_a_table_without_a_job_says_so(qtbot: QtBot, tmp_path: Path) -> None:
    """A table that is dropped on the start sheet belongs to no job yet."""
    path = tmp_path / "t.xlsx"
    path.write_bytes(b"")
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        drop(window, path)
        assert window.centre.band.sentence == "t.xlsx is a table, and tables belong to a job; open the job first."


def test_a_table_without_leaks_is_not_offered(window: MainWindow) -> None:
    """A blank table has no leaks to take, and the band says so without a button and without a figure."""
    offer_field_rows(window.desk, read_field(b"joint,from,to,wetness,note\n", "blank.csv", Units.METRIC))
    assert window.centre.band.sentence == "blank.csv has no leaks to take."
    assert not [button.text() for button in window.centre.band.buttons if "Take" in button.text()]
