"""A new drawing laid under a level in the window: by what was found, by clicks on both drawings, and what it left behind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from uuid import UUID

import ezdxf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.paper import Paper
from leakmap.desk.redrawing import lay_new
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.name_level import NameLevel
from leakmap.desk.tools.redraw import Redraw
from leakmap.desk.trouble import Trouble
from leakmap.desk.watched import Watched
from leakmap.desk.window import MainWindow
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.model.words import Kind
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.job_drawings import NewDrawing, brought_in
from leakmap.work.left_behind import joints_left_behind
from tests.helpers.desks import desk_with
from tests.helpers.level_plans import MM, Moved
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import joint_named
from tests.helpers.windows import drop, window_with

LONG_MS = 20_000
LEFT = Qt.MouseButton.LeftButton
WALLS = ((0, 0, 12000, 0), (12000, 0, 12000, 9000), (12000, 9000, 0, 9000), (0, 9000, 0, 0), (0, 4000, 12000, 4000))


def dxf(folder: Path, name: str, *, inner_x: float, moved: Moved = Moved()) -> bytes:  # noqa: B008 - a frozen value
    """A plan of 12 m by 9 m with two inner walls, one across at some x and one at half of it, in millimetres."""
    document = ezdxf.new("R2018", units=4)
    for x0, y0, x1, y1 in (*WALLS, (inner_x, 0, inner_x, 9000), (inner_x / 2, 4000, inner_x / 2, 9000)):
        document.modelspace().add_line(moved.at((x0, y0)), moved.at((x1, y1)))
    document.saveas(folder / name)
    return (folder / name).read_bytes()


@pytest.fixture
def old(tmp_path: Path) -> bytes:
    """The drawing that B2 shows."""
    return dxf(tmp_path, "old.dxf", inner_x=6000)


def marked(old: bytes) -> Job:
    """B2 with joints along the two walls that move, and one along a wall that stays."""
    source = Source(name="old.dxf", sha256=sha256(old).hexdigest())
    edit = add_sheet(Job(id=UUID(int=1), name="Heron Wharf"), name="B2", source=source, placement=MM)
    job, b2 = edit.job, edit.made[0]
    for points in (((6, 0), (6, 9)), ((3, 4), (3, 9)), ((0, 4), (12, 4))):
        job = draw_joint(job, sheet=b2, kind=Kind.CONSTRUCTION, points=points).job
    return job


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path, old: bytes) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk with that job on it."""
    with desk_with(marked(old), tmp_path, Stage.DRAWING, (old,)) as desk:
        yield desk


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def b2(desk: Desk) -> UUID:
    """The level."""
    return next(iter(job_of(desk).sheets))


def refs(desk: Desk) -> list[str]:
    """The joints that are left behind."""
    return [joint.ref for joint in joints_left_behind(job_of(desk))]


def laying(qtbot: QtBot, desk: Desk, new: NewDrawing) -> PlanHand:
    """A hand that lays a new drawing under B2, both drawings compared."""

    def keep(deed: object, then: object) -> None:
        assert callable(deed)
        assert callable(then)
        edit = deed(job_of(desk))
        assert isinstance(edit, Edit)
        assert desk.open_job is not None
        desk.open_job.keep_drawing(new)
        desk.do(edit)
        then()

    hand = PlanHand(qtbot, desk, centre=(6.0, 4.5))
    lay_new(desk, new, b2(desk), keep)
    qtbot.waitUntil(lambda: tool_of(hand).proposals is not None, timeout=LONG_MS)
    return hand


def tool_of(hand: PlanHand) -> Redraw:
    """The tool in hand."""
    assert isinstance(hand.tool, Redraw)
    return hand.tool


def read(folder: Path, *, inner_x: float, moved: Moved = Moved()) -> NewDrawing:  # noqa: B008 - a frozen value
    """A new drawing, as read."""
    return brought_in("new.dxf", dxf(folder, "new.dxf", inner_x=inner_x, moved=moved))


