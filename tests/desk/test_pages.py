"""Pages of a PDF or TIFF: leafed through, picked by mouse and keys, and each brought in as a level; locked files too."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from reportlab.pdfgen.canvas import Canvas

from leakmap.desk.foot import scale_known
from leakmap.desk.pages_view import HEADING
from leakmap.desk.tools.name_level import NameLevel
from leakmap.desk.window import MainWindow
from leakmap.model.job import Job
from tests.helpers.pdf_files import MM, locked, pdf, picture
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import drop, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000
PASSWORD = "weir"  # noqa: S105 - of a file made here

pytestmark = pytest.mark.slow  # each reads a file in processes of their own


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window without a job."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def _plan(canvas: Canvas) -> None:
    canvas.setPageSize((841 * MM, 594 * MM))
    canvas.rect(100 * MM, 100 * MM, 300 * MM, 200 * MM)


def _photo(canvas: Canvas) -> None:
    canvas.setPageSize((210 * MM, 297 * MM))
    canvas.drawImage(picture(60, 80), 20 * MM, 20 * MM, 170 * MM, 250 * MM)


def pages_file(folder: Path, *, secret: bool = False) -> Path:
    """A PDF of three pages: a plan on A1, a picture on A4, and another plan on A1."""
    data = pdf(_plan, _photo, _plan)
    path = folder / "heron.pdf"
    path.write_bytes(locked(data, PASSWORD) if secret else data)
    return path


def wait_for_pages(window: MainWindow, qtbot: QtBot, count: int) -> None:
    """Wait until so many pages can be chosen from."""
    qtbot.waitUntil(lambda: window.pages.isVisible() and window.pages.list.count() == count, timeout=LONG_MS)


def answer(window: MainWindow, qtbot: QtBot, words: str) -> None:
    """Wait for a button of the band and press it."""
    band = window.centre.band
    qtbot.waitUntil(lambda: words in [button.text() for button in band.buttons], timeout=LONG_MS)
    qtbot.mouseClick(next(button for button in band.buttons if button.text() == words), LEFT)


def made(window: MainWindow, qtbot: QtBot, level: str) -> Job:
    """Name the level and make the job."""
    qtbot.waitUntil(window.start.level.isVisible, timeout=LONG_MS)
    window.start.level.selectAll()
    qtbot.keyClicks(window.start.level, level)
    qtbot.waitUntil(window.start.make.isEnabled, timeout=LONG_MS)
    qtbot.mouseClick(window.start.make, LEFT)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.desk.job is not None
    return window.desk.job


def test_pages_are_told_by_size_and_content(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Each page has its number, its size by ISO 216 and what is on it; A1 is 841 by 594 mm, A4 210 by 297 mm."""
    drop(window, pages_file(tmp_path))
    wait_for_pages(window, qtbot, 3)
    choice = window.desk.page_choice
    assert choice is not None
    assert [(leaf.page, leaf.size, leaf.kind) for leaf in choice.leaves] == [
        (0, "841 x 594 mm (A1)", "lines"),
        (1, "210 x 297 mm (A4)", "picture"),
        (2, "841 x 594 mm (A1)", "lines"),
    ]
    sides = [Image.open(io.BytesIO(png)).size for png in choice.pictures]
    assert sides == [(240, 170), (170, 240), (240, 170)]
    assert window.pages.list.accessibleName() == HEADING


