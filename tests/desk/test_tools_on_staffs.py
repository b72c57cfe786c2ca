"""Tools on vertical joints: heights are pointed at on the staff beside the sign, checked on the job.

J-01 runs 10 m along x; V-01, 3 m high, stands free at (4, 3); V-02, 3 m high, stands at the end of J-01.
A staff is 42 px high, so that heights are pointed at in steps of 0.10 m.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.keep_apart import KeepApart
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.method import ZoneMethod
from leakmap.desk.tools.overrun import Overrun
from leakmap.desk.tools.relief import ReliefTool
from leakmap.desk.tools.split import Split
from leakmap.desk.tools.tool import Grip, Tool
from leakmap.desk.tools.worst_point import WorstPoint
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Kind, Wetness
from leakmap.repair.results import Zone
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.desks import desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak

V1, V2 = (4.0, 3.0), (10.0, 0.0)


def small_job() -> Job:
    """The job of this module, dry."""
    job, _ = one_line([(0, 0), (10, 0)])
    sheet = next(iter(job.sheets))
    for point in (V1, V2):
        job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=point, rise_m=3.0).job
    return job


@pytest.fixture
def leaks(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanHand]:
    """A hand on a plan in stage Leaks; nothing leaks."""
    with desk_with(small_job(), tmp_path, Stage.LEAKS) as desk:
        yield PlanHand(qtbot, desk)


@pytest.fixture
def repair(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanHand]:
    """A hand in stage Repair: L-01, a run, from 1 to 2 m of V-01; L-02 and L-03, seeps, at 0.5 and 1.5 m of V-02."""
    job = small_job()
    one, two = joint_named(job, "V-01").id, joint_named(job, "V-02").id
    job, _ = with_leak(job, one, 1, 2, Wetness.RUN)
    job, _ = with_leak(job, two, 0.4, 0.6)
    job, _ = with_leak(job, two, 1.1, 1.3)
    with desk_with(job, tmp_path, Stage.REPAIR) as desk:
        yield PlanHand(qtbot, desk)


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def joint(desk: Desk, ref: str) -> Joint:
    """A joint as kept."""
    return joint_named(job_of(desk), ref)


def raise_staff(hand: PlanHand, ref: str) -> None:
    """Point at a vertical joint's sign, coming from elsewhere: a mouse that stays where it was tells nothing."""
    point = joint(hand.desk, ref).point
    assert point is not None
    hand.move((1.0, -1.0))
    hand.move(point)


def on_staff(hand: PlanHand, ref: str, height_m: float) -> Point:
    """The place of a height on a staff that is seen."""
    return hand.desk.staffs[joint(hand.desk, ref).id].point_at(height_m)


def zones(desk: Desk) -> tuple[Zone, ...]:
    """Zones of the job as kept."""
    assert desk.open_job is not None
    return desk.open_job.repairs.zones


def ends(desk: Desk) -> set[tuple[str, float]]:
    """Joint and place of every end of a zone."""
    joints = job_of(desk).joints
    return {(joints[end.joint].ref, round(end.at_m, 3)) for zone in zones(desk) for end in zone.ends}


def stretch(desk: Desk, ref: str) -> tuple[str, float, float]:
    """Joint and ends of a leak as kept."""
    leak = leak_named(job_of(desk), ref)
    return job_of(desk).joints[leak.joint].ref, leak.from_m, leak.to_m


# What is seen ---------------------------------------------------------------------------------------


def test_a_dry_staff_shows_while_a_tool_may_use_it(leaks: PlanHand) -> None:
    """Pointed at with Leak stretch, V-01 shows its staff, still on the way to it; farther off, and without a tool, none does."""
    desk, key = leaks.desk, joint(leaks.desk, "V-01").id
    raise_staff(leaks, "V-01")
    assert not desk.staffs
    leaks.take(LeakStretch)
    raise_staff(leaks, "V-01")
    assert set(desk.staffs) == {key}
    x, y = on_staff(leaks, "V-01", 1.5)
    leaks.move(((x + V1[0]) / 2, (y + V1[1]) / 2))
    assert set(desk.staffs) == {key}
    leaks.move((1.0, -1.0))
    assert not desk.staffs
    desk.pick(Thing(Sort.JOINT, key))
    assert set(desk.staffs) == {key}
    leaks.take(None)
    assert not desk.staffs


