"""The ledger, worked with mouse and keys as a user works it."""

from __future__ import annotations

import hashlib
from decimal import Decimal
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from leakmap.base.measures import Units
from leakmap.base.resources import resource
from leakmap.desk.ledger.models import Part
from leakmap.desk.state import Desk
from leakmap.desk.things import LedgerView, Sort, Stage, Thing
from leakmap.model.sheet import Source
from leakmap.model.words import Kind, Purpose, Wetness
from leakmap.work.edits.joints import draw_joint
from leakmap.work.edits.leaks import add_leak, move_leak_ends
from leakmap.work.edits.rules import set_units
from leakmap.work.edits.sheets import add_sheet
from leakmap.work.ledger_notes import Sign
from leakmap.work.ledger_zones import zone_table
from leakmap.work.settings import Role
from tests.helpers.desks import desk_with
from tests.helpers.ledger_hands import LEFT, Ledger, two_levels
from tests.helpers.mouse import move_mouse
from tests.helpers.small_jobs import DRAWN, joint_named, leak_named, one_line, one_sheet, with_leak, with_line

PLAN = resource("sample_plans", "tern_quay_b2.dxf").read_bytes()


@pytest.fixture
def ledger(desk: Desk, qtbot: QtBot) -> Ledger:
    """Its ledger."""
    return Ledger(desk, qtbot)


def _leak(desk: Desk, ref: str) -> Thing:
    assert desk.job is not None
    return Thing(Sort.LEAK, leak_named(desk.job, ref).id)


def test_rows_come_in_the_order_of_joints_and_chainages(ledger: Ledger) -> None:
    """Leaks of the level stand by joint and chainage, whatever the order in which they were marked."""
    assert ledger.column("ref") == ["L-02", "L-03", "L-01"]
    assert ledger.column("length") == ["1.00", "0.26", "1.00"]


def test_a_click_on_a_heading_sorts_rises_falls_and_lets_go(ledger: Ledger) -> None:
    """The first click rises, the second falls, the third gives the order of chainages back; sums stay below."""
    ledger.click_heading("wetness")
    assert ledger.column("wetness") == ["seep", "drip", "jet"]
    ledger.click_heading("wetness")
    assert ledger.column("wetness") == ["jet", "drip", "seep"]
    assert ledger.model.entries[-1].part is Part.TOTAL
    ledger.click_heading("wetness")
    assert ledger.column("ref") == ["L-02", "L-03", "L-01"]


def test_each_stage_keeps_its_own_order(ledger: Ledger, desk: Desk) -> None:
    """What a stage is sorted by stays its own while another stage is looked at, and is remembered in words."""
    ledger.click_heading("ref")
    desk.go_to(Stage.JOINTS)
    ledger.click_heading("length")
    ledger.click_heading("length")
    assert ledger.column("ref") == ["J-02", "J-01"]
    desk.go_to(Stage.LEAKS)
    assert ledger.column("ref") == ["L-01", "L-02", "L-03"]
    kept = ledger.pane.remembered()
    assert (kept["sort_3"], kept["sort_2"], kept["sort_1"]) == ("ref", "-length", "")
    ledger.click_heading("ref")
    ledger.click_heading("ref")
    assert ledger.column("ref") == ["L-02", "L-03", "L-01"]
    ledger.pane.take_remembered({**kept, "sort_4": 7, "sort_5": "-"})
    assert ledger.column("ref") == ["L-01", "L-02", "L-03"]


def test_a_click_picks_and_ctrl_adds(ledger: Ledger, desk: Desk) -> None:
    """A click picks the leak of its row on the desk; Ctrl-click adds another; a click on the total lets go."""
    ledger.click("L-03")
    assert desk.picked == (_leak(desk, "L-03"),)
    ledger.click("L-01", Qt.KeyboardModifier.ControlModifier)
    assert set(desk.picked) == {_leak(desk, "L-03"), _leak(desk, "L-01")}
    ledger.click("Total")
    assert desk.picked == ()


