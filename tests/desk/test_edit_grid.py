"""The grid changed axis by axis, and the grid that a drawing shows: what the hand does, checked on the job."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from leakmap.base.resources import resource
from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools import offer_grid
from leakmap.desk.tools.edit_grid import EditGrid
from leakmap.desk.tools.set_grid import SetGrid, grid_tool
from leakmap.desk.tools.tool import Stroke
from leakmap.desk.trouble import Trouble
from leakmap.desk.watched import Watched
from leakmap.model.grid import Axes, Grid, axes_with_bays
from leakmap.model.job import Job
from leakmap.model.sheet import Source
from leakmap.work.edits.grid import set_grid
from leakmap.work.edits.sheets import show_layer
from tests.helpers.desks import Fingers, desk_with
from tests.helpers.plan_hand import PlanHand
from tests.helpers.small_jobs import one_sheet

PLAN = resource("sample_plans", "tern_quay_b2.dxf").read_bytes()
GRID = Grid(letters=axes_with_bays("ABC", (6.0, 7.2)), numbers=axes_with_bays("12", (4.2,), towards_deg=-90.0))


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """A blank level B2 under a grid: A, B, C at x 0, 6, 13.2; 1, 2 at y 0, −4.2."""
    with desk_with(set_grid(one_sheet()[0], grid=GRID).job, tmp_path, Stage.DRAWING) as desk:
        yield desk


def job_of(desk: Desk) -> Job:
    """The job as kept."""
    assert desk.open_job is not None
    return desk.open_job.job


def undo_words(desk: Desk) -> str | None:
    """What undo would undo."""
    assert desk.open_job is not None
    return desk.open_job.undo_words


def places(desk: Desk, family: str = "letters") -> dict[str, float]:
    """Axes by name, places to the millimetre."""
    grid = job_of(desk).grid
    axes: Axes = getattr(grid or Grid(), family)
    return {axis.name: round(axis.at_m, 3) for axis in axes.each}


def hand_with(desk: Desk) -> Fingers:
    """A hand that pressed G."""
    desk.take_tool(grid_tool(desk))
    return Fingers(desk)


def field_of(hand: Fingers) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What the live field says, and its units."""
    field = hand.tool.overlay().field
    assert field is not None
    return field.texts, field.units


def test_pointing_marks_an_axis_and_a_click_picks_it(desk: Desk) -> None:
    """Pointing shows B in marker and no field; a click shows its bay from A; neither changes anything."""
    before = job_of(desk)
    hand = hand_with(desk)
    assert isinstance(hand.tool, EditGrid)
    hand.move((6.05, 2.0))
    (line,) = hand.tool.overlay().lines
    assert line.stroke is Stroke.MARKER
    assert [x for x, _ in line.points] == pytest.approx([6.0, 6.0])
    assert hand.tool.overlay().field is None
    hand.click((6.05, 2.0))
    assert field_of(hand) == (("B", "6.00"), ("axis", "m from A"))
    hand.click((3.0, 0.02))
    assert field_of(hand) == (("1", "4.20"), ("axis", "m to 2"))
    hand.click((3.0, -2.0))  # between axes: lets go
    assert hand.tool.overlay().field is None
    assert job_of(desk) is before


def test_a_typed_bay_moves_the_axes_behind(desk: Desk) -> None:
    """B picked and 6.5 typed: B at 6.5, C still 7.2 after it; one undo, in words."""
    hand = hand_with(desk)
    hand.click((6.0, 2.0))
    hand.type("6.5")
    hand.tool.entered()
    assert places(desk) == {"A": 0.0, "B": 6.5, "C": 13.7}
    assert undo_words(desk) == "set bay after axis A"
    hand.type("6")  # B is still picked
    hand.tool.entered()
    assert places(desk)["B"] == 6.0
    desk.undo()
    desk.undo()
    assert job_of(desk).grid == GRID