def test_a_staff_stays_where_it_is_when_its_joint_gets_wet(leaks: PlanHand) -> None:
    """The staff that was pointed at while dry is the staff that shows the leak."""
    desk = leaks.desk
    leaks.take(LeakStretch)
    raise_staff(leaks, "V-01")
    dry = on_staff(leaks, "V-01", 0.0)
    leaks.click(on_staff(leaks, "V-01", 0.5))
    leaks.click(on_staff(leaks, "V-01", 1.5))
    leaks.take(None)
    leaks.move((1.0, -1.0))
    assert on_staff(leaks, "V-01", 0.0) == dry
    assert stretch(desk, "L-01") == ("V-01", 0.5, 1.5)


def test_what_lies_on_a_staff_is_pointed_at(repair: PlanHand) -> None:
    """Without a tool a staff's zone is marked, with Worst point its leak, and off both nothing is."""
    desk = repair.desk
    repair.move(on_staff(repair, "V-01", 1.5))
    assert desk.pointed is not None
    assert desk.pointed.sort is Sort.ZONE
    repair.take(WorstPoint)
    repair.move(on_staff(repair, "V-01", 1.7))
    assert desk.pointed == Thing(Sort.LEAK, leak_named(job_of(desk), "L-01").id)
    repair.move((1.0, -2.0))
    assert desk.pointed is None


def test_a_staff_that_no_tool_raised_is_not_seen_in_stage_joints(repair: PlanHand) -> None:
    """Where no leaks are shown no staff is, however wet; Split raises that of the joint under the pointer."""
    desk, key = repair.desk, joint(repair.desk, "V-01").id
    desk.go_to(Stage.JOINTS)
    assert not desk.staffs
    repair.take(Split)
    raise_staff(repair, "V-01")
    assert set(desk.staffs) == {key}


def test_a_vertical_joint_is_split_on_its_staff(repair: PlanHand) -> None:
    """A click at 1.4 m and Enter make V-01 1.4 m and V-03 1.6 m high; the run from 1 to 2 m is cut there."""
    desk = repair.desk
    desk.go_to(Stage.JOINTS)
    repair.take(Split)
    raise_staff(repair, "V-01")
    repair.click(on_staff(repair, "V-01", 1.4))
    field = repair.tool.overlay().field
    assert field is not None
    assert field.texts == ("1.40", "1.60")
    repair.enter()
    assert (joint(desk, "V-01").rise_m, joint(desk, "V-03").rise_m) == (1.4, pytest.approx(1.6))
    assert stretch(desk, "L-01") == ("V-01", 1.0, 1.4)


# Leaks ----------------------------------------------------------------------------------------------


def test_a_leak_is_marked_by_two_clicks_on_a_staff(leaks: PlanHand) -> None:
    """Clicks at 0.8 and 2.1 m of V-01 mark that stretch; the field shows both heights before the second; one undo."""
    desk = leaks.desk
    leaks.take(LeakStretch)
    raise_staff(leaks, "V-01")
    leaks.click(on_staff(leaks, "V-01", 2.1))
    assert not job_of(desk).leaks
    leaks.move(on_staff(leaks, "V-01", 0.8))
    field = leaks.tool.overlay().field
    assert field is not None
    assert (field.texts[:2], field.units[:2]) == (("0.80", "2.10"), ("m to", "m up"))
    leaks.click(on_staff(leaks, "V-01", 0.8))
    assert stretch(desk, "L-01") == ("V-01", 0.8, 2.1)
    desk.undo()
    assert not job_of(desk).leaks


def test_a_leak_is_pulled_out_on_a_staff_and_reaches_the_head(leaks: PlanHand) -> None:
    """Pressed at 2.0 m and let go above the staff's top, it runs to the head at 3 m exactly."""
    leaks.take(LeakStretch)
    raise_staff(leaks, "V-01")
    x, y = on_staff(leaks, "V-01", 3.0)
    leaks.drag(on_staff(leaks, "V-01", 2.0), (x, y + 0.1))
    assert stretch(leaks.desk, "L-01") == ("V-01", 2.0, 3.0)


