"""A whole job in the window by keys alone: from a crooked scan to the papers that a crew gets."""

from __future__ import annotations

import json
from collections.abc import Callable
from math import cos, dist, radians, sin
from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.base.progress import UNWATCHED
from leakmap.desk.long_work import LongWork
from leakmap.desk.window import MainWindow
from leakmap.geometry.path import Point
from leakmap.issue.heading import Heading
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.model.words import Purpose, Wetness
from leakmap.repair.results import Repairs
from leakmap.work.papers import Papers, papers_of
from tests.helpers.page_texts import page_texts
from tests.helpers.windows import window_with

ALT, CTRL, SHIFT, NONE = (
    Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.NoModifier,
)
ENTER, ESC, SPACE, TAB, RIGHT, UP = (
    Qt.Key.Key_Return,
    Qt.Key.Key_Escape,
    Qt.Key.Key_Space,
    Qt.Key.Key_Tab,
    Qt.Key.Key_Right,
    Qt.Key.Key_Up,
)
LONG_MS = 20_000

SIZE = (600, 450)
TURNED_DEG = 2.0
"""How askew the sheet lay on the glass, to the left."""


def scanned(x: float, y: float) -> Point:
    """Where on the scan a place of the plan came to lie, pixels from its lower left corner; 30 pixels are a metre.

    The plan is a room of 12 by 8 m; x and y are metres from its corner A/1, its middle lies in that of the scan.
    """
    turn = radians(TURNED_DEG)
    right, up = 30 * (x - 6), 30 * (y - 4)
    return 300 + right * cos(turn) - up * sin(turn), 225 + right * sin(turn) + up * cos(turn)


A1, B1, B2, A2 = scanned(0, 0), scanned(12, 0), scanned(12, 8), scanned(0, 8)


def scan(path: Path) -> Path:
    """A scan of that plan, its edges grey from the lid of the glass."""
    image = Image.new("L", SIZE, 225)
    corners = [(x, SIZE[1] - y) for x, y in (A1, B1, B2, A2)]
    ImageDraw.Draw(image).polygon(corners, fill=250, outline=20, width=2)
    image.save(path, dpi=(150, 150))
    return path


