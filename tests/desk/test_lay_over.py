"""Laying a level over another in the window: clicks on both levels, checked on the job and on what is painted."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from math import cos, radians, sin
from pathlib import Path
from uuid import UUID

import pytest
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from leakmap.base.resources import resource
from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.laid_over import LaidOver, seen_from
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools import offer_grid
from leakmap.desk.tools.laid import Laid
from leakmap.desk.tools.lay_over import LayOver
from leakmap.desk.tools.tool import Grip
from leakmap.desk.trouble import Trouble
from leakmap.desk.watched import Watched
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.model.words import Kind
from leakmap.work.edits.joints import draw_joint, draw_vertical_joint
from leakmap.work.edits.sheets import add_sheet, remove_sheet
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import joint_named

LEVELS = ("b2", "b1")
FILES = {level: resource("sample_plans", f"tern_quay_{level}.dxf").read_bytes() for level in LEVELS}
ASKEW = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=3.0, at_m=(7.0, -4.0))
STRAIGHT = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)
A1, F1, F6, A6 = (0.0, 21600.0), (31200.0, 21600.0), (31200.0, 0.0), (0.0, 0.0)  # of both drawings


def quay() -> Job:
    """B2, whose drawing lies askew, with a joint from A/6 to F/6; B1, whose drawing lies straight; and a blank B0."""
    return quay_on(Job(id=UUID(int=1), name="Heron Wharf"))


def quay_on(job: Job) -> Job:
    """The same levels in a job."""
    for level, placement in zip(LEVELS, (ASKEW, STRAIGHT), strict=True):
        source = Source(name=f"{level}.dxf", sha256=sha256(FILES[level]).hexdigest(), unit=0.001)
        job = add_sheet(job, name=level.upper(), source=source, placement=placement).job
    b2 = next(key for key, sheet in job.sheets.items() if sheet.name == "B2")
    job = draw_joint(job, sheet=b2, kind=Kind.CONSTRUCTION, points=[ASKEW.to_site(A6), ASKEW.to_site(F6)]).job
    return add_sheet(job, name="B0").job


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk with the quay on it, B2 on the plan."""
    with desk_with(quay(), tmp_path, Stage.DRAWING, tuple(FILES.values())) as desk:
        yield desk


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def level(desk: Desk, name: str) -> UUID:
    """The level of a name."""
    return next(key for key, sheet in job_of(desk).sheets.items() if sheet.name == name)


def on_plan(desk: Desk) -> str:
    """The name of the level on the plan."""
    assert desk.level is not None
    return job_of(desk).sheets[desk.level].name


def hand_with(desk: Desk) -> Fingers:
    """A hand that has taken the tool."""
    desk.take_tool(LayOver(desk))
    return Fingers(desk)


def pick_two(desk: Desk, hand: Fingers, *, out_m: float = 0.0) -> None:
    """Click A/6 and F/1 on both levels; the second is missed on B1 by so much to the right."""
    hand.click(ASKEW.to_site(A6))
    desk.show_level(level(desk, "B1"))
    hand.click(STRAIGHT.to_site(A6))
    x, y = STRAIGHT.to_site(F1)
    hand.click((x + out_m, y))
    assert on_plan(desk) == "B2"  # the tool goes there by itself
    hand.click(ASKEW.to_site(F1))
    assert on_plan(desk) == "B1"


def test_two_places_shift_and_turn_the_level(desk: Desk) -> None:
    """A/6 and F/1 on both lay B2 straight over B1, its joint along; one undo, and B2 is on the plan afterwards."""
    before, said = job_of(desk), []
    desk.said.connect(said.append)
    hand = hand_with(desk)
    assert "Again at any time: N, lay over" in hand.tool.sentence()
    pick_two(desk, hand)
    assert job_of(desk) is before
    assert hand.tool.sentence() == "Enter lays B2 so: its 2 places are out by 1 mm at most. Or click another."
    hand.tool.entered()
    placement = job_of(desk).sheets[level(desk, "B2")].placement
    for spot in (A1, F1, F6, A6):
        assert placement.to_site(spot) == pytest.approx(STRAIGHT.to_site(spot), abs=1e-9)
    path = joint_named(job_of(desk), "J-01").path
    assert path is not None
    assert path.points[1] == pytest.approx((31.2, 0.0), abs=1e-9)
    assert on_plan(desk) == "B2"
    assert said[-1] == "All 2 places lie on each other within 1 mm."
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "lay B2 over B1"
    desk.undo()
    assert job_of(desk) == before


