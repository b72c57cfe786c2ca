"""Joints taken from lines of the drawing: real mouse and keys on plan and ledger, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.ledger.models import Part
from leakmap.desk.ledger.pane import LedgerPane
from leakmap.desk.slices import Slices
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Stage, Thing
from leakmap.desk.tools import from_lines, line_search, many_lines
from leakmap.desk.tools.from_lines import FromLines
from leakmap.desk.tools.tool import Stroke
from leakmap.desk.trouble import Trouble
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind, Side
from leakmap.work.edits.joints import draw_joint
from tests.helpers.drawn_levels import along, desk_on_drawing
from tests.helpers.open_jobs import new_job
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import one_sheet

ROOM = along((4, -3), (10, -3), (10, 3), (4, 3), (4, -3))
LIMITS = [(4, 0, 10, 0), (12, -4, 12, 4), (14, -4, 14, 1), (16, 4, 16, 4.06)]
LAYERS = {"WALLS": ROOM, "LIMITS": LIMITS}
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk on a drawing: a room of 6 by 6 m, and pour limits of 6, 8 and 5 m with a stub of 60 mm."""
    with desk_on_drawing(LAYERS, tmp_path) as desk:
        yield desk


@pytest.fixture
def ledger(desk: Desk, qtbot: QtBot) -> LedgerPane:
    """The ledger beside the plan."""
    pane = LedgerPane(desk)
    qtbot.addWidget(pane)
    pane.resize(436, 700)
    pane.show()
    qtbot.waitExposed(pane)
    return pane


@pytest.fixture
def hand(desk: Desk, qtbot: QtBot, ledger: LedgerPane) -> PlanHand:  # noqa: ARG001 - it listens from the start
    """A hand that has taken From lines."""
    hand = PlanHand(qtbot, desk)
    hand.take(FromLines)
    return hand


def rows(ledger: LedgerPane) -> list[str]:
    """First words of every row of the ledger."""
    return [str(entry.note.words if entry.wide else entry.line.values.get("ref")) for entry in ledger.model.entries]


def click_row(ledger: LedgerPane, qtbot: QtBot, words: str) -> None:
    """Click the row that begins with words."""
    row = next(row for row, said in enumerate(rows(ledger)) if said.startswith(words))
    place = ledger.table.visualRect(ledger.model.index(row, 0)).center()
    qtbot.mouseClick(ledger.table.viewport(), LEFT, pos=place)


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def joints_of(desk: Desk) -> list[Joint]:
    """Its joints."""
    return list(job_of(desk).joints.values())


def numbers(desk: Desk) -> list[int]:
    """Numbers of what is offered."""
    assert desk.offered is not None
    return [line.number for line in desk.offered.lines]


