"""The grid of a structure: axes with letters one way and with numbers the other.

Grid lines are set out by hand and rarely square to anything, so each family of parallel axes has its own
direction in the site plane. An axis stands at a distance from the origin, measured square to the axes. A
position is said as people on site say it: past which axis, and how far. That axes are lettered without I
and O is common practice, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import chain, pairwise
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Final

from leakmap.base.errors import BadValue
from leakmap.base.length_text import metres_of
from leakmap.base.measures import Units
from leakmap.base.numbers import finite
from leakmap.base.rounding import rounded
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M

LEAST_TURN_DEG: Final = 10.0
"""Least angle between the letter axes and the number axes (ours)."""

LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""The letters of axes in their order."""

_CENTIMETRE: Final = Decimal("0.01")
_NAME: Final = re.compile(r"[^\s/+\-−]+")
_PART: Final = re.compile(r"(?P<name>[^\s/+\-−]+)(?P<past>[+\-−].+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One axis.

    Attributes:
        name: Its letter or number, such as "C" or "4"; no space, slash, plus or minus.
        at_m: Distance from the origin, square to the axes of its family.
    """

    name: str
    at_m: float

    def __post_init__(self) -> None:
        """Refuse a name that could not be read in a position, and a place that is no number.

        Raises:
            BadValue: As said.
        """
        if not _NAME.fullmatch(self.name):
            raise BadValue("An axis needs a letter or a number, without spaces, slashes, plus and minus.")
        finite(self.at_m, f"place of axis {self.name}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """A family of parallel axes.

    Attributes:
        towards_deg: The way in which the axes count, degrees counter-clockwise from the site's x; the axes
            themselves lie square to it.
        each: The axes, in rising place; may be empty.
    """

    towards_deg: float = 0.0
    each: tuple[Axis, ...] = ()

    def __post_init__(self) -> None:
        """Refuse axes out of order, or at one place.

        Raises:
            BadValue: As said.
        """
        finite(self.towards_deg, "turn of the grid")
        for one, other in pairwise(self.each):
            if other.at_m - one.at_m <= DRAWING_TOLERANCE_M:
                raise BadValue(f"Axes {one.name} and {other.name} lie at one place or out of order.")

    @property
    def towards(self) -> Point:
        """The way in which the axes count, as a vector of length 1."""
        return cos(radians(self.towards_deg)), sin(radians(self.towards_deg))

    @property
    def along(self) -> Point:
        """The way in which the axes run, as a vector of length 1: ``towards`` turned left."""
        x, y = self.towards
        return -y, x


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The grid of a structure in the site plane, for all its levels.

    Attributes:
        origin: Site position from which the axes of both families are measured.
        letters: Axes with letters.
        numbers: Axes with numbers.
    """

    origin: Point = (0.0, 0.0)
    letters: Axes = Axes()
    numbers: Axes = Axes(towards_deg=90.0)

    def __post_init__(self) -> None:
        """Refuse families that run the same way, and one name on two axes.

        Raises:
            BadValue: As said.
        """
        for value in self.origin:
            finite(value, "origin of the grid")
        if abs(_cross(self.letters.towards, self.numbers.towards)) < sin(radians(LEAST_TURN_DEG)):
            raise BadValue("The letter axes and the number axes run the same way; pick axes that cross.")
        seen: set[str] = set()
        for axis in self.axes:
            if axis.name in seen:
                raise BadValue(f"Two axes are called {axis.name}; give one of them another name.")
            seen.add(axis.name)

    @property
    def axes(self) -> tuple[Axis, ...]:
        """Every axis, letters first."""
        return (*self.letters.each, *self.numbers.each)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Where a letter axis meets a number axis."""

    letter: str
    number: str
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """The room between two neighbouring axes of a family."""

    first: Axis
    second: Axis

    @property
    def length_m(self) -> float:
        """Distance between the two axes."""
        return self.second.at_m - self.first.at_m


@dataclass(frozen=True, slots=True, kw_only=True)
class PickedAxes:
    """Axes as they are picked on a drawing.

    Attributes:
        name: Name of the first axis.
        start: A site position on the first axis.
        end: Another one on the same axis.
        others: Name of, and a site position on, each further axis.
    """

    name: str
    start: Point
    end: Point
    others: tuple[tuple[str, Point], ...] = ()


def axes_with_bays(names: Iterable[str], bays_m: Iterable[float], *, towards_deg: float = 0.0) -> Axes:
    """Axes from their names and the bays between them; the first lies at the origin.

    >>> [axis.at_m for axis in axes_with_bays("ABC", (6.0, 7.2)).each]
    [0.0, 6.0, 13.2]
    """
    at_m, found = 0.0, []
    for name, bay_m in zip(names, (0.0, *bays_m), strict=True):
        at_m += bay_m
        found.append(Axis(name=name, at_m=at_m))
    return Axes(towards_deg=towards_deg, each=tuple(found))


def grid_through(letters: PickedAxes, numbers: PickedAxes | None = None) -> Grid:
    """The grid through picked axes; its origin is where the first two cross, or the first pick.

    Each family counts towards the axes picked after its first; with one axis alone, letters count to
    the right (else upwards) and numbers downwards (else to the right).

    Raises:
        BadValue: The picks give no direction, two axes at one place, or families that do not cross.
    """
    letters_deg = _towards_deg(letters, (1.0, 1e-9))
    if numbers is None:
        return Grid(
            origin=letters.start,
            letters=_picked(letters, letters_deg, letters.start),
            numbers=Axes(towards_deg=letters_deg - 90.0),
        )
    numbers_deg = _towards_deg(numbers, (1e-9, -1.0))
    bare = Grid(letters=Axes(towards_deg=letters_deg), numbers=Axes(towards_deg=numbers_deg))
    origin = _meeting(bare, _square(bare.letters, letters.start), _square(bare.numbers, numbers.start))
    return Grid(
        origin=origin,
        letters=_picked(letters, letters_deg, origin),
        numbers=_picked(numbers, numbers_deg, origin),
    )


def family_of(grid: Grid, name: str) -> Axes | None:
    """The family of an axis; None where no axis is called so."""
    for axes in (grid.letters, grid.numbers):
        if any(axis.name == name for axis in axes.each):
            return axes
    return None


def from_origin_m(grid: Grid, axes: Axes, point: Point) -> float:
    """Distance of a site position from the origin, in the way in which a family counts."""
    return _square(axes, (point[0] - grid.origin[0], point[1] - grid.origin[1]))


def nearest_axis(grid: Grid, point: Point) -> tuple[float, Axis] | None:
    """The axis nearest to a site position, and how far it is; None where the grid has no axes."""
    found = (
        (abs(axis.at_m - from_origin_m(grid, axes, point)), axis)
        for axes in (grid.letters, grid.numbers)
        for axis in axes.each
    )
    return min(found, key=lambda each: each[0], default=None)


def beyond(grid: Grid, point: Point) -> tuple[Axes, Axis] | None:
    """The family that a site position lies outside of, and its outermost axis there; None inside both.

    Outside of both it is the family that the position lies farther outside of.
    """
    found: list[tuple[float, Axes, Axis]] = []
    for axes in (grid.letters, grid.numbers):
        if axes.each:
            here = from_origin_m(grid, axes, point)
            found += [(axes.each[0].at_m - here, axes, axes.each[0]), (here - axes.each[-1].at_m, axes, axes.each[-1])]
    past_m, axes, axis = max(found, key=lambda each: each[0], default=(0.0, grid.letters, None))
    return None if axis is None or past_m <= DRAWING_TOLERANCE_M else (axes, axis)


def line_of(grid: Grid, axes: Axes, axis: Axis) -> tuple[Point, Point]:
    """A site position on an axis, and the way in which the axis runs, as a vector of length 1."""
    x, y = axes.towards
    return (grid.origin[0] + axis.at_m * x, grid.origin[1] + axis.at_m * y), axes.along


def crossings(grid: Grid) -> Iterator[Crossing]:
    """Every crossing, by letter, then by number."""
    for letter in grid.letters.each:
        for number in grid.numbers.each:
            yield Crossing(letter=letter.name, number=number.name, at=_point_at(grid, letter.at_m, number.at_m))


def bays(axes: Axes) -> tuple[Bay, ...]:
    """The bays of a family in order; none where it has fewer than two axes."""
    return tuple(Bay(first=first, second=second) for first, second in pairwise(axes.each))


def position_words(grid: Grid, point: Point, units: Units = Units.METRIC) -> str:
    """A site position as people say it; empty where the grid has no axes.

    Each part names the last axis that the position has passed, and how far it lies past it, to the
    centimetre or 1/8 inch. Before the first axis the distance is negative.

    >>> grid = Grid(letters=axes_with_bays("ABC", (6.0, 7.2)), numbers=axes_with_bays("12", (4.2,), towards_deg=90))
    >>> position_words(grid, (7.2, 0.35)), position_words(grid, (5.999, -1.0)), position_words(Grid(), (1.0, 2.0))
    ('B+1.20 / 1+0.35', 'B / 1−1.00', '')
    """
    parts = (_past(axes, from_origin_m(grid, axes, point), units) for axes in (grid.letters, grid.numbers) if axes.each)
    return " / ".join(parts)


def point_of_words(grid: Grid, words: str, units: Units = Units.METRIC) -> Point | None:
    """The site position of words such as "C+1.20 / 4+0.35", "C+1.20 4" or "C4"; None where they say none.

    >>> grid = Grid(letters=axes_with_bays("ABC", (6.0, 7.2)), numbers=axes_with_bays("12", (4.2,), towards_deg=90))
    >>> [round(value, 6) for value in point_of_words(grid, "b+1.20 / 2-0.5")], point_of_words(grid, "Z 9")
    ([7.2, 3.7], None)

    Args:
        grid: The axes.
        words: A stroke with spaces about it parts the two, wherever lengths have strokes or spaces of their own.
        units: What lengths without a unit are in.
    """
    names = {axis.name: axis for axis in grid.letters.each}, {axis.name: axis for axis in grid.numbers.each}
    parts = words.split(" / ") if " / " in words else words.replace("/", " ").split()
    if len(parts) == 1:
        parts = next(([a, b] for a in names[0] for b in names[1] if parts[0].casefold() == f"{a}{b}".casefold()), [])
    if len(parts) != 2:
        return None
    found = [_place(known, part.strip(), units) for known, part in zip(names, parts, strict=True)]
    if found[0] is None or found[1] is None:
        return None
    return _point_at(grid, found[0], found[1])


def next_name(name: str) -> str:
    """The name of the axis after one; letters go on without I and O.

    >>> [next_name(name) for name in ("A", "H", "N", "Z", "AZ", "4", "9", "X1", "")]
    ['B', 'J', 'P', 'AA', 'BA', '5', '10', 'X2', 'A']
    """
    number = re.search(r"[0-9]+$", name)
    if number:
        return f"{name[: number.start()]}{int(number[0]) + 1}"
    if not name or name[-1] not in LETTERS:
        return f"{name}A"
    place = LETTERS.index(name[-1]) + 1
    if place < len(LETTERS):
        return name[:-1] + LETTERS[place]
    return (next_name(name[:-1]) if len(name) > 1 else "A") + "A"


def name_before(name: str) -> str:
    """The name of the axis before one, the other way of ``next_name``; empty where none comes before.

    >>> [name_before(name) for name in ("B", "J", "P", "AA", "BA", "5", "10", "X2", "A", "1", "X'")]
    ['A', 'H', 'N', 'Z', 'AZ', '4', '9', 'X1', '', '', '']
    """
    number = re.search(r"[0-9]+$", name)
    if number:
        return f"{name[: number.start()]}{int(number[0]) - 1}" if int(number[0]) > 1 else ""
    if not name or name[-1] not in LETTERS or name == LETTERS[0]:
        return ""
    place = LETTERS.index(name[-1])
    return name[:-1] + LETTERS[place - 1] if place else name_before(name[:-1]) + LETTERS[-1]


def _cross(one: Point, other: Point) -> float:
    return one[0] * other[1] - one[1] * other[0]


def _square(axes: Axes, point: Point) -> float:
    x, y = axes.towards
    return point[0] * x + point[1] * y


def _meeting(grid: Grid, letter_m: float, number_m: float) -> Point:
    """Position, from the origin, at a distance from it in both ways of counting."""
    (ax, ay), (bx, by) = grid.letters.towards, grid.numbers.towards
    turn = _cross((ax, ay), (bx, by))
    return (letter_m * by - number_m * ay) / turn, (number_m * ax - letter_m * bx) / turn


def _point_at(grid: Grid, letter_m: float, number_m: float) -> Point:
    x, y = _meeting(grid, letter_m, number_m)
    return grid.origin[0] + x, grid.origin[1] + y


def _past(axes: Axes, at_m: float, units: Units) -> str:
    step_m = _CENTIMETRE if units.metric else units.step_m
    half_m = float(step_m) / 2
    passed = [axis for axis in axes.each if axis.at_m <= at_m + half_m]
    axis = passed[-1] if passed else axes.each[0]
    past_m = rounded(abs(at_m - axis.at_m), step_m)
    sign = "+" if at_m >= axis.at_m else "−"
    return f"{axis.name}{sign}{units.shown(past_m)}" if past_m else axis.name


def _place(axes: dict[str, Axis], words: str, units: Units) -> float | None:
    found = _PART.fullmatch(words)
    axis = next((axis for axis in axes.values() if found and axis.name.casefold() == found["name"].casefold()), None)
    if found is None or axis is None:
        return None
    try:
        return axis.at_m + float(metres_of((found["past"] or "+0").removeprefix("+"), units))
    except BadValue:
        return None


def _towards_deg(picked: PickedAxes, alone: Point) -> float:
    """The way in which picked axes count: square to the first, towards the others, else as when alone."""
    x, y = picked.end[0] - picked.start[0], picked.end[1] - picked.start[1]
    if hypot(x, y) <= DRAWING_TOLERANCE_M:
        raise BadValue(f"The two points on axis {picked.name} are the same; pick two points apart.")
    left = (-y, x)
    way = alone
    if picked.others:
        other = picked.others[0][1]
        way = other[0] - picked.start[0], other[1] - picked.start[1]
    turned = left if left[0] * way[0] + left[1] * way[1] >= 0 else (y, -x)
    return degrees(atan2(turned[1], turned[0]))


def _picked(picked: PickedAxes, towards_deg: float, origin: Point) -> Axes:
    family = Axes(towards_deg=towards_deg)
    points = chain([(picked.name, picked.start)], picked.others)
    found = [
        Axis(name=name, at_m=_square(family, (point[0] - origin[0], point[1] - origin[1]))) for name, point in points
    ]
    return Axes(towards_deg=towards_deg, each=tuple(sorted(found, key=lambda axis: axis.at_m)))
