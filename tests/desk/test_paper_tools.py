"""Straighten, lay flat, crop and letters in the window: clicks and keys, the file read again apart, one undo each."""

from __future__ import annotations

import io
from collections.abc import Iterator
from math import dist
from pathlib import Path

import ezdxf
import pytest
from PIL import Image, ImageDraw
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.things import Stage
from leakmap.desk.tools.crop import Crop
from leakmap.desk.tools.lay_flat import LayFlat
from leakmap.desk.tools.letters import Letters
from leakmap.desk.tools.name_level import NameLevel
from leakmap.desk.tools.straighten import Straighten
from leakmap.desk.tools.tool import Tool
from leakmap.desk.window import MainWindow
from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing
from leakmap.model.sheet import KnownLength, Sheet
from leakmap.work.edits.scales import add_known_length
from leakmap.work.job_drawings import brought_in, sheet_added
from leakmap.work.new_job import empty_job
from leakmap.work.open_job import made
from tests.helpers.mouse import move_mouse
from tests.helpers.windows import HAND, window_with

LEFT = Qt.MouseButton.LeftButton
LONG_MS = 20_000

pytestmark = pytest.mark.slow  # each reads a file in a process of its own


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    """A window without a job."""
    with window_with(None, tmp_path) as window:
        qtbot.waitExposed(window)
        yield window


def open_with(window: MainWindow, qtbot: QtBot, folder: Path, name: str, content: bytes) -> None:
    """Open a job whose level B2 shows a file."""
    new = brought_in(name, content)
    path = folder / "pit.gpkg"
    made(path, sheet_added(empty_job("pit").job, new, name="B2").job, HAND, drawings=[new]).close()
    window.sitting.open_job(path)
    qtbot.waitUntil(lambda: window.desk.job is not None, timeout=LONG_MS)
    assert window.desk.stage is Stage.DRAWING
    window.plan.fit()


def photo() -> bytes:
    """A photo of 400 by 300 pixels: a sheet seen askew, its corners as named in ``CORNERS``, on a dark ground."""
    image = Image.new("RGB", (400, 300), (40, 40, 40))
    down = [(x, 300 - y) for x, y in CORNERS]
    ImageDraw.Draw(image).polygon(down, fill=(250, 250, 250))
    file = io.BytesIO()
    image.save(file, "PNG")
    return file.getvalue()


CORNERS = ((60.0, 280.0), (350.0, 260.0), (330.0, 30.0), (80.0, 20.0))
"""Upper left, upper right, lower right, lower left; pixels from the photo's lower left corner."""


def two_plans() -> bytes:
    """A DXF in metres of two plans of 10 by 8 m side by side, the second one 3 m lower, each of 12 lines and a name."""
    document = ezdxf.new("R2018", units=6)
    space = document.modelspace()
    for left, low, name in ((0, 0, "LEVEL B1"), (30, -3, "LEVEL B2")):
        for step in range(6):
            space.add_line((left + 2 * step, low), (left + 2 * step, low + 8))
            space.add_line((left, low + 1.6 * step), (left + 10, low + 1.6 * step))
        space.add_text(name, height=0.8).set_placement((left + 1, low + 0.4))
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def take(window: MainWindow, tool: type[Tool]) -> None:
    """Take a tool in hand."""
    window.desk.take_tool(tool(window.desk))


def click(window: MainWindow, qtbot: QtBot, place: Point) -> None:
    """Click a place of the site plane."""
    x, y = window.plan.camera.to_screen(place)
    at = QPoint(round(x), round(y))
    move_mouse(window.plan, at)
    qtbot.mouseClick(window.plan, LEFT, pos=at)


def sheet_of(window: MainWindow) -> Sheet:
    """The level on the plan."""
    assert window.desk.job is not None
    assert window.desk.level is not None
    return window.desk.job.sheets[window.desk.level]


def drawing_of(window: MainWindow) -> Drawing:
    """Its drawing."""
    assert window.desk.open_job is not None
    assert window.desk.level is not None
    drawing = window.desk.open_job.drawing(window.desk.level)
    assert drawing is not None
    return drawing


def texts(window: MainWindow) -> list[str]:
    """The texts of the drawing on the plan."""
    return [text.words for text in drawing_of(window).texts]


