"""The tools of stage Joints: what the hand does, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.bend_points import BendPoints
from leakmap.desk.tools.combine import Combine
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.joint_at_rest import JointAtRest
from leakmap.desk.tools.split import Split
from leakmap.desk.tools.tool import Tool
from leakmap.desk.tools.vertical_joint import VerticalJoint
from leakmap.desk.trouble import Trouble
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind, Side
from leakmap.work.edits.sheets import add_sheet, set_floor_level, set_storey_height
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.small_jobs import one_line, with_leak, with_line


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk in stage Joints: J-01 from 0,0 over 4,0 to 4,3 with a leak, J-02 going on from 4,3.4, on B2 below B1."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 5.0, 6.0)
    job, _ = with_line(job, [(4, 3.4), (4, 6)])
    sheet = next(iter(job.sheets))
    job = set_storey_height(job, sheet=sheet, storey_height_m=4.2).job
    job = set_floor_level(job, sheet=sheet, floor_level_m=-7.8).job
    job = add_sheet(job, name="B1", floor_level_m=-3.6).job
    with desk_with(job, tmp_path, Stage.JOINTS) as desk:
        yield desk


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def joint_of(desk: Desk, ref: str) -> Joint:
    """The joint of a reference."""
    return next(joint for joint in job_of(desk).joints.values() if joint.ref == ref)


def points_of(desk: Desk, ref: str) -> tuple[tuple[float, float], ...]:
    """The corners of a joint, to the millimetre."""
    path = joint_of(desk, ref).path
    assert path is not None
    return tuple((round(x, 3), round(y, 3)) for x, y in path.points)


def hand_with(desk: Desk, tool: type[Tool]) -> Fingers:
    """A hand that has taken a tool."""
    desk.take_tool(tool(desk))
    return Fingers(desk)


def refusals_of(desk: Desk) -> list[Trouble]:
    """What the band tells from now on."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    return told


# Draw joint ----------------------------------------------------------------------------------------


def test_clicks_draw_a_joint_and_only_its_end_keeps_it(desk: Desk) -> None:
    """Three clicks and Enter draw one joint; till then it is shown, not kept; one undo takes it back."""
    before = job_of(desk)
    hand = hand_with(desk, DrawJoint)
    hand.type("2")
    hand.click((10, 0))
    hand.click((13, 0))
    hand.click((13, 4))
    assert job_of(desk) is before
    assert desk.job is not None
    assert [joint.ref for joint in desk.job.joints.values()] == ["J-01", "J-02", "J-03"]
    assert hand.tool.entered()
    joint = joint_of(desk, "J-03")
    assert (joint.kind, joint.face, joint.length_m) == (Kind.CONTRACTION, Face.FLOOR, 7.0)
    assert desk.picked == (Thing(Sort.JOINT, joint.id),)
    assert desk.kind is Kind.CONTRACTION  # for the next
    desk.undo()
    assert job_of(desk) == before


def test_typed_length_goes_the_way_the_hand_points(desk: Desk) -> None:
    """6,3 typed while the hand points to the right makes 6.30 m; then 2 at 90° goes up: Tab reaches the angle."""
    hand = hand_with(desk, DrawJoint)
    hand.click((10, 0))
    hand.move((11.7, 0))
    hand.type("6,3")
    assert hand.tool.entered()
    hand.type("2")
    assert hand.tool.tabbed()
    hand.type("90")
    field = hand.tool.overlay().field
    assert field is not None
    assert (field.texts, field.active) == (("2", "90"), 1)
    assert hand.tool.entered()
    assert hand.tool.entered()
    assert points_of(desk, "J-03") == ((10, 0), (16.3, 0), (16.3, 2))


def test_an_angle_just_below_a_whole_turn_is_none(desk: Desk) -> None:
    """1 mm below level over 4 m is 359.99°: the live field says 0, as it does 1 mm above."""
    hand = hand_with(desk, DrawJoint)
    hand.click((10, 0))
    for y in (-0.001, 0.001):
        hand.move((14, y))
        field = hand.tool.overlay().field
        assert field is not None
        assert (field.texts, field.units) == (("4.00", "0"), ("m", "°"))


