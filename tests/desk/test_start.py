"""The start window: a drawing becomes a job, a job opens, the sample is copied, a file can be dropped."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import ezdxf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.drawing_in import UNIT_QUESTION
from leakmap.desk.faces import text
from leakmap.desk.sitting import SAMPLE_SENTENCE
from leakmap.desk.start import HEADING, HINT, PROMISE
from leakmap.desk.things import Stage
from leakmap.desk.tokens import LEAST_WINDOW
from leakmap.desk.window import MainWindow
from leakmap.records.job_file import create_job_file
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import AT, drop, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window without a job."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def drawing(folder: Path, *, unit: int) -> Path:
    """A DXF of a room of 4 by 3 with a unit of its header; 0 is none."""
    document = ezdxf.new("R2018", units=unit)
    document.modelspace().add_lwpolyline([(0, 0), (4, 0), (4, 3), (0, 3)], close=True)
    path = folder / "pit-B2.dxf"
    document.saveas(path)
    return path


def job_file(folder: Path, name: str) -> Path:
    """A job file with one joint."""
    path = folder / name
    create_job_file(path, one_line()[0], user="ann", at=AT)
    return path


def test_the_first_words() -> None:
    """The start window says how to begin, and what does not happen to the drawing."""
    assert HEADING == "Start with the floor plan: a DXF, a PDF, or a scan of the paper."
    assert PROMISE == "Nothing leaves this computer. The drawing itself is never changed."
    assert HINT == "or drop a file anywhere on this sheet"


def test_only_the_first_drawing_can_be_brought_in(window: MainWindow, qtbot: QtBot) -> None:
    """Without a job every action but Import drawing waits, and a stage can still be looked at."""
    assert [button.key for button in window.strip.buttons if button.isEnabled()] == ["I"]
    assert window.stage_line.job_cell.text() == "No job open"
    assert window.stage_line.cells[0].state.sentence == "start here"
    assert window.foot.saved.text() == "nothing to save"
    qtbot.mouseClick(window.stage_line.cells[3], LEFT)
    assert not any(button.isEnabled() for button in window.strip.buttons)


def test_a_job_that_is_dropped_opens_and_stays_among_the_recent(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    """A dropped job lies on the desk; once it is closed, its row on the start sheet opens it again."""
    drop(window, job_file(tmp_path, "pit.gpkg"))
    qtbot.waitUntil(lambda: window.desk.job is not None)
    assert window.stage_line.job_cell.text() == "Heron Wharf"
    assert window.plan.isVisible()
    assert window.sitting.close()
    assert window.start.isVisible()
    (row,) = window.start.rows
    qtbot.mouseClick(row, LEFT)
    qtbot.waitUntil(lambda: window.desk.job is not None)


def test_recent_jobs_stay_inside_the_frame(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Of four recent jobs a wide window shows all, a window of 1280 × 800 three, the smallest none that has no room."""
    for name in ("pit", "tank", "weir", "sump"):
        window.sitting.open_job(job_file(tmp_path, f"{name}.gpkg"))
        qtbot.waitUntil(lambda: window.desk.job is not None)
        assert window.sitting.close()
    shown = []
    for size in ((1600, 1000), (1280, 800), LEAST_WINDOW):
        window.resize(*size)
        QApplication.processEvents()
        rows = [row for row in window.start.rows if row.isVisible()]
        assert all(row.geometry().bottom() < window.start.height() - 44 for row in rows)
        shown.append(len(rows))
    assert shown == [4, 3, 0]


def otherwise(path: Path) -> None:
    """Lay a job file out as an earlier leakmap did."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("ALTER TABLE sheets DROP COLUMN north_deg")


def torn(path: Path) -> None:
    """Cut a job file short."""
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def no_job(path: Path) -> None:
    """Put something else in a job file's place."""
    path.write_text("not a job")


@pytest.mark.parametrize("harm", [otherwise, torn, no_job], ids=lambda harm: harm.__name__)
def test_why_a_job_does_not_open_stays_until_it_is_read(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, harm: Callable[[Path], None]
) -> None:
    """The band says what happened, what was kept and what to do; looking at every stage does not take it away, Close does."""
    band, path = window.centre.band, job_file(tmp_path, "notes.gpkg")
    harm(path)
    drop(window, path)
    for stage in Stage:
        window.desk.go_to(stage)
        assert band.isVisible()
        assert re.fullmatch(
            r"notes\.gpkg is (?=.*\bas it (is|was)\b).*(choose a file|go back to a copy).*\.", band.sentence
        )
    assert window.desk.job is None
    assert window.start.choose.isVisible()
    qtbot.mouseClick(band.buttons[-1], LEFT)
    assert not band.isVisible()


