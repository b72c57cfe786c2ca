"""The grid that a drawing shows: found where it is drawn, and not where it is not."""

from __future__ import annotations

from math import cos, radians
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.resources import resource
from leakmap.drawings.grid_lines import GridFound, grid_found
from leakmap.drawings.opening import read_drawing
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, LayerState
from leakmap.model.grid import Axes, bays, crossings, position_words
from leakmap.model.sheet import Sheet
from tests.helpers.drawn_grids import LETTERS, NUMBERS, Board, bays_m, draw_grid

MM = Placement(x_m_per_unit=0.001, y_m_per_unit=0.001)


def sheet(placement: Placement = MM, **facts: object) -> Sheet:
    """A sheet of a drawing in millimetres."""
    return Sheet(id=UUID(int=1), name="B2", placement=placement, **facts)


def found_in(board: Board, **drawn: object) -> GridFound | None:
    """What is found on a board."""
    return grid_found(board.drawing(**drawn), sheet())


def names(axes: Axes) -> str:
    """Names of axes in the way of counting."""
    return " ".join(axis.name for axis in axes.each)


def lengths(axes: Axes) -> list[float]:
    """Bays in metres."""
    return [bay.length_m for bay in bays(axes)]


def assert_quay(found: GridFound | None) -> None:
    """What is found is the grid A to F by 1 to 6, and nothing is left out."""
    assert found is not None
    assert (names(found.grid.letters), names(found.grid.numbers)) == ("A B C D E F", "1 2 3 4 5 6")
    assert lengths(found.grid.letters) == pytest.approx(bays_m(LETTERS.values()), abs=1e-5)
    assert lengths(found.grid.numbers) == pytest.approx(bays_m(NUMBERS.values()), abs=1e-5)
    assert not found.left_out


@pytest.mark.parametrize("level", ["b1", "b2"])
def test_sample_plans_show_their_grid(level: str) -> None:
    """Both levels of the sample give the grid that their maker drew, from A/1 at 0, 21.6."""
    name = f"tern_quay_{level}.dxf"
    found = grid_found(read_drawing(name, resource("sample_plans", name).read_bytes()), sheet())
    assert_quay(found)
    assert found is not None
    assert found.grid.origin == (0.0, 21.6)
    assert (found.grid.letters.towards_deg, found.grid.numbers.towards_deg) == (0.0, -90.0)
    assert position_words(found.grid, (13.2, 8.05)) == "C+1.20 / 4+0.35"
    assert found.words == "12 axes found, A to F and 1 to 6: each a line that ends at a circle with its name."


@settings(max_examples=40, deadline=None)
@given(turn_deg=st.floats(-180, 180), mirrored=st.booleans(), both_ends=st.booleans())
def test_any_turn_and_either_hand(turn_deg: float, mirrored: bool, both_ends: bool) -> None:  # noqa: FBT001 - drawn by hypothesis
    """Turned or mirrored, with bubbles at one end or at both, the same axes are found, and crossings lie where drawn."""
    board = Board(turn_deg=turn_deg, mirrored=mirrored, move=(5000.0, -3000.0))
    draw_grid(board, both_ends=both_ends)
    found = found_in(board)
    assert_quay(found)
    assert found is not None
    for crossing in crossings(found.grid):
        x, y = board.at((LETTERS[crossing.letter], NUMBERS[crossing.number]))
        assert crossing.at == pytest.approx((x / 1000, y / 1000), abs=2e-5)


def test_families_may_lean() -> None:
    """Letter axes that lean by 20 % cross number axes where they are drawn; bays are measured square to the axes."""
    board = Board(skew=0.2)
    draw_grid(board)
    found = found_in(board)
    assert found is not None
    for crossing in crossings(found.grid):
        x, y = board.at((LETTERS[crossing.letter], NUMBERS[crossing.number]))
        assert crossing.at == pytest.approx((x / 1000, y / 1000), abs=2e-5)


@pytest.mark.parametrize("dash", [(1500.0, 300.0), (800.0, 200.0), (4000.0, 700.0), (150.0, 150.0)])
def test_dashes_in_a_row_are_one_axis(dash: tuple[float, float]) -> None:
    """Axes drawn as single dashes, the gaps less than a bubble wide, are found like whole ones."""
    board = Board(turn_deg=17.0)
    draw_grid(board, dash=dash)
    assert_quay(found_in(board))


