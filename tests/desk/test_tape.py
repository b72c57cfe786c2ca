"""The tape: what lies on it, and what the hand does there, checked on the job with real events."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise, product
from math import atan2, cos, degrees, radians, sin
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRectF, Qt
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.desk.larger import larger, sizes_for
from leakmap.desk.state import Desk
from leakmap.desk.tape.ink import band_lines, measure_in
from leakmap.desk.tape.lanes import FIELD_PX, lanes_of
from leakmap.desk.tape.live import field_of
from leakmap.desk.tape.naming import show
from leakmap.desk.tape.reel import Reel
from leakmap.desk.tape.rows import covered, squeezed
from leakmap.desk.tape.view import nothing_words
from leakmap.desk.theme import tokens
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tokens import TAPE_LIMITS
from leakmap.desk.tools.at_rest import tool_at_rest
from leakmap.desk.tools.draw_joint import DrawJoint
from leakmap.desk.tools.keep_apart import KeepApart
from leakmap.desk.tools.leak_handles import along_by, arrow_along
from leakmap.desk.tools.leaks import LeakStretch
from leakmap.desk.tools.overrun import Overrun
from leakmap.desk.tools.places import point_of
from leakmap.desk.tools.relief import ReliefTool
from leakmap.desk.tools.split import Split
from leakmap.desk.tools.tool import Pointer
from leakmap.desk.tools.worst_point import WorstPoint
from leakmap.issue.marks.zones import TURNS
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.sheet import Source
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.ground import ground_of
from leakmap.repair.results import Why, Zone
from leakmap.repair.tape_layout import laid_out
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.edits.rules import set_units
from leakmap.work.sample_job import DRAWINGS, sample_job
from tests.helpers.desks import desk_with
from tests.helpers.ledger_hands import Ledger
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak, with_line
from tests.helpers.tape_clashes import clashes
from tests.helpers.tape_hand import TapeHand

LEAK_Y, BODY_Y, ZONE_Y, BRANCH_Y = 50.0, 83.0, 126.0, 160.0


def made_job() -> Job:
    """J-01 7 m, bend at 4 m, with L-01 seep 1.0 to 2.0, L-02 run 2.4 to 3.0; J-02 starts on it at 5 m; a wall collar.

    Their zones: Z-01 from 0.7 over the merged 2.0 to 2.4 to 3.45 m.
    """
    job, joint = one_line(((0, 0), (4, 0), (4, 3)))
    job, _ = with_line(job, ((4, 1), (8, 1)))
    job, _ = with_leak(job, joint, 1.0, 2.0)
    job, _ = with_leak(job, joint, 2.4, 3.0, Wetness.RUN)
    sheet = next(iter(job.sheets))
    job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(0, 0), rise_m=3.0).job
    return draw_collar(job, sheet=sheet, point=(20.0, 0.0), diameter_m=0.5, face=Face.WALL).job


@pytest.fixture
def hand(qtbot: QtBot, tmp_path: Path) -> Iterator[TapeHand]:
    """A hand on a tape of 100 px a metre, on which J-01 lies, in stage Leaks."""
    with desk_with(made_job(), tmp_path, Stage.LEAKS) as desk:
        pick(desk, "J-01")
        yield TapeHand(qtbot, desk, 7.0)


def pick(desk: Desk, ref: str) -> None:
    """Pick a joint."""
    desk.pick(Thing(Sort.JOINT, joint(desk, ref).id))


def kept(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def joint(desk: Desk, ref: str) -> Joint:
    """A joint of the kept job."""
    return joint_named(kept(desk), ref)


def leak(desk: Desk, ref: str) -> Leak:
    """A leak of the kept job."""
    return leak_named(kept(desk), ref)


def undo_words(desk: Desk) -> str | None:
    """What undo would take back."""
    assert desk.open_job is not None
    return desk.open_job.undo_words


def zone(desk: Desk, number: int = 1) -> Zone:
    """A zone of the job as shown."""
    assert desk.repairs is not None
    return next(one for one in desk.repairs.zones if one.number == number)


def ends_of(desk: Desk) -> list[float]:
    """Where Z-01 stops."""
    return sorted(round(end.at_m, 6) for end in zone(desk).ends)


# Which joint lies there -------------------------------------------------------------------------------


def test_the_last_picked_thing_lays_its_joint_out(hand: TapeHand) -> None:
    """A leak lays out its joint, of several the last; a zone stays on the joint that lies there; nothing says so."""
    desk = hand.desk
    assert hand.view.laying.joint == desk.on_tape == joint(desk, "J-01").id
    assert "L-01 seep from 1.00 to 2.00" in hand.view.heard_details
    pick(desk, "J-02")
    desk.pick(Thing(Sort.LEAK, leak(desk, "L-01").id), add=True)
    assert desk.on_tape == joint(desk, "J-01").id
    desk.pick(Thing(Sort.ZONE, 1))
    assert desk.on_tape == joint(desk, "J-01").id
    desk.pick()
    assert (desk.on_tape, hand.view.shown, hand.view.heard_details) == (
        None,
        None,
        nothing_words(Units.METRIC),
    )
    hand.view.repaint()


def test_down_points_at_branches_and_enter_lays_one_out(hand: TapeHand) -> None:
    """Down goes from branch to branch along J-01 and round, Up back; Enter lays out the one pointed at, Backspace returns."""
    desk = hand.desk
    one, two = (Thing(Sort.JOINT, joint(desk, ref).id) for ref in ("J-01", "J-02"))
    desk.pick(one)
    along = sorted(hand.shown.branches, key=lambda each: each.x)
    branches = list(dict.fromkeys(Thing(Sort.JOINT, each.branch.joint.id) for each in along))
    assert two in branches
    seen = []
    for key in [Qt.Key.Key_Down] * (len(branches) + 1) + [Qt.Key.Key_Up]:
        hand.key(key)
        seen.append(desk.pointed)
    assert seen == [*branches, branches[0], branches[-1]]
    while desk.pointed != two:
        hand.key(Qt.Key.Key_Down)
    hand.key(Qt.Key.Key_Return)
    assert (desk.picked, desk.pointed) == ((two,), None)
    hand.key(Qt.Key.Key_Backspace)
    assert desk.picked == (one,)


def test_a_branch_lays_itself_out_and_backspace_returns(hand: TapeHand) -> None:
    """A click on the name of J-02 lays it out, picked; Backspace brings back J-01 with what was picked there."""
    desk = hand.desk
    picked = Thing(Sort.LEAK, leak(desk, "L-01").id)
    desk.pick(picked)
    name = next(one.words for one in hand.shown.branches if one.branch.joint.ref == "J-02")
    assert name is not None
    hand.bot.mouseClick(hand.view, Qt.MouseButton.LeftButton, pos=hand.pixel(hand.shown.reel.at(name.x + 4), name.y))
    assert desk.on_tape == joint(desk, "J-02").id
    assert desk.picked == (Thing(Sort.JOINT, joint(desk, "J-02").id),)
    hand.key(Qt.Key.Key_Backspace)
    assert (desk.on_tape, desk.picked) == (joint(desk, "J-01").id, (picked,))


def test_brackets_and_buttons_step_from_joint_to_joint(hand: TapeHand) -> None:
    """From J-01 ] goes to J-02 and the button back; with a leak picked they step from its joint; . goes on to L-01."""
    desk = hand.desk
    desk.pick(Thing(Sort.LEAK, leak(desk, "L-01").id))
    hand.type("]")
    assert desk.on_tape == joint(desk, "J-02").id
    hand.bot.mouseClick(hand.pane.head.before, Qt.MouseButton.LeftButton)
    assert desk.on_tape == joint(desk, "J-01").id
    hand.type(".")
    assert desk.picked == (Thing(Sort.LEAK, leak(desk, "L-01").id),)
    hand.type(".")
    assert desk.picked == (Thing(Sort.LEAK, leak(desk, "L-02").id),)


def test_a_joint_that_is_drawn_grows_on_the_tape(hand: TapeHand) -> None:
    """After the first click the joint up to the hand lies there, whole, and grows as the hand moves on."""
    desk = hand.desk
    desk.go_to(Stage.JOINTS)
    desk.take_tool(DrawJoint(desk))
    assert isinstance(desk.tool, DrawJoint)
    for at in ((10.0, 10.0), (12.0, 10.0)):
        desk.tool.moved(Pointer(at=at, raw=at, catch=None, m_per_px=0.01))
        if at[0] == 10.0:
            desk.tool.pressed(Pointer(at=at, raw=at, catch=None, m_per_px=0.01))
    assert hand.shown.layout.joint.length_m == 2.0
    desk.tool.moved(Pointer(at=(15.0, 10.0), raw=(15.0, 10.0), catch=None, m_per_px=0.01))
    assert (hand.shown.layout.joint.length_m, hand.shown.reel.fits) == (5.0, True)
    assert hand.view.accessibleName() == "Tape of J-04"
    hand.click(1.0, BODY_Y)  # a tool of the plan means nothing here
    assert (hand.view.accessibleName(), desk.tool.points) == ("Tape of J-04", [(10.0, 10.0)])


def test_a_joint_that_is_drawn_shows_what_it_meets(hand: TapeHand) -> None:
    """Drawn over J-01 from 1 m below it, it meets that at 1 m as soon as the hand is past, and no more when it comes back."""
    desk = hand.desk
    desk.go_to(Stage.JOINTS)
    desk.take_tool(DrawJoint(desk))
    assert desk.tool is not None
    start = Pointer(at=(2.0, -1.0), raw=(2.0, -1.0), catch=None, m_per_px=0.01)
    desk.tool.moved(start)
    desk.tool.pressed(start)
    seen = []
    for y in (2.0, -0.5, 3.0):
        desk.tool.moved(Pointer(at=(2.0, y), raw=(2.0, y), catch=None, m_per_px=0.01))
        branches = hand.shown.layout.branches
        seen.append([(one.joint.ref, round(one.at_m, 6), round(one.own_m, 6)) for one in branches])
    assert seen == [[("J-01", 1.0, 2.0)], [], [("J-01", 1.0, 2.0)]]


def test_a_movement_joint_that_is_crossed_opens_by_its_name(qtbot: QtBot, tmp_path: Path) -> None:
    """J-04 moves and crosses J-01 at 3.5 m: the tape of each names the other there, and a click on the name opens it."""
    job, _ = with_line(made_job(), ((3.5, -1.0), (3.5, 2.0)), kind=Kind.MOVEMENT)
    with desk_with(job, tmp_path, Stage.JOINTS) as desk:
        pick(desk, "J-01")
        hand = TapeHand(qtbot, desk, 7.0)
        (crossed,) = (one for one in hand.shown.branches if one.branch.movement)
        assert (crossed.branch.joint.ref, crossed.branch.at_m) == ("J-04", 3.5)
        assert "Stops at movement joint: J-04 at 3.50" in hand.view.heard_details
        assert crossed.words is not None
        place = hand.pixel(hand.shown.reel.at(crossed.words.x + 4), crossed.words.y)
        hand.bot.mouseClick(hand.view, Qt.MouseButton.LeftButton, pos=place)
        assert desk.on_tape == joint(desk, "J-04").id
        assert [(one.joint.ref, one.at_m) for one in hand.shown.layout.branches] == [("J-01", 1.0)]
        assert "Crossed by: J-01 at 1.00" in hand.view.heard_details
        hand.view.repaint()


# Looking ----------------------------------------------------------------------------------------------


def test_wheel_zooms_about_the_pointer_drag_pans_double_click_fits(hand: TapeHand) -> None:
    """Four notches double 100 px a metre about 2 m; 100 px to the left show half a metre more; a double click, all."""
    hand.wheel(2.0, 4)
    reel = hand.shown.reel
    assert (round(reel.px_per_m, 6), round(reel.x(2.0), 6)) == (200.0, 224.0)
    start = hand.pixel(5.0, 20.0)
    hand.bot.mousePress(hand.view, Qt.MouseButton.LeftButton, pos=start)
    hand.bot.mouseMove(hand.view, start - QPoint(100, 0))
    hand.bot.mouseRelease(hand.view, Qt.MouseButton.LeftButton, pos=start - QPoint(100, 0))
    assert hand.shown.reel.from_m == pytest.approx(reel.from_m + 0.5)
    assert hand.desk.picked == (Thing(Sort.JOINT, joint(hand.desk, "J-01").id),)
    hand.bot.mouseDClick(hand.view, Qt.MouseButton.LeftButton, pos=hand.pixel(4.8, 20.0))
    assert hand.shown.reel.fits


def test_pointing_marks_the_same_thing_everywhere(hand: TapeHand) -> None:
    """On the leaks' lane the leak is pointed at, on the zones' lane the zone, beside them nothing; the foot has the place."""
    desk = hand.desk
    hand.move(1.5, LEAK_Y)
    assert desk.pointed == Thing(Sort.LEAK, leak(desk, "L-01").id)
    assert desk.caught is not None
    assert desk.caught.at == pytest.approx((1.5, 0.0))
    desk.go_to(Stage.REPAIR)
    hand.move(0.8, ZONE_Y)
    assert desk.pointed == Thing(Sort.ZONE, 1)
    hand.move(6.5, ZONE_Y)
    assert desk.pointed is None
    assert hand.shown.spans_of(Thing(Sort.ZONE, 1)) == [pytest.approx((24 + 70, 24 + 345))]


def test_clicks_pick_what_they_mean(hand: TapeHand) -> None:
    """A leak on its lane, its name below, else the joint itself; with Shift one more."""
    desk = hand.desk
    hand.click(1.5, LEAK_Y)
    assert desk.picked == (Thing(Sort.LEAK, leak(desk, "L-01").id),)
    name = hand.shown.names[1]
    assert (name.strong, name.below) == ("L-02", "2.40–3.00")
    hand.click(hand.shown.reel.at(name.x + 5), name.y)
    assert desk.picked == (Thing(Sort.LEAK, leak(desk, "L-02").id),)
    hand.click(6.0, LEAK_Y)
    assert desk.picked == (Thing(Sort.JOINT, joint(desk, "J-01").id),)


def test_an_imperial_job_is_ruled_in_feet(qtbot: QtBot, tmp_path: Path) -> None:
    """A foot is 0.3048 m: L-01 from 1.00 to 2.00 m stands there from 3' 3 3/8" to 6' 6 3/4", a wall-base joint is a cove."""
    job, _ = one_line(kind=Kind.WALL_BASE)
    job, _ = with_leak(job, next(iter(job.joints)), 1.0, 2.0)
    with desk_with(set_units(job, units=Units.IMPERIAL).job, tmp_path, Stage.LEAKS) as desk:
        pick(desk, "J-01")
        hand = TapeHand(qtbot, desk, 7.0)
        assert [words.below for words in hand.shown.names] == ["3' 3 3/8\"–6' 6 3/4\""]
        assert hand.view.heard_details.startswith("J-01, cove, 22' 11 5/8\". Leaks: L-01 seep")
        hand.pane.repaint()


