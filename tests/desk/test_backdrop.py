"""The imported drawing on the plan: tiles paint what painting everything paints, and nothing that is hidden."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from leakmap.base.resources import resource
from leakmap.desk.plan import backdrop as backdrops
from leakmap.desk.plan.backdrop import Backdrop
from leakmap.desk.plan.batches import path_of, seen
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.look import Look, Strength, strengths_of, strong
from leakmap.desk.plan.sheaf import Sheaf, bundles
from leakmap.desk.plan.wording import standing
from leakmap.drawings.opening import read_drawing
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, FloatArray, Layer, LayerState, Strokes, Text, UnitHint
from leakmap.model.sheet import Sheet

pytestmark = pytest.mark.usefixtures("qapp")

FIELD = (26.0, 26.0, 526.0, 426.0)
PLAN = resource("sample_plans", "tern_quay_b2.dxf")


def drawing(*lines: tuple[list[tuple[float, float]], int], texts: tuple[Text, ...] = ()) -> Drawing:
    """A drawing in metres of polylines with the number of their layer: walls, notes, old things that are off."""
    xy = np.array([point for points, _ in lines for point in points], dtype=np.float64).reshape(-1, 2)
    starts = np.cumsum([0, *(len(points) for points, _ in lines)]).astype(np.int32)
    strokes = Strokes(xy, starts, np.array([layer for _, layer in lines], dtype=np.int32))
    layers = (Layer("walls"), Layer("notes"), Layer("old", LayerState.OFF))
    box = (*xy.min(axis=0).tolist(), *xy.max(axis=0).tolist())
    return Drawing((0.0, 0.0), layers, strokes, texts, UnitHint(1.0, "made here"), box)


TWO_HALVES = drawing(
    ([(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)], 0),
    ([(6, 0), (10, 4)], 1),
    ([(6, 4), (10, 0)], 2),
)
CAMERA = Camera(px_per_m=40, centre=(5.0, 2.0), field=FIELD)


def picture(backdrop: Backdrop, camera: Camera, *, whole: bool = False) -> FloatArray:
    """What is painted, as opacity of each pixel."""
    image = QImage(560, 460, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    if whole:
        backdrop.paint_whole(painter, camera)
    else:
        backdrop.settle(camera)
        backdrop.paint(painter, camera)
    painter.end()
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(460, 560, 4)
    return pixels[:, :, 3].astype(np.float64)


def ends(backdrop: Backdrop) -> None:
    """Let a backdrop go."""
    backdrop.deleteLater()


def test_hidden_layer_paints_nothing() -> None:
    """Hiding a layer empties the part of the picture where only it lies, and nothing else changes."""
    backdrop = Backdrop(TWO_HALVES, Placement())
    full = picture(backdrop, CAMERA)
    right = slice(300, 500)
    assert full[:, right].any()
    backdrop.set_look(Look(strengths=(Strength.FULL, Strength.HIDDEN, Strength.HIDDEN)))
    hidden = picture(backdrop, CAMERA)
    assert not hidden[:, right].any()
    assert np.array_equal(hidden[:, :260], full[:, :260])
    assert full[:, :260].any()
    ends(backdrop)


def test_tiles_paint_what_painting_everything_paints() -> None:
    """At every zoom and place, tiles and culling give the picture of the painter without both, texts included."""
    read = read_drawing(PLAN.name, PLAN.read_bytes())
    backdrop = Backdrop(read, Placement(x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=7, at_m=(3, -2)))
    backdrop.set_look(Look(inks=strong()))
    assert backdrop.box is not None
    fit = replace(CAMERA, centre=(0.0, 0.0)).fitted(backdrop.box)
    for camera in (fit, fit.zoomed(4, (100, 90)), fit.zoomed(30, (420, 300)).panned(-333, 77), fit.zoomed(0.3, (0, 0))):
        tiled, whole = picture(backdrop, camera), picture(backdrop, camera, whole=True)
        assert whole.any()
        assert np.abs(tiled - whole).mean() < 0.05 * whole.mean()
    ends(backdrop)


def test_lines_lie_where_the_camera_says() -> None:
    """A wall at x = 4 m and y = 0 to 4 m is painted at the pixels that the camera gives for it."""
    backdrop = Backdrop(TWO_HALVES, Placement())
    painted = picture(backdrop, CAMERA)
    column, row = (int(pixel) for pixel in CAMERA.to_screen((4.0, 2.0)))
    assert np.flatnonzero(painted[row, column - 30 : column + 30] > 100).tolist() in ([29], [30], [29, 30])
    top, bottom = (CAMERA.to_screen((4.0, y))[1] for y in (4.0, 0.0))
    rows = np.flatnonzero(painted[:, column - 1 : column + 1].any(axis=1))
    assert (rows[0], rows[-1]) == (pytest.approx(top, abs=1), pytest.approx(bottom, abs=1))
    ends(backdrop)


def test_no_paint_outside_the_field() -> None:
    """The rails beside the plan stay free."""
    backdrop = Backdrop(TWO_HALVES, Placement())
    painted = picture(backdrop, CAMERA.zoomed(3, (200, 200)))
    assert painted[26:426, 26:526].any()
    painted[26:426, 26:526] = 0
    assert not painted.any()
    ends(backdrop)


def test_zoom_shows_something_at_once(qtbot: QtBot) -> None:
    """The first frame after a zoom shows the drawing, stretched if need be; the fresh one follows by itself."""
    rng = np.random.default_rng(3)
    at = rng.uniform(0, 10, (40_000, 2))
    many = drawing(*(([(x, y), (x + 0.1, y + 0.1)], 0) for x, y in at.tolist()))
    backdrop = Backdrop(many, Placement())
    picture(backdrop, CAMERA)
    near = CAMERA.zoomed(1.5, (276, 226))
    image = QImage(560, 460, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    backdrop.paint(painter, near)
    painter.end()
    assert np.frombuffer(image.constBits(), np.uint8).reshape(460, 560, 4)[30:420, 30:520, 3].mean() > 20
    qtbot.waitUntil(lambda: not backdrop.busy, timeout=5000)
    ends(backdrop)


def test_no_tile_is_put_together_from_ones_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """From 40 px a metre to 31 km in view: a tile would be made of 16 million finer ones, which are never asked for."""
    asked = backdrops._spots

    def counted(px_per_m: float, box: tuple[float, float, float, float]) -> list[backdrops.Spot]:
        step = backdrops.TILE_PX / px_per_m
        assert (box[2] - box[0]) / step * (box[3] - box[1]) / step < 10_000
        return asked(px_per_m, box)

    monkeypatch.setattr(backdrops, "_spots", counted)
    wide = drawing(([(0, 0), (4, 0), (4, 4)], 0), ([(0, 0), (31_000, 20_000)], 0))
    backdrop = Backdrop(wide, Placement())
    picture(backdrop, CAMERA)
    far = Camera(px_per_m=0.01, centre=(15_000.0, 10_000.0), field=FIELD)
    with monkeypatch.context() as slow:
        slow.setattr(Backdrop, "_work_for", lambda *_, **__: True)  # no fresh tile is ready yet
        image = QImage(560, 460, QImage.Format.Format_ARGB32_Premultiplied)
        painter = QPainter(image)
        backdrop.paint(painter, far)
        painter.end()
    assert picture(backdrop, far)[30:420, 30:520].max() > 20
    ends(backdrop)


def test_texts_are_set_only_where_they_can_be_read() -> None:
    """A text of 0.25 m capitals is there at 40 px a metre, 10 px high, and not at 10."""
    note = Text((5.0, 2.0), 0.25, 0.0, 0.5, 0.5, "SUMP", 1)
    backdrop = Backdrop(drawing(([(0, 0), (0.5, 0)], 0), texts=(note,)), Placement())
    near = picture(backdrop, CAMERA)
    rows = np.flatnonzero(near[150:300, 150:400].any(axis=1))
    assert 9 <= rows[-1] - rows[0] + 1 <= 13
    far = picture(backdrop, replace(CAMERA, px_per_m=10))
    assert not far[200:250, 240:310].any()
    ends(backdrop)


def test_boxes_stand_round_texts_that_show() -> None:
    """A text of two lines, turned by a quarter, has a box as long as its longer line upwards; a hidden one has none."""
    upright = Text((5.0, 2.0), 0.2, 90.0, 0.0, 0.0, "SUMP\nB", 1)
    hidden = Text((1.0, 1.0), 0.2, 0.0, 0.0, 0.0, "OLD", 2)
    plan = drawing(([(0, 0), (0.5, 0)], 0), texts=(upright, hidden))
    stand = standing(plan, Placement(at_m=(10, 0)), (Strength.FULL, Strength.FULL, Strength.HIDDEN))
    wide, high = 0.2 * 0.85 * 4, 0.2 * (1 + 1.6)
    assert stand.boxes.tolist() == [pytest.approx((15 - high, 2, 15, 2 + wide))]


@pytest.mark.parametrize(
    ("words", "lines", "letters"),
    [("SUMP", 1, 4), ("SUMP\nB", 2, 4), ("\nTÜR", 2, 3), ("насос\n", 2, 5), ("", 1, 0), ("\n", 2, 0)],
)
def test_box_is_as_wide_as_the_longest_line_has_letters(words: str, lines: int, letters: int) -> None:
    """Letters count, not bytes, and an empty line is a line; texts beside it change nothing."""
    note, beside = (Text((0.0, 0.0), 1.0, 0.0, 0.0, 0.0, some, 1) for some in (words, "A\nBC"))
    for texts in ((note,), (note, beside), (beside, note), (note, note)):
        stand = standing(drawing(([(0, 0), (1, 0)], 0), texts=texts), Placement(), (Strength.FULL,) * 3)
        for text, box in zip(texts, stand.boxes.tolist(), strict=True):
            expected = (0, 0, 0.85 * letters, 1 + 1.6 * (lines - 1)) if text is note else (0, 0, 0.85 * 2, 2.6)
            assert box == pytest.approx(expected)


def test_only_texts_that_can_be_read_count() -> None:
    """A text whose capitals are lower than 4.5 px is not legible, nor one beside the box that is looked at."""
    small, large, far = (Text((x, 0.0), high, 0.0, 0.0, 0.0, "A", 1) for x, high in ((0, 0.1), (0, 0.5), (90, 0.5)))
    stand = standing(drawing(([(0, 0), (1, 0)], 0), texts=(small, large, far)), Placement(), (Strength.FULL,) * 3)
    assert stand.legible((-1, -1, 1, 1), 10) == [1]
    assert stand.legible(None, 10) == [1, 2]
    assert stand.legible(None, 45) == [0, 1, 2]
    assert stand.legible(None, 44) == [1, 2]


def test_sketch_grows(qtbot: QtBot) -> None:
    """Lines that come in pieces are all there in the end, as if they had come at once."""
    lines = np.array([[0, 0, 4, 0], [4, 1, 4, 4], [6, 0, 10, 4]], dtype=np.float64)
    grown, at_once, empty = Backdrop(None), Backdrop(None), Backdrop(None)
    assert empty.box is None
    assert not picture(empty, CAMERA).any()
    with qtbot.waitSignal(grown.ready):
        grown.grow(lines[:2])
    assert picture(grown, CAMERA).any()
    for some in (lines[2:], lines[:0]):
        grown.grow(some)
    at_once.grow(lines)
    assert at_once.box == pytest.approx((0, 0, 10, 4))
    assert np.array_equal(picture(grown, CAMERA), picture(at_once, CAMERA))
    for backdrop in (grown, at_once, empty):
        ends(backdrop)


def test_strength_of_layers() -> None:
    """A layer shows as the file says, unless the user said otherwise; faint is only what shows."""
    sheet = Sheet(id=UUID(int=1), name="B2", shown=(("walls", False), ("old", True)))
    assert strengths_of(sheet, TWO_HALVES, faint={"old", "walls"}) == (
        Strength.HIDDEN,
        Strength.FULL,
        Strength.FAINT,
    )


@given(st.integers(0, 2**32 - 1), st.floats(0, 2))
@settings(max_examples=40)
def test_index_finds_what_a_plain_look_finds(seed: int, size: float) -> None:
    """The index gives exactly the lines whose boxes meet a box, long and short, whatever their order."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(-5, 5, (200, 2))
    lines = np.hstack((start, start + rng.normal(0, 1, (200, 2)) * 10.0 ** rng.uniform(-4, 1.3, (200, 1))))
    sheaf = Sheaf(lines, np.arange(200, dtype=np.int32))
    x, y = rng.uniform(-8, 8, 2)
    low = np.minimum(lines[:, :2], lines[:, 2:])
    high = np.maximum(lines[:, :2], lines[:, 2:])
    meets = ((high >= (x, y)) & (low <= (x + size, y + size))).all(axis=1)
    assert sorted(sheaf.layer[sheaf.meeting((x, y, x + size, y + size))].tolist()) == np.flatnonzero(meets).tolist()


