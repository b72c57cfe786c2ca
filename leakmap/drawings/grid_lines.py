"""The grid of a drawing: bubbles at the ends of parallel lines, put together to a proposal.

Nothing is taken without a click: a person sees what was found and says whether to use it.

Axes of one family run parallel, each has a name of its own, and their names rise across them: letters one way,
numbers the other. Names that stand out of order are left out and said; so are families whose lines are hardly longer
than their bubbles, as doors have that are numbered in circles. Where several plans stand side by side, a name comes
twice: then the axes that cross each other belong together, and the largest such set is taken. That letters name one
way and numbers the other is common practice, no published source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import atan2, cos, degrees, radians, sin
from typing import Final

import numpy as np

from leakmap.base.counted import many
from leakmap.base.errors import BadValue
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.grid_bubbles import bubbles_of
from leakmap.drawings.grid_rays import PARALLEL_DEG, Ray, rays_of
from leakmap.geometry.path import Point
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing, LayerState
from leakmap.model.grid import LEAST_TURN_DEG, Axes, Grid, PickedAxes, grid_through
from leakmap.model.sheet import Sheet

LEAST_RADII: Final = 5.0
"""The shortest line of an axis, in radii of its bubble (ours)."""

_DIGITS: Final = 6
_TURN_DIGITS: Final = 8  # of a degree: a micrometre at five kilometres
_KEY: Final = re.compile(r"([A-Za-z]*)([0-9]*)(.*)")


@dataclass(frozen=True, slots=True, kw_only=True)
class GridFound:
    """A grid that a drawing shows.

    Attributes:
        grid: The grid in the site plane.
        left_out: Names in bubbles that did not fit, in order.
    """

    grid: Grid
    left_out: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What was found and why it is taken for a grid, as one or two sentences."""
        families = [_span(axes) for axes in (self.grid.letters, self.grid.numbers) if axes.each]
        found = f"{many(len(self.grid.axes), 'axis', 'axes')} found, {' and '.join(families)}"
        why = "each a line that ends at a circle with its name"
        more = f" Left out: {', '.join(self.left_out)}." if self.left_out else ""
        return f"{found}: {why}.{more}"


def grid_found(drawing: Drawing, sheet: Sheet, *, progress: Progress = UNWATCHED) -> GridFound | None:
    """The grid that a sheet's drawing shows on layers that can be seen; None where it shows none.

    Args:
        drawing: The drawing.
        sheet: Its sheet: the layers shown, and where the drawing lies.
        progress: Watches.

    Raises:
        Stopped: The watcher asked to stop.
    """
    wish = dict(sheet.shown)
    shown = np.array([wish.get(layer.name, layer.state is LayerState.ON) for layer in drawing.layers], dtype=np.bool_)
    bubbles = bubbles_of(drawing, shown)
    progress.report("Looking for the lines of the grid", 0, None)
    rays = [ray for ray in rays_of(drawing, shown, bubbles) if ray.length >= LEAST_RADII * ray.bubble.radius]
    chosen = _chosen([ray for ray in rays if _is_letter(ray)], [ray for ray in rays if not _is_letter(ray)])
    letters, numbers = (_in_order(family) for family in _one_plan(*chosen))
    if len(letters) < 2 and len(numbers) < 2:
        return None
    used = {ray.bubble.name for ray in (*letters, *numbers)}
    left_out = sorted({ray.bubble.name for ray in rays} - used, key=_key)
    picks = [
        _picked(family, drawing.origin, sheet.placement) if len(family) > 1 else None for family in (letters, numbers)
    ]
    grid = _grid(*picks)
    return None if grid is None else GridFound(grid=grid, left_out=tuple(left_out))


def _is_letter(ray: Ray) -> bool:
    return ray.bubble.name[0].isalpha()