def test_a_click_on_a_level_puts_it_on_the_plan(ledger: Ledger, desk: Desk) -> None:
    """In stage Drawing the rows are the levels; a click shows one, and the one that is shown is marked."""
    assert desk.job is not None
    desk.go_to(Stage.DRAWING)
    ledger.click("B1")
    assert desk.level is not None
    assert desk.job.sheets[desk.level].name == "B1"
    other, shown = (ledger.table.marker(entry) for entry in ledger.model.entries if entry.part is Part.LINE)
    assert other == 0 < shown


def test_a_deed_keeps_the_pick_on_its_row(ledger: Ledger, desk: Desk) -> None:
    """When rows change places and none is added, the selection goes with what is picked."""
    assert desk.job is not None
    ledger.click("L-03")
    desk.do(move_leak_ends(desk.job, leak=leak_named(desk.job, "L-01").id, from_m=0.2))
    assert ledger.column("ref") == ["L-02", "L-01", "L-03"]
    assert [index.data() for index in ledger.table.selectionModel().selectedRows()] == ["L-03"]


def test_what_is_picked_on_the_plan_is_picked_here(ledger: Ledger, desk: Desk) -> None:
    """A pick from elsewhere selects its row, and the picked row survives sorting and another leak."""
    desk.pick(_leak(desk, "L-01"))
    rows = ledger.table.selectionModel().selectedRows()
    assert [index.data() for index in rows] == ["L-01"]
    ledger.click_heading("wetness")
    assert desk.job is not None
    joint = joint_named(desk.job, "J-01").id
    desk.do(add_leak(desk.job, joint=joint, from_m=3.0, to_m=3.5, wetness=Wetness.RUN))
    assert [index.data() for index in ledger.table.selectionModel().selectedRows()] == ["L-01"]
    assert desk.picked == (_leak(desk, "L-01"),)


def test_hovering_points_on_the_desk_and_shows_the_third_decimal(ledger: Ledger, desk: Desk) -> None:
    """The row under the pointer is pointed at everywhere, and its figures are shown to the millimetre."""
    place = ledger.place("L-03")
    move_mouse(ledger.table.viewport(), place)
    ledger.qtbot.waitUntil(lambda: desk.pointed == _leak(desk, "L-03"))
    entry = ledger.model.entries[ledger.table.rowAt(place.y())]
    assert ledger.table.shown_closely(entry)
    assert ledger.table.marker(entry) > 0
    desk.point_at(_leak(desk, "L-01"))
    other = ledger.model.entries[ledger.table.rowAt(ledger.place("L-01").y())]
    assert ledger.table.marker(other) > 0 == ledger.table.marker(entry)


def test_what_is_pointed_at_stands_out_from_what_is_picked(ledger: Ledger, desk: Desk) -> None:
    """A picked row lies under a weaker marker than the one that is pointed at, also when both are the same row."""
    desk.pick(_leak(desk, "L-01"), _leak(desk, "L-03"))
    desk.point_at(_leak(desk, "L-03"))
    rows = {entry.line.values["ref"]: entry for entry in ledger.model.entries if entry.part is Part.LINE}
    assert 0 < ledger.table.marker(rows["L-01"]) < ledger.table.marker(rows["L-03"])