def test_a_bridged_gap_is_hatched_as_on_the_plan() -> None:
    """Lines run along and across it, one diagonal for an overrun, two for what merged; all 4.6 px apart, square to them."""
    box = QRectF(10.0, 116.0, 60.0, 20.0)
    for why, turns in {Why.OVERRUN: (45,), Why.MERGED: (45, 135), Why.BRIDGE: (0, 90)}.items():
        assert TURNS[why] == turns
    for turn in (0, 45, 90, 135):
        lines = band_lines(box, box, float(turn))
        ways = {round(degrees(atan2(line.dy(), line.dx()))) % 180 for line in lines}
        assert ways == {turn}
        feet = sorted(line.y1() * cos(radians(turn)) - line.x1() * sin(radians(turn)) for line in lines)
        assert [b - a for a, b in pairwise(feet)] == pytest.approx([4.6] * (len(feet) - 1))
        assert len(feet) > 3


def test_the_tape_grows_with_the_letters(hand: TapeHand) -> None:
    """At a text size of 200 % the lanes are 1.6 times as high, as the pane is."""
    before = hand.shown.names
    try:
        larger().share = 2.0
        hand.pane.set_sizes(sizes_for(1600))
        hand.pane.resize(hand.pane.width(), sizes_for(1600).tape)
        assert hand.shown.lanes.leak == pytest.approx(80.0, rel=0.01)
        assert hand.shown.names[0].wide == pytest.approx(2 * before[0].wide, rel=0.05)
        hand.pane.repaint()
    finally:
        larger().share = 1.0