def test_two_clicks_straighten_the_drawing(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The lower edge of the sheet, from (80, 20) to (330, 30), lies level after two clicks on its ends; one undo."""
    open_with(window, qtbot, tmp_path, "b2.png", photo())
    before = sheet_of(window)
    take(window, Straighten)
    ends = [before.placement.to_site(corner) for corner in (CORNERS[3], CORNERS[2])]
    click(window, qtbot, ends[0])
    assert sheet_of(window) == before
    click(window, qtbot, ends[1])
    placement = sheet_of(window).placement
    rise = placement.to_site(CORNERS[2])[1] - placement.to_site(CORNERS[3])[1]
    assert abs(rise) < 2 / window.plan.camera.px_per_m  # as true as pixels of the screen can be hit
    assert placement.turn_deg == pytest.approx(-2.29, abs=0.3)  # atan(10 / 250)
    assert f"B2 is straight now: turned to the right by {-placement.turn_deg:.2f}°." in window.centre.band.sentence
    window.desk.undo()
    assert sheet_of(window) == before


def test_letters_that_all_read_alike_are_not_offered(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A DXF of plain letters reads the same by every code page, so Layers offers the crop alone."""
    open_with(window, qtbot, tmp_path, "plans.dxf", two_plans())
    qtbot.keyClicks(window.plan, "L")
    assert [cell.choice.words for cell in window.strip.choices] == ["layers", "C crop"]


def test_a_photo_that_grew_by_its_scale_is_shown_whole(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A known length that makes the drawing ten times as large leaves all of it on the plan, ready for the second."""
    open_with(window, qtbot, tmp_path, "b2.png", photo())
    before = sheet_of(window)
    end = (400.0 * before.placement.x_m_per_unit * 10, 0.0)
    assert window.desk.open_job is not None
    known = KnownLength(start=(0.0, 0.0), end=(400.0, 0.0), length_m=end[0])
    window.desk.do(add_known_length(window.desk.open_job.job, sheet=before.id, known=known))
    assert dist(*map(sheet_of(window).placement.to_site, ((0.0, 0.0), (400.0, 0.0)))) == pytest.approx(end[0])
    left, _, right, _ = window.plan.camera.shown
    assert end[0] < right - left < 2 * end[0]


def test_q_turns_a_photo_by_a_quarter(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Q while straightening: what lay level stands upright, running up, and all of it is on the plan; one undo each."""
    open_with(window, qtbot, tmp_path, "b2.png", photo())
    before = sheet_of(window)
    take(window, Straighten)
    qtbot.keyClicks(window.plan, "q")
    placement = sheet_of(window).placement
    (x0, y0), (x1, y1) = map(placement.to_site, ((0.0, 0.0), (400.0, 0.0)))
    assert (x1 - x0, y1 - y0) == pytest.approx((0, 400 * placement.x_m_per_unit), abs=1e-9)
    left, low, right, high = window.plan.camera.shown
    for corner in ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)):
        x, y = placement.to_site(corner)
        assert left < x < right
        assert low < y < high
    qtbot.keyClicks(window.plan, "qqq")
    assert sheet_of(window).placement == before.placement
    assert window.desk.open_job is not None
    assert window.desk.open_job.undo_words == "turn B2 by a quarter"
    for _ in range(4):
        window.desk.undo()
    assert sheet_of(window) == before


def test_four_clicks_lay_a_photo_flat(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Corners clicked from the lower right on, and Enter: the picture is the sheet alone, white all over; one undo."""
    open_with(window, qtbot, tmp_path, "b2.png", photo())
    before = sheet_of(window)
    take(window, LayFlat)
    for corner in (CORNERS[2], CORNERS[1], CORNERS[0], CORNERS[3]):
        click(window, qtbot, before.placement.to_site(corner))
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sheet_of(window) != before, timeout=LONG_MS)
    source = sheet_of(window).source
    assert source is not None
    assert source.reading.corners is not None
    for found, corner in zip(source.reading.corners, CORNERS, strict=True):
        assert found == pytest.approx(corner, abs=2)
    (picture,) = drawing_of(window).pictures
    longer = (290.7, 260.8)  # of the upper and lower, of the left and right side: hypot(290, 20), hypot(20, 260)
    assert picture.size_px == pytest.approx(longer, abs=4)
    (tile,) = picture.tiles.values()
    flat = Image.open(io.BytesIO(tile)).convert("L")
    middle = flat.crop((10, 10, flat.width - 10, flat.height - 10))
    assert middle.getextrema()[0] > 240
    assert window.desk.open_job is not None
    assert window.desk.open_job.undo_words == "lay B2 flat"
    window.desk.undo()
    assert sheet_of(window) == before
    assert drawing_of(window).pictures[0].size_px == (400, 300)


def test_what_is_left_of_a_drawing_fills_the_plan(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A drawing cut down to one of its plans, and all of it again after undo, lies in the middle and as large as it can."""
    open_with(window, qtbot, tmp_path, "plans.dxf", two_plans())
    before, whole = sheet_of(window), window.plan.camera
    take(window, Crop)
    click(window, qtbot, (-3, -3))
    click(window, qtbot, (15, 12))
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sheet_of(window) != before, timeout=LONG_MS)
    assert window.plan.camera.centre == pytest.approx((5.0, 4.0), abs=0.1)  # the plan that is kept: 0 to 10, 0 to 8
    assert window.plan.camera.px_per_m > 2 * whole.px_per_m
    window.desk.undo()
    assert window.plan.camera.px_per_m == pytest.approx(whole.px_per_m)