def test_shift_keeps_to_steps_of_45_degrees_from_the_last_piece(desk: Desk) -> None:
    """After a piece along 4,3 the hand near its square goes along −3,4: (−2.8, 4) on that way is 4.88 m long."""
    hand = hand_with(desk, DrawJoint)
    hand.click((10, 0))
    hand.click((14, 3))
    hand.click((11.2, 7.0), shift=True)
    hand.tool.entered()
    assert points_of(desk, "J-03") == ((10, 0), (14, 3), (14 - 0.6 * 4.88, 3 + 0.8 * 4.88))


def test_backspace_and_esc_step_back_click_by_click(desk: Desk) -> None:
    """Backspace takes a digit, then the last bend; Esc a whole figure, then clicks; then nothing is left to step back."""
    hand = hand_with(desk, DrawJoint)
    for place in ((10, 0), (12, 0), (12, 3)):
        hand.click(place)
    hand.type("45")
    assert hand.tool.erased()
    assert hand.tool.escaped()
    assert isinstance(hand.tool, DrawJoint)
    assert len(hand.tool.points) == 3
    assert hand.tool.erased()
    assert hand.tool.points == [(10, 0), (12, 0)]
    assert [hand.tool.escaped() for _ in range(3)] == [True, True, False]
    assert "J-03" not in {joint.ref for joint in (desk.job or job_of(desk)).joints.values()}


def test_a_joint_that_comes_back_to_its_start_is_closed(desk: Desk) -> None:
    """Clicking near the start after three corners closes the joint there, not a little beside it."""
    hand = hand_with(desk, DrawJoint)
    for place in ((10, 0), (12, 0), (12, 2), (10, 2), (10.05, 0.05)):
        hand.click(place)
    joint = joint_of(desk, "J-03")
    assert joint.closed
    assert joint.length_m == 8.0


def test_a_double_click_ends_and_a_slip_at_the_start_does_not(desk: Desk) -> None:
    """A double click at the start draws nothing; at the end it ends, without a piece of no length."""
    hand, told = hand_with(desk, DrawJoint), refusals_of(desk)
    hand.click((10, 0))
    hand.tool.pressed(hand.at((10, 0), double=True))
    assert len(job_of(desk).joints) == 2
    hand.click((13, 0))
    hand.tool.pressed(hand.at((13, 0), double=True))
    assert points_of(desk, "J-03") == ((10, 0), (13, 0))
    assert not told


def test_ending_on_a_joint_makes_a_junction(desk: Desk) -> None:
    """A joint from 2,2 that ends near J-01 is caught square to it at 2,0, and the two meet there."""
    hand = hand_with(desk, DrawJoint)
    hand.click((2, 2))
    pointer = hand.at((2.08, 0.06))
    assert pointer.catch is not None
    assert pointer.catch.words == "square to J-01"
    hand.click((2.08, 0.06))
    hand.tool.entered()
    assert points_of(desk, "J-03") == ((2, 2), (2, 0))


def test_the_face_is_changed_by_its_key_and_a_wall_asks_for_a_height(desk: Desk) -> None:
    """7 goes from floor to wall; the third part of the field is then the height, which stays over bends."""
    hand = hand_with(desk, DrawJoint)
    hand.type("17")
    hand.click((10, 0))
    hand.tool.tabbed()
    hand.tool.tabbed()
    hand.type("2.1")
    hand.click((12, 0))
    hand.click((12, 2))
    hand.tool.entered()
    joint = joint_of(desk, "J-03")
    assert (joint.kind, joint.face, joint.height_m) == (Kind.CONSTRUCTION, Face.WALL, 2.1)


