"""The keys of the hand at rest and of drawing without a mouse: real key events, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.bend_points import BendPoints
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.issue_tools import Check
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.set_scale import SetScale
from leakmap.desk.trouble import Trouble
from leakmap.geometry.path import Point
from leakmap.model.grid import Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.words import Kind
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.desks import desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak, with_line

SHIFT, CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
LEFT, RIGHT, UP, DOWN = Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanHand]:
    """A hand in stage Leaks: J-01 from 0,0 over 4,0 to 4,3 with L-01 at 1 to 2 m and L-02 at 5 to 6 m; J-02 at x 8."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, worst_m=1.5)
    job, _ = with_leak(job, joint, 5.0, 6.0)
    job, _ = with_line(job, [(8, -1), (8, 4)])
    with desk_with(job, tmp_path, Stage.LEAKS) as desk:
        yield PlanHand(qtbot, desk, centre=(6.0, 1.0))


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def leak_of(hand: PlanHand, ref: str) -> Leak:
    """A leak as kept."""
    return leak_named(job_of(hand.desk), ref)


def joint_of(hand: PlanHand, ref: str) -> Joint:
    """A joint as kept."""
    return joint_named(job_of(hand.desk), ref)


def corners(hand: PlanHand, ref: str) -> list[Point]:
    """The corners of a joint as kept."""
    path = joint_of(hand, ref).path
    assert path is not None
    return list(path.points)


def pick(hand: PlanHand, *refs: str) -> None:
    """Pick leaks or joints by their references."""
    job = job_of(hand.desk)
    things = [Thing(Sort.LEAK, leak.id) for leak in job.leaks.values() if leak.ref in refs]
    things += [Thing(Sort.JOINT, joint.id) for joint in job.joints.values() if joint.ref in refs]
    hand.desk.pick(*things)