def test_places_that_are_out_are_said_before_and_after(desk: Desk) -> None:
    """A place missed by 60 mm is told in the strip with what to do, and again once the level lies so."""
    said: list[str] = []
    desk.said.connect(said.append)
    hand = hand_with(desk)
    pick_two(desk, hand, out_m=0.060)
    assert hand.tool.sentence().startswith("Places are out by 25 mm: Esc takes the last back, or check both scales.")
    hand.tool.entered()
    assert "out by 25 mm each" in said[-1]


def test_a_third_place_shares_what_is_out(desk: Desk) -> None:
    """With a third place the largest residual falls: least squares over all of them."""
    hand = hand_with(desk)
    pick_two(desk, hand, out_m=0.060)
    hand.click(STRAIGHT.to_site(F6))
    hand.click(ASKEW.to_site(F6))
    assert isinstance(hand.tool, LayOver)
    assert len(hand.tool.places) == 3
    hand.tool.entered()
    place = job_of(desk).sheets[level(desk, "B2")].placement
    off = [place.to_site(spot)[0] - STRAIGHT.to_site(spot)[0] for spot in (A6, F1, F6)]
    assert sum(off) == pytest.approx(0.060, abs=1e-6)  # residuals of a shift sum to nothing


@pytest.mark.slow
def test_the_grid_that_both_drawings_show_lays_the_level(desk: Desk) -> None:
    """The choice "by the grid" takes all 36 crossings of A to F and 1 to 6 as places; nothing is kept before Enter."""
    before = job_of(desk)
    hand = hand_with(desk)
    (choice,) = hand.tool.choices()
    choice.take()
    assert on_plan(desk) == "B1"
    assert hand.tool.sentence().startswith("Enter lays B2 so: its 36 places are out by 1 mm")
    assert job_of(desk) is before
    hand.tool.entered()
    placement = job_of(desk).sheets[level(desk, "B2")].placement
    assert placement.to_site(F1) == pytest.approx((31.2, 21.6), abs=1e-5)


@pytest.mark.slow
def test_the_level_that_shows_the_same_grid_is_found(qtbot: QtBot, tmp_path: Path) -> None:  # noqa: ARG001 - a window system is needed
    """Among a level without a grid and B1, B2 lies over B1; alone with the one without, nothing is taken and it is said."""
    plain = b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nW\n10\n0\n20\n0\n11\n6000\n21\n0\n0\nENDSEC\n0\nEOF\n"
    source = Source(name="b3.dxf", sha256=sha256(plain).hexdigest(), unit=0.001)
    edit = add_sheet(Job(id=UUID(int=1), name="Heron Wharf"), name="B3", source=source, placement=STRAIGHT)
    with desk_with(quay_on(edit.job), tmp_path, Stage.DRAWING, (plain, *FILES.values())) as desk:
        told: list[Trouble] = []
        desk.troubled.connect(told.append)
        desk.show_level(level(desk, "B2"))
        hand = hand_with(desk)
        hand.tool.choices()[0].take()
        assert on_plan(desk) == "B1"
        desk.take_tool(None)
        desk.do(remove_sheet(job_of(desk), sheet=level(desk, "B1")))
        desk.show_level(level(desk, "B2"))
        hand = hand_with(desk)
        hand.tool.choices()[0].take()
        assert told[-1].sentence == "B2 shows no grid with axes of the same names as B3; click the places instead."