def test_a_job_that_does_not_open_leads_back_to_the_one_before(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    """Whoever chose a wrong file while a job was open is back with one click, and the sentence is gone with it."""
    good, bad = job_file(tmp_path, "pit.gpkg"), tmp_path / "notes.gpkg"
    no_job(bad)
    for path in (good, bad):
        window.sitting.open_job(path)
        window.sitting.settle()
    assert window.desk.job is None
    assert [button.text() for button in window.centre.band.buttons] == ["Back to the job before", "Close"]
    qtbot.mouseClick(window.centre.band.buttons[0], LEFT)
    window.sitting.settle()
    assert window.desk.job is not None
    assert not window.centre.band.isVisible()


def test_another_job_takes_the_sentence_away(window: MainWindow, tmp_path: Path) -> None:
    """Why one job did not open is past once another lies on the desk."""
    good, bad = job_file(tmp_path, "pit.gpkg"), tmp_path / "notes.gpkg"
    no_job(bad)
    for path in (bad, good):
        window.sitting.open_job(path)
        window.sitting.settle()
    assert window.desk.job is not None
    assert not window.centre.band.isVisible()


def test_a_mistake_while_a_job_is_opened_holds_nothing_up(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mistake of leakmap itself is raised, the start sheet offers its buttons again, and the next job opens."""
    path = job_file(tmp_path, "pit.gpkg")

    def mistaken(*_given: object) -> None:
        raise RuntimeError("a mistake")

    with monkeypatch.context() as patched:
        patched.setattr("leakmap.desk.sitting.opened", mistaken)
        window.sitting.open_job(path)
        with pytest.raises(RuntimeError, match="a mistake"):
            window.sitting.settle()
    assert window.sitting.opening == ""
    assert window.start.choose.isVisible()
    window.sitting.open_job(path)
    window.sitting.settle()
    assert window.desk.job is not None


@pytest.mark.slow
def test_a_dropped_drawing_becomes_a_job_beside_it(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The level's name is read off the file, the user may change the job's, and the job lies beside the drawing."""
    drop(window, drawing(tmp_path, unit=6))
    assert window.start.level.text() == "B2"
    qtbot.waitUntil(window.start.make.isEnabled, timeout=LONG_MS)
    window.start.job.selectAll()
    qtbot.keyClicks(window.start.job, "Heron pit")
    qtbot.mouseClick(window.start.make, LEFT)
    qtbot.waitUntil(lambda: window.desk.job is not None)
    job = window.desk.job
    assert job is not None
    assert (tmp_path / "Heron pit.gpkg").is_file()
    assert job.name == "Heron pit"
    (sheet,) = job.sheets.values()
    assert (sheet.name, sheet.placement.x_m_per_unit) == ("B2", 1.0)
    assert window.centre.band.sentence.startswith("B2 is in: ")
    assert window.desk.open_job is not None
    assert window.desk.open_job.drawing(sheet.id) is not None


@pytest.mark.slow
def test_a_drawing_without_unit_asks_for_it(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The band asks, one button a unit; foot makes 0.3048 m of a unit (NIST SP 811: exact)."""
    drop(window, drawing(tmp_path, unit=0))
    band = window.centre.band
    qtbot.waitUntil(lambda: band.sentence == UNIT_QUESTION, timeout=LONG_MS)
    assert [button.text() for button in band.buttons[:4]] == ["millimetre", "metre", "inch", "foot"]
    assert not window.start.make.isEnabled()
    qtbot.mouseClick(band.buttons[3], LEFT)
    qtbot.keyClick(window.start.level, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.desk.job is not None)
    assert window.desk.job is not None
    (sheet,) = window.desk.job.sheets.values()
    assert sheet.source is not None
    assert sheet.source.unit == pytest.approx(0.3048)
    assert sheet.placement.x_m_per_unit == pytest.approx(0.3048)


@pytest.mark.slow
def test_a_drawing_that_cannot_be_read_is_told(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The sentence offers another file, and the question for names is gone."""
    path = tmp_path / "plan.dxf"
    path.write_text("no drawing")
    drop(window, path)
    band = window.centre.band
    qtbot.waitUntil(lambda: "plan.dxf" in band.sentence, timeout=LONG_MS)
    assert band.buttons[0].text() == "Choose another"
    assert window.sitting.plan is None
    assert window.start.choose.isVisible()


@pytest.mark.slow
def test_the_sample_opens_as_a_copy(
    window: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Look round makes a copy, opens it and says that anything may be changed; a second copy takes no name twice."""
    monkeypatch.setattr("leakmap.desk.sitting.sample_folder", lambda: tmp_path)
    qtbot.mouseClick(window.start.sample, LEFT)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.centre.band.sentence == SAMPLE_SENTENCE
    assert (tmp_path / "Tern Quay pumping station.gpkg").is_file()
    assert window.sitting.close()
    qtbot.mouseClick(window.start.sample, LEFT)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert (tmp_path / "Tern Quay pumping station 2.gpkg").is_file()


@pytest.mark.parametrize("size", [(1280, 800), LEAST_WINDOW])
def test_large_letters_keep_every_button_in_reach(window: MainWindow, size: tuple[int, int]) -> None:
    """At double text size Tab brings each button of the start sheet whole into view, and the heading is not cut short."""
    window.resize(*size)
    window.desk.change_setting("text_percent", 200)
    QApplication.processEvents()
    start = window.start
    heading = start._heading(start._top())
    needed = start._grown(heading, HEADING, text(start.sizes.empty_type, strong=True))
    assert heading.height() >= needed.height()
    for button in (*start._first(), start.first_job):
        button.setFocus(Qt.FocusReason.TabFocusReason)
        assert start.rect().contains(button.geometry()), button.text()
    others = [button.geometry() for button in (*start._first(), start.first_job)]
    assert not any(a.intersects(b) for k, a in enumerate(others) for b in others[:k])
    window.desk.change_setting("text_percent", 100)
    assert start._scrolled == 0.0