@pytest.mark.slow
def test_dropped_on_the_window_it_takes_the_place_of_the_old_one(qtbot: QtBot, tmp_path: Path, old: bytes) -> None:
    """Dropped, chosen as new drawing of B2 and laid as before by Enter: one undo; what it left behind is shown and accepted."""
    with window_with(marked(old), tmp_path, sources=(old,)) as window:
        qtbot.waitUntil(lambda: window.desk.job is not None)
        before = job_of(window.desk)
        dxf(tmp_path, "new.dxf", inner_x=6400)
        drop(window, tmp_path / "new.dxf")
        qtbot.waitUntil(lambda: isinstance(window.desk.tool, NameLevel), timeout=LONG_MS)
        qtbot.keyClick(window.plan, Qt.Key.Key_D, Qt.KeyboardModifier.AltModifier)
        tool = window.desk.tool
        assert isinstance(tool, Redraw)
        qtbot.waitUntil(lambda: tool.placed is not None, timeout=LONG_MS)
        assert "of the ends of its lines are there again, within 1 mm." in window.centre.band.sentence
        assert job_of(window.desk) is before
        qtbot.keyClick(window.plan, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: refs(window.desk) == ["J-01", "J-02"], timeout=LONG_MS)
        source = job_of(window.desk).sheets[b2(window.desk)].source
        assert source is not None
        assert source.name == "new.dxf"
        assert job_of(window.desk).joints == before.joints
        assert "2 joints lay on lines that are gone: J-01 and J-02." in window.centre.band.sentence
        _accept_all(qtbot, window)
        for _ in range(3):
            window.desk.undo()
        assert job_of(window.desk) == before


def _accept_all(qtbot: QtBot, window: MainWindow) -> None:
    """Go to the first joint from the band; 0 accepts it and goes on to the second, and 0 ends the list."""
    desk, plan = window.desk, window.plan
    qtbot.mouseClick(next(each for each in window.centre.band.buttons if each.text() == "Show the first"), LEFT)
    assert desk.stage is Stage.JOINTS
    assert desk.picked == (Thing(Sort.JOINT, joint_named(job_of(desk), "J-01").id),)
    assert "lay on a line that is gone" in window.strip.sentence
    qtbot.keyClicks(plan, "0")
    assert refs(desk) == ["J-02"]
    assert desk.picked == (Thing(Sort.JOINT, joint_named(job_of(desk), "J-02").id),)
    qtbot.keyClicks(plan, "0")
    assert refs(desk) == []


