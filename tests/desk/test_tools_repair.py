"""The tools of stage Repair: what the hand does, checked on the job and on the work-out.

J-01 is 20 m long. L-01, a seep, lies from 4 to 5 m and reaches 0.30 m farther, L-02, a drip, from 5.8 to 6.6 m
and 0.40 m: they cover 3.7 to 5.3 and 5.4 to 7.0; the gap of 0.10 m is bridged. L-03, a run from 12 to 13 m,
reaches 0.45 m farther. So Z-01 measures 7.0 − 3.7 = 3.30 m and Z-02 13.45 − 11.55 = 1.90 m.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools.keep_apart import KeepApart
from leakmap.desk.tools.method import ZoneMethod
from leakmap.desk.tools.overrun import Overrun
from leakmap.desk.tools.relief import ReliefTool
from leakmap.desk.tools.tool import Tool
from leakmap.desk.trouble import Trouble
from leakmap.model.words import Method, Wetness
from leakmap.repair.results import Repairs, Zone
from tests.helpers.desks import desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import one_line, with_leak
from tests.helpers.windows import all_painted


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[PlanHand]:
    """A hand on a plan in stage Repair with the job of this module."""
    job, joint = one_line([(0, 0), (20, 0)])
    job, _ = with_leak(job, joint, 4, 5, Wetness.SEEP)
    job, _ = with_leak(job, joint, 5.8, 6.6, Wetness.DRIP)
    job, _ = with_leak(job, joint, 12, 13, Wetness.RUN)
    with desk_with(job, tmp_path, Stage.REPAIR) as desk:
        yield PlanHand(qtbot, desk)


def repairs_of(desk: Desk) -> Repairs:
    """The work-out of the job as kept."""
    assert desk.open_job is not None
    return desk.open_job.repairs


def lengths(desk: Desk) -> dict[str, Decimal]:
    """Measured length of each zone."""
    return {zone.ref: zone.length_m for zone in repairs_of(desk).zones}


def overruns(desk: Desk) -> dict[str, tuple[float | None, float | None]]:
    """Overruns by hand of each leak."""
    assert desk.open_job is not None
    return {leak.ref: (leak.overrun_from_m, leak.overrun_to_m) for leak in desk.open_job.job.leaks.values()}


def last_zone(desk: Desk) -> Zone:
    """The zone of the run."""
    return repairs_of(desk).zones[-1]


def undo_words(desk: Desk) -> str | None:
    """What undo would undo."""
    assert desk.open_job is not None
    return desk.open_job.undo_words


def test_the_job_of_this_module(hand: PlanHand) -> None:
    """The zones measure what the arithmetic above says."""
    desk = hand.desk
    assert lengths(desk) == {"Z-01": Decimal("3.300"), "Z-02": Decimal("1.900")}


@pytest.mark.parametrize("tool", [Overrun, None])
def test_an_end_is_dragged(hand: PlanHand, tool: type[Tool] | None) -> None:
    """The end of Z-02 at 13.45 m dragged to 14.00 m: overrun 14 − 13 = 1.00, zone 14 − 11.55 = 2.45 m; one undo."""
    desk = hand.desk
    hand.take(tool)
    desk.pick(Thing(Sort.ZONE, 2))
    shown: list[Decimal] = []
    desk.shown_changed.connect(lambda: shown.append(desk.repairs.zones[-1].length_m))  # type: ignore[union-attr]
    hand.drag((13.45, 0), (14.0, 0))
    assert Decimal("2.450") in shown
    assert lengths(desk)["Z-02"] == Decimal("2.450")
    assert overruns(desk)["L-03"] == (None, 1.0)
    assert undo_words(desk) == "move end of Z-02"
    desk.undo()
    assert lengths(desk)["Z-02"] == Decimal("1.900")


def test_an_end_dragged_to_the_joints_end_reaches_it_exactly(hand: PlanHand) -> None:
    """Z-01 dragged from 3.7 m to the joint's end at 0: the seep at 4 m gets 4.00 m before it; back to 3.5 m it gets 0.50."""
    desk = hand.desk
    hand.take(Overrun)
    hand.click((4.5, 0))
    hand.drag((3.7, 0), (0.0, 0))
    assert overruns(desk)["L-01"] == (4.0, None)
    hand.drag((0.0, 0), (3.5, 0))
    assert overruns(desk)["L-01"] == (0.5, None)