def test_a_height_can_be_clicked_and_the_other_typed(leaks: PlanHand) -> None:
    """A click at 0.5 m, Tab and 1.25 mark 0.50 to 1.25 m: typing is finer than the staff."""
    leaks.take(LeakStretch)
    raise_staff(leaks, "V-01")
    leaks.click(on_staff(leaks, "V-01", 0.5))
    leaks.tab()
    leaks.type("1.25")
    leaks.enter()
    assert stretch(leaks.desk, "L-01") == ("V-01", 0.5, 1.25)


def test_an_end_of_a_leak_is_dragged_on_a_staff(leaks: PlanHand) -> None:
    """With no tool, the upper end of a picked leak from 0.5 to 1.5 m is dragged to 2.4 m."""
    desk = leaks.desk
    leaks.take(LeakStretch)
    raise_staff(leaks, "V-01")
    leaks.click(on_staff(leaks, "V-01", 0.5))
    leaks.click(on_staff(leaks, "V-01", 1.5))
    leaks.take(None)
    leaks.click(on_staff(leaks, "V-01", 1.0))
    assert desk.picked == (Thing(Sort.LEAK, leak_named(job_of(desk), "L-01").id),)
    leaks.drag(on_staff(leaks, "V-01", 1.5), on_staff(leaks, "V-01", 2.4))
    assert stretch(desk, "L-01") == ("V-01", 0.5, 2.4)


def test_a_small_move_on_a_staff_is_meant(repair: PlanHand) -> None:
    """The ring of V-01 moved about 3 px up its staff goes from 1.0 to 1.2 m: a pixel stands for some 6 cm there."""
    repair.take(ReliefTool)
    repair.drag(on_staff(repair, "V-01", 1.0), on_staff(repair, "V-01", 1.2))
    (relief,) = [relief for zone in zones(repair.desk) for relief in zone.relief]
    assert relief.at_m == 1.2


def test_on_the_level_of_its_head_a_vertical_joint_is_clicked_at_its_head(leaks: PlanHand) -> None:
    """V-03 stands on the level below and its head is met here: a spot made by a click on its picked sign lies at 2.5 m."""
    desk = leaks.desk
    here = desk.level
    assert here is not None
    desk.do(add_sheet(job_of(desk), name="B3"))
    below = list(job_of(desk).sheets)[-1]
    desk.do(
        draw_vertical_joint(
            job_of(desk), sheet=below, kind=Kind.CONSTRUCTION, point=(7.0, 3.0), rise_m=2.5, head_sheet=here
        )
    )
    desk.pick(Thing(Sort.JOINT, joint(desk, "V-03").id))
    leaks.take(LeakStretch)
    leaks.click((7.0, 3.0))
    leaks.enter()
    assert stretch(desk, "L-01") == ("V-03", 2.5, 2.5)


def test_the_worst_point_is_clicked_on_a_staff(repair: PlanHand) -> None:
    """A click on the leak, then one at 1.3 m: there the flow is highest, and there its relief point is."""
    desk = repair.desk
    repair.take(WorstPoint)
    repair.click(on_staff(repair, "V-01", 1.7))
    repair.click(on_staff(repair, "V-01", 1.3))
    assert leak_named(job_of(desk), "L-01").worst_m == 1.3
    assert [relief.at_m for zone in zones(desk) for relief in zone.relief] == [1.3]


# Zones ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tool", [Overrun, None])
def test_an_end_of_a_zone_is_dragged_on_a_staff(repair: PlanHand, tool: type[Tool] | None) -> None:
    """The upper end of V-02's zone at 1.6 m dragged to 2.2 m: L-03 to 1.3 m gets 0.90 m after it; one undo."""
    desk = repair.desk
    repair.take(tool)
    repair.click(on_staff(repair, "V-02", 1.2))
    assert [thing.sort for thing in desk.picked] == [Sort.ZONE]
    repair.drag(on_staff(repair, "V-02", 1.6), on_staff(repair, "V-02", 2.2))
    assert leak_named(job_of(desk), "L-03").overrun_to_m == pytest.approx(0.9)
    assert ("V-02", 2.2) in ends(desk)
    desk.undo()
    assert ("V-02", 1.6) in ends(desk)