def test_a_pipe_collar_is_a_point_and_a_diameter(desk: Desk) -> None:
    """Kind 6: one click and 0.5 typed make a collar of 0.50 m; Enter without a diameter is refused in words."""
    hand, told = hand_with(desk, DrawJoint), refusals_of(desk)
    hand.type("6")
    hand.click((10, 5))
    hand.tool.entered()
    assert "has no diameter yet" in told[0].sentence
    hand.type("0.5")
    hand.tool.entered()
    joint = joint_of(desk, "J-03")
    assert (joint.kind, joint.point, joint.diameter_m) == (Kind.PIPE_COLLAR, (10, 5), 0.5)


# Vertical joint --------------------------------------------------------------------------------------


def test_a_vertical_joint_up_to_the_level_above_meets_it(desk: Desk) -> None:
    """Click and Enter: as high as the storey, 4.20 m from −7.80 to −3.60, with its head on B1; caught on the end of J-01."""
    hand = hand_with(desk, VerticalJoint)
    hand.click((0.05, 0.05))
    assert len(job_of(desk).joints) == 2
    hand.tool.entered()
    joint, upper = joint_of(desk, "V-01"), next(sheet for sheet in job_of(desk).sheets.values() if sheet.name == "B1")
    assert (joint.point, joint.rise_m) == ((0, 0), 4.2)
    assert joint.head_sheet == upper.id


def test_a_typed_height_stops_below_and_has_no_head(desk: Desk) -> None:
    """1.5 typed is the rise; it reaches no floor. Kind 2 chosen before the click is kept."""
    hand = hand_with(desk, VerticalJoint)
    hand.type("2")
    hand.click((9, 9))
    hand.type("1.5")
    hand.tool.entered()
    joint = joint_of(desk, "V-01")
    assert (joint.kind, joint.rise_m, joint.head_sheet) == (Kind.CONTRACTION, 1.5, None)


def test_through_makes_two_joints_and_down_one_below(desk: Desk) -> None:
    """On B1, way 3 makes one joint up and one down to B2; without a level below, down is refused in words."""
    upper = next(sheet for sheet in job_of(desk).sheets.values() if sheet.name == "B1")
    hand, told = hand_with(desk, VerticalJoint), refusals_of(desk)
    hand.click((9, 9))
    hand.tool.tabbed()
    hand.type("2")
    hand.tool.entered()
    assert "is not known" in told[0].sentence
    desk.show_level(upper.id)
    hand = hand_with(desk, VerticalJoint)
    hand.click((9, 9))
    hand.type("2")
    hand.tool.tabbed()
    hand.type("3")
    hand.tool.entered()
    below, above = joint_of(desk, "V-01"), joint_of(desk, "V-02")
    assert below.rise_m == pytest.approx(4.2)
    assert below.head_sheet == upper.id
    assert (above.rise_m, above.sheet) == (2.0, upper.id)


# Bend points -----------------------------------------------------------------------------------------


def test_a_dragged_bend_is_shown_and_then_kept_once(desk: Desk) -> None:
    """Dragging the bend at 4,0 to 5,0 shows it under way, keeps it on release, and is one undo."""
    before = job_of(desk)
    hand = hand_with(desk, BendPoints)
    hand.click((2, 0))
    assert desk.picked == (Thing(Sort.JOINT, joint_of(desk, "J-01").id),)
    hand.tool.pressed(hand.at((4, 0)))
    hand.tool.dragged(hand.at((5, 0.02)))
    assert job_of(desk) is before
    assert desk.job is not before
    hand.tool.released(hand.at((5, 0)))
    assert points_of(desk, "J-01") == ((0, 0), (5, 0), (4, 3))
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "move bend of J-01"
    desk.undo()
    assert job_of(desk) == before


def test_a_picked_bend_takes_arrows_and_a_typed_position(desk: Desk) -> None:
    """An arrow moves it by a centimetre; "4.5, 0.25" puts it there; what is typed goes from x to y at the comma."""
    hand = hand_with(desk, BendPoints)
    hand.click((2, 0))
    hand.click((4, 0))
    assert hand.tool.nudged(0.01, 0.0)
    assert points_of(desk, "J-01")[1] == (4.01, 0)
    hand.type("4.5, 0.25")
    hand.tool.entered()
    assert points_of(desk, "J-01") == ((0, 0), (4.5, 0.25), (4, 3))


