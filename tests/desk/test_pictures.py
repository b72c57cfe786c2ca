"""Scans under the plan: what is painted where, in which ink, from which tiles, within which memory."""

from __future__ import annotations

import io
from cmath import exp
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from hashlib import sha256
from math import radians
from pathlib import Path
from uuid import UUID

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.darkroom import Darkroom, Plate
from leakmap.desk.plan.laid_over import LaidOver
from leakmap.desk.plan.look import Inks, Look, Strength, dimmed, laid_over, strong
from leakmap.desk.plan.pictures import Pictures
from leakmap.desk.plan.toned import toned
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tokens import LIGHT
from leakmap.desk.tools.lay_over import LayOver
from leakmap.desk.tools.vertical_joint import VerticalJoint
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import TILE_PX, Drawing, FloatArray, Picture, Strokes, TilePlace, UnitHint
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.scales import set_scale
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.made_scans import drawn_scan, scan_of
from tests.helpers.small_jobs import one_sheet, with_line

pytestmark = pytest.mark.usefixtures("qapp")

SIZE = (2600, 1700)
MARK = (1900, 400, 1940, 440)
MIDDLE_PX = (1920.0, SIZE[1] - 420.0)  # of the mark; y up, as drawings have it
ASKEW = Placement(x_m_per_unit=0.010, y_m_per_unit=0.013, turn_deg=23.0, at_m=(4.0, -2.5))
STRAIGHT = Placement(x_m_per_unit=0.01, y_m_per_unit=0.01)
FIELD = (0.0, 0.0, 600.0, 400.0)
FULL = Look(inks=strong())


def site_of(placement: Placement, pixel: Point) -> Point:
    """Where a pixel lies, by complex numbers: scaled each way, turned, moved."""
    x, y = pixel[0] * placement.x_m_per_unit, pixel[1] * placement.y_m_per_unit
    at = complex(*placement.at_m) + complex(x, y) * exp(1j * radians(placement.turn_deg))
    return at.real, at.imag


@contextmanager
def pictures_of(drawing: Drawing, placement: Placement = STRAIGHT, look: Look = FULL) -> Iterator[Pictures]:
    """Pictures of a drawing with a darkroom of their own."""
    darkroom = Darkroom()
    pictures = Pictures(drawing, placement, darkroom)
    pictures.set_look(look)
    try:
        yield pictures
    finally:
        pictures.drop()
        darkroom.deleteLater()


def painted(pictures: Pictures, camera: Camera, *, paper: str = "#FFFFFF") -> FloatArray:
    """Red, green and blue of each pixel after all tiles came, ``(400, 600, 3)``."""
    pictures.settle(camera)
    return shown(pictures, camera, paper=paper)


def shown(pictures: Pictures, camera: Camera, *, paper: str = "#FFFFFF") -> FloatArray:
    """The same of what is there already."""
    image = QImage(600, 400, QImage.Format.Format_RGB888)
    image.fill(QColor(paper))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)  # as the plan paints
    pictures.paint(painter, camera)
    painter.end()
    lines = np.frombuffer(image.constBits(), np.uint8).reshape(400, image.bytesPerLine())[:, :1800]
    return lines.reshape(400, 600, 3).astype(np.float64)


@pytest.mark.parametrize("placement", [STRAIGHT, ASKEW])
@pytest.mark.parametrize(("px_per_m", "level"), [(20.0, 2), (60.0, 0), (400.0, 0)])
def test_a_mark_lies_at_its_place(placement: Placement, px_per_m: float, level: int) -> None:
    """A dark square of a scan is painted round the place that scale, turn and move give it, as large as they say."""
    at = site_of(placement, MIDDLE_PX)
    camera = Camera(px_per_m=px_per_m, centre=at, field=FIELD)
    half = 20 * 0.01 * px_per_m  # pixels of the screen; the way up it is longer
    with pictures_of(drawn_scan(SIZE, [MARK]), placement) as pictures:
        assert pictures._pictures[0].level_at(px_per_m) == level
        grey = painted(pictures, camera).mean(axis=2)
    x, y = np.meshgrid(np.arange(600) + 0.5 - 300, 200 - np.arange(400) - 0.5)
    back = (x + 1j * y) * exp(-1j * radians(placement.turn_deg))
    across, up = np.abs(back.real) / half, np.abs(back.imag) / (half * placement.y_m_per_unit / 0.01)
    edge = 2.5 / half  # the screen's pixels and the level's, half each way, and one for rounding
    assert grey[(across < 1 - edge) & (up < 1 - edge)].max() < 40
    assert grey[(across > 1 + edge) | (up > 1 + edge)].min() > 215


