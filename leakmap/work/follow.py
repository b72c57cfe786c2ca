"""The shortest way along the lines of a drawing from one place on them to another.

Terms: a *line* is a straight piece of the drawing; two lines *meet* where they cross, or where an end
of one comes within the drawing tolerance δ of the other. The way runs on lines and changes from one to
the next where they meet. It is found by A*: of all ways begun, the one goes on whose length so far plus
the straight distance to the goal is least, so only lines round the way are ever looked at.
Source: P. Hart, N. Nilsson and B. Raphael, "A formal basis for the heuristic determination of minimum
cost paths", 1968 (from memory).

A search can be gone on with step by step (``WaySearch``), so that a window that waits for it never stands still.
Curves of a drawing are chords; so that a joint along them has bends that a hand can hold, the way is straightened
where no bend lies farther off than ``STRAIGHT_M`` (s). A quarter of a circle loses π/6 · s of its length at most,
whatever its radius: a chord over an angle θ whose height is s is θ/3 · s shorter than its arc.

Places are (x, y) in metres of the site plane.
"""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import count
from math import hypot, inf
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.geometry.cells import FloatArray, IntArray, near
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.work.snap_lines import Lines, line_at, lines_near

MOST_STEPS: Final = 20_000
"""After so many places where lines meet the search is given up (ours); the way is then not a joint's."""

STRAIGHT_M: Final = 0.005
"""Bends that lie no farther than this from the straight line are left out of a way (ours): half of δ."""

_BLOCK_CELLS: Final = 4.0
"""Meetings are found out for all short lines within so many cells of the index at once (ours)."""

_CELL: Final = 1e6  # places are told apart to a micrometre


class _Meeting(NamedTuple):
    """Where a line meets another: the place on the other one, and the place on itself."""

    other: int
    there: Point
    here: Point


class _Step(NamedTuple):
    """A way begun: its length and the distance still to go, its length, a tie-breaker, where it stands, on which line."""

    least_m: float
    length_m: float
    order: int
    at: Point
    line: int
    before: _Step | None


Meetings = dict[int, tuple[_Meeting, ...]]
"""Where lines meet others, by number, as far as anybody asked; several searches on the same lines share it."""


class WaySearch:
    """The search for one way, to be gone on with until it has ended.

    Attributes:
        ended: Whether it is over.
        way: Points of the way from the start to the goal, two at least; None: not found, or not yet.

    Args:
        lines: Lines of the drawing that are shown.
        start: Where it starts; must lie within δ of a line.
        goal: Where it ends; the same.
        meetings: What earlier searches on the same lines found out; it is added to.
    """

    def __init__(self, lines: Lines, start: Point, goal: Point, *, meetings: Meetings | None = None) -> None:
        self._lines, self._goal = lines, goal
        self._meetings = {} if meetings is None else meetings
        self._open: list[_Step] = []
        self._best: dict[tuple[int, int, int], float] = {}  # the shortest way begun to each place on each line
        self._number = count()
        self.way: tuple[Point, ...] | None = None
        first, last = (lines_near(lines, place, DRAWING_TOLERANCE_M).number for place in (start, goal))
        self._goals = frozenset(last.tolist())
        self.ended = not len(first) or not len(last) or _apart(start, goal) <= DRAWING_TOLERANCE_M
        if not self.ended:
            for line in first.tolist():
                self._begin(start, line, None)

    def go_on(self, steps: int) -> bool:
        """Look at so many more places where lines meet; whether the search has ended."""
        for _ in range(steps):
            self.ended = self.ended or not self._open
            if self.ended:
                break
            step = heappop(self._open)
            if step.line < 0:
                self.ended, self.way = True, _points(step)
                break
            if step.length_m <= self._best[_key(step.line, step.at)]:  # else a shorter way to it was begun since
                self._go_on_from(step)
        return self.ended

    def _go_on_from(self, step: _Step) -> None:
        """Begin the ways that go on from a place: to the goal, and to each place where its line meets another."""
        if step.line in self._goals:
            self._begin(self._goal, -1, step)
        for meeting in self._meetings_of(step.line):
            before = step if _apart(step.at, meeting.here) <= MICRON_M else _at(step, meeting.here)
            self._begin(meeting.there, meeting.other, before)

    def _begin(self, at: Point, line: int, before: _Step | None) -> None:
        """Note a way that comes to a place on a line, unless one that is as short was begun already."""
        length = 0.0 if before is None else before.length_m + _apart(before.at, at)
        key = _key(line, at)
        if length >= self._best.get(key, inf) - MICRON_M:
            return
        self._best[key] = length
        heappush(self._open, _Step(length + _apart(at, self._goal), length, next(self._number), at, line, before))

    def _meetings_of(self, line: int) -> tuple[_Meeting, ...]:
        if line not in self._meetings:
            self._meetings |= _meetings_round(self._lines, line, self._meetings)
        return self._meetings[line]


def way_along(lines: Lines, start: Point, goal: Point, *, most_steps: int = MOST_STEPS) -> tuple[Point, ...] | None:
    """The shortest way along lines between two places on them, without its straight-on places.

    Args:
        lines: Lines of the drawing that are shown.
        start: Where it starts; must lie within δ of a line.
        goal: Where it ends; the same.
        most_steps: How many places where lines meet are looked at.

    Returns:
        Its points from the start to the goal, two at least; None where no way is found, or both are one place.
    """
    search = WaySearch(lines, start, goal)
    search.go_on(most_steps)
    return search.way