def test_an_overrun_is_typed_for_one_end_and_for_both(hand: PlanHand) -> None:
    """0.5 at one end: 1.90 + 0.05 = 1.95 m; with Ctrl at both: 0.5 + 1 + 0.5 = 2.00 m; Delete gives one back: 1.95 m."""
    desk = hand.desk
    hand.take(Overrun)
    hand.click((12.5, 0))
    assert desk.picked == (Thing(Sort.ZONE, 2),)
    hand.click((13.45, 0))
    field = hand.tool.overlay().field
    assert field is not None
    assert (field.texts, field.units) == (("0.45",), ("m past L-03",))
    hand.type("0.5")
    assert lengths(desk)["Z-02"] == Decimal("1.900")  # shown, not kept
    hand.enter()
    assert overruns(desk)["L-03"] == (None, 0.5)
    assert lengths(desk)["Z-02"] == Decimal("1.950")
    hand.type("0.5")
    hand.enter(ctrl=True)
    assert overruns(desk)["L-03"] == (0.5, 0.5)
    assert lengths(desk)["Z-02"] == Decimal("2.000")
    assert undo_words(desk) == "set overrun of Z-02"
    hand.delete()
    assert overruns(desk)["L-03"] == (0.5, None)
    assert lengths(desk)["Z-02"] == Decimal("1.950")