@pytest.mark.slow
def test_two_places_on_both_drawings_shift_and_turn_it(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    """Turned by 10° and 90 m away in its file, it is shown in the middle; corners clicked on blue and old lay it right."""
    moved = Moved(turn_deg=10.0, move=(90_000.0, 0.0))
    hand = laying(qtbot, desk, read(tmp_path, inner_x=6000, moved=moved))
    assert tool_of(hand).proposals == ()
    hand.plan.look(Camera(px_per_m=40.0, centre=(6.0, 4.5), field=hand.plan.camera.field))
    for corner in ((0.0, 0.0), (12000.0, 9000.0)):
        blue = tool_of(hand).laid().shown.to_site(moved.at(corner))
        hand.click((blue[0] + 0.05, blue[1] - 0.05))  # caught on the corner
        hand.click((corner[0] / 1000 - 0.05, corner[1] / 1000 + 0.05))
    assert tool_of(hand).sentence() == (
        "The 2 places are out by 1 mm and 1 mm. Enter lays it so; or click another place, in blue."
    )
    hand.enter()
    qtbot.waitUntil(lambda: desk.open_job is not None and desk.open_job.undo_words == "new drawing of B2")
    placement = job_of(desk).sheets[b2(desk)].placement
    for corner in ((0.0, 0.0), (12000.0, 0.0), (0.0, 9000.0)):
        assert placement.to_site(moved.at(corner)) == pytest.approx((corner[0] / 1000, corner[1] / 1000), abs=1e-6)
    assert refs(desk) == []


def ink_at(desk: Desk, spot: Point) -> QColor:
    """The darkest ink within a pixel of a site position, as old and new drawing are painted."""
    paper = Paper(desk)
    paper.renew()
    desk.tool_changed.emit()
    camera = Camera(px_per_m=40.0, centre=(6.0, 4.5), field=(0.0, 0.0, 800.0, 600.0))
    image = QImage(800, 600, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFF)
    painter = QPainter(image)
    paper.settle(camera)
    paper.paint(painter, camera)
    painter.end()
    x, y = (round(value) for value in camera.to_screen(spot))
    near = [image.pixelColor(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    return min(near, key=lambda ink: ink.lightness())


@pytest.mark.slow
def test_what_moved_is_seen(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    """The wall is grey where it was, blue where it is now, and what stayed is blue; put away, the old drawing is as before."""
    new = read(tmp_path, inner_x=6400)
    before = ink_at(desk, (6.0, 2.0))
    laying(qtbot, desk, new)
    was, now, stayed = (ink_at(desk, (x, 2.0)) for x in (6.0, 6.4, 12.0))
    assert was.blue() - was.red() < 20
    assert was.lightness() > before.lightness()
    for ink in (now, stayed):
        assert ink.blue() - ink.red() > 60
    desk.take_tool(None)
    assert ink_at(desk, (6.0, 2.0)) == before


@pytest.mark.slow
def test_places_that_are_out_are_shown_and_taken_back(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    """A second place missed by 400 mm is out by 200 mm at either end, a line at each; Esc takes clicks back one by one."""
    hand = laying(qtbot, desk, read(tmp_path, inner_x=6000))
    hand.click((0.0, 0.0))
    hand.click((0.0, 0.0))
    hand.click((12.0, 0.0))
    hand.click((11.6, 0.0))
    tool = tool_of(hand)
    assert tool.sentence().startswith("The 2 places are out by 200 mm and 200 mm: Esc takes the last back")
    assert len(tool.overlay().lines) == 2
    assert [choice.words for choice in tool.choices()] == ["1 as before", "T scale too"]
    tool.choices()[-1].take()
    assert tool.sentence().startswith("The 2 places are out by 1 mm and 1 mm.")
    for pairs, in_hand in ((1, True), (1, False), (0, True), (0, False)):
        hand.escape()
        assert (len(tool.pairs), tool.here is not None) == (pairs, in_hand)
    hand.escape()
    assert desk.tool is None


@pytest.mark.slow
def test_a_drawing_that_is_put_away_waits_in_the_band(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    """Another tool, another level or an undo put it away, and the band keeps the way back; nothing was changed."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    before = job_of(desk)
    laying(qtbot, desk, read(tmp_path, inner_x=6000))
    desk.take_tool(None)
    assert told[-1].sentence == "new.dxf is read, but does not lie under B2 yet."
    assert job_of(desk) is before
    told[-1].answers[0].give()
    assert isinstance(desk.tool, Redraw)
    edit = add_sheet(job_of(desk), name="B1")
    desk.do(edit)
    desk.show_level(edit.made[0])
    assert desk.tool is None
    told[-1].answers[0].give()
    assert desk.level == b2(desk)
    tool = desk.tool
    assert isinstance(tool, Redraw)
    qtbot.waitUntil(lambda: tool.proposals is not None, timeout=LONG_MS)


@pytest.mark.slow
def test_the_same_file_is_refused(qtbot: QtBot, desk: Desk, old: bytes) -> None:
    """The drawing that B2 shows already, laid where it lies, is no new one: one sentence, nothing changed."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    before = job_of(desk)
    same = brought_in("old.dxf", old)
    hand = laying(qtbot, desk, replace(same))
    hand.enter()
    qtbot.waitUntil(lambda: "B2 shows old.dxf already" in told[-1].sentence)
    assert job_of(desk) is before


@pytest.mark.slow
def test_comparing_and_laying_are_stopped(qtbot: QtBot, desk: Desk, tmp_path: Path) -> None:
    """Stopped while it compares, nothing is proposed and places count; stopped while it is laid, it is in hand again."""
    works: list[Watched] = []
    desk.working.connect(works.append)
    before, new = job_of(desk), read(tmp_path, inner_x=6400)
    hand = PlanHand(qtbot, desk, centre=(6.0, 4.5))
    lay_new(desk, new, b2(desk), lambda _deed, _then: pytest.fail("it was stopped"))
    works[0].stop()
    qtbot.waitUntil(lambda: tool_of(hand).proposals == ())
    assert tool_of(hand).sentence() == "Nothing says where it lies: click a place on the new drawing, in blue."
    for _ in range(2):
        hand.click((6.0, 4.0))
    hand.enter()
    works[1].stop()
    qtbot.waitUntil(lambda: isinstance(desk.tool, Redraw) and tool_of(hand).proposals is not None, timeout=LONG_MS)
    assert job_of(desk) is before
    assert tool_of(hand).placed is not None


@pytest.mark.slow
def test_what_a_new_drawing_left_is_offered_and_the_next_deed_puts_it_away(
    qtbot: QtBot, desk: Desk, tmp_path: Path
) -> None:
    """The way to what was left behind is an offer, no question: after an undo the band does not claim it any more."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    laying(qtbot, desk, read(tmp_path, inner_x=6400)).enter()
    qtbot.waitUntil(lambda: "2 joints lay on lines that are gone: J-01 and J-02." in told[-1].sentence)
    assert [answer.words for answer in told[-1].answers] == ["Show the first"]
    assert not told[-1].waits