@pytest.mark.parametrize("at_once", [1, 3, 7, 1000])
def test_bundles_hold_every_line_once(at_once: int) -> None:
    """Polylines cut into bundles give every straight piece once, in order, with its layer, and no piece between two."""
    found = list(bundles(TWO_HALVES.strokes, at_once))
    lines = np.vstack([lines for lines, _ in found]).tolist()
    assert lines == [[0, 0, 4, 0], [4, 0, 4, 4], [4, 4, 0, 4], [0, 4, 0, 0], [6, 0, 10, 4], [6, 4, 10, 0]]
    assert np.concatenate([layer for _, layer in found]).tolist() == [0, 0, 0, 0, 1, 2]


def test_path_holds_the_lines() -> None:
    """A path holds the lines given; those that go on from each other are joined, and points are left out."""
    lines = seen(np.array([[0, 0, 5, 0], [5, 0, 5, 5], [5, 5, 5, 5.01], [9, 9, 8, 8]], dtype=np.float64))
    path = path_of(lines, np.array([True, False, True]))
    parts = [path.elementAt(index) for index in range(path.elementCount())]
    elements = [(part.isMoveTo(), part.x, part.y) for part in parts]
    assert elements == [(True, 0, 0), (False, 5, 0), (False, 5, 5), (True, 9, 9), (False, 8, 8)]


