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

from collections.abc import Iterator
from heapq import heappop, heappush
from itertools import count
from math import hypot, inf
from typing import Final, NamedTuple

import numpy as np
import shapely

from leakmap.geometry.cells import FloatArray, near
from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.work.snap_lines import Lines, feet_on, line_at, lines_near

MOST_STEPS: Final = 20_000
"""After so many places where lines meet the search is given up (ours); the way is then not a joint's."""

STRAIGHT_M: Final = 0.005
"""Bends that lie no farther than this from the straight line are left out of a way (ours): half of δ."""

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
            self._meetings[line] = tuple(_meetings_on(self._lines, line))
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


def _meetings_on(lines: Lines, line: int) -> Iterator[_Meeting]:
    start, end = line_at(lines, line)
    others = _others(lines, line, start, end)
    if not len(others):
        return
    ends = np.array((start, end))
    other_start, other_end = lines.start[others], lines.end[others]
    yield from _crossings(ends, other_start, other_end, others)
    for place in (start, end):  # an end of this line on others
        feet = feet_on(other_start, other_end, place)
        for index in np.flatnonzero(np.hypot(*(feet - place).T) <= DRAWING_TOLERANCE_M).tolist():
            yield _Meeting(int(others[index]), _point(feet[index]), place)
    for places in (other_start, other_end):  # ends of others on this line
        step = ends[1] - ends[0]
        share = np.clip(((places - ends[0]) @ step) / max(float(step @ step), np.finfo(float).tiny), 0.0, 1.0)
        feet = ends[0] + share[:, None] * step
        for index in np.flatnonzero(np.hypot(*(feet - places).T) <= DRAWING_TOLERANCE_M).tolist():
            yield _Meeting(int(others[index]), _point(places[index]), _point(feet[index]))


def _others(lines: Lines, line: int, start: Point, end: Point) -> FloatArray:
    """Numbers of the lines that may meet a line."""
    length = _apart(start, end)
    parts = max(1, min(int(np.ceil(length / lines.cells.size)), 512))
    radius = length / parts / 2 + DRAWING_TOLERANCE_M
    shares = (np.arange(parts) + 0.5) / parts
    places = [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])) for share in shares]
    found = np.unique(np.concatenate([near(lines.cells, x, y, radius) for x, y in places]))
    return np.asarray(found[found != line])


def _crossings(
    ends: FloatArray, other_start: FloatArray, other_end: FloatArray, others: FloatArray
) -> Iterator[_Meeting]:
    """Where a line is crossed by others, both at their insides."""
    step, other_step = ends[1] - ends[0], other_end - other_start
    turn = step[0] * other_step[:, 1] - step[1] * other_step[:, 0]
    slanted = np.flatnonzero(np.abs(turn) > 1e-12 * np.hypot(*step) * np.hypot(*other_step.T))
    away = other_start[slanted] - ends[0]
    t = (away[:, 0] * other_step[slanted, 1] - away[:, 1] * other_step[slanted, 0]) / turn[slanted]
    u = (away[:, 0] * step[1] - away[:, 1] * step[0]) / turn[slanted]
    for index in np.flatnonzero((t >= 0) & (t <= 1) & (u >= 0) & (u <= 1)).tolist():
        place = _point(ends[0] + t[index] * step)
        yield _Meeting(int(others[slanted[index]]), place, place)


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


def _point(xy: FloatArray) -> Point:
    x, y = xy.tolist()
    return x, y


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