def test_a_letter_renames_and_tab_leads_to_a_number(desk: Desk) -> None:
    """A letter goes to the name by itself, a number after Tab; name and bay together are one undo."""
    hand = hand_with(desk)
    hand.click((6.0, 2.0))
    hand.type("x")
    hand.tool.entered()
    assert list(places(desk)) == ["A", "X", "C"]
    assert undo_words(desk) == "rename axis B"
    hand.click((3.0, -4.2))
    hand.tool.tabbed()
    hand.type("7")
    hand.tool.tabbed()
    hand.type("5")
    hand.tool.entered()
    assert places(desk, "numbers") == {"1": 0.0, "7": 5.0}
    assert undo_words(desk) == "change axis 2"


def test_a_name_in_use_and_a_bay_of_nothing_are_refused(desk: Desk) -> None:
    """Both are said in one sentence, and what was typed stays to be mended."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand = hand_with(desk)
    hand.click((6.0, 2.0))
    hand.type("c")
    hand.tool.entered()
    assert hand.tool.erased()
    hand.tool.tabbed()
    hand.type("0")
    hand.tool.entered()
    assert "Two axes are called C" in told[0].sentence
    assert "greater than zero" in told[1].sentence
    assert field_of(hand)[0] == ("B", "0")
    assert job_of(desk).grid == GRID


def test_dragging_moves_one_axis(desk: Desk) -> None:
    """B dragged to x 7 is shown there before it is kept; A and C stay; onto C it is not kept."""
    hand = hand_with(desk)
    hand.tool.moved(hand.at((6.0, 2.0)))
    hand.tool.pressed(hand.at((6.0, 2.0)))
    hand.tool.dragged(hand.at((7.0, 2.5)))
    assert desk.job is not None
    assert desk.job.grid is not None
    assert desk.job.grid.letters.each[1].at_m == pytest.approx(7.0)
    assert job_of(desk).grid == GRID
    hand.tool.released(hand.at((7.0, 2.5)))
    assert places(desk) == {"A": 0.0, "B": 7.0, "C": 13.2}
    assert undo_words(desk) == "move axis B"
    hand.drag((7.0, 2.0), (13.205, 2.0))
    assert places(desk)["B"] == 7.0


def test_delete_removes_and_arrows_nudge(desk: Desk) -> None:
    """Delete takes the picked axis out; an arrow moves one by what of the step runs across it."""
    hand = hand_with(desk)
    assert not hand.tool.deleted()
    assert not hand.tool.nudged(0.01, 0.0)
    hand.click((6.0, 2.0))
    hand.tool.nudged(0.01, 0.0)
    hand.tool.nudged(0.0, 0.01)
    assert places(desk)["B"] == 6.01
    hand.tool.deleted()
    assert list(places(desk)) == ["A", "C"]
    assert undo_words(desk) == "remove axis B"


@pytest.mark.parametrize(
    ("spot", "typed", "family", "axes"),
    [
        ((19.0, -2.0), "", "letters", {"A": 0.0, "B": 6.0, "C": 13.2, "D": 19.0}),
        ((19.0, -2.0), "6.0", "letters", {"A": 0.0, "B": 6.0, "C": 13.2, "D": 19.2}),
        ((19.0, -2.0), "g", "letters", {"A": 0.0, "B": 6.0, "C": 13.2, "G": 19.0}),
        ((3.0, -9.0), "4.8", "numbers", {"1": 0.0, "2": 4.2, "3": 9.0}),
        ((-5.0, -2.0), "z", "letters", {"Z": -5.0, "A": 0.0, "B": 6.0, "C": 13.2}),
        ((20.0, 3.0), "", "letters", {"A": 0.0, "B": 6.0, "C": 13.2, "D": 20.0}),
    ],
)
def test_a_click_beside_the_last_axis_stands_the_next_one_there(
    desk: Desk, spot: tuple[float, float], typed: str, family: str, axes: dict[str, float]
) -> None:
    """The next axis is offered with the next name and the bay as clicked; both can be typed; Enter keeps it as one undo."""
    hand = hand_with(desk)
    hand.click(spot)
    assert job_of(desk).grid == GRID
    hand.type(typed)
    hand.tool.entered()
    assert places(desk, family) == axes
    assert (undo_words(desk) or "").startswith("add axis ")
    desk.undo()
    assert job_of(desk).grid == GRID


def test_an_axis_before_a_needs_a_name(desk: Desk) -> None:
    """No letter comes before A: Enter asks for a name and adds nothing; a name in use moves no other axis."""
    told: list[Trouble] = []
    desk.troubled.connect(told.append)
    hand = hand_with(desk)
    hand.click((-5.0, -2.0))
    hand.tool.entered()
    assert "No name comes before A" in told[0].sentence
    hand.type("b")
    hand.tool.entered()
    assert "There is an axis B already" in told[1].sentence
    assert job_of(desk).grid == GRID


def test_esc_steps_back(desk: Desk) -> None:
    """Esc forgets what was typed, then lets the axis go, then leaves the tool to the plan."""
    hand = hand_with(desk)
    hand.click((6.0, 2.0))
    hand.type("6")
    assert [hand.tool.escaped() for _ in range(3)] == [True, True, False]
    hand.click((19.0, -2.0))
    assert [hand.tool.escaped() for _ in range(2)] == [True, False]
    assert job_of(desk).grid == GRID


def test_undo_lets_go_of_an_axis_that_is_gone(desk: Desk) -> None:
    """After D was added and undone nothing is picked, and typing changes nothing."""
    hand = hand_with(desk)
    hand.click((19.0, -2.0))
    hand.tool.entered()
    assert field_of(hand)[0][0] == "D"
    desk.undo()
    assert hand.tool.overlay().field is None
    assert not hand.tool.typed("5")


def test_another_whole_grid_can_be_picked(desk: Desk) -> None:
    """The choice "all anew" picks a grid from its first axis on, and leads back; the set grid stays until the new one is kept."""
    hand = hand_with(desk)
    next(choice for choice in hand.tool.choices() if choice.words == "W all anew").take()
    assert isinstance(hand.tool, SetGrid)
    next(choice for choice in hand.tool.choices() if choice.words == "X axis by axis").take()
    assert isinstance(hand.tool, EditGrid)
    assert job_of(desk).grid == GRID


@pytest.mark.slow
def test_by_mouse_and_keys_on_the_plan(qtbot: QtBot, desk: Desk) -> None:
    """A real mouse picks B, keys type its bay, Delete removes it; letters go to the axis, not to the buttons."""
    hand = PlanHand(qtbot, desk)
    desk.take_tool(grid_tool(desk))
    hand.click((6.0, 2.0))
    hand.type("6.25")
    hand.enter()
    assert places(desk)["B"] == 6.25
    hand.type("s")
    hand.enter()
    assert list(places(desk)) == ["A", "S", "C"]
    hand.drag((6.25, 2.0), (7.25, 2.0))
    assert places(desk)["S"] == 7.25
    hand.delete()
    assert list(places(desk)) == ["A", "C"]
    hand.escape()
    assert desk.tool is None


# The grid that a drawing shows -------------------------------------------------------------------------


@pytest.fixture
def drawn(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:  # noqa: ARG001 - a window system is needed
    """Level B2 with its sample drawing and no grid."""
    job, _ = one_sheet(source=Source(name="b2.dxf", sha256=sha256(PLAN).hexdigest(), unit=1.0))
    with desk_with(job, tmp_path, Stage.DRAWING, (PLAN,)) as desk:
        yield desk


def answer(trouble: Trouble, words: str) -> None:
    """Press a button of the band."""
    next(each for each in trouble.answers if each.words == words).give()


@pytest.mark.slow
def test_the_grid_of_a_large_drawing_is_looked_for_aside(
    qtbot: QtBot, drawn: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped, or with another tool in hand, nothing is offered; left alone it is offered as it would be at once."""
    monkeypatch.setattr(offer_grid, "AT_ONCE", 1)
    works: list[Watched] = []
    ended: list[object] = []
    told: list[Trouble] = []
    drawn.working.connect(works.append)
    drawn.troubled.connect(told.append)
    hand_with(drawn)
    works[-1].stop()
    hand_with(drawn)
    works[-1].finished.connect(ended.append)
    drawn.take_tool(None)
    qtbot.waitUntil(lambda: len(ended) == 1)
    assert told == []
    assert not drawn.dragging
    hand_with(drawn)
    qtbot.waitUntil(lambda: drawn.dragging)
    assert told[0].sentence.startswith("12 axes found, A to F and 1 to 6: each a line that ends at a circle")