def long_named(job: Job) -> Job:
    """The same with names of joints as long as they may be, in three scripts."""
    words = ("Κατασκευαστικός αρμός", "Рабочий шов подвала", "Kicker of the north wall")
    named = {
        key: replace(joint, ref=f"{words[number % 3]} {number}")
        for number, (key, joint) in enumerate(job.joints.items())
    }
    return replace(job, joints=named)


@pytest.mark.parametrize("named", [lambda job: job, long_named])
def test_no_word_on_the_tape_covers_another(qtbot: QtBot, named: Callable[[Job], Job]) -> None:  # noqa: ARG001 - the application must be there
    """On every joint of the sample, at both ends of text size, window width and height of the pane, no word is cut or covered."""
    job = named(sample_job(sources={name: Source(name=file, sha256="0" * 64) for name, file in DRAWINGS.items()}))
    ground = ground_of(job)
    made = repairs(job)
    try:
        for percent, width, low in product((100, 200), (1180, 1600), (False, True)):
            larger().share = percent / 100
            sizes = sizes_for(width)
            high, right = TAPE_LIMITS[0] if low else sizes.tape, width - sizes.tape_head - sizes.ledger * (not low)
            for key, joint in job.joints.items():
                layout = laid_out(job, made, key, ground.junctions.network, ground.junctions.movement)
                reel = Reel(length_m=joint.length_m, left=FIELD_PX, right=right - FIELD_PX)
                for stage in (Stage.JOINTS, Stage.LEAKS, Stage.REPAIR):
                    lanes, measure = lanes_of(sizes, high), measure_in(sizes.tape_type)
                    shown = show(job, layout, reel, lanes, stage=stage, measure=measure)
                    assert not clashes(shown, sizes.tape_type, right), (joint.ref, percent, width, high, stage)
    finally:
        larger().share = 1.0


