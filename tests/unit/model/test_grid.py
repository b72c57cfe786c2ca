"""The grid: places said by axes."""

from __future__ import annotations

from dataclasses import replace
from math import cos, hypot, nan, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from leakmap.base.errors import BadValue
from leakmap.model.grid import (
    Axes,
    Axis,
    Grid,
    PickedAxes,
    axes_with_bays,
    bays,
    beyond,
    crossings,
    family_of,
    from_origin_m,
    grid_through,
    line_of,
    name_before,
    nearest_axis,
    next_name,
    point_of_words,
    position_words,
)

QUAY = Grid(
    origin=(0.0, 21.6),
    letters=axes_with_bays("ABCDEF", (6.0, 6.0, 7.2, 6.0, 6.0)),
    numbers=axes_with_bays("123456", (4.2, 4.2, 4.8, 4.2, 4.2), towards_deg=-90.0),
)
TURNS = st.floats(-360, 360)
SKEWS = st.floats(30, 150)
PLACES = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


def turned(turn_deg: float, skew_deg: float = -90.0, origin: tuple[float, float] = (3.0, -2.0)) -> Grid:
    """The grid of the quay at another turn, its families at an angle."""
    return Grid(
        origin=origin,
        letters=replace(QUAY.letters, towards_deg=turn_deg),
        numbers=replace(QUAY.numbers, towards_deg=turn_deg + skew_deg),
    )


def test_position_is_said_past_the_last_axis() -> None:
    """By hand: C stands at 12.0 and 4 at 21.6 − 13.2 = 8.4, so (13.2, 8.05) is 1.20 past C and 0.35 past 4."""
    assert position_words(QUAY, (13.2, 8.05)) == "C+1.20 / 4+0.35"


@pytest.mark.parametrize(
    ("point", "words"),
    [
        ((12.0, 8.4), "C / 4"),
        ((11.996, 8.404), "C / 4"),  # 4 mm before an axis is on it at a centimetre
        ((11.99, 8.4), "B+5.99 / 4"),
        ((-1.0, 22.0), "A−1.00 / 1−0.40"),
        ((35.0, -2.0), "F+3.80 / 6+2.00"),
        ((12.005, 8.4), "C+0.01 / 4"),  # half up
    ],
)
def test_position_near_and_outside_axes(point: tuple[float, float], words: str) -> None:
    """On an axis no distance is said; outside the grid it counts from the outermost axis, with a true minus."""
    assert position_words(QUAY, point) == words


def test_half_a_grid_says_half_a_position() -> None:
    """With one family only, one part is said; without axes nothing."""
    assert position_words(replace(QUAY, numbers=Axes(towards_deg=90.0)), (13.2, 0.0)) == "C+1.20"
    assert not position_words(Grid(), (1.0, 1.0))


@settings(max_examples=60)
@given(turn_deg=TURNS, skew_deg=SKEWS, point=PLACES)
def test_words_lead_back_to_the_place(turn_deg: float, skew_deg: float, point: tuple[float, float]) -> None:
    """Whatever the turn and the angle of the families, reading the words gives the place to the centimetre, each way."""
    grid = turned(turn_deg, skew_deg)
    again = point_of_words(grid, position_words(grid, point))
    assert again is not None
    for axes in (grid.letters, grid.numbers):
        assert from_origin_m(grid, axes, again) == pytest.approx(from_origin_m(grid, axes, point), abs=0.00501)


