"""What the window says of a drawing that was read: what was noticed in it, and that a file stops before its end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pytest
from ezdxf.enums import TextEntityAlignment
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.drawing_in import UNIT_QUESTION
from leakmap.desk.things import Stage
from leakmap.desk.window import MainWindow
from tests.helpers.dwg_files import dwg
from tests.helpers.windows import drop, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window without a job."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def _drawing(folder: Path, *, lines: int = 3, units: int = 6) -> Path:
    """A DXF, in metres unless said otherwise, with some lines and a point mark, which carries no line."""
    document = ezdxf.new("R2018", units=units)
    for number in range(lines):
        document.modelspace().add_line((0, number), (4, number))
    document.modelspace().add_point((1, 1))
    path = folder / "pit-B2.dxf"
    document.saveas(path)
    return path


def _made(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(window.start.make.isEnabled, timeout=LONG_MS)
    qtbot.mouseClick(window.start.make, LEFT)
    qtbot.waitUntil(lambda: window.desk.job is not None)


@pytest.mark.slow
def test_what_was_noticed_is_named_and_listed(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The band names the thing, its button leads to stage Drawing, and the ledger lists it below the scale check."""
    drop(window, _drawing(tmp_path))
    _made(window, qtbot)
    band, desk = window.centre.band, window.desk
    noticed = desk.open_job.drawing(desk.level).findings  # type: ignore[union-attr, arg-type] # a level is on the plan
    assert len(noticed) == 1
    assert band.sentence == f"B2 is in: 3 lines, its unit from the file. {noticed[0].text}"
    button = band.buttons[0]
    assert button.text() == "Show it"
    qtbot.mouseClick(button, LEFT)
    assert desk.stage is Stage.DRAWING
    notes = [entry.note.words for entry in window.ledger.model.entries if entry.wide]
    assert notes[-2:] == ["Noticed in pit-B2.dxf", noticed[0].text]


@pytest.mark.slow
def test_of_a_file_that_stops_only_what_is_wanted_is_used(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The band says where the file stops and how much was read; the job waits until the user says to use that."""
    path = _drawing(tmp_path, lines=6)
    data = path.read_bytes()
    third = [at for at in range(len(data)) if data.startswith(b"\nLINE", at)][3]
    path.write_bytes(data[: third + 12])
    drop(window, path)
    band = window.centre.band
    qtbot.waitUntil(lambda: "stops" in band.sentence, timeout=LONG_MS)
    line = data[: third + 12].count(b"\n") + 1
    assert band.sentence == f"pit-B2.dxf stops in the middle of line {line:,}. 3 lines of the plan were read."
    assert [button.text() for button in band.buttons[:2]] == ["Use what was read", "Choose another"]
    assert not window.start.make.isEnabled()
    qtbot.mouseClick(band.buttons[0], LEFT)
    _made(window, qtbot)
    assert window.centre.band.sentence.startswith("B2 is in: 3 lines")


@pytest.mark.slow
def test_a_dwg_is_to_be_compared_with_a_print(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A DWG becomes a level like a DXF; the ledger says that it is read as far as it can be made out."""
    path = tmp_path / "pit-B2.dwg"
    path.write_bytes(dwg(tmp_path))
    drop(window, path)
    _made(window, qtbot)
    notes = [entry.note.words for entry in window.ledger.model.entries if entry.wide]
    assert "Noticed in pit-B2.dwg" in notes
    assert "A DWG is read as far as it can be made out: compare the plan with a print." in notes
    (sheet,) = window.desk.job.sheets.values()  # type: ignore[union-attr] # it was made
    assert sheet.placement.x_m_per_unit == pytest.approx(0.001)


@pytest.mark.slow
def test_what_dimensions_suggest_is_offered_first(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Dimension texts of 4500 beside lines 4.5 long speak for metres, so that button comes first, with the reason."""
    document = ezdxf.new("R2018", units=0)
    for number, length in enumerate((4.5, 6.2, 3.8, 7.1)):
        document.modelspace().add_line((0, number), (length, number))
        text = document.modelspace().add_text(f"{length * 1000:.0f}", height=0.2)
        text.set_placement((length / 2, number + 0.05), align=TextEntityAlignment.CENTER)
    path = tmp_path / "pit-B2.dxf"
    document.saveas(path)
    drop(window, path)
    band = window.centre.band
    qtbot.waitUntil(lambda: UNIT_QUESTION in band.sentence, timeout=LONG_MS)
    assert band.sentence.startswith("The content suggests metre: 4 different dimensions")
    assert [button.text() for button in band.buttons[:4]] == ["metre", "millimetre", "inch", "foot"]


@pytest.mark.slow
def test_a_question_that_is_left_leads_back_to_the_start(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Closing the question of the unit gives the drawing up, so that nothing waits for an answer that cannot come."""
    drop(window, _drawing(tmp_path, units=0))
    band = window.centre.band
    qtbot.waitUntil(lambda: band.sentence == UNIT_QUESTION, timeout=LONG_MS)
    assert band.buttons[-1].text() == "Close"
    qtbot.mouseClick(band.buttons[-1], LEFT)
    assert window.sitting.plan is None
    assert window.start.choose.isVisible()