def told_by(desk: Desk) -> list[Trouble]:
    """What the band tells from now on."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    return told


def test_layer_is_chosen_in_the_list_and_shown(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """Its lines are offered in the colour of the hand and as rows; the stub is left out and said; no joint is there."""
    assert rows(ledger) == ["Layers", "WALLS, 4 lines", "LIMITS, 4 lines"]
    click_row(ledger, qtbot, "LIMITS")
    assert rows(ledger)[3:7] == ["1", "2", "3", "Total"]
    assert rows(ledger)[-1] == "Left out, shorter than 0.10 m: 1 line."
    assert {line.stroke for line in hand.tool.overlay().lines} == {Stroke.LIVE}
    assert len(hand.tool.overlay().lines) == 3
    assert "Enter takes all 3" in hand.tool.sentence()
    assert not joints_of(desk)
    click_row(ledger, qtbot, "LIMITS")
    assert rows(ledger) == ["Layers", "WALLS, 4 lines", "LIMITS, 4 lines"]


def test_click_takes_one_line(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """A click on a line of the plan makes it a joint of the chosen kind; pointing marks its row; one undo offers it again."""
    click_row(ledger, qtbot, "LIMITS")
    hand.type("2")
    hand.move((12, 1))
    assert desk.pointed == Thing(Sort.PROPOSAL, 2)
    assert hand.tool.overlay().lines[0].stroke is Stroke.MARKER
    hand.click((12, 1))
    (joint,) = joints_of(desk)
    assert (joint.ref, joint.kind, joint.length_m) == ("J-01", Kind.CONTRACTION, 8.0)
    assert numbers(desk) == [1, 3]
    desk.undo()
    assert not joints_of(desk)
    assert numbers(desk) == [1, 2, 3]


def test_enter_takes_all_as_one_step(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """Three joints in one deed with one name; undo gives the very job back."""
    before = job_of(desk)
    click_row(ledger, qtbot, "LIMITS")
    hand.enter()
    assert [joint.ref for joint in joints_of(desk)] == ["J-01", "J-02", "J-03"]
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "take 3 joints from layer LIMITS"
    assert numbers(desk) == []
    desk.undo()
    assert job_of(desk) == before


def test_delete_leaves_out_and_backspace_brings_back(
    hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot
) -> None:
    """What is pointed at is left out, beside all lines nothing is; the rest is taken; Backspace brings the last one back."""
    click_row(ledger, qtbot, "LIMITS")
    hand.move((11, 1))
    hand.delete()
    assert numbers(desk) == [1, 2, 3]
    for place in ((12, 1), (14, 0)):
        hand.move(place)
        hand.delete()
    assert numbers(desk) == [1]
    hand.press(Qt.Key.Key_Backspace)
    assert numbers(desk) == [1, 3]
    hand.enter()
    assert [joint.length_m for joint in joints_of(desk)] == [6.0, 5.0]


def test_rows_answer_to_enter_and_delete(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """A click on a row picks its line and takes nothing; Enter there takes it, Delete leaves it out."""
    click_row(ledger, qtbot, "LIMITS")
    click_row(ledger, qtbot, "2")
    assert desk.picked == (Thing(Sort.PROPOSAL, 2),)
    assert not joints_of(desk)
    assert hand.tool.sentence().startswith("Enter takes what is picked")
    qtbot.keyClick(ledger.table, Qt.Key.Key_Return)
    assert [joint.length_m for joint in joints_of(desk)] == [8.0]
    click_row(ledger, qtbot, "3")
    qtbot.keyClick(ledger.table, Qt.Key.Key_Delete)
    assert numbers(desk) == [1]


def test_outline_round_a_place(hand: PlanHand, desk: Desk, qtbot: QtBot) -> None:
    """A click in the upper half of the room offers its outline of 6 by 3 m, picked; Enter takes it as a corner joint."""
    hand.type("4")
    hand.type("8")
    hand.click((7, 2))
    qtbot.waitUntil(lambda: numbers(desk) == [1])
    assert desk.picked == (Thing(Sort.PROPOSAL, 1),)
    assert not joints_of(desk)
    hand.enter()
    (joint,) = joints_of(desk)
    assert (joint.kind, joint.face, joint.room_side, joint.closed) == (Kind.WALL_BASE, Face.CORNER, Side.LEFT, True)
    assert joint.length_m == pytest.approx(18.0, abs=1e-4)
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "take 1 joint from an outline"


def test_outline_of_chosen_layers_alone(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """With WALLS chosen the pour limit across the room parts nothing: round the same place lies the whole room, which is offered already."""
    click_row(ledger, qtbot, "WALLS")
    assert numbers(desk) == [1]
    hand.click((7, 2))
    qtbot.waitUntil(lambda: desk.picked == (Thing(Sort.PROPOSAL, 1),))
    assert numbers(desk) == [1]
    assert desk.offered is not None
    assert desk.offered.lines[0].proposal.path.length_m == 24.0


def test_place_without_outline_is_said(hand: PlanHand, desk: Desk, qtbot: QtBot) -> None:
    """Where nothing closes the band says what to do, and nothing is offered."""
    told = told_by(desk)
    hand.click((18, 0))
    qtbot.waitUntil(lambda: bool(told))
    assert told[0].sentence.startswith("No lines close round this place")
    assert numbers(desk) == []


def test_line_on_a_joint_is_marked_and_not_taken_unasked(
    hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot
) -> None:
    """Beside J-01, 10 mm off, the line says so in its row and in red; all leaves it; a click only asks; Enter then takes."""
    told = told_by(desk)
    assert desk.level is not None
    over = draw_joint(job_of(desk), sheet=desk.level, kind=Kind.CONSTRUCTION, points=[(12.01, -4), (12.01, 4)])
    desk.do(over)
    click_row(ledger, qtbot, "LIMITS")
    row = next(entry for entry in ledger.model.entries if entry.part is Part.LINE and entry.line.values["ref"] == "2")
    assert row.line.values["kind"] == "lies on J-01"
    assert [line.stroke for line in hand.tool.overlay().lines] == [Stroke.LIVE, Stroke.REPAIR, Stroke.LIVE]
    hand.click((12, 1))
    assert len(joints_of(desk)) == 1
    assert "This line lies on J-01 already." in told[-1].sentence
    hand.escape()
    hand.enter()
    assert [joint.length_m for joint in joints_of(desk)] == [8.0, 6.0, 5.0]
    assert numbers(desk) == [2]
    hand.enter()
    assert "lies on a joint already" in told[-1].sentence
    hand.click((12, 1))
    hand.enter()
    assert len(joints_of(desk)) == 4


def test_least_length_and_height_are_typed(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """On a wall: Tab, 5.5 leaves 5 m out, Tab, 1.2 is the height of what is taken; Enter first ends the typing."""
    click_row(ledger, qtbot, "LIMITS")
    hand.type("7")
    hand.tab()
    hand.type("5,5")
    assert numbers(desk) == [1, 2]
    hand.tab()
    hand.type("1.2")
    hand.enter()
    assert not joints_of(desk)
    hand.enter()
    assert [(joint.face, joint.height_m, joint.length_m) for joint in joints_of(desk)] == [
        (Face.WALL, 1.2, 6.0),
        (Face.WALL, 1.2, 8.0),
    ]


def test_esc_steps_back_to_nothing(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """From a picked line, from what is offered, then out of the tool; the ledger lists joints again."""
    click_row(ledger, qtbot, "LIMITS")
    click_row(ledger, qtbot, "2")
    hand.escape()
    assert not desk.picked
    hand.escape()
    assert numbers(desk) == []
    hand.escape()
    assert desk.tool is None
    assert desk.offered is None
    assert ledger.nothing.sentence.startswith("Draw the first joint")


def test_large_layer_is_looked_through_beside_the_window(
    hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody waits for it; it is offered when it is known."""
    monkeypatch.setattr(line_search, "AT_ONCE", 1)
    works: list[object] = []
    desk.working.connect(works.append)
    click_row(ledger, qtbot, "LIMITS")
    assert len(works) == 1
    assert numbers(desk) == []
    qtbot.waitUntil(lambda: numbers(desk) == [1, 2, 3], timeout=20_000)
    hand.enter()
    assert len(joints_of(desk)) == 3