def _at(step: _Step, place: Point) -> _Step:
    """The way as far as a place on the line that it stands on."""
    return _Step(0.0, step.length_m + _apart(step.at, place), 0, place, step.line, step)


def _meetings_round(lines: Lines, line: int, known: Meetings) -> Meetings:
    """Where a line meets others, and where short lines round it do that are not known: many cost little more than one."""
    start, end = line_at(lines, line)
    radius = _BLOCK_CELLS * lines.cells.size
    if _apart(start, end) > 2 * radius:
        return _meetings_of(lines, np.array([line]), _others(lines, line, start, end))
    centre = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    others = near(lines.cells, centre[0], centre[1], radius + DRAWING_TOLERANCE_M)
    far = np.maximum(*(np.hypot(*(ends[others] - centre).T) for ends in (lines.start, lines.end)))
    inside = others[far <= radius + MICRON_M].tolist()
    return _meetings_of(lines, np.array([number for number in inside if number not in known]), others)


def _meetings_of(lines: Lines, ours: IntArray, others: IntArray) -> Meetings:
    """Where each of some lines meets others.

    Args:
        lines: All lines.
        ours: Numbers of those that are asked for.
        others: Numbers of all that any of them may meet.
    """
    found: dict[int, list[_Meeting]] = {line: [] for line in ours.tolist()}
    tree = shapely.STRtree(_pieces(lines, others))
    one, other = tree.query(_pieces(lines, ours), predicate="dwithin", distance=DRAWING_TOLERANCE_M + MICRON_M)
    one, other = ours[one], others[other]
    apart = one != other
    one, other = one[apart], other[apart]
    start, step = lines.start[one], lines.end[one] - lines.start[one]
    other_start, other_step = lines.start[other], lines.end[other] - lines.start[other]
    at, here = _crossings(start, step, other_start, other_step)
    _note(found, one[at], other[at], here, here)
    for place in (start, start + step):  # an end of ours on the others
        foot = _feet(place, other_start, other_step)
        on = np.flatnonzero(np.hypot(*(foot - place).T) <= DRAWING_TOLERANCE_M)
        _note(found, one[on], other[on], foot[on], place[on])
    for place in (other_start, other_start + other_step):  # an end of the others on ours
        foot = _feet(place, start, step)
        on = np.flatnonzero(np.hypot(*(foot - place).T) <= DRAWING_TOLERANCE_M)
        _note(found, one[on], other[on], place[on], foot[on])
    return {line: tuple(meetings) for line, meetings in found.items()}


def _note(
    found: dict[int, list[_Meeting]], one: IntArray, other: IntArray, there: FloatArray, here: FloatArray
) -> None:
    """Take note of meetings of ``one`` with ``other``, row by row."""
    rows = zip(one.tolist(), other.tolist(), there.tolist(), here.tolist(), strict=True)
    for line, met, (x, y), (own_x, own_y) in rows:
        found[line].append(_Meeting(met, (x, y), (own_x, own_y)))


def _pieces(lines: Lines, numbers: IntArray) -> npt.NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack((lines.start[numbers], lines.end[numbers]), axis=1)))


def _feet(places: FloatArray, start: FloatArray, step: FloatArray) -> FloatArray:
    """The place on each segment that is nearest to a point of its own."""
    square = np.maximum((step * step).sum(axis=1), np.finfo(float).tiny)
    share = np.clip(((places - start) * step).sum(axis=1) / square, 0.0, 1.0)
    return np.asarray(start + share[:, None] * step)


def _others(lines: Lines, line: int, start: Point, end: Point) -> IntArray:
    """Numbers of the lines that may meet a line."""
    length = _apart(start, end)
    parts = max(1, min(int(np.ceil(length / lines.cells.size)), 512))
    radius = length / parts / 2 + DRAWING_TOLERANCE_M
    shares = (np.arange(parts) + 0.5) / parts
    places = [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])) for share in shares]
    found = np.unique(np.concatenate([near(lines.cells, x, y, radius) for x, y in places]))
    return np.asarray(found[found != line])


def _crossings(
    start: FloatArray, step: FloatArray, other_start: FloatArray, other_step: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Rows in which two segments cross, and where."""
    turn = step[:, 0] * other_step[:, 1] - step[:, 1] * other_step[:, 0]
    slanted = np.flatnonzero(np.abs(turn) > 1e-12 * np.hypot(*step.T) * np.hypot(*other_step.T))
    away, along, across = other_start[slanted] - start[slanted], step[slanted], other_step[slanted]
    t = (away[:, 0] * across[:, 1] - away[:, 1] * across[:, 0]) / turn[slanted]
    u = (away[:, 0] * along[:, 1] - away[:, 1] * along[:, 0]) / turn[slanted]
    inside = np.flatnonzero((t >= 0) & (t <= 1) & (u >= 0) & (u <= 1))
    return slanted[inside], start[slanted[inside]] + t[inside, None] * along[inside]


def _key(line: int, at: Point) -> tuple[int, int, int]:
    """A place on a line; places closer than a micrometre are one."""
    return line, round(at[0] * _CELL), round(at[1] * _CELL)


def _points(step: _Step) -> tuple[Point, ...]:
    """Points of a finished way from its start to its end."""
    points: list[Point] = []
    at: _Step | None = step
    while at is not None:
        points.append(at.at)
        at = at.before
    straight = shapely.LineString(points[::-1]).simplify(STRAIGHT_M)
    return tuple((x, y) for x, y in straight.coords)


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