def test_a_marked_name_leaves_no_half_of_another(qtbot: QtBot, tmp_path: Path) -> None:
    """A name that had no room stands in the stead of those it covers: nothing of them is left beside it."""
    job, joint = one_line()
    for at in (1.0, 1.2):
        job, _ = with_leak(job, joint, at, at + 0.05, Wetness.SEEP)
    with desk_with(job, tmp_path, Stage.LEAKS) as desk:
        pick(desk, "J-01")
        hand = TapeHand(qtbot, desk, 10.0)
        (named,) = hand.shown.names
        (hidden,) = {"L-01", "L-02"} - {named.strong}
        thing = Thing(Sort.LEAK, leak_named(job, hidden).id)
        marked = squeezed(hand.shown, thing)
        assert marked is not None
        assert covered(hand.shown, marked) == [named]
        desk.pick(thing)
        image, head = hand.pane.grab().toImage(), hand.pane.head.width()
        low, high = (
            (named.x, marked.x - 6) if named.x < marked.x else (marked.x + marked.wide + 6, named.x + named.wide)
        )
        ink = {image.pixelColor(head + x, round(named.y)).name().upper() for x in range(round(low), round(high))}
        assert ink == {tokens().panel.upper()}


def test_names_of_leaks_part_from_names_of_branches(qtbot: QtBot, tmp_path: Path) -> None:
    """Letters of 200 % bring names of leaks as low as the rows of a compact tape drawn up high, where they part from J-04's."""
    job, _ = with_line(made_job(), ((1.2, 0), (1.2, 3)))
    try:
        larger().share = 2.0
        with desk_with(job, tmp_path, Stage.LEAKS) as desk:
            pick(desk, "J-01")
            hand = TapeHand(qtbot, desk, 7.0)
            hand.pane.set_sizes(sizes_for(1280))
            hand.pane.resize(hand.pane.width(), 320)
            branches = [branch.words for branch in hand.shown.branches if branch.words is not None]
            assert {"J-02", "J-04"} <= {branch.strong for branch in branches}
            assert hand.shown.names
            for name, branch in product(hand.shown.names, branches):
                assert branch.y - 18.0 < name.y + 52.0  # half a line above a branch's middle, two below a leak's name
                assert branch.x >= name.x + name.wide or name.x >= branch.x + branch.wide
    finally:
        larger().share = 1.0