def test_ctrl_c_copies_picked_rows_with_headings(ledger: Ledger) -> None:
    """Picked rows are copied with three decimals, parted by tabs; with nothing picked the whole table is, total too."""
    ledger.click("L-03")
    ledger.qtbot.keyClick(ledger.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "Ref\tOn\tLength m\tWetness\nL-03\tJ-02\t0.255\tseep\n"
    ledger.click("Total")
    ledger.qtbot.keyClick(ledger.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    rows = QGuiApplication.clipboard().text().splitlines()
    assert len(rows) == 5
    metres = [Decimal(row.split("\t")[2]) for row in rows[1:]]
    assert metres[-1] == sum(metres[:-1]) == Decimal("2.255")


def test_roles_choose_columns_and_nothing_else(ledger: Ledger, desk: Desk) -> None:
    """A click on a role changes the headings; the rows and the totals stay."""
    before = ledger.column("ref"), ledger.pane.totals.figures
    ledger.click_word("site engineer")
    assert desk.role is Role.ENGINEER
    assert ledger.headings() == ["Ref", "On", "From", "To", "Wetness"]
    assert (ledger.column("ref"), ledger.pane.totals.figures) == before


def test_a_narrow_ledger_drops_columns(desk: Desk, qtbot: QtBot) -> None:
    """In the narrow layout stage Leaks does without the joint."""
    assert Ledger(desk, qtbot, 352).headings() == ["Ref", "Length m", "Wetness"]


def test_columns_come_and_go_while_the_ledger_is_made_wider(ledger: Ledger, desk: Desk) -> None:
    """In feet the end of a joint is listed once a ledger is 570 px wide, and left out again in a usual one."""
    assert desk.job is not None
    desk.do(set_units(desk.job, units=Units.IMPERIAL))
    desk.take_role(Role.ENGINEER)
    desk.go_to(Stage.JOINTS)
    for width, shown in ((436, False), (580, True), (436, False)):
        ledger.pane.resize(width, 900)
        assert ("To grid" in ledger.headings()) is shown


def test_the_switch_counts_level_or_job(ledger: Ledger, desk: Desk) -> None:
    """B2 has 13 m of joints, the job 18 m; the rows of both levels are listed with the job's."""
    assert ledger.pane.totals.figures[:2] == ("13.00", "2.26")
    ledger.click_word("whole job")
    assert desk.whole_job
    assert ledger.pane.totals.figures[:2] == ("18.00", "3.26")
    assert ledger.column("ref") == ["L-02", "L-03", "L-01", "L-04"]
    ledger.click_word("this level")
    assert ledger.column("ref") == ["L-02", "L-03", "L-01"]


def test_picking_a_row_of_another_level_shows_that_level(ledger: Ledger, desk: Desk) -> None:
    """With the whole job listed, a click on a leak of B1 puts B1 on the plan and keeps the pick."""
    assert desk.job is not None
    ledger.click_word("whole job")
    ledger.click("L-04")
    assert desk.level is not None
    assert desk.job.sheets[desk.level].name == "B1"
    assert desk.picked == (_leak(desk, "L-04"),)


def test_totals_follow_a_drag_before_it_is_kept(ledger: Ledger, desk: Desk) -> None:
    """While a leak's end is dragged from 2 to 3 m the wet metres grow by one; let go without a deed, they go back."""
    assert desk.job is not None
    edit = move_leak_ends(desk.job, leak=leak_named(desk.job, "L-02").id, to_m=3.0)
    desk.show(edit)
    assert ledger.pane.totals.figures[1] == "3.26"
    assert ledger.column("length")[0] == "2.00"
    desk.show(None)
    assert ledger.pane.totals.figures[1] == "2.26"


def test_in_a_long_list_totals_follow_at_once_and_rows_when_the_hand_rests(
    ledger: Ledger, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With more rows than can follow, the foot shows a drag at once and the rows a moment later."""
    monkeypatch.setattr("leakmap.desk.ledger.pane._MANY", 2)
    assert desk.job is not None
    desk.show(move_leak_ends(desk.job, leak=leak_named(desk.job, "L-02").id, to_m=3.0))
    assert ledger.pane.totals.figures[1] == "3.26"
    assert ledger.column("length")[0] == "1.00"
    ledger.qtbot.waitUntil(lambda: ledger.column("length")[0] == "2.00")


def test_arrows_walk_and_letters_are_left_to_the_window(ledger: Ledger, desk: Desk) -> None:
    """Down picks the next row; a letter is no search in the table: the row stays."""
    ledger.click("L-02")
    ledger.qtbot.keyClick(ledger.table, Qt.Key.Key_Down)
    assert desk.picked == (_leak(desk, "L-03"),)
    ledger.qtbot.keyClick(ledger.table, Qt.Key.Key_L)
    assert desk.picked == (_leak(desk, "L-03"),)


def test_a_double_click_asks_the_plan_to_look(ledger: Ledger, desk: Desk) -> None:
    """A double click on a row asks for its thing in view."""
    with ledger.qtbot.waitSignal(desk.look_at) as asked:
        ledger.qtbot.mouseDClick(ledger.table.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, ledger.place("L-01"))
    assert asked.args == [_leak(desk, "L-01")]


def test_a_zone_row_picks_its_zone_and_the_second_table_says_why(tmp_path: Path, qtbot: QtBot) -> None:
    """Stage Repair lists zones; a leak on a movement joint stands below with its reason, and can be picked too."""
    job, moving = with_line(two_levels(), ((0, 9), (8, 9)), kind=Kind.MOVEMENT)
    job, _ = with_leak(job, moving, 1.0, 2.4)
    with desk_with(job, tmp_path, Stage.REPAIR) as desk:
        ledger = Ledger(desk, qtbot)
        ledger.click("Z-02")
        assert desk.picked == (Thing(Sort.ZONE, 2),)
        notes = [entry.note for entry in ledger.model.entries if entry.part is Part.NOTE]
        assert [note.words for note in notes] == ["L-05 on J-04, 1.40 m, seep"]
        assert "movement joint" in notes[0].more
        ledger.click("L-05")
        assert desk.picked == (_leak(desk, "L-05"),)


def test_empty_stages_say_what_to_do(tmp_path: Path, qtbot: QtBot) -> None:
    """Each empty stage has its sentence; [Draw joint, then return] draws and comes back to the leaks."""
    job, sheet = one_sheet()
    with desk_with(job, tmp_path, Stage.JOINTS) as desk:
        ledger = Ledger(desk, qtbot)
        assert ledger.pane.nothing.sentence == "Draw the first joint: press J and click along it."
        desk.go_to(Stage.REPAIR)
        assert ledger.pane.nothing.sentence == "Nothing to repair yet. Zones appear as soon as a leak is marked."
        desk.go_to(Stage.AS_BUILT)
        assert ledger.pane.nothing.sentence == "Nothing has been issued yet, so there is nothing to record."
        desk.go_to(Stage.LEAKS)
        assert ledger.pane.nothing.sentence == "Leaks lie on joints."
        ledger.click_word("Draw joint, then return")
        assert desk.stage is Stage.JOINTS
        assert desk.tool is not None
        assert desk.job is not None
        desk.do(draw_joint(desk.job, sheet=sheet, points=((0, 0), (4, 0)), kind=Kind.CONSTRUCTION))
        assert desk.stage is Stage.LEAKS
        assert ledger.pane.nothing.sentence == "No leaks yet. Press L and click where the wet stretch starts."


def test_mark_leaks_goes_to_the_leaks(tmp_path: Path, qtbot: QtBot) -> None:
    """[Mark leaks] in stage Repair goes to stage Leaks with the tool in hand."""
    with desk_with(one_line()[0], tmp_path, Stage.REPAIR) as desk:
        Ledger(desk, qtbot).click_word("Mark leaks")
        assert desk.stage is Stage.LEAKS
        assert desk.tool is not None
        assert desk.tool.key == "L"


def test_without_a_job_the_ledger_waits(qtbot: QtBot) -> None:
    """The start window's ledger says what will stand there, and has no figures."""
    ledger = Ledger(Desk(), qtbot)
    assert ledger.pane.nothing.sentence == "Joints, leaks and repairs are listed here as you draw them."
    assert ledger.pane.totals.figures == ("–", "–", "–", "–")


def test_the_check_list_shows_on_the_plan(tmp_path: Path, qtbot: QtBot) -> None:
    """A click on a check picks its zone and asks the plan to look; a begun revision stands in the table."""
    job, joint = one_line()
    job, _ = with_leak(job, joint, 1.0, 2.0, Wetness.SUSPECT)
    with desk_with(job, tmp_path, Stage.ISSUE) as desk:
        ledger = Ledger(desk, qtbot)
        desk.begin_revision(Purpose.PRICE)
        assert ledger.column("rev") == ["P01"]
        with qtbot.waitSignal(desk.look_at) as asked:
            ledger.click("Z-01 is provisional")
        assert asked.args == [Thing(Sort.ZONE, 1)]
        assert desk.picked == (Thing(Sort.ZONE, 1),)


def test_an_unchecked_scale_leads_to_its_tool(tmp_path: Path, qtbot: QtBot) -> None:
    """The check of an unchecked scale says that nothing can be issued for work, and takes the tool that mends it.

    The level that comes to lie under the pointer then is not picked.
    """
    job, joint = one_line(source=DRAWN)
    job, _ = with_leak(job, joint, 1.0, 2.0)
    for name in ("B1", "G", "L1", "L2", "L3", "L4"):
        job = add_sheet(job, name=name).job
    with desk_with(job, tmp_path, Stage.ISSUE) as desk:
        ledger = Ledger(desk, qtbot)
        first = next(entry.note for entry in ledger.model.entries if entry.note.sign is Sign.LOOK)
        assert first.more == "nothing can be issued for work · set scale"
        ledger.click("The scale of B2")
        assert desk.stage is Stage.DRAWING
        assert desk.tool is not None
        assert desk.tool.key == "S"
        assert desk.picked == ()
        assert desk.level == job.joints[joint].sheet


@pytest.mark.slow
def test_a_layer_goes_full_faint_hidden_full(tmp_path: Path, qtbot: QtBot) -> None:
    """Clicks on a layer turn it faint in this window, then hidden in the job, then full again."""
    source = Source(name="tern_quay_b2.dxf", sha256=hashlib.sha256(PLAN).hexdigest())
    job, sheet = one_sheet(source=source)
    with desk_with(job, tmp_path, Stage.DRAWING, (PLAN,)) as desk:
        ledger = Ledger(desk, qtbot)
        desk.list_in_drawing(LedgerView.LAYERS)

        def signs() -> list[Sign]:
            return [entry.note.sign for entry in ledger.model.entries if entry.note.layer == "WALLS"]

        seen = [*signs()]
        for _ in range(3):
            ledger.click("WALLS")
            seen += signs()
        assert seen == [Sign.FULL, Sign.FAINT, Sign.HIDDEN, Sign.FULL]
        assert desk.job is not None
        assert dict(desk.job.sheets[sheet].shown) == {"WALLS": True}
        assert desk.faint_layers(sheet) == frozenset()


def test_rows_of_zones_are_made_before_their_stage_comes(
    ledger: Ledger, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a deed in stage Leaks zones are made while the window is idle; stage Repair makes none and lists the new ones."""
    assert desk.job is not None
    desk.do(move_leak_ends(desk.job, leak=leak_named(desk.job, "L-01").id, from_m=0.2))
    ledger.qtbot.waitUntil(lambda: not ledger.pane.ahead.busy, timeout=5_000)
    with monkeypatch.context() as patch:
        patch.setattr("leakmap.work.ledger_zones._zone_line", lambda *_of: pytest.fail("a row was made late"))
        desk.go_to(Stage.REPAIR)
        early = ledger.column("zone"), ledger.column("measured")
    assert desk.repairs is not None
    afresh = zone_table(desk.job, desk.repairs, desk.level).lines
    assert early[0] == [line.values["zone"] for line in afresh]
    assert early[1] == [f"{line.values['measured']:.2f}" for line in afresh]


def test_a_stage_that_comes_before_its_rows_are_made_lists_them_all(ledger: Ledger, desk: Desk) -> None:
    """At once after a deed stage Repair lists what the deed made of the zones."""
    assert desk.job is not None
    desk.do(move_leak_ends(desk.job, leak=leak_named(desk.job, "L-01").id, from_m=0.2))
    assert ledger.pane.ahead.busy
    desk.go_to(Stage.REPAIR)
    assert desk.repairs is not None
    assert ledger.column("zone") == [
        line.values["zone"] for line in zone_table(desk.job, desk.repairs, desk.level).lines
    ]