def test_a_click_on_the_line_adds_a_bend_and_delete_removes_it(desk: Desk) -> None:
    """The first click only picks, even where the joint was picked before; the second adds; Delete removes."""
    desk.pick(Thing(Sort.JOINT, joint_of(desk, "J-01").id))
    hand = hand_with(desk, BendPoints)
    hand.click((2, 0))
    assert len(points_of(desk, "J-01")) == 3
    hand.click((2, 0.03))
    assert points_of(desk, "J-01") == ((0, 0), (2, 0), (4, 0), (4, 3))
    assert hand.tool.deleted()
    assert points_of(desk, "J-01") == ((0, 0), (4, 0), (4, 3))


def test_esc_while_dragging_leaves_the_bend_where_it_was(desk: Desk) -> None:
    """Esc in mid-drag shows the kept job again; letting go then keeps nothing."""
    before = job_of(desk)
    hand = hand_with(desk, BendPoints)
    hand.click((2, 0))
    hand.tool.pressed(hand.at((4, 0)))
    hand.tool.dragged(hand.at((6, 1)))
    assert hand.tool.escaped()
    assert desk.job is before
    hand.tool.released(hand.at((6, 1)))
    assert job_of(desk) is before


# Split and combine -----------------------------------------------------------------------------------


def test_a_split_at_a_typed_length_cuts_the_leak_on_it(desk: Desk) -> None:
    """J-01 is 7 m long; 1.5 typed for its second part splits at 5.5, which halves the leak from 5 to 6."""
    hand = hand_with(desk, Split)
    hand.click((3, 0.02))
    assert len(job_of(desk).joints) == 2
    hand.tool.tabbed()
    hand.type("1.5")
    field = hand.tool.overlay().field
    assert field is not None
    assert field.texts == ("5.50", "1.5")
    hand.tool.entered()
    assert (joint_of(desk, "J-01").length_m, joint_of(desk, "J-03").length_m) == (5.5, 1.5)
    assert len(job_of(desk).leaks) == 2


def test_combine_acts_only_with_both_joints_marked(desk: Desk) -> None:
    """Enter after one click does nothing; with both, J-02 becomes part of J-01 over the gap of 0.40 m, which is said."""
    said: list[str] = []
    desk.said.connect(said.append)
    hand = hand_with(desk, Combine)
    hand.click((4, 2.8))
    hand.tool.entered()
    assert len(job_of(desk).joints) == 2
    hand.click((4, 4))
    assert len(job_of(desk).joints) == 2
    assert [grip.at for grip in hand.tool.overlay().grips] == [(4, 3), (4, 3.4)]
    hand.tool.entered()
    assert [joint.ref for joint in job_of(desk).joints.values()] == ["J-01"]
    assert joint_of(desk, "J-01").length_m == pytest.approx(7 + 0.4 + 2.6)
    assert any("0.40 m" in sentence for sentence in said)


def test_unlike_joints_are_refused_at_the_second_click(desk: Desk) -> None:
    """Clicking J-01 twice is told in the band at once, and the first stays marked."""
    hand, told = hand_with(desk, Combine), refusals_of(desk)
    hand.click((4, 2.8))
    hand.click((2, 0))
    assert "cannot be combined with itself" in told[0].sentence
    assert hand.tool.sentence() == "Click the joint that becomes part of J-01."


# Without a tool --------------------------------------------------------------------------------------


def test_a_vertical_joint_is_dragged_by_its_one_square(desk: Desk) -> None:
    """With Bend points V-01 moves from 9,9 to 10,9 as one undo; Delete cannot remove its point, and says so."""
    told = refusals_of(desk)
    hand = hand_with(desk, VerticalJoint)
    hand.click((9, 9))
    hand.tool.entered()
    hand = hand_with(desk, BendPoints)
    hand.click((9, 9))
    hand.drag((9, 9), (10, 9))
    assert joint_of(desk, "V-01").point == (10, 9)
    assert hand.tool.deleted()
    assert "has no bends" in told[0].sentence