def _key(name: str) -> tuple[int, str, int, str]:
    """Names in their order: A to Z, then AA; 9 before 10, 4 before 4a."""
    found = _KEY.fullmatch(name)
    assert found is not None
    letters, number, rest = found.groups()
    return len(letters), letters, int(number or 0), rest


def _turn_deg(ray: Ray) -> float:
    """The way of a line, whichever end comes first: 0 to 180."""
    return degrees(atan2(ray.end[1] - ray.start[1], ray.end[0] - ray.start[0])) % 180


def _between_deg(one: float, other: float) -> float:
    return abs((one - other + 90) % 180 - 90)


# Families ---------------------------------------------------------------------------------------


def _chosen(letters: list[Ray], numbers: list[Ray]) -> tuple[list[Ray], list[Ray]]:
    """Of the families of parallel lines the pair that crosses and has the most metres; either may be empty."""
    none: list[Ray] = []
    pairs = [
        (one, other)
        for one in (*_parallel(letters), none)
        for other in (*_parallel(numbers), none)
        if not one or not other or _between_deg(_mean_deg(one), _mean_deg(other)) >= LEAST_TURN_DEG
    ]
    return max(pairs, key=lambda pair: sum(ray.length for ray in (*pair[0], *pair[1])))


def _parallel(rays: list[Ray]) -> list[list[Ray]]:
    """Rays in families of two names and more that run one way."""
    families: list[list[Ray]] = []
    for ray in sorted(rays, key=lambda each: -each.length):
        family = next(
            (each for each in families if _between_deg(_turn_deg(each[0]), _turn_deg(ray)) < PARALLEL_DEG), None
        )
        if family is None:
            families.append([ray])
        else:
            family.append(ray)
    return [family for family in families if len({ray.bubble.name for ray in family}) > 1]


def _mean_deg(family: Sequence[Ray]) -> float:
    """The way of a family: the mean of its lines, each with its length, about the longest."""
    first = _turn_deg(family[0])
    weights = [ray.length for ray in family]
    off = [(_turn_deg(ray) - first + 90) % 180 - 90 for ray in family]
    return first + sum(a * b for a, b in zip(off, weights, strict=True)) / sum(weights)


def _one_plan(letters: list[Ray], numbers: list[Ray]) -> tuple[list[Ray], list[Ray]]:
    """The axes of one plan, where names come twice at different places."""
    letters, numbers = _once(letters), _once(numbers)
    every = [*letters, *numbers]
    if len({ray.bubble.name for ray in every}) == len(every):
        return letters, numbers
    plans: list[set[int]] = []
    for a, one in enumerate(letters):
        for b, other in enumerate(numbers, start=len(letters)):
            if _cross(one, other):
                met = [plan for plan in plans if plan & {a, b}]
                plans = [plan for plan in plans if plan not in met] + [{a, b}.union(*met)]
    plan = max(plans, key=len, default=set())
    names: set[str] = set()
    kept: list[Ray] = []
    for number in sorted(plan):
        if every[number].bubble.name not in names:
            names.add(every[number].bubble.name)
            kept.append(every[number])
    return [ray for ray in kept if _is_letter(ray)], [ray for ray in kept if not _is_letter(ray)]


def _once(family: list[Ray]) -> list[Ray]:
    """Of lines of one name at one place, such as an axis with a bubble at either end, the longest."""
    kept: list[Ray] = []
    for ray in family:  # longest first
        same = (other for other in kept if other.bubble.name == ray.bubble.name)
        if not any(abs(_place(ray, family) - _place(other, family)) <= ray.bubble.radius for other in same):
            kept.append(ray)
    return kept


def _place(ray: Ray, family: Sequence[Ray]) -> float:
    """Where a line stands across its family, to the left of its way."""
    turn = radians(_mean_deg(family))
    x, y = (ray.start[0] + ray.end[0]) / 2, (ray.start[1] + ray.end[1]) / 2
    return y * cos(turn) - x * sin(turn)


