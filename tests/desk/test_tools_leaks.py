"""The tools of stage Leaks: what the hand does, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.worst_point import WorstPoint
from leakmap.desk.trouble import Trouble
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.words import Kind, Wetness
from leakmap.work.edits.joints import draw_joint, draw_vertical_joint
from leakmap.work.edits.leaks import add_leak
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.desks import AT, desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import one_line, with_line

BENT = [(0, 0), (4, 0), (4, 3)]  # 7 m, bend at 4 m
RING = [(10, 0), (12, 0), (12, 2), (10, 2)]  # closed, 8 m round


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanHand]:
    """A hand on a plan in stage Leaks: J-01 bent, J-02 closed, V-01 3 m high at (8, 0)."""
    job, _ = one_line(BENT)
    job, _ = with_line(job, RING, closed=True)
    sheet = next(iter(job.sheets))
    job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(8, 0), rise_m=3.0).job
    with desk_with(job, tmp_path, Stage.LEAKS) as desk:
        yield PlanHand(qtbot, desk)


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def only_leak(desk: Desk) -> Leak:
    """The one leak of the job."""
    (leak,) = job_of(desk).leaks.values()
    return leak


def test_stretch_follows_the_joint_round_its_bend(hand: PlanHand) -> None:
    """Clicks at 3 m and 1.2 m past the bend at 4 m mark 3.00 to 5.20; the first click keeps nothing, undo takes it back."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.type("4")
    hand.click((3.0, 0.02))
    assert not job_of(desk).leaks
    hand.move((4.02, 1.2))
    assert desk.job is not None
    assert len(desk.job.leaks) == 1  # shown, not kept
    assert not job_of(desk).leaks
    hand.click((4.02, 1.2))
    leak = only_leak(desk)
    assert (leak.from_m, leak.to_m, leak.wetness, leak.seen) == (3.0, 5.2, Wetness.RUN, AT.date())
    assert desk.picked == (Thing(Sort.LEAK, leak.id),)
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "add L-01"
    desk.undo()
    assert not job_of(desk).leaks


def test_typed_length_goes_to_the_side_of_the_hand(hand: PlanHand) -> None:
    """From 3 m with the hand at 1 m, 2.4 typed marks 3 − 2.4 = 0.6 to 3.0; digits after the click are the length."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.type("2")
    hand.click((3.0, 0))
    hand.move((1.0, 0))
    hand.type("2,4")
    assert hand.tool.overlay().field is not None
    assert hand.tool.overlay().field.texts == ("2.4", "seep")
    hand.enter()
    leak = only_leak(desk)
    assert (leak.from_m, leak.to_m, leak.wetness) == (pytest.approx(0.6), 3.0, Wetness.SEEP)


def test_tab_reaches_the_wetness_between_the_clicks(hand: PlanHand) -> None:
    """Tab after the first click leads digits to the wetness; Enter with no length makes a spot."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.type("1")
    hand.click((2.0, 0))
    hand.tab()
    hand.type("5")
    hand.enter()
    leak = only_leak(desk)
    assert (leak.from_m, leak.to_m, leak.wetness) == (2.0, 2.0, Wetness.JET)


def test_too_long_a_length_is_refused_and_the_start_stays(hand: PlanHand) -> None:
    """From 6 m of 7 m only 1 m is left: 2 m is refused with that sentence, and 0.5 m then goes."""
    desk = hand.desk
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand.take(LeakStretch)
    hand.click((4, 2.0))
    hand.move((4, 2.5))
    hand.type("2")
    hand.enter()
    assert [trouble.sentence for trouble in told] == [
        "J-01 has only 1.00 m on that side of the start. Nothing was changed."
    ]
    hand.press(Qt.Key.Key_Backspace)
    hand.type("0.5")
    hand.enter()
    assert (only_leak(desk).from_m, only_leak(desk).to_m) == (6.0, 6.5)


@pytest.mark.parametrize(("shift", "expected"), [(False, (7.0, 1.0)), (True, (1.0, 7.0))])
def test_closed_joint_takes_the_shorter_way(
    hand: PlanHand,
    shift: bool,  # noqa: FBT001 - a case
    expected: tuple[float, float],
) -> None:
    """Of 8 m round, 1 m and 7 m lie 2 m apart over the start; Shift takes the 6 m the other way."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.click((11, 0))
    hand.click((10, 1), shift=shift)
    assert (only_leak(desk).from_m, only_leak(desk).to_m) == expected


def test_heights_are_typed_on_a_vertical_joint(hand: PlanHand) -> None:
    """A click on V-01 asks for two heights: 0.2 and 1.3 mark that stretch of it."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.click((8, 0))
    hand.click((8, 0))  # a second click cannot say a height
    assert not job_of(desk).leaks
    hand.type("0.2")
    hand.tab()
    hand.type("1.3")
    hand.enter()
    leak = only_leak(desk)
    assert (job_of(desk).joints[leak.joint].ref, leak.from_m, leak.to_m) == ("V-01", 0.2, 1.3)


