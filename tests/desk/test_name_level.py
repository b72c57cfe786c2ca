"""A drawing brought into a job that is open: its level's name is asked for in the live field."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.things import Stage
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.name_level import NameLevel
from leakmap.desk.window import MainWindow
from tests.helpers.small_jobs import one_line
from tests.helpers.windows import drop, window_with

LONG_MS = 20_000
LEFT = Qt.MouseButton.LeftButton

pytestmark = pytest.mark.slow  # each reads a drawing in a process of its own


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window on a job whose only level is B2."""
    with window_with(one_line()[0], tmp_path) as window:
        qtbot.waitUntil(lambda: window.desk.job is not None)
        yield window


def drawing(folder: Path) -> Path:
    """A DXF of a room of 4 by 3 m."""
    document = ezdxf.new("R2018", units=6)
    document.modelspace().add_lwpolyline([(0, 0), (4, 0), (4, 3), (0, 3)], close=True)
    path = folder / "pit-B2.dxf"
    document.saveas(path)
    return path


def levels(window: MainWindow) -> list[str]:
    """Names of the job's levels."""
    assert window.desk.job is not None
    return [sheet.name for sheet in window.desk.job.sheets.values()]


def asked(window: MainWindow) -> bool:
    """Whether the name of a level is asked for now."""
    return isinstance(window.desk.tool, NameLevel)


def test_enter_takes_the_name_of_the_file_unless_another_is_typed(
    window: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    """B2 stands in the field; it is taken already, so Enter is refused; a space and more make another name of it."""
    drop(window, drawing(tmp_path))
    qtbot.waitUntil(lambda: asked(window), timeout=LONG_MS)
    assert window.desk.tool is not None
    field = window.desk.tool.overlay().field
    assert field is not None
    assert (field.texts, field.typed) == (("B2",), True)
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    assert asked(window)
    assert "B2" in window.centre.band.sentence
    assert levels(window) == ["B2"]
    qtbot.keyClicks(window.plan, "B2 east")
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: levels(window) == ["B2", "B2 east"], timeout=LONG_MS)
    assert not asked(window)
    assert window.desk.job is not None
    assert window.desk.level == list(window.desk.job.sheets)[-1]


def test_a_drawing_without_a_name_waits_in_the_band(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Esc leaves it out of the job, and the band leads back to it: what was read is not lost."""
    drop(window, drawing(tmp_path))
    qtbot.waitUntil(lambda: asked(window), timeout=LONG_MS)
    qtbot.keyClicks(window.plan, "B3")
    qtbot.keyClick(window.plan, Qt.Key.Key_Escape)
    assert levels(window) == ["B2"]
    band = window.centre.band
    assert band.sentence == "pit-B2.dxf is read, but its level has no name yet."
    qtbot.mouseClick(band.buttons[0], LEFT)
    assert asked(window)
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: levels(window) == ["B2", "B3"], timeout=LONG_MS)


def test_a_tool_in_hand_is_not_taken_away(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """While a joint is drawn the band says that the drawing is read; the joint goes on."""
    window.desk.go_to(Stage.JOINTS)
    window.desk.take_tool(DrawJoint(window.desk))
    tool = window.desk.tool
    drop(window, drawing(tmp_path))
    qtbot.waitUntil(lambda: "has no name yet" in window.centre.band.sentence, timeout=LONG_MS)
    assert window.desk.tool is tool