# Ends -------------------------------------------------------------------------------------------------


def test_an_end_of_a_leak_drags_as_one_step(hand: TapeHand) -> None:
    """The end of L-01 at 2.0 m drawn to 2.2 m: shown while dragged with chainage and new length, then kept once."""
    desk = hand.desk
    hand.click(1.5, LEAK_Y)
    hand.press(2.0, LEAK_Y)
    hand.move(2.1, LEAK_Y)
    hand.move(2.2, LEAK_Y)
    assert leak(desk, "L-01").to_m == 2.0
    assert desk.job is not None
    assert leak_named(desk.job, "L-01").to_m == 2.2
    hand.view.repaint()
    hand.release(2.2, LEAK_Y)
    assert leak(desk, "L-01").to_m == 2.2
    assert undo_words(desk) == "move end of L-01"
    desk.undo()
    assert leak(desk, "L-01").to_m == 2.0


def test_an_end_is_caught_on_a_bend_and_drags_on_past_it(hand: TapeHand) -> None:
    """L-02 drawn to within 7 px of the bend ends exactly at 4 m, where the plan has a corner; beyond, to the centimetre."""
    desk = hand.desk
    hand.click(2.7, LEAK_Y)
    hand.drag(3.0, 4.04, LEAK_Y)
    assert leak(desk, "L-02").to_m == 4.0
    hand.drag(4.0, 4.2, LEAK_Y)
    assert leak(desk, "L-02").to_m == 4.2