def test_many_short_lines_keep_one_of_each() -> None:
    """Among many short lines, those that lie on others go, and no other does."""
    rng = np.random.default_rng(5)
    at = rng.integers(-300, 600, (3000, 2))
    lines = np.hstack((at, at + rng.integers(-1, 2, (3000, 2)))).astype(np.float64)
    kept = seen(np.vstack((lines, [[0, 0, 400, 400]], lines)))
    wanted = {tuple(line) for line in lines.tolist() if line[:2] != line[2:]} | {(0.0, 0.0, 400.0, 400.0)}
    assert sorted(map(tuple, kept.tolist())) == sorted(wanted)


def test_farther_away_than_said_no_text_is_set() -> None:
    """A text of 0.6 m, 9 px high at 15 px a metre, is not set where texts are set from 17 px a metre on; nearer it is."""
    room = Text((2.0, 2.0), 0.6, 0.0, 0.0, 0.0, "PUMP ROOM", 0)
    backdrop = Backdrop(drawing(([(0, 0), (0.1, 0)], 0), texts=(room,)), Placement())
    far, near = replace(CAMERA, px_per_m=15), replace(CAMERA, px_per_m=17)
    always = picture(backdrop, far)
    backdrop.set_look(Look(texts_from=17.0))
    assert picture(backdrop, far).sum() < always.sum() / 2
    assert picture(backdrop, near).sum() > always.sum()
    ends(backdrop)