def test_home_shows_the_drawing_around_a_small_grid(qtbot: QtBot, drawn: Desk) -> None:
    """A grid of 13 m on a drawing that is read as 31,200 m by 21,600 m: Home shows all four corners of the drawing."""
    drawn.do(set_grid(job_of(drawn), grid=GRID))
    hand = PlanHand(qtbot, drawn)
    hand.press(Qt.Key.Key_Home)
    x0, y0, x1, y1 = hand.plan.camera.shown
    assert x0 < 0
    assert x1 > 31_200
    assert y0 < -4.2
    assert y1 > 21_600


def test_the_grid_of_the_drawing_is_offered_and_never_taken_by_itself(drawn: Desk) -> None:
    """G shows the axes found with the reason; "Set by hand" keeps none; "Use them" keeps all twelve as one undo."""
    told: list[Trouble] = []
    drawn.troubled.connect(told.append)
    before = job_of(drawn)
    hand = hand_with(drawn)
    assert told[0].sentence.startswith("12 axes found, A to F and 1 to 6: each a line that ends at a circle")
    assert "The scale of B2 is not checked yet" in told[0].sentence
    assert [each.words for each in told[0].answers] == ["Use them", "Set by hand"]
    assert not told[0].grave
    assert drawn.job is not None
    assert drawn.job.grid is not None  # shown
    assert job_of(drawn) is before
    answer(told[0], "Set by hand")
    assert drawn.job.grid is None
    next(choice for choice in hand.tool.choices() if choice.words == "D from drawing").take()
    answer(told[1], "Use them")
    grid = job_of(drawn).grid
    assert grid is not None
    assert "".join(axis.name for axis in grid.axes) == "ABCDEF123456"
    assert isinstance(hand.tool, EditGrid)
    assert undo_words(drawn) == "set the grid"
    drawn.undo()
    assert job_of(drawn) == before