def test_level_without_drawing_has_no_lines(tmp_path: Path, qtbot: QtBot) -> None:
    """On a blank sheet nothing is offered, and the strip says why."""
    job = new_job(tmp_path, one_sheet()[0])
    desk = Desk()
    desk.put(job)
    desk.go_to(Stage.JOINTS)
    hand = PlanHand(qtbot, desk)
    hand.take(FromLines)
    assert desk.offered is None
    assert hand.tool.sentence().startswith("The drawing of this level has no lines")
    hand.click((7, 2))
    hand.enter()
    assert not joints_of(desk)
    desk.put(None)
    job.close()


def test_another_level_starts_anew(hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot) -> None:
    """What was offered of one level is forgotten on another, and offered anew on coming back."""
    click_row(ledger, qtbot, "LIMITS")
    drawn, blank = desk.level, next(iter(job_of(desk).sheets))
    assert drawn is not None
    desk.show_level(blank)
    assert desk.offered is None
    desk.show_level(drawn)
    assert numbers(desk) == []
    assert rows(ledger) == ["Layers", "WALLS, 4 lines", "LIMITS, 4 lines"]
    assert isinstance(hand.tool, FromLines)


def test_many_lines_are_taken_in_slices_that_stop(
    hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped, no line is a joint and all are offered again; done, all are joints by one deed, which one undo takes back."""
    monkeypatch.setattr(many_lines, "AT_ONCE", 1)
    monkeypatch.setattr(from_lines, "AT_ONCE", 1)
    works: list[Slices] = []
    desk.working.connect(works.append)
    before = job_of(desk)
    click_row(ledger, qtbot, "LIMITS")
    qtbot.waitUntil(lambda: numbers(desk) == [1, 2, 3])
    hand.enter()
    assert "Esc stops" in hand.tool.sentence()
    works[-1].stop()
    qtbot.waitUntil(lambda: numbers(desk) == [1, 2, 3])
    assert job_of(desk) is before
    hand.enter()
    hand.enter()  # once more means nothing while joints are being made
    qtbot.waitUntil(lambda: len(joints_of(desk)) == 3)
    assert not any(work.running for work in works)
    qtbot.waitUntil(lambda: numbers(desk) == [])
    desk.undo()
    assert job_of(desk) == before
    qtbot.waitUntil(lambda: numbers(desk) == [1, 2, 3])


def test_many_lines_are_compared_with_joints_in_slices(
    hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped, the layer is not chosen; a deed meanwhile begins it anew, and what lies on the new joint is said so."""
    monkeypatch.setattr(many_lines, "AT_ONCE", 1)
    works: list[Slices] = []
    desk.working.connect(works.append)
    click_row(ledger, qtbot, "LIMITS")
    assert not numbers(desk)
    works[-1].stop()
    assert desk.offered is not None
    assert not any(layer.chosen for layer in desk.offered.layers)
    click_row(ledger, qtbot, "LIMITS")
    assert desk.level is not None
    desk.do(
        draw_joint(job_of(desk), sheet=desk.level, kind=Kind.CRACK, points=[(4, 0), (10, 0)], face=hand.tool.next.face)
    )
    qtbot.waitUntil(lambda: len(numbers(desk)) == 3)
    assert desk.offered is not None
    assert [line.on for line in desk.offered.lines] == [("J-01",), (), ()]


def test_a_deed_while_lines_are_taken_gives_the_taking_up(
    hand: PlanHand, desk: Desk, ledger: LedgerPane, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The deed stands, no line is taken, and the band says so."""
    monkeypatch.setattr(from_lines, "AT_ONCE", 1)
    click_row(ledger, qtbot, "LIMITS")
    hand.enter()
    told = told_by(desk)
    assert desk.level is not None
    desk.do(draw_joint(job_of(desk), sheet=desk.level, kind=Kind.CRACK, points=[(0, 8), (5, 8)]))
    qtbot.waitUntil(lambda: bool(told))
    assert [trouble.sentence for trouble in told] == [many_lines.CHANGED]
    assert [joint.ref for joint in joints_of(desk)] == ["J-01"]
    qtbot.waitUntil(lambda: numbers(desk) == [1, 2, 3])