def test_keys_take_several_pages_each_as_a_level(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Space picks the first and the third page, Enter takes both: the job gets two levels, each with its page."""
    drop(window, pages_file(tmp_path))
    wait_for_pages(window, qtbot, 3)
    cells = window.pages.list
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Space):
        qtbot.keyClick(cells, key)
    assert window.pages.picked == (0, 2)
    assert window.pages.take.text() == "Take 2 pages"
    qtbot.keyClick(cells, Qt.Key.Key_Return)
    answer(window, qtbot, "1:100")
    made(window, qtbot, "B1")
    answer(window, qtbot, "Not known")
    qtbot.waitUntil(lambda: isinstance(window.desk.tool, NameLevel), timeout=LONG_MS)
    qtbot.keyClicks(window.plan, "B2")
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.desk.job is not None and len(window.desk.job.sheets) == 2, timeout=LONG_MS)
    assert window.desk.job is not None
    sheets = list(window.desk.job.sheets.values())
    assert [(sheet.name, sheet.source.reading.page) for sheet in sheets if sheet.source] == [("B1", 0), ("B2", 2)]
    assert [sheet.placement.x_m_per_unit for sheet in sheets] == pytest.approx([0.1, 0.1])


def test_a_click_and_a_double_click_take_one_page(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A double click on the second page goes straight on with it, whatever was picked before."""
    drop(window, pages_file(tmp_path))
    wait_for_pages(window, qtbot, 3)
    cells = window.pages.list
    first, second = (cells.visualItemRect(cells.item(row)).center() for row in (0, 1))
    qtbot.mouseClick(cells.viewport(), LEFT, pos=first)
    assert window.pages.picked == (0,)
    qtbot.mouseClick(cells.viewport(), LEFT, pos=second)
    qtbot.mouseDClick(cells.viewport(), LEFT, pos=second)
    answer(window, qtbot, "Not known")
    (sheet,) = made(window, qtbot, "B1").sheets.values()
    assert sheet.source is not None
    assert sheet.source.reading.page == 1
    assert sheet.each_way


def test_esc_leaves_the_pages(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Esc goes back to the start sheet; nothing is planned."""
    drop(window, pages_file(tmp_path))
    wait_for_pages(window, qtbot, 3)
    qtbot.waitUntil(lambda: not window.centre.band.working, timeout=LONG_MS)
    qtbot.keyClick(window.pages.list, Qt.Key.Key_Escape)
    assert window.desk.page_choice is None
    assert window.start.isVisible()
    assert window.start.choose.isVisible()
    assert window.sitting.plan is None


def test_a_locked_file_asks_until_the_password_is_right(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A wrong password is said; the right one leads to the pages, is shown as dots, and stands nowhere afterwards."""
    drop(window, pages_file(tmp_path, secret=True))
    band = window.centre.band
    answer(window, qtbot, "Type the password")
    assert band.field is not None
    assert band.field.echoMode() is band.field.EchoMode.Password
    qtbot.keyClicks(band.field, "dam")
    qtbot.keyClick(band.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "does not open heron.pdf" in band.sentence, timeout=LONG_MS)
    assert band.field is not None
    qtbot.keyClicks(band.field, PASSWORD)
    qtbot.mouseClick(next(button for button in band.buttons if button.text() == "Open it"), LEFT)
    wait_for_pages(window, qtbot, 3)
    qtbot.keyClick(window.pages.list, Qt.Key.Key_Return)
    answer(window, qtbot, "1:50")
    made(window, qtbot, "B1")
    assert window.desk.open_job is not None
    assert PASSWORD.encode() not in window.desk.open_job.file.path.read_bytes()


def test_the_words_of_a_locked_file(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The band says that it is protected by a password; another file can be chosen instead."""
    path = pages_file(tmp_path, secret=True)
    drop(window, path)
    band = window.centre.band
    qtbot.waitUntil(lambda: bool(band.sentence) and not band.working, timeout=LONG_MS)
    assert band.sentence == "heron.pdf could not be read: it is protected by a password."
    asked: list[str] = []

    def choose(*words: object) -> tuple[str, str]:
        asked.append(str(words[3]))
        return "", ""

    monkeypatch.setattr(QFileDialog, "getOpenFileName", choose)
    answer(window, qtbot, "Choose another")
    assert len(asked) == 1
    assert all(f"*.{ending}" in asked[0] for ending in ("dxf", "dwg", "pdf", "png", "jpg", "jpeg", "tif", "tiff"))


def test_a_file_of_one_page_goes_straight_on(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """No page is asked for; a scale that is typed as 1:n is taken at its word, and the foot says that it is to check."""
    path = tmp_path / "heron-B2.pdf"
    path.write_bytes(pdf(_plan))
    drop(window, path)
    band = window.centre.band
    qtbot.waitUntil(lambda: band.field is not None, timeout=LONG_MS)
    assert band.sentence == "heron-B2.pdf has the size of its paper. At which scale is it printed?"
    assert [button.text() for button in band.buttons] == ["1:50", "1:100", "1:200", "Not known", "Close"]
    assert window.start.make.text() == "answer the question below"
    assert band.field is not None
    qtbot.keyClicks(band.field, "half")
    qtbot.keyClick(band.field, Qt.Key.Key_Return)
    assert band.sentence == '"half" is no scale of a plan; give it as 1:50.'
    assert band.field is not None
    qtbot.keyClicks(band.field, "1:75")
    qtbot.keyClick(band.field, Qt.Key.Key_Return)
    (sheet,) = made(window, qtbot, "B2").sheets.values()
    assert sheet.placement.x_m_per_unit == pytest.approx(0.075)
    known = scale_known(sheet)
    assert (known.words, known.good) == ("printed 1:75, to check", False)
    assert band.sentence.startswith("B2 is in: ")
    assert "printed 1:75, to check" in band.sentence


def test_pages_of_a_tiff_are_chosen_alike(qtbot: QtBot, tmp_path: Path) -> None:
    """A TIFF of two pages offers both; the second becomes a level of the open job, with a scale each way to come."""
    images = [Image.new("1", (400, 300), 1) for _ in range(2)]
    path = tmp_path / "sheets.tif"
    images[0].save(path, save_all=True, append_images=images[1:], dpi=(200, 200))
    with window_with(one_line()[0], tmp_path) as window:
        drop(window, path)
        wait_for_pages(window, qtbot, 2)
        choice = window.desk.page_choice
        assert choice is not None
        assert {leaf.size for leaf in choice.leaves} == {"400 × 300 pixels, 200 dots per inch"}
        qtbot.keyClick(window.pages.list, Qt.Key.Key_Right)
        qtbot.keyClick(window.pages.list, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: isinstance(window.desk.tool, NameLevel), timeout=LONG_MS)
        assert window.plan.isVisible()
        qtbot.keyClick(window.plan, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: window.desk.job is not None and len(window.desk.job.sheets) == 2, timeout=LONG_MS)
        assert window.desk.job is not None
        sheet = list(window.desk.job.sheets.values())[-1]
        assert sheet.source is not None
        assert (sheet.name, sheet.source.reading.page, sheet.each_way) == ("page 2", 1, True)
        assert scale_known(sheet).words == "not known yet"