def test_enter_takes_the_grid_that_is_offered(drawn: Desk) -> None:
    """While it is offered the strip says so and Enter keeps it; once it is put away Enter keeps nothing."""
    told: list[Trouble] = []
    drawn.troubled.connect(told.append)
    hand = hand_with(drawn)
    assert "Press Enter to use the axes found" in hand.tool.sentence()
    answer(told[0], "Set by hand")
    assert "Enter" not in hand.tool.sentence()
    assert not hand.tool.entered()
    assert job_of(drawn).grid is None
    next(choice for choice in hand.tool.choices() if choice.words == "D from drawing").take()
    assert hand.tool.entered()
    assert job_of(drawn).grid is not None
    assert isinstance(drawn.tool, EditGrid)


def test_an_offer_that_is_not_answered_leaves_with_the_tool(drawn: Desk) -> None:
    """Esc out of the tool, and a first click by hand, both take the axes shown away; the job has no grid."""
    hand = hand_with(drawn)
    hand.click((100.0, 100.0))
    assert drawn.job is not None
    assert drawn.job.grid is None
    drawn.take_tool(grid_tool(drawn))
    drawn.take_tool(None)
    assert drawn.job.grid is None
    assert not drawn.dragging


def test_a_blank_level_offers_no_drawing(desk: Desk) -> None:
    """Without a drawing the choices are the axes that are set and a grid picked anew."""
    assert [choice.words for choice in hand_with(desk).tool.choices()] == ["axis by axis", "W all anew"]


def test_a_drawing_without_a_grid_says_so_when_asked(drawn: Desk) -> None:
    """Hidden marks show no grid: nothing is offered, and asked for it is said with what to do."""
    told: list[Trouble] = []
    drawn.troubled.connect(told.append)
    assert drawn.level is not None
    for layer in ("GRID-MARKS", "0"):
        drawn.do(show_layer(job_of(drawn), sheet=drawn.level, layer=layer, shown=False))
    hand = hand_with(drawn)
    assert not told
    next(choice for choice in hand.tool.choices() if choice.words == "D from drawing").take()
    assert "B2 shows no grid" in told[0].sentence
    assert job_of(drawn).grid is None