def test_picked_joints_take_digits_and_delete_without_a_tool(desk: Desk) -> None:
    """2 makes both joints contraction joints, 9 confirms them dormant, Delete removes them with the leak: one undo each."""
    rest = JointAtRest(desk)
    assert not rest.deleted()
    assert not rest.typed("2")
    desk.pick(*(Thing(Sort.JOINT, key) for key in job_of(desk).joints))
    assert rest.typed("2")
    assert rest.typed("9")
    assert {(joint.kind, joint.dormant) for joint in job_of(desk).joints.values()} == {(Kind.CONTRACTION, True)}
    before = job_of(desk)
    assert rest.deleted()
    assert not job_of(desk).joints
    assert not job_of(desk).leaks
    desk.undo()
    assert job_of(desk) == before


def test_the_room_side_of_a_corner_joint_goes_round(desk: Desk) -> None:
    """4 and three times 7 make J-02 a corner joint; 8 then says left, right, not known, each time in words."""
    said: list[str] = []
    desk.said.connect(said.append)
    rest = JointAtRest(desk)
    desk.pick(Thing(Sort.JOINT, joint_of(desk, "J-02").id))
    for key in "4777":
        rest.typed(key)
    assert joint_of(desk, "J-02").face is Face.CORNER
    sides = []
    for _ in range(3):
        rest.typed("8")
        sides.append(joint_of(desk, "J-02").room_side)
    assert sides == [Side.LEFT, Side.RIGHT, None]
    assert said[-3] == "The room lies on the left of J-02, looking the way it was drawn."


def test_the_room_side_of_a_corner_joint_is_chosen_while_it_is_drawn(desk: Desk) -> None:
    """A wall-base joint says that its room side is not known; Tab, Tab, 2 puts the room on the right, and the next has it too."""
    hand = hand_with(desk, DrawJoint)
    hand.type("4")
    assert hand.tool.choices()[-1].words == "8 room side not known"
    hand.click((10, 20))
    hand.move((14, 20))
    field = hand.tool.overlay().field
    assert field is not None
    assert field.texts[2] == "room side not known"
    hand.tool.tabbed()
    hand.tool.tabbed()
    hand.type("2")
    overlay = hand.tool.overlay()
    assert overlay.field is not None
    assert overlay.field.texts[2] == "room on the right"
    assert overlay.lines[-1].points[1][1] < 20  # drawn along x, the room lies below
    hand.tool.tabbed()
    hand.type("6")
    hand.tool.entered()
    hand.tool.entered()
    drawn = next(
        joint for joint in job_of(desk).joints.values() if joint.path is not None and joint.path.points[0] == (10, 20)
    )
    assert (drawn.face, drawn.room_side, drawn.length_m) == (Face.CORNER, Side.RIGHT, 6.0)
    assert hand.tool.choices()[-1].words == "8 room on the right"
    hand.type("8")
    assert hand.tool.choices()[-1].words == "8 room side not known"


def test_the_joint_in_hand_is_picked_until_it_is_given_up(desk: Desk) -> None:
    """From its first piece on every pane can follow it; after Esc to the start nothing is picked."""
    hand = hand_with(desk, DrawJoint)
    hand.click((10, 0))
    hand.move((13, 0))
    (thing,) = desk.picked
    assert desk.job is not None
    assert desk.job.joints[UUID(str(thing.key))].length_m == 3.0
    hand.tool.escaped()
    assert desk.picked == ()


def test_another_level_takes_the_joint_in_hand_away(desk: Desk) -> None:
    """A joint begun on B2 is not finished on B1: going there forgets it, and Enter draws nothing."""
    hand = hand_with(desk, DrawJoint)
    hand.click((10, 0))
    hand.click((12, 0))
    desk.show_level(next(sheet.id for sheet in job_of(desk).sheets.values() if sheet.name == "B1"))
    assert not hand.tool.entered()
    assert len(job_of(desk).joints) == 2
    assert desk.job is job_of(desk)