@pytest.mark.parametrize("tool", [Overrun, None])
def test_arrows_nudge_the_picked_end(hand: PlanHand, tool: type[Tool] | None) -> None:
    """The end at 13.45 m: right makes 0.46 m past L-03, Shift left then 0.36; up says that the end moves along J-01 only."""
    desk = hand.desk
    hand.take(tool)
    desk.pick(Thing(Sort.ZONE, 2))
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand.click((13.45, 0))
    hand.press(Qt.Key.Key_Right)
    assert overruns(desk)["L-03"] == (None, 0.46)
    assert undo_words(desk) == "move end of Z-02"
    hand.bot.keyClick(hand.plan, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert overruns(desk)["L-03"] == (None, 0.36)
    hand.press(Qt.Key.Key_Up)
    assert overruns(desk)["L-03"] == (None, 0.36)
    assert "moves along J-01 only" in told[-1].sentence


def test_a_nudge_is_shown_while_its_key_is_held(hand: PlanHand) -> None:
    """Three repeats of a held arrow show 0.48 m in the live field, one undo keeps them; Esc instead gives them up."""
    desk, held = hand.desk, Qt.Key.Key_Right
    hand.take(Overrun)
    desk.pick(Thing(Sort.ZONE, 2))
    hand.click((13.45, 0))
    for keep, overrun_m in ((False, None), (True, 0.48)):
        for _ in range(3):
            hand.bot.keyPress(hand.plan, held)
        field = hand.tool.overlay().field
        assert field is not None
        assert field.texts == ("0.48",)
        if not keep:
            hand.escape()
        hand.bot.keyRelease(hand.plan, held)
        assert overruns(desk)["L-03"] == (None, overrun_m)


def test_a_picked_zone_is_marked_only_where_zones_are_shown(hand: PlanHand) -> None:
    """In stage Joints the plan looks the same whether Z-02 is picked or not; in stage Repair it does not."""
    desk = hand.desk

    def looks() -> list[QImage]:
        found = []
        for picked in ((), (Thing(Sort.ZONE, 2),)):
            desk.pick(*picked)
            all_painted(hand.plan)
            found.append(hand.plan.grab().toImage())
        return found

    bare, marked = looks()
    assert bare != marked
    desk.go_to(Stage.JOINTS)
    bare, marked = looks()
    assert bare == marked


def test_tab_goes_round_the_ends(hand: PlanHand) -> None:
    """Tab picks the ends of Z-01 in turn: its overruns are those of L-01 and L-02, then L-01 again."""
    hand.take(Overrun)
    hand.click((4.5, 0))
    units = []
    for _ in range(3):
        hand.tab()
        field = hand.tool.overlay().field
        assert field is not None
        units.append(field.units[0])
    assert units == ["m past L-01", "m past L-02", "m past L-01"]


def test_a_digit_alone_is_the_overrun_of_the_first_end(hand: PlanHand) -> None:
    """With Z-02 picked and no end, 0.6 is typed at its first end: the point in it steps to no other zone."""
    desk = hand.desk
    desk.pick(Thing(Sort.ZONE, 2))
    hand.take(Overrun)
    hand.type("0.6")
    assert desk.picked == (Thing(Sort.ZONE, 2),)
    hand.enter()
    assert overruns(desk)["L-03"] == (0.6, None)


def test_undo_takes_back_what_is_half_done_first(hand: PlanHand) -> None:
    """With a cut shown, undo takes the cut away and leaves the overrun kept before; once more undoes that; redo ends a preview."""
    desk = hand.desk
    desk.pick(Thing(Sort.ZONE, 2))
    hand.take(Overrun)
    hand.type("0.6")
    hand.enter()
    hand.take(KeepApart)
    hand.enter()
    assert desk.dragging
    desk.undo()
    assert not desk.dragging
    assert overruns(desk)["L-03"] == (0.6, None)
    desk.undo()
    assert overruns(desk)["L-03"] == (None, None)
    hand.enter()
    desk.redo()
    assert desk.job is desk.open_job.job  # type: ignore[union-attr] # it is open
    assert overruns(desk)["L-03"] == (0.6, None)


def test_a_method_is_set_by_hand(hand: PlanHand) -> None:
    """Slot without plug on the run drops plug and relief; 0 gives it back; another method takes the zone out: 3.30 m stay."""
    desk = hand.desk
    hand.take(ZoneMethod)
    hand.click((12.5, 0))
    assert last_zone(desk).method is Method.DEEP_PLUG_RELIEF
    hand.type("1")
    assert last_zone(desk).method is Method.SLOT
    assert not last_zone(desk).relief
    hand.type("0")
    assert last_zone(desk).method is Method.DEEP_PLUG_RELIEF
    for _ in range(5):  # from "by the rules" along the cells to "another method"
        hand.press(Qt.Key.Key_Right)
    hand.enter()
    assert lengths(desk) == {"Z-01": Decimal("3.300")}
    assert [item.length_m for item in repairs_of(desk).another_method] == [Decimal("1.000")]
    assert undo_words(desk) == "set method of Z-02"


def test_a_method_is_set_on_every_leak_of_a_zone_in_one_step(hand: PlanHand) -> None:
    """Deep slot on Z-01 is set on both its leaks; one undo takes both back."""
    desk = hand.desk
    hand.take(ZoneMethod)
    hand.click((4.5, 0))
    hand.tool.choices()[3].take()
    assert desk.open_job is not None
    methods = {leak.ref: leak.method for leak in desk.open_job.job.leaks.values()}
    assert methods == {"L-01": Method.DEEP_PLUG, "L-02": Method.DEEP_PLUG, "L-03": None}
    desk.undo()
    assert {leak.method for leak in desk.open_job.job.leaks.values()} == {None}


def test_zones_are_kept_apart_and_merged_again(hand: PlanHand) -> None:
    """A cut in the middle of 5.3 to 5.4 m makes 5.35 − 3.7 = 1.65 and 7.0 − 5.35 = 1.65 m; chargeable 1.7 + 1.7 + 1.9 = 5.3."""
    desk = hand.desk
    hand.take(KeepApart)
    assert repairs_of(desk).totals.chargeable_m == Decimal("5.2")
    hand.click((5.35, 0))
    assert len(repairs_of(desk).zones) == 2  # shown, not kept
    assert desk.repairs is not None
    assert len(desk.repairs.zones) == 3
    hand.click((5.35, 0))
    assert list(lengths(desk).values()) == [Decimal("1.650"), Decimal("1.650"), Decimal("1.900")]
    assert repairs_of(desk).totals.chargeable_m == Decimal("5.3")
    assert {thing.sort for thing in desk.picked} == {Sort.ZONE}
    hand.click((5.35, 0))
    hand.enter()
    assert lengths(desk) == {"Z-01": Decimal("3.300"), "Z-02": Decimal("1.900")}


def test_zones_are_kept_apart_by_keys(hand: PlanHand) -> None:
    """Enter finds the merged stretch, arrows go round all there are, Enter keeps the zones apart, and finds the cut."""
    desk = hand.desk
    hand.take(KeepApart)
    hand.enter()
    assert "at 5.35" in hand.tool.sentence()
    assert hand.tool.nudged(0.01, 0.0)
    assert "at 5.35" in hand.tool.sentence()  # the only one
    assert len(repairs_of(desk).zones) == 2
    hand.enter()
    assert list(lengths(desk).values()) == [Decimal("1.650"), Decimal("1.650"), Decimal("1.900")]
    assert not hand.tool.nudged(0.01, 0.0)
    hand.enter()
    assert "take the cut" in hand.tool.sentence()
    hand.enter()
    assert lengths(desk) == {"Z-01": Decimal("3.300"), "Z-02": Decimal("1.900")}


def test_nothing_is_cut_where_nothing_merged(hand: PlanHand) -> None:
    """A click on a plain leak says that nothing merged there, and shows nothing."""
    desk = hand.desk
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand.take(KeepApart)
    hand.click((12.5, 0))
    assert [trouble.sentence for trouble in told] == ["Nothing is merged here, and no cut lies here."]
    hand.enter()
    assert len(repairs_of(desk).zones) == 2


def test_a_relief_point_is_dragged_and_given_back(hand: PlanHand) -> None:
    """The ring in the middle of the run, 12.50 m, dragged to 12.80 m is set by hand; Delete gives it back to the middle."""
    desk = hand.desk
    hand.take(ReliefTool)
    hand.drag((12.5, 0), (12.8, 0))
    (relief,) = last_zone(desk).relief
    assert (relief.at_m, relief.by_hand) == (12.8, True)
    assert undo_words(desk) == "move relief point of J-01"
    hand.delete()
    (relief,) = last_zone(desk).relief
    assert (relief.at_m, relief.by_hand) == (12.5, False)


def test_a_relief_point_is_dropped_and_taken_back(hand: PlanHand) -> None:
    """Delete drops the ring of the run; two clicks on the leak take the dropping back."""
    desk = hand.desk
    hand.take(ReliefTool)
    hand.click((12.5, 0))
    hand.delete()
    assert not last_zone(desk).relief
    hand.click((12.3, 0))
    assert not last_zone(desk).relief
    hand.click((12.3, 0))
    assert [relief.at_m for relief in last_zone(desk).relief] == [12.5]


def test_a_relief_point_is_added_on_a_wet_leak(hand: PlanHand) -> None:
    """Two clicks on the seep at 4.40 m let its water out there; a drag past the wet part is refused and changes nothing."""
    desk = hand.desk
    hand.take(ReliefTool)
    hand.click((4.4, 0))
    hand.click((4.4, 0))
    zone = repairs_of(desk).zones[0]
    assert [(relief.at_m, relief.by_hand) for relief in zone.relief] == [(4.4, True)]
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand.drag((4.4, 0), (9.0, 0))
    assert [relief.at_m for relief in repairs_of(desk).zones[0].relief] == [4.4]
    assert told[0].sentence.startswith("There is no wet leak at 9.000 m of J-01")