def test_tiles_meet_without_a_seam() -> None:
    """A black scan of nine tiles is black all over, turned and at a zoom that no tile fits."""
    drawing = drawn_scan((1400, 1400), [(0, 0, 1400, 1400)])
    for placement in (STRAIGHT, replace(STRAIGHT, turn_deg=7.0, y_m_per_unit=0.0117)):
        camera = Camera(px_per_m=73.1, centre=site_of(placement, (700, 700)), field=FIELD)
        with pictures_of(drawing, placement) as pictures:
            assert painted(pictures, camera).max() == 0


def test_white_lets_the_paper_show_and_colours_stay() -> None:
    """A photo in its own colours, laid on the paper, is what multiplying both gives (Pillow), but for the paper's tone."""
    rng = np.random.default_rng(4)
    photo = Image.fromarray(rng.integers(0, 256, (300, 400, 3), dtype=np.uint8), "RGB")
    file = io.BytesIO()
    photo.save(file, "PNG")
    image = toned(file.getvalue(), photo.size, None)
    assert image is not None
    paper = Image.new("RGB", photo.size, LIGHT.sheet)
    canvas = QImage(400, 300, QImage.Format.Format_RGB888)
    canvas.fill(QColor(LIGHT.sheet))
    painter = QPainter(canvas)
    painter.drawImage(0, 0, image)
    painter.end()
    ours = np.frombuffer(canvas.constBits(), np.uint8).reshape(300, 400, 3).astype(int)
    apart = np.abs(ours - np.asarray(ImageChops.multiply(photo, paper)).astype(int))
    assert apart.max() <= 255 - min(QColor(LIGHT.sheet).getRgb()[:3]) + 1


@pytest.mark.parametrize(
    ("inks", "strength", "expected"),
    [
        (strong(), Strength.FULL, "#000000"),
        (strong(), Strength.FAINT, LIGHT.paperline),
        (dimmed(), Strength.FULL, LIGHT.paperline),
        (dimmed(), Strength.FAINT, dimmed().faint_line),
        (dimmed(), Strength.HIDDEN, "#FFFFFF"),
        (laid_over(), Strength.FULL, LIGHT.focus),
    ],
)
def test_black_becomes_the_ink_of_the_layer(inks: Inks, strength: Strength, expected: str) -> None:
    """Black is as light as imported lines of the same layer, blue where a level is laid over; hidden is not there."""
    camera = Camera(px_per_m=100.0, centre=site_of(STRAIGHT, MIDDLE_PX), field=FIELD)
    with pictures_of(drawn_scan(SIZE, [MARK]), look=Look(strengths=(strength,), inks=inks)) as pictures:
        colours = painted(pictures, camera)
    assert colours[200, 300] == pytest.approx(QColor(expected).getRgb()[:3], abs=1)
    assert (colours[10, 10] == 255).all()


def test_colours_are_grey_where_dimmed() -> None:
    """A red wall of a scan is red in stage Drawing and grey where the marks count."""
    camera = Camera(px_per_m=100.0, centre=site_of(STRAIGHT, MIDDLE_PX), field=FIELD)
    with pictures_of(drawn_scan(SIZE, [MARK], ink=(200, 30, 30))) as pictures:
        assert painted(pictures, camera)[200, 300] == pytest.approx((200, 30, 30), abs=12)
        pictures.set_look(Look(inks=dimmed()))
        red, green, blue = painted(pictures, camera)[200, 300]
    assert abs(red - blue) < 8
    assert abs(red - green) < 8


def test_a_coarser_tile_stands_in_until_the_finer_comes(qtbot: QtBot) -> None:
    """While only the small whole is there the mark is seen, blurred; later it is sharp, with nothing else asked."""
    drawing = drawn_scan(SIZE, [MARK])
    (picture,) = drawing.pictures
    camera = Camera(px_per_m=100.0, centre=site_of(STRAIGHT, MIDDLE_PX), field=FIELD)
    with pictures_of(drawing) as pictures:
        darkroom = pictures._darkroom
        darkroom._keep(Plate(picture, TilePlace(picture.levels - 1, 0, 0), None), _unpacked(picture))
        pictures._film.finish(camera, 1.0)  # with what is there
        blurred = shown(pictures, camera)[200, 281:319].mean()
        assert blurred < 60
        qtbot.waitUntil(lambda: bool(shown(pictures, camera)[200, 281:319].max() < 10))
    assert blurred > 10


def _unpacked(picture: Picture) -> QImage | None:
    last = TilePlace(picture.levels - 1, 0, 0)
    return toned(picture.tiles[last], picture.tile_px(last), None)