@pytest.mark.parametrize(("across", "up"), [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (0.5, 0.0), (0.5, 0.5)])
@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_names_may_be_anchored_anywhere(across: float, up: float, hand: float) -> None:
    """A name is found from any anchor, also from one that a mirrored block has thrown to the other side."""
    board = Board()
    draw_grid(board)
    board.texts.clear()
    for ring in (line for line in board.lines if len(line) == 33):
        x, y = sum(p[0] for p in ring[:-1]) / 32, sum(p[1] for p in ring[:-1]) / 32
        letter = next((name for name, at in LETTERS.items() if abs(at - x) < 1 and y > 22000), None)
        name = letter or next(name for name, at in NUMBERS.items() if abs(at - y) < 1)
        at = x - hand * (0.5 - across) * 250, y - hand * (0.5 - up) * 350
        board.text(name, at, across=across, up=up)
    assert_quay(found_in(board))


def test_names_may_stand_off_the_middle() -> None:
    """A name half a radius beside the middle is still the bubble's; one outside the circle is not."""
    for off, axes in (((200.0, -100.0), 4), ((700.0, 0.0), 0)):
        board = Board()
        for name, x in {"A": 0.0, "B": 5000.0}.items():
            board.line((x, 0), (x, 9000))
            board.bubble(name, (x, 9400), off=off)
        for name, y in {"1": 8000.0, "2": 1000.0}.items():
            board.line((-1000, y), (9000, y))
            board.bubble(name, (-1400, y), off=off)
        found = found_in(board)
        assert (0 if found is None else len(found.grid.axes)) == axes


@pytest.mark.parametrize("row", ["ABCDEFGHJKLMNPQR", "ABCDEFGHIJKLMNOP"])
def test_alphabets_with_and_without_i_and_o(row: str) -> None:
    """Names rise whether I and O are used or not; after Z comes AA, after 9 comes 10."""
    letters = {name: 4000.0 * n for n, name in enumerate((*row, "Z", "AA", "AB"))}
    numbers = {str(n): -5000.0 * n for n in range(1, 13)}
    board = Board()
    draw_grid(board, letters, numbers)
    found = found_in(board)
    assert found is not None
    assert names(found.grid.letters) == " ".join((*row, "Z", "AA", "AB"))
    assert names(found.grid.numbers) == "1 2 3 4 5 6 7 8 9 10 11 12"


def test_in_between_axes_stand_in_between() -> None:
    """4a and 4.5 between 4 and 5, and B' between B and C, are axes of their own."""
    board = Board()
    draw_grid(board, {"A": 0.0, "B": 5000.0, "B'": 6000.0, "C": 9000.0}, {"4": 0.0, "4a": 2000.0, "5": 6000.0})
    found = found_in(board)
    assert found is not None
    assert (names(found.grid.letters), names(found.grid.numbers)) == ("A B B' C", "4 4a 5")


def test_numbered_doors_columns_and_marks_are_no_axes() -> None:
    """Doors numbered in circles with short leaders, circles without lines, round tanks, and marks of two words add nothing."""
    board = Board()
    for number in range(7, 19):  # doors
        x, y = 2300.0 * (number - 6), 3000.0 + 700.0 * (number % 4)
        board.bubble(str(number), (x, y), radius=250.0)
        board.line((x + 250, y), (x + 900, y))
    for number in range(20, 30):  # columns
        board.bubble(str(number), (1500.0 * (number - 18), 15000.0))
    for n, letter in enumerate("GHJ"):  # sections: a letter over the number of a sheet, on a long line
        board.line((4000.0 * n, 5000), (4000.0 * n, 20000))
        board.circle((4000.0 * n, 20400))
        board.text(letter, (4000.0 * n, 20500), 180)
        board.text("12", (4000.0 * n, 20250), 180)
    for n in range(3):  # tanks on pipes
        board.circle((6000.0 * n, 10000), 2500)
        board.text(str(n + 1), (6000.0 * n, 10000))
        board.line((6000.0 * n, 12500), (6000.0 * n, 30000))
    assert found_in(board) is None
    draw_grid(board)
    found = found_in(board)
    assert found is not None
    assert (names(found.grid.letters), names(found.grid.numbers)) == ("A B C D E F", "1 2 3 4 5 6")