def _cross(one: Ray, other: Ray) -> bool:
    """Whether two lines cross, each made longer by its bubble."""
    return _parted(one, other) and _parted(other, one)


def _parted(ray: Ray, by: Ray) -> bool:
    """Whether the ends of a line lie on both sides of another."""
    (x0, y0), (x1, y1) = by.start, by.end
    over = 3 * ray.bubble.radius / ray.length
    (ax, ay), (bx, by_) = ray.start, ray.end
    ends = ((ax - (bx - ax) * over, ay - (by_ - ay) * over), (bx + (bx - ax) * over, by_ + (by_ - ay) * over))
    a, b = ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) for x, y in ends)
    return a * b <= 0


def _in_order(family: list[Ray]) -> list[Ray]:
    """The longest row of axes whose names rise across the family, one way or the other."""
    across = sorted(family, key=lambda ray: _place(ray, family))
    return max(_rising(across), _rising(across[::-1]), key=len)


def _rising(rays: list[Ray]) -> list[Ray]:
    """The longest part of a row whose names rise; the first of several."""
    best: list[list[Ray]] = []
    for ray in rays:
        before = (row for row in best if _key(row[-1].bubble.name) < _key(ray.bubble.name))
        best.append([*max(before, key=len, default=[]), ray])
    return max(best, key=len, default=[])


# The grid ---------------------------------------------------------------------------------------


def _picked(family: list[Ray], origin: Point, placement: Placement) -> PickedAxes:
    """The family as if its axes had been picked by hand: the first by two points, the others by one each."""
    turn = radians(_mean_deg(sorted(family, key=lambda ray: -ray.length)))

    def placed(point: Point) -> Point:
        return placement.to_site((origin[0] + point[0], origin[1] + point[1]))

    def middle(ray: Ray) -> Point:
        return (ray.start[0] + ray.end[0]) / 2, (ray.start[1] + ray.end[1]) / 2

    (x, y), half = middle(family[0]), family[0].length / 2
    dx, dy = half * cos(turn), half * sin(turn)
    return PickedAxes(
        name=_name(family[0]),
        start=placed((x - dx, y - dy)),
        end=placed((x + dx, y + dy)),
        others=tuple((_name(ray), placed(middle(ray))) for ray in family[1:]),
    )


def _name(ray: Ray) -> str:
    return ray.bubble.name


def _grid(letters: PickedAxes | None, numbers: PickedAxes | None) -> Grid | None:
    try:
        if letters is not None:
            return _tidy(grid_through(letters, numbers))
        assert numbers is not None
        return _tidy(_numbers_alone(numbers))
    except BadValue:
        return None  # axes closer than the drawing tolerance: the scale is not known, or they are no axes


def _numbers_alone(numbers: PickedAxes) -> Grid:
    """Number axes without letters: what ``grid_through`` does for letters, the other way."""
    found = grid_through(numbers)
    return Grid(origin=found.origin, letters=Axes(towards_deg=found.letters.towards_deg + 90.0), numbers=found.letters)


def _tidy(grid: Grid) -> Grid:
    """The grid without the last bits that come of turning: micrometres, and as little of a turn."""

    def tidied(axes: Axes) -> Axes:
        each = tuple(replace(axis, at_m=round(axis.at_m, _DIGITS) + 0.0) for axis in axes.each)
        return Axes(towards_deg=round(axes.towards_deg, _TURN_DIGITS) + 0.0, each=each)

    origin = round(grid.origin[0], _DIGITS) + 0.0, round(grid.origin[1], _DIGITS) + 0.0
    return Grid(origin=origin, letters=tidied(grid.letters), numbers=tidied(grid.numbers))


def _span(axes: Axes) -> str:
    names = [axis.name for axis in axes.each]
    ordered: Iterable[str] = sorted(names, key=_key)
    first, *_, last = ordered
    return f"{first} to {last}" if len(names) > 2 else f"{first} and {last}"