def test_an_end_of_a_zone_drags_by_its_overrun(hand: TapeHand) -> None:
    """Z-01 ends 0.45 m past the run at 3.0 m; drawn to 3.75 m its overrun is 0.75 m, by hand, in one step.

    Drawn farther back than the run, it ends with that; the live field tells where it ends and how far that is past it.
    """
    desk = hand.desk
    desk.go_to(Stage.REPAIR)
    hand.click(0.8, ZONE_Y)
    assert ends_of(desk) == [0.7, 3.45]
    hand.press(3.45, ZONE_Y)
    for at_m, told in ((2.0, ("3.00", "0.00")), (3.75, ("3.75", "0.75"))):  # an end stops where its leak does
        hand.move(at_m, ZONE_Y)
        rest = tool_at_rest(desk)
        assert rest is not None
        field = field_of(desk, rest, rest.overlay())
        assert field is not None
        assert (field.texts, field.units) == (told, ("m of J-01", "m past L-02"))
    hand.release(3.75, ZONE_Y)
    assert leak(desk, "L-02").overrun_to_m == 0.75
    assert ends_of(desk) == [0.7, 3.75]
    assert undo_words(desk) == "move end of Z-01"
    assert [round(one.overrun_m, 6) for one in hand.shown.layout.row.by_hand] == [0.75]
    hand.view.repaint()