def test_a_click_beside_every_joint_says_so(hand: PlanHand) -> None:
    """Where no joint is near, nothing starts; the band offers to draw one, and once it is drawn the tool is in hand again."""
    desk = hand.desk
    told: list[Trouble | None] = []
    desk.troubled.connect(told.append)
    hand.take(LeakStretch)
    hand.click((2, 1.5))
    assert [trouble.sentence for trouble in told if trouble is not None] == ["Leaks lie on joints."]
    hand.click((2, 0))  # the next click is on a joint: the question has answered itself
    assert told[1] is None
    hand.escape()
    assert told[0] is not None
    told[0].answers[0].give()
    assert desk.stage is Stage.JOINTS
    assert hand.tool.key == "J"
    sheet = next(iter(job_of(desk).sheets))
    desk.do(draw_joint(job_of(desk), sheet=sheet, kind=Kind.CRACK, points=[(15, 0), (19, 0)]))
    hand.bot.waitUntil(lambda: desk.stage is Stage.LEAKS)
    assert isinstance(hand.tool, LeakStretch)


def test_escape_steps_back_click_by_click(hand: PlanHand) -> None:
    """Esc forgets typed digits, then the start, then there is nothing to step back from; nothing was kept."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.click((1, 0))
    hand.type("3")
    hand.escape()
    assert hand.tool.overlay().field is not None
    hand.escape()
    assert hand.tool.overlay().field is None
    hand.escape()
    assert desk.tool is None
    assert not job_of(desk).leaks
    assert desk.job is job_of(desk)


def test_another_level_ends_what_is_half_done(hand: PlanHand) -> None:
    """A stretch begun on one level is forgotten when another is shown; nothing is kept, and the drag is shown no more."""
    desk = hand.desk
    desk.do(add_sheet(job_of(desk), name="B1"))
    hand.take(LeakStretch)
    hand.click((1.0, 0))
    assert desk.dragging
    desk.show_level(list(job_of(desk).sheets)[-1])
    assert not desk.dragging
    assert hand.tool.overlay().field is None
    hand.enter()
    assert not job_of(desk).leaks


def test_undo_amid_a_gesture_leaves_nothing_to_keep(hand: PlanHand) -> None:
    """Undo takes the stretch in hand back first and the joint under it next; Enter then keeps nothing, and nothing is wrong."""
    desk = hand.desk
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    sheet = next(iter(job_of(desk).sheets))
    desk.do(draw_joint(job_of(desk), sheet=sheet, kind=Kind.CRACK, points=[(15, 0), (19, 0)]))
    hand.take(LeakStretch)
    hand.click((17.0, 0))
    desk.undo()
    assert any(joint.kind is Kind.CRACK for joint in job_of(desk).joints.values())
    desk.undo()
    assert not any(joint.kind is Kind.CRACK for joint in job_of(desk).joints.values())
    hand.move((18.0, 0))
    hand.enter()
    assert told == []
    assert not job_of(desk).leaks


def test_an_end_of_the_picked_leak_is_dragged(hand: PlanHand) -> None:
    """The end at 2 m dragged to 3 m makes L-01 1 to 3 m; past its other end, to 0.5 m, it becomes the start."""
    desk = hand.desk
    joint = next(iter(job_of(desk).joints))
    desk.do(add_leak(job_of(desk), joint=joint, from_m=1.0, to_m=2.0, wetness=Wetness.SEEP))
    open_job = desk.open_job
    assert open_job is not None
    hand.take(None)
    desk.pick(Thing(Sort.LEAK, only_leak(desk).id))
    hand.drag((2, 0), (3, 0))
    assert (only_leak(desk).from_m, only_leak(desk).to_m) == (1.0, 3.0)
    assert open_job.undo_words == "move end of L-01"
    hand.drag((3, 0), (0.5, 0))
    assert (only_leak(desk).from_m, only_leak(desk).to_m) == (0.5, 1.0)


def test_digits_at_rest_change_the_picked_leak(hand: PlanHand) -> None:
    """With no tool 4 makes the picked leak a run and Delete removes it; with the tool in hand 1 leaves it alone."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.click((1, 0))
    hand.click((2, 0))
    hand.type("1")
    assert only_leak(desk).wetness is Wetness.SEEP
    hand.take(None)
    hand.type("4")
    assert only_leak(desk).wetness is Wetness.RUN
    hand.delete()
    assert not job_of(desk).leaks
    desk.undo()
    desk.undo()
    assert only_leak(desk).wetness is Wetness.SEEP


def test_worst_point_is_clicked_on_the_leak(hand: PlanHand) -> None:
    """The first click takes the leak, the second sets 1.30; typed 1.75 and Enter sets that, Delete forgets it."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.click((1, 0))
    hand.click((2, 0))
    hand.take(WorstPoint)
    hand.click((1.5, 0))
    assert only_leak(desk).worst_m is None
    hand.click((1.3, 0))
    assert only_leak(desk).worst_m == 1.3
    hand.click((1.5, 0))
    hand.type("1.75")
    hand.enter()
    assert only_leak(desk).worst_m == 1.75
    hand.click((1.5, 0))
    hand.delete()
    assert only_leak(desk).worst_m is None


def test_worst_point_begins_with_the_leak_that_is_picked(hand: PlanHand) -> None:
    """With L-01 picked 1.75 can be typed at once; a first click on the leak only chooses it, as without a pick."""
    desk = hand.desk
    hand.take(LeakStretch)
    hand.click((1, 0))
    hand.click((2, 0))
    hand.take(None)
    desk.pick(Thing(Sort.LEAK, only_leak(desk).id))
    hand.take(WorstPoint)
    hand.type("1.75")
    hand.enter()
    assert only_leak(desk).worst_m == 1.75
    hand.take(WorstPoint)
    hand.click((1.3, 0))
    assert only_leak(desk).worst_m == 1.75
    hand.click((1.3, 0))
    assert only_leak(desk).worst_m == 1.3