def test_esc_stops_and_leaves_the_photo(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """While the file is read again Esc stops that within half a second; the level is as it was."""
    open_with(window, qtbot, tmp_path, "b2.png", photo())
    before = sheet_of(window)
    take(window, LayFlat)
    for corner in CORNERS:
        click(window, qtbot, before.placement.to_site(corner))
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    assert window.centre.band.working
    qtbot.keyClick(window.plan, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not window.centre.band.working, timeout=2_000)
    assert window.centre.band.sentence == "Stopped. Nothing was changed."
    assert sheet_of(window) == before


def test_two_clicks_crop_this_level(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """The rectangle round the left plan, and Enter: its lines and its name stay, where they were; one undo."""
    open_with(window, qtbot, tmp_path, "plans.dxf", two_plans())
    before = sheet_of(window)
    take(window, Crop)
    click(window, qtbot, (-3, -3))
    click(window, qtbot, (15, 12))
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sheet_of(window) != before, timeout=LONG_MS)
    drawing = drawing_of(window)
    assert texts(window) == ["LEVEL B1"]
    assert len(drawing.strokes) == 12
    assert (drawing.strokes.xy + drawing.origin).max(axis=0).tolist() == [10, 8]
    assert sheet_of(window).placement == before.placement
    window.desk.undo()
    assert sheet_of(window) == before
    assert len(drawing_of(window).strokes) == 24


def test_a_plan_that_was_found_becomes_another_level(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """2 takes the second plan that was found, N makes a level of it whose name is asked for, Enter crops the first."""
    open_with(window, qtbot, tmp_path, "plans.dxf", two_plans())
    take(window, Crop)
    tool = window.desk.tool
    assert isinstance(tool, Crop)
    tool.settle()
    assert [plan.name for plan in tool.plans] == ["LEVEL B1", "LEVEL B2"]
    qtbot.keyClicks(window.plan, "2n")
    qtbot.waitUntil(
        lambda: window.desk.tool is not tool or "has no name yet" in window.centre.band.sentence, timeout=LONG_MS
    )
    if not isinstance(window.desk.tool, NameLevel):
        qtbot.mouseClick(window.centre.band.buttons[0], LEFT)
    qtbot.keyClicks(window.plan, "B3")
    qtbot.keyClick(window.plan, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sheet_of(window).name == "B3", timeout=LONG_MS)
    assert texts(window) == ["LEVEL B2"]
    assert window.desk.job is not None
    assert [sheet.name for sheet in window.desk.job.sheets.values()] == ["B2", "B3"]
    window.desk.undo()
    assert [sheet.name for sheet in window.desk.job.sheets.values()] == ["B2"]


def test_letters_are_read_by_another_code_page(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """A text of 2000 in Cyrillic letters, in a file that claims western ones, is right once that is said; one undo."""
    document = ezdxf.new("R2000", units=6)
    document.modelspace().add_line((0, 0), (4, 0))
    document.modelspace().add_text("PUMP", height=0.5)
    stream = io.StringIO()
    document.write(stream)
    content = stream.getvalue().replace("PUMP", "Насос").encode("cp1251")
    open_with(window, qtbot, tmp_path, "b2.dxf", content)
    before = sheet_of(window)
    take(window, Letters)
    qtbot.waitUntil(lambda: window.strip.field is not None)
    assert window.strip.field is not None
    qtbot.keyClicks(window.strip.field, "1253")
    qtbot.keyClick(window.strip.field, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: sheet_of(window) != before, timeout=LONG_MS)
    assert texts(window) == ["Насос".encode("cp1251").decode("cp1253")]
    cyrillic = next(cell for cell in window.strip.choices if cell.choice.words == "Cyrillic letters")
    qtbot.mouseClick(cyrillic, LEFT)
    qtbot.waitUntil(lambda: texts(window) == ["Насос"], timeout=LONG_MS)
    window.desk.undo()
    window.desk.undo()
    assert sheet_of(window) == before


def test_what_can_be_done_is_offered_where_it_can(window: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    """Set scale offers to straighten; Layers to crop, and letters of a DXF that has some which could read otherwise."""
    open_with(window, qtbot, tmp_path, "plans.dxf", two_plans().replace(b"LEVEL B1", "LEVEL Ä1".encode()))
    found = {}
    for key in "SL":
        qtbot.keyClicks(window.plan, key)
        found[key] = [cell.choice.words for cell in window.strip.choices]
    assert found == {"S": ["known length", "T straighten"], "L": ["layers", "C crop", "R letters"]}