def test_a_name_out_of_order_is_left_out_and_said() -> None:
    """9 between 2 and 3 does not fit 1 to 6: the six stay, and the words say what was left out."""
    board = Board()
    draw_grid(board, numbers={**NUMBERS, "9": 15000.0})
    found = found_in(board)
    assert found is not None
    assert names(found.grid.numbers) == "1 2 3 4 5 6"
    assert found.left_out == ("9",)
    assert found.words.endswith(" Left out: 9.")


def test_of_two_plans_side_by_side_one_is_taken() -> None:
    """The plan with more axes gives the grid; the other, with the same names 60 m to the right, mixes nothing in."""
    board = Board()
    draw_grid(board, at=(60_000.0, 0.0))
    draw_grid(board, {"A": 0.0, "B": 5000.0}, {"1": 9000.0, "2": 0.0})
    found = found_in(board)
    assert_quay(found)
    assert found is not None
    assert found.grid.origin == pytest.approx((60.0, 21.6))


def test_one_family_is_offered_alone() -> None:
    """Letters alone, or numbers alone, are a grid of one family."""
    for letters, numbers, words in (
        (LETTERS, {}, "6 axes found, A to F: each a line that ends at a circle with its name."),
        ({}, {"1": 9000.0, "2": 0.0}, "2 axes found, 1 and 2: each a line that ends at a circle with its name."),
    ):
        board = Board()
        draw_grid(board, letters, numbers)
        found = found_in(board)
        assert found is not None
        assert found.words == words
        assert lengths(found.grid.letters if letters else found.grid.numbers) == pytest.approx(
            bays_m((letters or numbers).values())
        )


def test_hidden_layers_show_no_grid() -> None:
    """Bubbles on a layer that is off are not seen, unless the user shows that layer."""
    board = Board()
    draw_grid(board)
    drawing = board.drawing(states=[LayerState.OFF])
    assert grid_found(drawing, sheet()) is None
    assert_quay(grid_found(drawing, sheet(shown=(("L0", True),))))


def test_the_grid_lies_where_the_drawing_is_placed() -> None:
    """A drawing with its own origin, turned by 30° and put at 100, 50, gives the grid in the site plane."""
    board = Board()
    draw_grid(board)
    placement = Placement(origin=(7e6, 5e6), x_m_per_unit=0.001, y_m_per_unit=0.001, turn_deg=30.0, at_m=(100.0, 50.0))
    found = grid_found(board.drawing(origin=(7e6, 5e6)), sheet(placement))
    assert_quay(found)
    assert found is not None
    c4 = next(each.at for each in crossings(found.grid) if (each.letter, each.number) == ("C", "4"))
    assert c4 == pytest.approx((100 + 12 * cos(radians(30)) - 8.4 * 0.5, 50 + 12 * 0.5 + 8.4 * cos(radians(30))))


def test_nothing_is_found_in_nothing() -> None:
    """A drawing without lines, one without texts, and axes closer than the drawing tolerance give no grid."""
    empty: Drawing = Board().drawing()
    assert grid_found(empty, sheet()) is None
    board = Board()
    draw_grid(board)
    tiny = Placement(x_m_per_unit=1e-7, y_m_per_unit=1e-7)
    assert grid_found(board.drawing(), sheet(tiny)) is None
    board.texts.clear()
    assert found_in(board) is None


SPOTS = st.tuples(st.integers(-3, 3), st.integers(-3, 3)).map(lambda at: (at[0] * 900.0, at[1] * 900.0))


@settings(max_examples=60, deadline=None)
@given(
    bubbles=st.lists(st.tuples(st.sampled_from(["A", "B", "AA", "1", "2", "12", "C'"]), SPOTS), max_size=8),
    lines=st.lists(st.lists(SPOTS, min_size=1, max_size=4), max_size=12),
    ring=st.lists(SPOTS, min_size=9, max_size=12),
)
def test_whatever_is_drawn_gives_a_usable_grid_or_none(
    bubbles: list[tuple[str, tuple[float, float]]],
    lines: list[list[tuple[float, float]]],
    ring: list[tuple[float, float]],
) -> None:
    """Bubbles and lines anywhere, over each other and without length, never fail; what is found names each axis once."""
    board = Board()
    for name, at in bubbles:
        board.bubble(name, at)
    for line in lines:
        board.line(*line)
    board.line(*ring, ring[0])
    found = found_in(board)
    if found is not None:
        axes = found.grid.axes
        assert len({axis.name for axis in axes}) == len(axes) > 1
        assert {axis.name for axis in axes} <= {name.upper() for name, _ in bubbles}