def test_a_drag_that_merges_zones_stays_on_its_joint(qtbot: QtBot, tmp_path: Path) -> None:
    """J-01 has Z-01 to 2.3 m and Z-02 from 3.7 m, J-02 Z-03: Z-02 drawn back into Z-01 leaves the number 2 to J-02.

    The tape shows J-01 all the while, the ledger marks the row of the zone in hand, not the one that has its number now,
    and the merged zone is picked in the end.
    """
    job, one = one_line(((0, 0), (8, 0)))
    job, two = with_line(job, ((0, 5), (8, 5)))
    for where, from_m, to_m in ((one, 1.0, 2.0), (one, 4.0, 5.0), (two, 1.0, 2.0)):
        job, _ = with_leak(job, where, from_m, to_m)
    with desk_with(job, tmp_path, Stage.REPAIR) as desk:
        desk.pick(Thing(Sort.ZONE, 2))
        hand, ledger = TapeHand(qtbot, desk, 8.0), Ledger(desk, qtbot)
        assert marked_rows(ledger) == ["Z-02"]
        hand.press(3.7, ZONE_Y)
        hand.move(3.0, ZONE_Y)
        hand.move(2.2, ZONE_Y)
        assert desk.on_tape == one
        assert (desk.picked, desk.marked) == ((Thing(Sort.ZONE, 2),), (Thing(Sort.ZONE, 1),))  # on plan and tape
        assert marked_rows(ledger) == ["Z-01"]
        assert desk.repairs is not None
        assert len(desk.repairs.zones) == 2
        hand.release(2.2, ZONE_Y)
        assert (desk.on_tape, desk.picked) == (one, (Thing(Sort.ZONE, 1),))


def marked_rows(ledger: Ledger) -> list[str]:
    """The first cells of the rows that are marked, and selected for who hears them."""
    entries = ledger.model.entries
    found = [row for row, entry in enumerate(entries) if ledger.table.is_picked(entry)]
    assert sorted({index.row() for index in ledger.table.selectionModel().selectedRows()}) == found
    assert all(ledger.table.marker(entries[row]) for row in found)
    return [str(ledger.model.index(row, 0).data()) for row in found]


def test_an_end_on_a_branch_drags_on_its_own_row(hand: TapeHand) -> None:
    """Z-01 drawn over the junction at 5 m reaches 0.25 m into J-02; its end there, drawn to 0.5 m, carries both arms on."""
    desk = hand.desk
    desk.go_to(Stage.REPAIR)
    hand.click(0.8, ZONE_Y)
    hand.drag(3.45, 5.25, ZONE_Y)
    (branch,) = [one for one in hand.shown.branches if one.branch.joint.ref == "J-02"]
    assert branch.branch.part == (0.0, pytest.approx(0.25))
    hand.drag(5.25, 5.5, BRANCH_Y)
    assert leak(desk, "L-02").overrun_to_m == 2.5
    (branch,) = [one for one in hand.shown.branches if one.branch.joint.ref == "J-02"]
    assert branch.branch.part == (0.0, pytest.approx(0.5))


def test_arrows_nudge_the_end_that_tab_came_to(hand: TapeHand) -> None:
    """Tab goes to the first end of L-01, then to its second; two presses of Right move that by 2 cm, each a step."""
    desk = hand.desk
    hand.click(1.5, LEAK_Y)
    hand.key(Qt.Key.Key_Tab)
    hand.key(Qt.Key.Key_Tab)
    hand.key(Qt.Key.Key_Right)
    hand.key(Qt.Key.Key_Right)
    assert (leak(desk, "L-01").from_m, leak(desk, "L-01").to_m) == (1.0, 2.02)
    hand.key(Qt.Key.Key_Left, shift=True)
    assert leak(desk, "L-01").to_m == pytest.approx(1.92)
    hand.key(Qt.Key.Key_Delete)
    assert [one.ref for one in kept(desk).leaks.values()] == ["L-02"]


@pytest.mark.parametrize("at_m", [2.0, 5.0, 6.5])
def test_arrows_along_a_joint_are_read_back(hand: TapeHand, at_m: float) -> None:
    """What an arrow on the tape sends moves exactly as far along the joint, whichever way it runs; a rise goes up."""
    for ref in ("J-01", "V-01"):
        one = joint(hand.desk, ref)
        for by_m in (0.01, -0.1):
            assert along_by(one, min(at_m, 3.0), *arrow_along(one, min(at_m, 3.0), by_m)) == pytest.approx(by_m)