def press(hand: PlanHand, key: Qt.Key, keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Press a key and let it go."""
    hand.bot.keyClick(hand.plan, key, keys)


def hold(hand: PlanHand, key: Qt.Key, times: int) -> None:
    """Hold a key down until it has repeated so often, and let it go."""
    nothing = Qt.KeyboardModifier.NoModifier
    for number in range(times):
        QApplication.sendEvent(hand.plan, QKeyEvent(QEvent.Type.KeyPress, key, nothing, "", autorep=number > 0))
    QApplication.sendEvent(hand.plan, QKeyEvent(QEvent.Type.KeyRelease, key, nothing))


def undo_words(hand: PlanHand) -> str | None:
    """What undo would undo."""
    assert hand.desk.open_job is not None
    return hand.desk.open_job.undo_words


# Nudging ------------------------------------------------------------------------------------------


def test_arrows_move_a_picked_leak_along_its_joint(hand: PlanHand) -> None:
    """Right moves L-01 by 1 cm towards larger chainages, Shift left by 10 cm back; its worst point goes along."""
    pick(hand, "L-01")
    press(hand, RIGHT)
    leak = leak_of(hand, "L-01")
    assert (leak.from_m, leak.to_m, leak.worst_m) == (1.01, 2.01, 1.51)
    assert undo_words(hand) == "move L-01"
    press(hand, LEFT, SHIFT)
    assert (leak_of(hand, "L-01").from_m, leak_of(hand, "L-01").to_m) == (0.91, 1.91)


def test_an_arrow_square_to_the_joint_moves_nothing_and_says_so(hand: PlanHand) -> None:
    """L-01 lies on a level stretch: up means nothing there, neither for the leak nor for the paper."""
    told: list[Trouble] = []
    hand.desk.troubled.connect(told.append)
    pick(hand, "L-01")
    before, camera = job_of(hand.desk), hand.plan.camera
    press(hand, UP)
    assert job_of(hand.desk) is before
    assert hand.plan.camera == camera
    assert told[-1].sentence.startswith("L-01 moves along J-01 only")
    pick(hand, "L-02")
    press(hand, UP)
    assert (leak_of(hand, "L-02").from_m, leak_of(hand, "L-02").to_m) == (5.01, 6.01)


def test_a_held_arrow_is_one_step_of_undo(hand: PlanHand) -> None:
    """Held until it repeated 30 times, it moves the leak 30 cm: seen at once, kept at the end, undone in one step."""
    pick(hand, "L-01")
    shown: list[float] = []

    def note() -> None:
        assert hand.desk.job is not None
        shown.append(leak_named(hand.desk.job, "L-01").from_m)

    hand.desk.shown_changed.connect(note)
    hold(hand, RIGHT, 30)
    assert shown[:3] == [1.01, 1.02, 1.03]
    assert leak_of(hand, "L-01").from_m == 1.3
    hand.desk.undo()
    assert leak_of(hand, "L-01").from_m == 1.0


def test_esc_puts_back_what_a_held_arrow_moves(hand: PlanHand) -> None:
    """While the arrow is down nothing is kept; Esc leaves the job as it was, and the leak picked."""
    pick(hand, "L-01")
    before = job_of(hand.desk)
    hand.bot.keyPress(hand.plan, RIGHT)
    assert hand.desk.dragging
    hand.escape()
    hand.bot.keyRelease(hand.plan, RIGHT)
    assert job_of(hand.desk) is before
    assert not hand.desk.dragging
    assert [thing.sort for thing in hand.desk.picked] == [Sort.LEAK]


def test_another_key_keeps_what_a_held_arrow_moved(hand: PlanHand) -> None:
    """A digit pressed while the arrow is down comes after the move; nothing is lost."""
    pick(hand, "L-01")
    hand.bot.keyPress(hand.plan, RIGHT)
    hand.type("4")
    hand.bot.keyRelease(hand.plan, RIGHT)
    assert (leak_of(hand, "L-01").from_m, leak_of(hand, "L-01").wetness) == (1.01, 4)


def test_undo_while_an_arrow_is_down_undoes_what_it_moved(hand: PlanHand) -> None:
    """Ctrl keeps the move before Z undoes it."""
    pick(hand, "L-01")
    before = job_of(hand.desk)
    hand.bot.keyPress(hand.plan, RIGHT)
    hand.bot.keyPress(hand.plan, Qt.Key.Key_Control)
    assert leak_of(hand, "L-01").from_m == 1.01
    hand.desk.undo()
    hand.bot.keyRelease(hand.plan, Qt.Key.Key_Control)
    hand.bot.keyRelease(hand.plan, RIGHT)
    assert job_of(hand.desk) == before


def test_a_job_that_goes_while_an_arrow_is_down_takes_the_move_with_it(hand: PlanHand) -> None:
    """The key that is let go afterwards finds no job and does nothing."""
    pick(hand, "L-01")
    open_job = hand.desk.open_job
    hand.bot.keyPress(hand.plan, RIGHT)
    hand.desk.put(None)
    hand.bot.keyRelease(hand.plan, RIGHT)
    assert open_job is not None
    assert leak_named(open_job.job, "L-01").from_m == 1.0
    open_job.close()


def test_arrows_move_the_end_whose_handle_was_clicked(hand: PlanHand) -> None:
    """A click on the handle at 2 m picks that end: arrows lengthen the leak; Esc gives the whole leak back to them."""
    pick(hand, "L-01")
    hand.click((2.0, 0.0))
    press(hand, RIGHT, SHIFT)
    press(hand, RIGHT)
    assert (leak_of(hand, "L-01").from_m, leak_of(hand, "L-01").to_m) == (1.0, 2.11)
    assert undo_words(hand) == "move end of L-01"
    hand.escape()
    press(hand, RIGHT)
    assert (leak_of(hand, "L-01").from_m, leak_of(hand, "L-01").to_m) == (1.01, 2.12)


def test_an_end_is_not_moved_past_the_other(hand: PlanHand) -> None:
    """The end at 2 m moved back by 1.2 m stops at 1 m, where the leak is a spot."""
    pick(hand, "L-01")
    hand.click((2.0, 0.0))
    for _ in range(12):
        press(hand, LEFT, SHIFT)
    assert (leak_of(hand, "L-01").from_m, leak_of(hand, "L-01").to_m) == (1.0, 1.0)


def test_arrows_move_picked_joints_as_a_whole(hand: PlanHand) -> None:
    """In stage Joints both picked joints move 10 cm up as one step, and leaks stay where they are on them."""
    hand.desk.go_to(Stage.JOINTS)
    pick(hand, "J-01", "J-02")
    press(hand, UP, SHIFT)
    assert corners(hand, "J-01") == [(0, 0.1), (4, 0.1), (4, 3.1)]
    assert corners(hand, "J-02") == [(8, -0.9), (8, 4.1)]
    assert (leak_of(hand, "L-01").from_m, undo_words(hand)) == (1.0, "move J-01 and J-02")
    hand.desk.undo()
    assert corners(hand, "J-02") == [(8, -1), (8, 4)]


def test_a_leak_of_an_upright_goes_up_and_down(qtbot: QtBot, tmp_path: Path) -> None:
    """On a vertical joint chainage is height: up is up."""
    job = add_sheet(Job(id=one_line()[0].id, name="Pit"), name="B2").job
    edit = draw_vertical_joint(job, sheet=next(iter(job.sheets)), kind=Kind.CONSTRUCTION, point=(6, 1), rise_m=3.0)
    job, _ = with_leak(edit.job, edit.made[0], 1.0, 1.5)
    with desk_with(job, tmp_path, Stage.LEAKS) as desk:
        hand = PlanHand(qtbot, desk, centre=(6.0, 1.0))
        pick(hand, "L-01")
        press(hand, UP, SHIFT)
        press(hand, DOWN)
        assert (leak_of(hand, "L-01").from_m, leak_of(hand, "L-01").to_m) == (1.09, 1.59)


def test_with_nothing_picked_arrows_move_the_paper(hand: PlanHand) -> None:
    """Right shows what lies farther right."""
    x = hand.plan.camera.centre[0]
    press(hand, RIGHT)
    assert hand.plan.camera.centre[0] > x


# From thing to thing ------------------------------------------------------------------------------


def picked_ref(hand: PlanHand) -> str:
    """The reference of the only thing that is picked."""
    (thing,) = hand.desk.picked
    job = job_of(hand.desk)
    if thing.sort is Sort.ZONE:
        return f"zone {thing.key}"
    return {**{leak.id: leak.ref for leak in job.leaks.values()}, **{j.id: j.ref for j in job.joints.values()}}[
        thing.key
    ]  # type: ignore[index] # a zone was told above


def test_comma_and_stop_go_from_leak_to_leak_and_brackets_from_joint_to_joint(hand: PlanHand) -> None:
    """In the order of the ledger, round at its ends; in stage Repair from zone to zone."""
    found = []
    for key in "...,,]][":
        hand.type(key)
        found.append(picked_ref(hand))
    assert found == ["L-01", "L-02", "L-01", "L-02", "L-01", "J-01", "J-02", "J-01"]
    hand.desk.go_to(Stage.REPAIR)
    hand.type(".")
    first = picked_ref(hand)
    hand.type(".")
    assert (first, picked_ref(hand)) == ("zone 1", "zone 2")


def test_what_is_stepped_to_comes_into_view(qtbot: QtBot, tmp_path: Path) -> None:
    """A joint far away is brought into view; one on another level brings its level."""
    job, _ = one_line()
    job, far = with_line(job, [(200, 200), (204, 200)])
    upper = add_sheet(job, name="B1")
    job, above = with_line(upper.job, [(0, 0), (1, 0)], sheet=upper.made[0])
    with desk_with(job, tmp_path, Stage.JOINTS) as desk:
        hand = PlanHand(qtbot, desk)
        pick(hand, "J-01")
        hand.type("]")
        assert desk.picked == (Thing(Sort.JOINT, far),)
        x0, y0, x1, y1 = hand.plan.camera.shown
        assert x0 < 202 < x1
        assert y0 < 200 < y1
        hand.type("]")
        assert (desk.picked, desk.level) == ((Thing(Sort.JOINT, above),), upper.made[0])


# F2 -----------------------------------------------------------------------------------------------


def test_f2_opens_date_flow_and_note_of_a_leak(hand: PlanHand) -> None:
    """Three fields, Tab between them, Enter takes all three as one step; letters and spaces are words, not tools."""
    pick(hand, "L-01")
    press(hand, Qt.Key.Key_F2)
    hand.type("3 nov 2026")
    hand.tab()
    hand.type("2,5")
    hand.tab()
    hand.type("cold to the touch, J side")
    hand.enter()
    leak = leak_of(hand, "L-01")
    assert (leak.seen, leak.flow_l_min, leak.note) == (date(2026, 11, 3), 2.5, "cold to the touch, J side")
    assert undo_words(hand) == "set date, flow and note of L-01"
    assert hand.desk.tool is None


def test_what_is_there_is_replaced_by_typing_and_changed_by_backspace(hand: PlanHand) -> None:
    """The note "cold" and Backspace is "col"; typing without Backspace replaces it; Delete empties it."""
    pick(hand, "L-01")
    for keys, note in ((("cold",), "cold"), ((Qt.Key.Key_Backspace, "d fog"), "cold fog"), (("dry",), "dry")):
        press(hand, Qt.Key.Key_F2)
        hand.tab()
        hand.tab()
        for key in keys:
            hand.type(key) if isinstance(key, str) else press(hand, key)
        hand.enter()
        assert leak_of(hand, "L-01").note == note
        note_before = note
    press(hand, Qt.Key.Key_F2)
    hand.tab()
    hand.tab()
    hand.delete()
    assert leak_of(hand, "L-01").note == note_before
    hand.enter()
    assert leak_of(hand, "L-01").note == ""


def test_a_day_that_is_none_keeps_the_field_open(hand: PlanHand) -> None:
    """The band says how a day is typed; what was typed stands there still, and Esc leaves the leak as it was."""
    told: list[Trouble] = []
    hand.desk.troubled.connect(told.append)
    pick(hand, "L-01")
    press(hand, Qt.Key.Key_F2)
    hand.type("soon")
    hand.enter()
    assert "“soon” is no day" in told[-1].sentence
    field = hand.tool.overlay().field
    assert field is not None
    assert field.texts[0] == "soon"
    hand.escape()
    assert hand.desk.tool is None
    assert leak_of(hand, "L-01").seen is None


def test_f2_gives_the_tool_back(hand: PlanHand) -> None:
    """With Leak stretch in hand the leak just marked gets its note, and the next click marks again."""
    hand.take(LeakStretch)
    tool = hand.tool
    hand.click((1, 0))
    hand.click((3, 0))
    press(hand, Qt.Key.Key_F2)
    assert hand.tool is not tool
    hand.tab()
    hand.tab()
    hand.type("under the stair")
    hand.click((3, 2))
    assert hand.tool is tool
    assert leak_of(hand, "L-03").note == "under the stair"
    assert len(job_of(hand.desk).leaks) == 3


def test_f2_renames_a_joint_and_a_level(hand: PlanHand) -> None:
    """A picked joint, and in stage Drawing the level on the plan; a name may have spaces; a taken one is refused."""
    told: list[Trouble] = []
    hand.desk.troubled.connect(told.append)
    hand.desk.go_to(Stage.JOINTS)
    pick(hand, "J-02")
    press(hand, Qt.Key.Key_F2)
    hand.type("J-01")
    hand.enter()
    assert "J-01" in told[-1].sentence
    hand.type(" N")
    hand.enter()
    assert [joint.ref for joint in job_of(hand.desk).joints.values()] == ["J-01", "J-01 N"]
    hand.desk.go_to(Stage.DRAWING)
    hand.desk.pick()
    press(hand, Qt.Key.Key_F2)
    hand.type("Lower deck")
    hand.enter()
    assert [sheet.name for sheet in job_of(hand.desk).sheets.values()] == ["Lower deck"]
    assert undo_words(hand) == "rename sheet B2"


def test_f2_renames_the_axis_that_the_pointer_is_on(qtbot: QtBot, tmp_path: Path) -> None:
    """On the bubble of axis B on the rail F2 asks for its letter; the others keep theirs, and so do the joints."""
    job, _ = one_line()
    grid = Grid(letters=axes_with_bays("ABC", (6.0, 6.0)), numbers=axes_with_bays("12", (4.0,), towards_deg=90))
    with desk_with(set_grid(job, grid=grid).job, tmp_path, Stage.JOINTS) as desk:
        hand = PlanHand(qtbot, desk, centre=(6.0, 1.0))
        hand.bot.mouseMove(hand.plan, QPoint(hand.pixel((6.0, 0.0)).x(), 10))
        press(hand, Qt.Key.Key_F2)
        hand.type("d")
        hand.enter()
        kept = job_of(desk).grid
        assert kept is not None
        assert [axis.name for axis in kept.letters.each] == ["A", "D", "C"]
        assert undo_words(hand) == "rename axis B"


def test_f2_says_what_it_is_for_where_nothing_is_picked(hand: PlanHand) -> None:
    """No field opens; the band says what to pick."""
    told: list[Trouble] = []
    hand.desk.troubled.connect(told.append)
    press(hand, Qt.Key.Key_F2)
    assert hand.desk.tool is None
    assert told[-1].sentence.startswith("Pick a leak or a joint first")


# Drawing without a mouse --------------------------------------------------------------------------


def test_a_joint_is_drawn_by_keys_alone(hand: PlanHand) -> None:
    """Arrows move a cross by 10 cm, with Shift 1 m, with Ctrl 1 cm; Space puts points, Enter ends."""
    hand.desk.go_to(Stage.JOINTS)
    hand.take(DrawJoint)
    press(hand, DOWN, SHIFT)  # from the middle, 6, 1, to 6, 0
    hand.type(" ")
    for _ in range(3):
        press(hand, RIGHT)
    press(hand, DOWN, SHIFT)
    hand.type(" ")
    press(hand, LEFT, CTRL)
    press(hand, DOWN, SHIFT)
    press(hand, LEFT, CTRL)
    hand.type(" ")
    hand.enter()
    assert corners(hand, "J-03") == [(6, 0), (6.3, -1), (6.28, -2)]
    assert hand.plan.hand.arrows.cross is not None


def test_a_spot_that_was_looked_for_is_where_the_next_point_goes(hand: PlanHand) -> None:
    """With a tool in hand a marked spot takes the cross there, and Space puts the point; without one arrows begin there."""
    hand.take(DrawJoint)
    hand.desk.mark_spot((2.0, 2.5))
    press(hand, Qt.Key.Key_Space)
    hand.desk.mark_spot((6.0, 2.5))
    press(hand, Qt.Key.Key_Space)
    press(hand, Qt.Key.Key_Return)
    assert corners(hand, "J-03") == [(2.0, 2.5), (6.0, 2.5)]
    hand.take(None)
    hand.desk.mark_spot((1.0, 3.0))
    hand.take(DrawJoint)
    press(hand, RIGHT)
    assert hand.plan.hand.arrows.cross == (1.1, 3.0)


def test_the_cross_is_caught_as_the_mouse_is(hand: PlanHand) -> None:
    """Within half a step of J-02 the cross is caught on it, and the joint ends there; 15 cm off, or after 1 cm, not."""
    hand.desk.go_to(Stage.JOINTS)
    hand.take(DrawJoint)
    for _ in range(5):
        press(hand, LEFT, CTRL)
    hand.type(" ")
    press(hand, RIGHT, SHIFT)
    for _ in range(9):
        press(hand, RIGHT)
    assert hand.desk.caught is not None
    assert hand.desk.caught.catch is None
    press(hand, RIGHT)
    assert hand.desk.caught.catch is not None
    assert hand.desk.caught.catch.words == "square to J-02"
    hand.type(" ")
    hand.enter()
    assert corners(hand, "J-03") == [(5.95, 1), (8, 1)]
    press(hand, LEFT, CTRL)
    assert hand.desk.caught.catch is None


def test_leaks_are_marked_by_keys_alone(hand: PlanHand) -> None:
    """With Leak stretch in hand Space starts the stretch on J-02 and stops it 1 m farther up."""
    hand.take(LeakStretch)
    press(hand, RIGHT, SHIFT)
    press(hand, RIGHT, SHIFT)
    hand.type(" ")
    press(hand, UP, SHIFT)
    hand.type(" ")
    leak = leak_of(hand, "L-03")
    assert (job_of(hand.desk).joints[leak.joint].ref, leak.from_m, leak.to_m) == ("J-02", 2.0, 3.0)


def test_space_drags_the_paper_while_the_mouse_points(hand: PlanHand) -> None:
    """Without a cross Space puts no point."""
    hand.desk.go_to(Stage.JOINTS)
    hand.take(DrawJoint)
    hand.move((6, 0))
    press(hand, RIGHT)
    hand.move((6, 1))  # the mouse takes over again
    assert hand.plan.hand.arrows.cross is None
    hand.type(" ")
    assert isinstance(hand.tool, DrawJoint)
    assert hand.tool.points == []


def test_a_bend_is_picked_by_the_cross_and_then_nudged(hand: PlanHand) -> None:
    """With Bend points in hand Space picks the square at 8, −1; arrows then move it and not the cross."""
    hand.desk.go_to(Stage.JOINTS)
    hand.take(BendPoints)
    pick(hand, "J-02")
    for _ in range(2):
        press(hand, RIGHT, SHIFT)
        press(hand, DOWN, SHIFT)
    hand.type(" ")
    press(hand, RIGHT)
    assert corners(hand, "J-02") == [(8.01, -1), (8, 4)]
    hold(hand, RIGHT, 5)
    assert corners(hand, "J-02")[0] == (8.06, -1)
    hand.desk.undo()
    assert corners(hand, "J-02")[0] == (8.01, -1)


def test_the_cross_goes_with_its_tool(hand: PlanHand) -> None:
    """Esc puts the tool away, and the arrows move the paper again."""
    hand.desk.go_to(Stage.DRAWING)
    hand.take(SetScale)
    press(hand, RIGHT)
    assert hand.plan.hand.arrows.cross == (6.1, 1.0)
    hand.escape()
    assert hand.plan.hand.arrows.cross is None
    assert hand.desk.caught is None


def test_tools_that_point_at_nothing_leave_the_arrows_to_the_paper(hand: PlanHand) -> None:
    """With Check in hand, or while a name is typed, arrows move the paper and no cross comes."""
    hand.desk.go_to(Stage.ISSUE)
    hand.take(Check)
    x = hand.plan.camera.centre[0]
    press(hand, RIGHT)
    assert hand.plan.hand.arrows.cross is None
    assert hand.plan.camera.centre[0] > x
    pick(hand, "J-01")
    press(hand, Qt.Key.Key_F2)
    press(hand, RIGHT)
    assert hand.plan.hand.arrows.cross is None