@settings(max_examples=40)
@given(turn_deg=TURNS, point=PLACES)
def test_turning_site_and_grid_together_changes_no_words(turn_deg: float, point: tuple[float, float]) -> None:
    """A place keeps its words when the plan is turned about the origin, but for the last bits of a half centimetre."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    moved = c * point[0] - s * point[1], s * point[0] + c * point[1]
    one, other = turned(0.0, origin=(0.0, 0.0)), turned(turn_deg, origin=(0.0, 0.0))
    found = point_of_words(one, position_words(other, moved))
    assert found is not None
    assert hypot(found[0] - point[0], found[1] - point[1]) < 0.0075


@settings(max_examples=20)
@given(turn_deg=TURNS, skew_deg=SKEWS)
def test_crossings_are_where_the_lines_meet(turn_deg: float, skew_deg: float) -> None:
    """Each crossing is the point that shapely finds between the two axes drawn as long lines."""
    grid = turned(turn_deg, skew_deg)
    found = {(each.letter, each.number): each.at for each in crossings(grid)}
    assert len(found) == 36
    for letter, number in (("A", "1"), ("C", "4"), ("F", "6")):
        meeting = drawn(grid, letter).intersection(drawn(grid, number))
        assert (meeting.x, meeting.y) == pytest.approx(found[letter, number], abs=1e-6)


def drawn(grid: Grid, name: str) -> LineString:
    """An axis as a line of 400 m."""
    axes = family_of(grid, name)
    assert axes is not None
    (x, y), (dx, dy) = line_of(grid, axes, next(axis for axis in axes.each if axis.name == name))
    return LineString([(x - 200 * dx, y - 200 * dy), (x + 200 * dx, y + 200 * dy)])


def test_bays_lie_between_neighbours() -> None:
    """Five bays between six axes, of the lengths given; none beside a single axis."""
    assert [bay.length_m for bay in bays(QUAY.letters)] == pytest.approx([6.0, 6.0, 7.2, 6.0, 6.0])
    assert (bays(QUAY.letters)[2].first.name, bays(QUAY.letters)[2].second.name) == ("C", "D")
    assert bays(axes_with_bays("A", ())) == ()


def test_letters_skip_i_and_o() -> None:
    """From A on, 26 names reach AB, and neither I nor O is among them."""
    names = ["A"]
    while len(names) < 26:
        names.append(next_name(names[-1]))
    assert names[8] == "J"
    assert names[-3:] == ["Z", "AA", "AB"]
    assert not {"I", "O"} & set(names)


@given(name=st.text("ABHNPZ", min_size=1, max_size=3) | st.integers(1, 200).map(str))
def test_the_name_before_leads_back(name: str) -> None:
    """The name before the next one is the name itself, for letters and numbers."""
    assert name_before(next_name(name)) == name


@settings(max_examples=40)
@given(turn_deg=TURNS, skew_deg=SKEWS, point=PLACES)
def test_the_nearest_axis_is_the_nearest_line(turn_deg: float, skew_deg: float, point: tuple[float, float]) -> None:
    """Of all axes drawn as long lines none lies nearer by shapely than the one found."""
    grid = turned(turn_deg, skew_deg)
    found = nearest_axis(grid, point)
    assert found is not None
    away = {axis.name: Point(point).distance(drawn(grid, axis.name)) for axis in grid.axes}
    assert found[0] == pytest.approx(min(away.values()), abs=1e-6)
    assert away[found[1].name] == pytest.approx(min(away.values()), abs=1e-6)
    assert nearest_axis(Grid(), point) is None


@pytest.mark.parametrize(
    ("point", "axis"),
    [((13.0, 8.0), None), ((-2.0, 8.0), "A"), ((40.0, 8.0), "F"), ((13.0, 30.0), "1"), ((40.0, 24.0), "F")],
)
def test_what_lies_outside_lies_beyond_an_outermost_axis(point: tuple[float, float], axis: str | None) -> None:
    """Inside no axis is named; outside of both families it is the one that the place is farther away from."""
    found = beyond(QUAY, point)
    assert (None if found is None else found[1].name) == axis
    assert beyond(Grid(), point) is None


@pytest.mark.parametrize(
    ("words", "point"),
    [
        ("C+1.20 4+0.35", (13.2, 8.05)),
        ("c+1.2/4+0.35", (13.2, 8.05)),
        ("C4", (12.0, 8.4)),
        ("C-0.5 4−0.5", (11.5, 8.9)),
        ("C", None),
        ("4 C", None),
        ("C+ 4", None),
        ("Z+1 4", None),
        ("", None),
    ],
)
def test_words_are_read(words: str, point: tuple[float, float] | None) -> None:
    """Letters come first, in either case; a hyphen is a minus; what names no axis is no place."""
    found = point_of_words(QUAY, words)
    assert found == (None if point is None else pytest.approx(point))


def test_grid_is_read_from_picks() -> None:
    """Two points on each first axis and one on each further axis give back the grid they were picked on."""
    letters = PickedAxes(name="A", start=(0.0, 30.0), end=(0.0, -3.0), others=(("C", (12.0, 1.0)), ("B", (6.0, 2.0))))
    numbers = PickedAxes(name="1", start=(-1.0, 21.6), end=(5.0, 21.6), others=(("2", (3.0, 17.4)),))
    grid = grid_through(letters, numbers)
    assert grid.origin == pytest.approx((0.0, 21.6))
    assert [(axis.name, pytest.approx(axis.at_m)) for axis in grid.axes] == [
        ("A", 0.0),
        ("B", 6.0),
        ("C", 12.0),
        ("1", 0.0),
        ("2", 4.2),
    ]
    assert position_words(grid, (7.2, 17.05)) == "B+1.20 / 2+0.35"


def test_axes_picked_to_the_left_count_to_the_left() -> None:
    """The way of counting is where the further axes lie."""
    letters = PickedAxes(name="A", start=(0.0, 0.0), end=(0.0, 9.0), others=(("B", (-6.0, 1.0)),))
    assert position_words(grid_through(letters), (-7.0, 0.0)) == "B+1.00"


def test_a_single_pick_counts_right_and_down() -> None:
    """With one axis each, letters count to the right and numbers downwards, whichever way the axes were picked."""
    for turn in (1.0, -1.0):
        letters = PickedAxes(name="A", start=(0.0, 0.0), end=(0.0, 9.0 * turn))
        numbers = PickedAxes(name="1", start=(0.0, 0.0), end=(9.0 * turn, 0.0))
        assert position_words(grid_through(letters, numbers), (2.0, -3.0)) == "A+2.00 / 1+3.00"


def test_unusable_grids_are_refused() -> None:
    """What could not be said or read is refused when it is made."""
    a = Axis(name="A", at_m=0.0)
    with pytest.raises(BadValue, match="at one place or out of order"):
        Axes(each=(a, Axis(name="B", at_m=0.01)))
    with pytest.raises(BadValue, match="at one place or out of order"):
        Axes(each=(Axis(name="B", at_m=3.0), a))
    with pytest.raises(BadValue, match="Two axes are called A"):
        Grid(letters=Axes(each=(a,)), numbers=Axes(towards_deg=90.0, each=(a,)))
    with pytest.raises(BadValue, match="run the same way"):
        Grid(letters=Axes(towards_deg=10.0), numbers=Axes(towards_deg=195.0))
    with pytest.raises(BadValue, match="not a finite number"):
        Grid(origin=(nan, 0.0))
    with pytest.raises(BadValue, match="not a finite number"):
        Axis(name="A", at_m=nan)
    with pytest.raises(BadValue, match="same; pick two points apart"):
        grid_through(PickedAxes(name="A", start=(1.0, 1.0), end=(1.0, 1.0)))
    for name in ("", "A 1", "A+1", "A-1", "A/1"):
        with pytest.raises(BadValue, match="letter or a number"):
            Axis(name=name, at_m=0.0)