# Tools ------------------------------------------------------------------------------------------------


def test_leaks_are_marked_by_clicks_on_the_tape(hand: TapeHand) -> None:
    """L, then clicks at 5.2 and 6.4 m, round the plan's corner or not, mark that stretch; typed lengths go on too."""
    desk = hand.desk
    desk.take_tool(LeakStretch(desk))
    hand.type("3")
    hand.click(5.2, BODY_Y)
    hand.move(6.4, BODY_Y)
    hand.view.repaint()
    hand.click(6.4, BODY_Y)
    found = leak(desk, "L-03")
    assert (found.from_m, found.to_m, found.wetness) == (5.2, 6.4, Wetness.DRIP)
    hand.click(3.5, LEAK_Y)
    hand.move(4.6, LEAK_Y)
    hand.type("0.35")
    hand.key(Qt.Key.Key_Return)
    assert (leak(desk, "L-04").from_m, leak(desk, "L-04").to_m) == (3.5, 3.85)


def test_a_worst_point_is_clicked_on_the_tape(hand: TapeHand) -> None:
    """W, a click on L-02, then its place at 2.5 m."""
    desk = hand.desk
    desk.take_tool(WorstPoint(desk))
    hand.click(2.7, LEAK_Y)
    hand.view.repaint()
    hand.click(2.5, LEAK_Y)
    assert leak(desk, "L-02").worst_m == 2.5


def test_tools_of_stage_repair_work_on_the_tape(hand: TapeHand) -> None:
    """O picks Z-01; K keeps a cut in the middle of what merged; R drags the ring to 2.6 m.

    Overruns of 0.30 m after 2.0 m and 0.45 m before 2.4 m lie over each other from 2.0 to 2.3 m: the middle is 2.15 m.
    """
    desk = hand.desk
    desk.go_to(Stage.REPAIR)
    desk.take_tool(Overrun(desk))
    hand.click(1.5, ZONE_Y)
    assert desk.picked == (Thing(Sort.ZONE, 1),)
    desk.take_tool(KeepApart(desk))
    hand.click(2.2, ZONE_Y)
    hand.view.repaint()
    hand.click(2.15, ZONE_Y)
    assert [cut.at_m for cut in kept(desk).cuts.values()] == [2.15]
    desk.take_tool(ReliefTool(desk))
    hand.drag(2.7, 2.6, ZONE_Y)
    assert [relief.at_m for relief in kept(desk).reliefs.values()] == [2.6]


def test_a_joint_is_split_on_the_tape(hand: TapeHand) -> None:
    """S, a click at 6 m, Enter: J-01 is 6 m long, and the rest is another joint."""
    desk = hand.desk
    desk.go_to(Stage.JOINTS)
    desk.take_tool(Split(desk))
    hand.click(6.0, BODY_Y)
    hand.view.repaint()
    hand.key(Qt.Key.Key_Return)
    assert joint(desk, "J-01").length_m == 6.0


@pytest.mark.parametrize("ref", ["V-01", "J-03"], ids=["vertical joint", "collar in a wall"])
def test_what_is_a_point_in_plan_is_worked_on_by_its_own_chainage(hand: TapeHand, ref: str) -> None:
    """A leak is clicked and its end dragged to the centimetre on a rise of 3 m, and round a collar that has no staff."""
    desk = hand.desk
    pick(desk, ref)
    one = joint(desk, ref)
    desk.take_tool(LeakStretch(desk))
    share = one.length_m / 3.0
    hand.click(0.3 * share, LEAK_Y)
    hand.click(0.9 * share, LEAK_Y)
    desk.take_tool(None)
    found = leak(desk, "L-03")
    assert (found.joint, found.from_m, found.to_m) == (one.id, round(0.3 * share, 2), round(0.9 * share, 2))
    hand.drag(found.to_m, 1.5 * share, LEAK_Y)
    assert leak(desk, "L-03").to_m == pytest.approx(1.5 * share, abs=0.011)
    assert point_of(one, 0.0) == one.point
