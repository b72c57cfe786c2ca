"""The tools of stage Drawing: what the hand does, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from leakmap.desk.sitting import Sitting
from leakmap.desk.state import Desk
from leakmap.desk.things import LedgerView, Stage
from leakmap.desk.tools.import_drawing import import_drawing
from leakmap.desk.tools.lay_over import LayOver
from leakmap.desk.tools.layers import Layers
from leakmap.desk.tools.new_level import NewLevel
from leakmap.desk.tools.set_grid import SetGrid
from leakmap.desk.tools.set_scale import SetScale
from leakmap.desk.tools.table import ACTIONS, action_for, actions_of
from leakmap.desk.tools.tool import Tool
from leakmap.desk.trouble import Trouble
from leakmap.model.grid import Axes
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source, scale_is_checked
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.small_jobs import one_line, one_sheet

FILE = b"a drawing"


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk in stage Drawing: level B2 with a drawing in metres as its user said, and a joint of 7 m."""
    job, _ = one_line(source=Source(name="b2.dxf", sha256=sha256(FILE).hexdigest(), unit=1.0))
    with desk_with(job, tmp_path, Stage.DRAWING, (FILE,)) as desk:
        yield desk


@pytest.fixture
def blank(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A desk in stage Drawing with a blank level B2."""
    with desk_with(one_sheet()[0], tmp_path, Stage.DRAWING) as desk:
        yield desk


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def sheet_of(desk: Desk) -> Sheet:
    """The level on the plan as kept."""
    assert desk.level is not None
    return job_of(desk).sheets[desk.level]


def hand_with(desk: Desk, tool: type[Tool]) -> Fingers:
    """A hand that has taken a tool."""
    desk.take_tool(tool(desk))
    return Fingers(desk)


def places_of(axes: Axes) -> dict[str, float]:
    """Axes by name, places to the millimetre."""
    return {axis.name: round(axis.at_m, 3) for axis in axes.each}


def test_every_action_has_a_letter_of_its_own_in_its_stage() -> None:
    """Each stage's letters differ, each action takes a tool, runs or lays one thing, and letters find it in either case."""
    for stage in Stage:
        keys = [action.key for action in actions_of(stage) if action.key]
        assert len(keys) == len(set(keys))
    assert all([action.tool, action.run, action.lays].count(None) == 2 for action in ACTIONS)
    assert [action.label for action in actions_of(Stage.JOINTS)] == [
        "Draw joint", "From lines", "Vertical joint", "Bend points", "Split", "Combine"
    ]  # fmt: skip
    assert action_for(Stage.DRAWING, "s") is action_for(Stage.DRAWING, "S")
    assert action_for(Stage.DRAWING, "z") is None


# Set scale -------------------------------------------------------------------------------------------


def test_two_lengths_across_each_other_check_the_scale(desk: Desk) -> None:
    """10 units are 5 m each way: the scale is 0.5 m a unit, checked only after the second; the joint shrinks along."""
    hand = hand_with(desk, SetScale)
    hand.click((10, 10))
    hand.click((20, 10))
    assert not sheet_of(desk).lengths
    hand.type("5")
    assert hand.tool.entered()
    assert sheet_of(desk).placement.x_m_per_unit == pytest.approx(0.5)
    assert not scale_is_checked(sheet_of(desk))
    assert "across the first" in hand.tool.sentence()
    hand.click((8, 5))
    hand.click((8, 10))
    hand.type("5.00")
    hand.tool.entered()
    assert scale_is_checked(sheet_of(desk))
    assert next(iter(job_of(desk).joints.values())).length_m == pytest.approx(3.5)
    assert desk.open_job is not None
    assert desk.open_job.undo_words == "set scale of B2"


def test_undo_takes_a_click_back_before_a_deed(desk: Desk) -> None:
    """With one end of a second length clicked, undo takes that back; only the next undo takes the first length back."""
    hand = hand_with(desk, SetScale)
    hand.click((10, 10))
    hand.click((20, 10))
    hand.type("5")
    assert hand.tool.entered()
    hand.click((8, 5))
    desk.undo()
    assert not hand.tool.half_done
    assert len(sheet_of(desk).lengths) == 1
    desk.undo()
    assert not sheet_of(desk).lengths


def test_lengths_that_disagree_are_said(desk: Desk) -> None:
    """A second length that is 2 % out is told in the band, and the scale stays unchecked."""
    said: list[str] = []
    desk.said.connect(said.append)
    hand = hand_with(desk, SetScale)
    for (start, end), typed in ((((10, 10), (20, 10)), "10"), (((10, 10), (10, 20)), "10.2")):
        hand.click(start)
        hand.click(end)
        hand.type(typed)
        hand.tool.entered()
    assert any("measures" in sentence and "%" in sentence for sentence in said)
    assert not scale_is_checked(sheet_of(desk))


def test_a_first_length_against_the_unit_is_doubted(desk: Desk) -> None:
    """10 units of a drawing in metres are not 10.1 m: said once; 10.04 m, 0.4 % off, is not doubted."""
    said: list[str] = []
    desk.said.connect(said.append)
    hand = hand_with(desk, SetScale)
    for typed in ("10.1", "10.04"):
        hand.click((10, 10))
        hand.click((20, 10))
        hand.type(typed)
        hand.tool.entered()
        desk.undo()
    assert [sentence for sentence in said if "By the unit" in sentence] == [
        "By the unit of b2.dxf this is 10.00 m, not 10.10 m. If the drawing is right, undo and click its ends again."
    ]


def test_enter_without_a_length_asks_for_it_and_esc_steps_back(desk: Desk) -> None:
    """Nothing typed is refused in words; Esc takes back the figure, then each end."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand = hand_with(desk, SetScale)
    hand.click((10, 10))
    hand.click((20, 10.3), shift=True)  # Shift keeps it level
    assert isinstance(hand.tool, SetScale)
    assert hand.tool.ends == [(10, 10), (20, 10)]
    hand.tool.entered()
    assert "Type how long it is" in told[0].sentence
    hand.type("0")
    hand.tool.entered()
    assert "greater than zero" in told[1].sentence
    assert [hand.tool.escaped() for _ in range(4)] == [True, True, True, False]
    assert not sheet_of(desk).lengths


def test_a_blank_level_needs_no_scale(blank: Desk) -> None:
    """A click on a level without a drawing says that its lengths are true, and takes nothing in hand."""
    said: list[str] = []
    blank.said.connect(said.append)
    hand = hand_with(blank, SetScale)
    hand.click((1, 1))
    assert said == ["B2 has no drawing, so its lengths are true; it needs no scale."]
    assert not hand.tool.escaped()


# Set grid --------------------------------------------------------------------------------------------


def test_a_grid_is_picked_axis_by_axis_and_kept_once(blank: Desk) -> None:
    """A at x 1, then a click at 7 (B), a typed bay of 7.2 (C); numbers from y 21.6 down by 4.2: one undo, 5 axes."""
    before = job_of(blank)
    hand = hand_with(blank, SetGrid)
    hand.click((1, 0))
    hand.click((1.3, 20), shift=True)  # upright
    hand.tool.entered()  # A
    hand.click((7, 3))
    hand.tool.entered()  # B, 6.00 as clicked
    hand.click((13, 3))
    hand.tool.tabbed()
    hand.type("7.2")
    hand.tool.entered()  # C
    hand.tool.entered()  # on to the numbers
    hand.click((0, 21.6))
    hand.click((20, 21.6))
    hand.tool.entered()  # 1
    hand.click((5, 17.4))
    assert job_of(blank) is before
    assert blank.job is not None
    assert blank.job.grid is not None  # shown
    hand.tool.entered()  # 2
    hand.tool.entered()
    grid = job_of(blank).grid
    assert grid is not None
    assert grid.origin == pytest.approx((1, 21.6))
    assert places_of(grid.letters) == {"A": 0, "B": 6, "C": 13.2}
    assert places_of(grid.numbers) == {"1": 0, "2": 4.2}
    blank.undo()
    assert job_of(blank).grid is None


def test_bays_are_typed_one_after_the_other(blank: Desk) -> None:
    """With the hand 1 m right of A, 6, 7.2 and 6 are bays to B, C and D, each farther on than the one before; 5 upwards."""
    hand = hand_with(blank, SetGrid)
    hand.click((1, 0))
    hand.click((1, 20))
    hand.tool.entered()  # A
    hand.move((2, 3))
    hand.tool.tabbed()
    for bay in ("6", "7.2", "6"):
        hand.type(bay)
        hand.tool.entered()
    hand.tool.entered()  # on to the numbers
    hand.click((0, 0))
    hand.click((20, 0))
    hand.tool.entered()  # 1
    hand.move((20, 1))
    hand.tool.tabbed()
    hand.type("5")
    assert hand.tool.sentence() == "Press Enter to set axis 2 so far from 1."
    hand.tool.entered()
    hand.tool.entered()
    grid = job_of(blank).grid
    assert grid is not None
    assert places_of(grid.letters) == {"A": 0, "B": 6, "C": 13.2, "D": 19.2}
    assert places_of(grid.numbers) == {"1": 0, "2": 5}


def test_axes_can_be_named_and_taken_back(blank: Desk) -> None:
    """The first axis is called X by typing; the next is offered as Y; Esc takes back axis, name and points."""
    hand = hand_with(blank, SetGrid)
    hand.click((1, 0))
    hand.click((1, 20))
    hand.type("x")
    hand.click((7, 3))
    field = hand.tool.overlay().field
    assert field is not None
    assert field.texts == ("Y", "6.00")
    assert [hand.tool.escaped() for _ in range(5)] == [True, True, True, True, False]
    assert job_of(blank).grid is None
    assert blank.job is job_of(blank)


# New level and layers --------------------------------------------------------------------------------


def test_a_level_is_typed_and_reaches_to_the_floor_above(blank: Desk) -> None:
    """With G at 0 and B1 at −3.60, B3 at −7.80 has a storey of 4.20 m; it is on the plan, and each is one undo."""
    said: list[str] = []
    blank.said.connect(said.append)
    hand = hand_with(blank, NewLevel)
    for name, level in (("G", "0"), ("B1", "-3.6"), ("B3", "-7.8")):
        hand.type(name)
        hand.tool.tabbed()
        hand.type(level)
        hand.tool.entered()
    assert (sheet_of(blank).name, sheet_of(blank).floor_level_m) == ("B3", -7.8)
    assert sheet_of(blank).storey_height_m == pytest.approx(4.2)
    assert said[1:] == ["Its storey is 4.20 m high, up to the floor of B1."]
    assert len(job_of(blank).sheets) == 4
    blank.undo()
    assert len(job_of(blank).sheets) == 3


def test_a_level_needs_a_name_of_its_own(blank: Desk) -> None:
    """No name, or one that is in use, is refused in words and makes nothing."""
    told: list[Trouble] = []
    blank.troubled.connect(told.append)
    hand = hand_with(blank, NewLevel)
    hand.tool.entered()
    hand.type("B2")
    hand.tool.entered()
    assert "needs a name" in told[0].sentence
    assert "already" in told[1].sentence
    assert len(job_of(blank).sheets) == 1


def test_the_level_on_the_plan_gets_its_slab_height_and_name(desk: Desk) -> None:
    """-7.8, 4.2 and B3 are one undo; a level with joints on it cannot be removed, which is said."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand = hand_with(desk, NewLevel)
    next(choice for choice in hand.tool.choices() if choice.words == "T this level").take()
    before = job_of(desk)
    for words in ("-7.8", "4.2", "B3"):
        hand.type(words)
        hand.tool.tabbed()
    hand.tool.entered()
    sheet = sheet_of(desk)
    assert (sheet.name, sheet.floor_level_m, sheet.storey_height_m) == ("B3", -7.8, 4.2)
    desk.undo()
    assert job_of(desk) == before
    assert hand.tool.deleted()
    assert "must be removed first" in told[0].sentence


def test_layers_are_listed_while_the_tool_is_in_hand(desk: Desk) -> None:
    """The ledger lists layers from taking the tool until another, or none, is taken."""
    hand_with(desk, Layers)
    assert desk.ledger_view is LedgerView.LAYERS
    desk.take_tool(None)
    assert desk.ledger_view.value == "levels"


def test_a_level_is_laid_over_another_by_one_place_on_each(desk: Desk) -> None:
    """With 3,4 on B2 and 5,4.5 on B1 the drawing of B2 moves by 2 and 0.5, its joint along; B1 stays."""
    hand = hand_with(desk, NewLevel)
    hand.type("B1")
    hand.tool.entered()
    upper = desk.level
    (lower,) = (key for key in job_of(desk).sheets if key != upper)
    desk.show_level(lower)
    before = job_of(desk)
    hand = hand_with(desk, LayOver)
    hand.click((3, 4))
    assert desk.level == upper
    hand.move((5, 4.5))
    assert hand.tool.overlay().lines[0].points == ((2, 0.5), (6, 0.5), (6, 3.5))  # follows the hand
    hand.click((5, 4.5))
    assert job_of(desk) is before
    hand.tool.entered()
    assert desk.level == lower
    (joint,) = job_of(desk).joints.values()
    assert joint.path is not None
    assert joint.path.points == ((2, 0.5), (6, 0.5), (6, 3.5))
    assert sheet_of(desk).placement.at_m == (2, 0.5)
    desk.undo()
    assert job_of(desk) == before


def test_import_brings_a_chosen_file_to_the_sitting(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file chosen is opened as any file that is dropped on the window; none chosen, nothing happens."""
    opened: list[Path] = []
    chosen = [str(tmp_path / "b1.dxf"), ""]
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (chosen.pop(0), ""))
    monkeypatch.setattr(Sitting, "open_file", lambda _, path: opened.append(path))
    Sitting(desk)
    for _ in range(2):
        import_drawing(desk)
    assert opened == [tmp_path / "b1.dxf"]