class Keys:
    """Two hands on the keyboard of a window: every key goes to what has the keyboard."""

    def __init__(self, bot: QtBot, window: MainWindow) -> None:
        self.bot, self.window = bot, window

    def press(self, *keys: Qt.Key, held: Qt.KeyboardModifier = NONE) -> None:
        """Press keys, one after the other."""
        for key in keys:
            self.bot.keyClick(self.window.focusWidget() or self.window, key, held)

    def type(self, words: str) -> None:
        """Type signs."""
        for sign in words:
            self.bot.keyClicks(self.window.focusWidget() or self.window, sign)

    def wait(self, done: Callable[[], bool]) -> None:
        """Wait until something is so."""
        self.bot.waitUntil(done, timeout=LONG_MS)

    def stage(self, number: int) -> None:
        """Go to a stage."""
        self.press(Qt.Key(Qt.Key.Key_0.value + number), held=CTRL)

    def find(self, words: str) -> None:
        """Go to what the find box calls so."""
        self.press(Qt.Key.Key_K, held=CTRL)
        self.type(words)
        self.bot.waitUntil(lambda: self.window.finder._slices is None)
        self.press(ENTER)

    def put(self, pixel: Point) -> None:
        """Walk the cross to a place of the scan by arrows, a metre, ten and one centimetre a step, and put a point there."""
        self.press(RIGHT)
        x, y = self.sheet.placement.to_site(pixel)
        cross = self.window.plan.hand.arrows.cross
        assert cross is not None
        for off_m, forth, back in ((x - cross[0], RIGHT, Qt.Key.Key_Left), (y - cross[1], UP, Qt.Key.Key_Down)):
            steps_cm = round(abs(off_m) * 100)
            key = forth if off_m > 0 else back
            self.press(*[key] * (steps_cm // 100), held=SHIFT)
            self.press(*[key] * (steps_cm % 100 // 10))
            self.press(*[key] * (steps_cm % 10), held=CTRL)
        self.press(SPACE)

    @property
    def job(self) -> Job:
        """The job as kept."""
        assert self.window.desk.open_job is not None
        return self.window.desk.open_job.job

    @property
    def sheet(self) -> Sheet:
        """Its only level."""
        (sheet,) = self.job.sheets.values()
        return sheet

    def zones(self) -> dict[str, str]:
        """Measured length of each zone, as papers print it."""
        assert self.window.desk.open_job is not None
        return {zone.ref: f"{zone.length_m:.3f}" for zone in self.window.desk.open_job.repairs.zones}


def at_once(self: LongWork, function: Callable[..., object], *args: object, **named: object) -> None:
    """Do in this process what a window does in one of its own: that is tried elsewhere, and takes its time to start."""
    self._open_folder()
    outcome = function(*args, progress=UNWATCHED, **named)
    QTimer.singleShot(0, self, lambda: self._finish(outcome))


def papers_for_work(job: Job, repairs: Repairs, *, heading: Heading, **more: object) -> Papers:
    """All papers of an issue for work; of one for price a note, for the same papers are tried twice else."""
    if heading.purpose is Purpose.PRICE:
        return Papers(files={f"{heading.revision}.txt": b"for price"}, findings=())
    return papers_of(job, repairs, heading=heading, **more)  # type: ignore[arg-type] # as they came


@pytest.mark.slow
def test_from_a_crooked_scan_to_the_papers_by_keys(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Scan, straight, crop, scale, grid, joints, leaks, zones, price, a change, work, papers: every key as a user presses it."""
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(scan(tmp_path / "pit-B2.png")), ""))
    monkeypatch.setattr(LongWork, "start", at_once)
    monkeypatch.setattr("leakmap.work.issuing.papers_of", papers_for_work)
    with window_with(None, tmp_path, size=(1180, 720)) as window:
        qtbot.waitExposed(window)
        window.activateWindow()
        keys = Keys(qtbot, window)
        _bring_in(keys)
        _draw(keys)
        _mark(keys)
        _plan(keys)
        _issue(keys, tmp_path)


def _bring_in(keys: Keys) -> None:
    """I brings the scan in as B2; T straightens it, C crops it, two lengths scale it, G gives it axes."""
    keys.type("i")
    keys.wait(lambda: keys.window.sitting.plan is not None)
    keys.press(ENTER)  # before it is read: the job is made as soon as it is
    keys.wait(lambda: keys.window.desk.job is not None)
    assert keys.sheet.name == "B2"
    keys.type("st")
    keys.put(A1)
    keys.put(B1)
    assert keys.sheet.placement.turn_deg == pytest.approx(-TURNED_DEG, abs=0.2)
    keys.type("lc")
    keys.put((30, 30))
    keys.put((570, 420))
    keys.press(ENTER)
    keys.wait(lambda: keys.sheet.source is not None and keys.sheet.source.reading.crop is not None)
    keys.type("s")
    keys.put(A1)
    keys.put(B1)
    field = keys.window.desk.tool.overlay().field  # type: ignore[union-attr] # Set scale is in hand
    assert field is not None
    assert field.texts == ("—",)  # nobody knows yet what a pixel is
    keys.type("12")
    keys.press(ENTER)
    cross = keys.window.plan.hand.arrows.cross
    assert cross is not None
    assert dist(keys.sheet.placement.to_drawing(cross), B1) < 1  # the cross went along with the drawing
    keys.press(SPACE)
    keys.put(B2)
    keys.type("8")
    keys.press(ENTER)
    assert scale_is_checked(keys.sheet)
    keys.type("g")
    keys.put(A1)
    keys.put(A2)
    keys.press(ENTER, RIGHT, TAB)
    keys.type("12")
    keys.press(ENTER, ENTER)
    keys.put(A1)
    keys.put(B1)
    keys.press(ENTER, UP, TAB)
    keys.type("8")
    keys.press(ENTER, ENTER)
    grid = keys.job.grid
    assert grid is not None
    assert [[axis.name for axis in axes.each] for axes in (grid.letters, grid.numbers)] == [["A", "B"], ["1", "2"]]


def _draw(keys: Keys) -> None:
    """J draws J-01 from A/1 over B/1 to B/2, 12 + 8 = 20 m; V stands V-01, 3 m high, on its end."""
    keys.stage(2)
    keys.type("j")
    for place in ("A/1", "B/1", "B/2"):
        keys.find(place)
        keys.press(SPACE)
    keys.press(ENTER)
    keys.type("v")
    keys.find("B/2")
    keys.press(SPACE)
    keys.type("3")
    keys.press(ENTER)
    lengths = {joint.ref: joint.length_m for joint in keys.job.joints.values()}
    assert lengths == {"J-01": pytest.approx(20, abs=0.02), "V-01": 3}


def _mark(keys: Keys) -> None:
    """L marks a run from 3 to 4.5 m and a seep from 5 to 6 m; W says that the run is worst at 3.4 m."""
    keys.stage(3)
    keys.type("l")
    for wetness, place, length in (("4", "J-01 3", "1.5"), ("2", "J-01 5", "1")):
        keys.type(wetness)
        keys.find(place)
        keys.press(SPACE)
        keys.type(length)
        keys.press(ENTER)
    keys.press(ESC, ESC)
    keys.type(".w3.4")
    keys.press(ENTER, ESC)
    marked = [(leak.wetness, leak.from_m, leak.to_m, leak.worst_m) for leak in keys.job.leaks.values()]
    assert marked == [(Wetness.RUN, 3, 4.5, 3.4), (Wetness.SEEP, 5, 6, None)]


def _plan(keys: Keys) -> None:
    """The leaks are one zone: 0.45 + 1.5 + 0.5 + 1 + 0.3 = 3.75 m. K parts it, M gives one part another method, O 0.6 m."""
    keys.stage(4)
    assert keys.zones() == {"Z-01": "3.750"}
    keys.type(".k")
    keys.press(ENTER, ENTER)
    assert set(keys.zones()) == {"Z-01", "Z-02"}
    keys.press(ESC, ESC)
    keys.type(".m")
    keys.press(RIGHT, ENTER, ESC)
    keys.type("o0.6")
    keys.press(ENTER, ESC, ESC)
    run = next(leak for leak in keys.job.leaks.values() if leak.wetness is Wetness.RUN)
    assert (run.overrun_from_m, run.method is not None) == (0.6, True)
    assert sum(float(length) for length in keys.zones().values()) == pytest.approx(3.75 + 0.15)


def _issue(keys: Keys, folder: Path) -> None:
    """P01 goes out for price; the seep drips; C01 goes out for work, and its papers say what the window says."""
    keys.stage(5)
    _seal(keys, "p", "Harbour board")
    keys.stage(3)
    keys.type("..3")
    keys.stage(5)
    _seal(keys, "c", "crew 2")
    assert [(each.name, each.purpose, each.to_whom) for each in keys.job.revisions.values()] == [
        ("P01", Purpose.PRICE, "Harbour board"),
        ("C01", Purpose.WORK, "crew 2"),
    ]
    papers = folder / f"{keys.job.name} C01"
    schedule = json.loads((papers / f"{papers.name} schedule.json").read_text(encoding="utf-8"))
    assert {zone["ref"]: f"{zone['length_m']:.3f}" for zone in schedule["zones"]} == keys.zones()
    words = " ".join(page_texts((papers / f"{papers.name} repair schedule.pdf").read_bytes()))
    assert all(length in words for length in keys.zones().values())
    assert {path.suffix for path in papers.iterdir()} == {".pdf", ".dxf", ".xlsx", ".json", ".csv"}


def _seal(keys: Keys, purpose: str, to_whom: str) -> None:
    """R and the letter of a purpose, I, to whom, Enter."""
    before = len(keys.job.revisions)
    keys.type(f"r{purpose}i")
    keys.wait(lambda: keys.window.focusWidget() is keys.window.strip.field)
    keys.type(to_whom)
    keys.press(ENTER)
    keys.wait(lambda: len(keys.job.revisions) > before)