def test_an_end_is_dragged_down_a_staff_through_the_junction_and_back(repair: PlanHand) -> None:
    """V-02's zone ends at 0.1 m; dragged to 9.0 m of J-01 it is 0.4 + 1.0 = 1.40 m long, dragged up to 0.3 m 0.10 m."""
    desk = repair.desk
    repair.take(Overrun)
    repair.click(on_staff(repair, "V-02", 0.5))
    repair.drag(on_staff(repair, "V-02", 0.1), (9.0, 0.0))
    assert leak_named(job_of(desk), "L-02").overrun_from_m == pytest.approx(1.4)
    assert ("J-01", 9.0) in ends(desk)
    assert desk.open_job is not None
    assert (desk.open_job.undo_words or "").startswith("move end of Z-")
    field = repair.tool.overlay().field
    assert field is not None  # the end is still in hand, on the other joint now
    assert field.texts == ("1.40",)
    repair.drag((9.0, 0.0), on_staff(repair, "V-02", 0.3))
    assert leak_named(job_of(desk), "L-02").overrun_from_m == pytest.approx(0.1)
    assert ("V-02", 0.3) in ends(desk)


def test_a_method_is_given_to_the_zone_on_a_staff(repair: PlanHand) -> None:
    """A click on V-01's staff picks its zone for Method."""
    repair.take(ZoneMethod)
    repair.click(on_staff(repair, "V-01", 1.5))
    (thing,) = repair.desk.picked
    zone = next(zone for zone in zones(repair.desk) if zone.number == thing.key)
    assert {job_of(repair.desk).joints[piece.joint].ref for piece in zone.pieces} == {"V-01"}


def test_zones_are_kept_apart_on_a_staff(repair: PlanHand) -> None:
    """L-02 reaches 0.9 m of V-02 and L-03 down to 0.8 m; a cut at 0.85 m parts them, and a click on it merges them."""
    desk = repair.desk
    assert len(zones(desk)) == 2
    repair.take(KeepApart)
    repair.click(on_staff(repair, "V-02", 0.85))
    repair.click(on_staff(repair, "V-02", 0.85))
    assert [cut.at_m for cut in job_of(desk).cuts.values()] == [0.85]
    assert len(zones(desk)) == 3
    repair.click(on_staff(repair, "V-02", 0.85))
    repair.enter()
    assert len(zones(desk)) == 2


# Relief points --------------------------------------------------------------------------------------


def test_a_relief_point_is_dragged_along_a_staff(repair: PlanHand) -> None:
    """The ring of V-01, at its lowest wet point 1 m, is drawn on the staff, dragged to 1.6 m, and given back by Delete."""
    desk = repair.desk
    repair.take(ReliefTool)
    (ring,) = [grip for grip in repair.tool.overlay().grips if grip.grip is Grip.RELIEF]
    assert ring.at == on_staff(repair, "V-01", 1.0)
    repair.drag(on_staff(repair, "V-01", 1.0), on_staff(repair, "V-01", 1.6))
    (relief,) = [relief for zone in zones(desk) for relief in zone.relief]
    assert (relief.at_m, relief.by_hand) == (1.6, True)
    repair.delete()
    (relief,) = [relief for zone in zones(desk) for relief in zone.relief]
    assert (relief.at_m, relief.by_hand) == (1.0, False)


def test_a_relief_point_is_dropped_and_another_added_on_a_staff(repair: PlanHand) -> None:
    """Delete drops the picked ring of V-01; two clicks at 1.2 m of V-02 let that seep's water out there."""
    desk = repair.desk
    repair.take(ReliefTool)
    repair.click(on_staff(repair, "V-01", 1.0))
    repair.delete()
    assert not [relief for zone in zones(desk) for relief in zone.relief]
    repair.click(on_staff(repair, "V-02", 1.2))
    repair.click(on_staff(repair, "V-02", 1.2))
    (relief,) = [relief for zone in zones(desk) for relief in zone.relief]
    assert (job_of(desk).joints[relief.joint].ref, relief.at_m) == ("V-02", 1.2)