@pytest.mark.slow
def test_grids_of_large_drawings_are_looked_for_aside(
    qtbot: QtBot, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped, nothing is taken; a click meanwhile stands; left alone, the 36 crossings come as they would at once."""
    monkeypatch.setattr(offer_grid, "AT_ONCE", 1)
    works: list[Watched] = []
    ended: list[object] = []
    desk.working.connect(works.append)
    hand = hand_with(desk)
    assert isinstance(hand.tool, LayOver)
    (choice,) = hand.tool.choices()
    choice.take()
    works[-1].stop()
    choice.take()
    works[-1].finished.connect(ended.append)
    hand.click(ASKEW.to_site(A6))
    qtbot.waitUntil(lambda: len(ended) == 1)
    assert (hand.tool.places, hand.tool.here) == ([], pytest.approx(ASKEW.to_site(A6)))
    while hand.tool.escaped():
        pass
    choice.take()
    assert on_plan(desk) == "B2"
    qtbot.waitUntil(lambda: on_plan(desk) == "B1")
    assert hand.tool.sentence().startswith("Enter lays B2 so: its 36 places are out by 1 mm")
    assert not any(work.running for work in works)


def test_esc_steps_back_click_by_click(desk: Desk) -> None:
    """Each Esc takes one click back and goes to the level where it was made; at the end nothing is left."""
    hand = hand_with(desk)
    pick_two(desk, hand)
    seen = []
    while hand.tool.escaped():
        seen.append(on_plan(desk))
    assert seen == ["B2", "B1", "B1", "B2"]
    assert isinstance(hand.tool, LayOver)
    assert hand.tool.moving is None


def test_a_level_that_takes_no_part_is_not_clicked_on(desk: Desk) -> None:
    """Once a place is on B2 and B1, a click on B0 does nothing and says so; one level alone has nothing to lie over."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand = hand_with(desk)
    hand.click(ASKEW.to_site(A6))
    desk.show_level(level(desk, "B1"))
    hand.click(STRAIGHT.to_site(A6))
    desk.show_level(level(desk, "B0"))
    hand.click((1.0, 1.0))
    assert told[0].sentence == "B2 is being laid over B1; click on one of these two."
    assert isinstance(hand.tool, LayOver)
    assert len(hand.tool.places) == 1


def blue_at(desk: Desk, camera: Camera, spot: Point) -> bool:
    """Whether the level in blue shows a line at a site position."""
    over = LaidOver(desk)
    image = QImage(800, 600, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFF)
    painter = QPainter(image)
    over.settle(camera)
    over.paint(painter, camera)
    painter.end()
    x, y = (round(value) for value in camera.to_screen(spot))
    blue = [image.pixelColor(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    return any(ink.blue() - ink.red() > 60 for ink in blue)


def test_vertical_joints_of_the_level_in_blue_are_marked(desk: Desk) -> None:
    """A vertical joint of B2 at F/1 is a square on F/1 of B1 once two places lie on each other."""
    b2 = level(desk, "B2")
    point = ASKEW.to_site(F1)
    desk.do(draw_vertical_joint(job_of(desk), sheet=b2, kind=Kind.CONSTRUCTION, point=point, rise_m=4.2))
    hand = hand_with(desk)
    pick_two(desk, hand)
    (square,) = (grip.at for grip in hand.tool.overlay().grips if grip.grip is Grip.BEND)
    assert square == pytest.approx(STRAIGHT.to_site(F1))


@pytest.mark.slow
@pytest.mark.parametrize("centre", [(15.0, 10.0), (4.0, 18.0)])
def test_the_level_in_blue_lies_where_it_would_lie(desk: Desk, centre: Point) -> None:
    """On axis 3, 2.5 m past A, the drawing of B2 is blue where B1's lies, not where B2 lies now."""
    hand = hand_with(desk)
    pick_two(desk, hand)
    camera = Camera(px_per_m=22.0, centre=centre, field=(0.0, 0.0, 800.0, 600.0))
    there, now = STRAIGHT.to_site((2500.0, 13200.0)), ASKEW.to_site((2500.0, 13200.0))
    assert blue_at(desk, camera, there)
    assert not blue_at(desk, camera, now)
    hand.tool.escaped()  # B2 on the plan: B1 lies over it in blue, as B2 would lie under it by the first place
    assert on_plan(desk) == "B2"


def test_the_camera_of_the_blue_level_sees_the_same_place() -> None:
    """A level turned by 3° and moved: the middle of the plan is the place that comes to lie there."""
    laid = Laid(sheet=UUID(int=5), kept=ASKEW, shown=STRAIGHT)
    camera = Camera(px_per_m=20.0, centre=(10.0, 5.0), field=(0.0, 0.0, 800.0, 600.0))
    seen = seen_from(laid, camera)
    assert laid.to_shown(seen.centre) == pytest.approx((10.0, 5.0))
    assert seen.middle == camera.middle
    c, s = cos(radians(3)), sin(radians(3))
    assert seen.centre == pytest.approx((7 + c * 10 - s * 5, -4 + s * 10 + c * 5))


@pytest.mark.slow
def test_by_mouse_and_keys_on_the_plan(qtbot: QtBot, desk: Desk) -> None:
    """Two clicks with a real mouse and Enter shift B2 so that A/6 lies on A/6."""
    hand = PlanHand(qtbot, desk, centre=(8.0, 0.0))
    hand.take(LayOver)
    hand.click(ASKEW.to_site(A6))
    desk.show_level(level(desk, "B1"))
    hand.plan.look(Camera(px_per_m=40.0, centre=(4.0, 2.0), field=hand.plan.camera.field))
    hand.click((0.0, 0.0))
    hand.enter()
    at = job_of(desk).sheets[level(desk, "B2")].placement.to_site(A6)
    assert at == pytest.approx((0.0, 0.0), abs=0.02)