@given(
    px_m=st.floats(0.001, 0.1),
    px_per_m=st.floats(0.5, 2000),
)
def test_a_level_is_as_fine_as_the_screen_and_not_much_finer(px_m: float, px_per_m: float) -> None:
    """A pixel of the level used is between 0.59 and 1.19 of the screen's, unless there is no finer or coarser one."""
    picture = Picture((0, 0, 9000, 5000), (9000, 5000), {})
    drawing = Drawing((0.0, 0.0), (), Strokes.none(), (), UnitHint(None, "made here"), None, pictures=(picture,))
    placement = Placement(x_m_per_unit=px_m, y_m_per_unit=px_m)
    darkroom = Darkroom()
    pictures = Pictures(drawing, placement, darkroom)
    level = pictures._pictures[0].level_at(px_per_m)
    on_screen = px_m * px_per_m * 2**level
    assert level == 0 or on_screen <= 1.19
    assert level == picture.levels - 1 or on_screen >= 0.59
    pictures.drop()
    darkroom.deleteLater()


def test_memory_has_a_limit_and_what_is_not_wanted_is_not_begun(qtbot: QtBot) -> None:
    """Forty tiles wanted with room for eight: eight are kept; of those wanted no more none is begun."""
    drawing = drawn_scan((8 * TILE_PX, 5 * TILE_PX), [(10, 10, 4000, 2500)])
    (picture,) = drawing.pictures
    plates = [Plate(picture, place, None) for place in picture.places(0)]
    assert len(plates) == 40
    darkroom = Darkroom(limit_bytes=8 * 4 * TILE_PX**2)
    darkroom.take_up(drawing.pictures)
    darkroom.want("one", plates)
    qtbot.waitUntil(lambda: not darkroom.busy)
    assert [darkroom.plate(plate) is not None for plate in plates] == [True] * 8 + [False] * 32
    assert darkroom.kept_bytes == 8 * 4 * TILE_PX**2
    darkroom.want("other", plates[8:12])
    qtbot.waitUntil(lambda: not darkroom.busy)  # four each
    assert [darkroom.plate(plate) is not None for plate in plates[:12]] == [True] * 4 + [False] * 4 + [True] * 4
    darkroom.want("other", ())
    darkroom.want("one", plates[20:])
    darkroom.want("one", plates[-1:])
    qtbot.waitUntil(lambda: not darkroom.busy)
    qtbot.wait(100)
    assert darkroom.plate(plates[-1]) is not None
    assert sum(darkroom.plate(plate) is not None for plate in plates[20:-1]) <= 6  # those in hand already
    darkroom.let_go("one", drawing.pictures)
    assert darkroom.kept_bytes == 0
    darkroom.deleteLater()


def test_a_damaged_tile_stays_white(caplog: pytest.LogCaptureFixture) -> None:
    """A tile of another size than it must have is left white, the log says so, and the rest is painted."""
    drawing = drawn_scan((1024, 512), [(100, 100, 1000, 400)])
    (picture,) = drawing.pictures
    bad, other = TilePlace(0, 0, 0), TilePlace(0, 1, 0)
    tiles = {**picture.tiles, bad: scan_of((3000, 3000), [])}
    drawing = replace(drawing, pictures=(replace(picture, tiles=tiles),))
    camera = Camera(px_per_m=100.0, centre=(5.12, 2.56), field=FIELD)
    with pictures_of(drawing) as pictures:
        colours = painted(pictures, camera)
        assert not pictures._darkroom.busy
        found = pictures._darkroom.plate(Plate(drawing.pictures[0], other, None))
        assert found is not None
    assert {record.message.partition(":")[0] for record in caplog.records} == {
        "a tile of a picture could not be unpacked"
    }
    caplog.clear()
    assert colours[200, 100].min() == 255
    assert colours[200, 500].max() < 10


# In the window ------------------------------------------------------------------------------------


def scanned(placement: Placement) -> tuple[Job, bytes]:
    """A job of which B2 shows a scan with one mark, and the file of it."""
    file = scan_of(SIZE, [MARK])
    job, sheet = one_sheet(source=Source(name="b2.png", sha256=sha256(file).hexdigest(), pixel=1.0))
    job = set_scale(job, sheet=sheet, x_m_per_unit=0.01).job
    return replace(job, sheets={sheet: replace(job.sheets[sheet], placement=placement)}), file


@contextmanager
def plan_of(desk: Desk, qtbot: QtBot) -> Iterator[PlanView]:
    """The plan of a desk, shown."""
    view = PlanView(desk)
    qtbot.addWidget(view)
    view.resize(900, 600)
    view.show()
    yield view


@pytest.mark.parametrize("px_per_m", [20.0, 60.0, 400.0])
def test_the_plan_shows_a_scan_by_itself(tmp_path: Path, qtbot: QtBot, px_per_m: float) -> None:
    """Opened from a job file, turned and with two scales, the mark comes up where it belongs; nobody waits for it."""
    job, file = scanned(ASKEW)
    with desk_with(job, tmp_path, Stage.DRAWING, (file,)) as desk, plan_of(desk, qtbot) as view:
        view.look(replace(view.camera, px_per_m=px_per_m, centre=site_of(ASKEW, MIDDLE_PX)))
        x, y = (round(part) for part in view.camera.middle)
        qtbot.waitUntil(lambda: view.grab().toImage().pixelColor(x, y).lightness() < 40)


def test_zooming_in_ends_where_a_pixel_is_large_enough(tmp_path: Path, qtbot: QtBot) -> None:
    """A pixel of 1 m becomes 64 px of the screen and no larger; with one of 10 mm the plan's own limit comes before."""
    for px_m, most in ((0.01, 2000.0), (1.0, 64.0)):
        job, file = scanned(replace(STRAIGHT, x_m_per_unit=px_m, y_m_per_unit=px_m))
        folder = tmp_path / str(px_m)
        folder.mkdir()
        with desk_with(job, folder, Stage.DRAWING, (file,)) as desk, plan_of(desk, qtbot) as view:
            view.look(view.camera.zoomed(1e9, view.camera.middle))
            assert view.camera.px_per_m == most


def test_a_scan_gives_nothing_to_catch_on_but_grid_and_joints_do(tmp_path: Path, qtbot: QtBot) -> None:
    """On a scan the pointer is caught on joints and grid as on any sheet, and on nothing where only pixels are."""
    job, file = scanned(STRAIGHT)
    letters, numbers = axes_with_bays("AB", (11.0,)), axes_with_bays("12", (6.0,), towards_deg=90.0)
    job = set_grid(job, grid=Grid(letters=letters, numbers=numbers)).job
    job, _ = with_line(job, [(2.0, 3.0), (8.0, 3.0)])
    with desk_with(job, tmp_path, Stage.JOINTS, (file,)) as desk, plan_of(desk, qtbot) as view:
        tool = VerticalJoint(desk)
        for near, place in (((8.04, 3.03), (8.0, 3.0)), ((10.96, 6.04), (11.0, 6.0))):
            caught = view.hand._catching.catch(near, 0.14, tool)
            assert caught is not None
            assert caught.at == pytest.approx(place)
        assert view.hand._catching.catch(site_of(STRAIGHT, (1900.0, SIZE[1] - 400.0)), 0.14, tool) is None


def test_a_scan_that_is_laid_over_another_is_blue_where_it_would_lie(tmp_path: Path) -> None:
    """Two places of a scan that lies askew are clicked on those of one that lies straight: its mark is blue there."""
    below, file = scan_of(SIZE, []), scan_of(SIZE, [MARK])
    job = Job(id=UUID(int=1), name="Heron Wharf")
    for name, content, placement in (("B1", below, STRAIGHT), ("B2", file, replace(STRAIGHT, turn_deg=23.0))):
        source = Source(name=f"{name}.png", sha256=sha256(content).hexdigest(), pixel=1.0, unit=0.01)
        job = add_sheet(job, name=name, source=source, placement=placement).job
    b1, b2 = job.sheets
    askew = job.sheets[b2].placement
    with desk_with(job, tmp_path, Stage.DRAWING, (below, file)) as desk:
        desk.show_level(b2)
        desk.take_tool(LayOver(desk))
        hand = Fingers(desk)
        for level, spot, placement in (
            (b2, (0.0, 0.0), askew), (b1, (0.0, 0.0), STRAIGHT), (b1, (2600.0, 0.0), STRAIGHT), (b2, (2600.0, 0.0), askew)
        ):  # fmt: skip
            desk.show_level(level)
            hand.click(site_of(placement, spot))
        desk.show_level(b1)
        camera = Camera(px_per_m=60.0, centre=site_of(STRAIGHT, MIDDLE_PX), field=FIELD)
        over = LaidOver(desk)
        over.settle(camera)
        image = QImage(600, 400, QImage.Format.Format_RGB888)
        image.fill(QColor(LIGHT.sheet))
        painter = QPainter(image)
        over.paint(painter, camera)
        painter.end()
        assert image.pixelColor(300, 200).getRgb() == pytest.approx(QColor(LIGHT.focus).getRgb(), abs=3)
        assert image.pixelColor(340, 200) == QColor(LIGHT.sheet)
        desk.take_tool(None)
