"""Courses cut into their straight pieces, in arrays, with an index of where they lie.

Terms:
    course: a path on a level, at a height; courses on different levels never meet.
    piece: a straight part of a course between two neighbouring corners.
    foot: the place on a course that is nearest to a point, among those of one visit; a course that
        comes past a point twice has two feet there.

Arrays of points have shape (n, 2), x then y; lengths and chainages are metres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.geometry.path import Path
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]

NO_COURSE: Final = -1
"""Stands for the course of a point that lies on none."""

OWN_LOOP_M: Final = 4 * DRAWING_TOLERANCE_M
"""A course comes back to itself only after this length; less is a bend, or a slip of the hand (ours)."""


@dataclass(frozen=True, slots=True)
class Course:
    """A path in plan, on a level, at a height over that level's floor."""

    path: Path
    level: int
    height_m: float


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Straight pieces of many courses, in course, chainage order.

    Attributes:
        course: Number of the course of each piece.
        start: Where each starts, (n, 2).
        step: From its start to its end, (n, 2).
        length: Length of each.
        chainage: Chainage of each start.
        level: Level of each course.
        height: Height of each course.
        total: Length of each course.
        closed: Whether each course is closed.
        tree: Index of the pieces by place.
    """

    course: IntArray
    start: FloatArray
    step: FloatArray
    length: FloatArray
    chainage: FloatArray
    level: IntArray
    height: FloatArray
    total: FloatArray
    closed: BoolArray
    tree: shapely.STRtree

    @property
    def end(self) -> FloatArray:
        """Where each piece ends, (n, 2)."""
        return self.start + self.step


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Points whose neighbouring courses are asked for.

    Attributes:
        xy: Where they lie, (n, 2).
        level: Level of each.
        low: Least height at which a course passes each.
        high: Greatest such height.
        course: Course that each lies on, or ``NO_COURSE``.
        chainage: Its chainage there.
    """

    xy: FloatArray
    level: IntArray
    low: FloatArray
    high: FloatArray
    course: IntArray
    chainage: FloatArray


class Foot(NamedTuple):
    """The nearest place on a course that passes a point.

    Attributes:
        point: Number of the point.
        course: Number of the course.
        piece: Number of the piece that holds the foot.
        at_m: Chainage of the foot.
        gap_m: Distance from the point.
    """

    point: int
    course: int
    piece: int
    at_m: float
    gap_m: float


def pieces_of(courses: Sequence[Course]) -> Pieces:
    """The straight pieces of courses; may be none."""
    corners = [np.asarray(course.path.corners, dtype=np.float64) for course in courses]
    counts = [len(each) - 1 for each in corners]
    start = _stacked([each[:-1] for each in corners])
    end = _stacked([each[1:] for each in corners])
    lows = [np.asarray(course.path.chainages[:-1], dtype=np.float64) for course in courses]
    step = end - start
    return Pieces(
        course=np.repeat(np.arange(len(courses)), counts),
        start=start,
        step=step,
        length=np.hypot(step[:, 0], step[:, 1]),
        chainage=np.concatenate(lows) if lows else np.empty(0),
        level=np.array([course.level for course in courses], dtype=np.int64),
        height=np.array([course.height_m for course in courses], dtype=np.float64),
        total=np.array([course.path.length_m for course in courses], dtype=np.float64),
        closed=np.array([course.path.closed for course in courses], dtype=np.bool_),
        tree=shapely.STRtree(shapely.linestrings(np.stack((start, end), axis=1)) if len(start) else []),
    )


def corner_points(courses: Sequence[Course], *, ends: bool) -> Points:
    """Ends of open courses, or every other corner; a closed course has no end."""
    found = [
        (corner, course.level, course.height_m, number, at)
        for number, course in enumerate(courses)
        for index, (corner, at) in enumerate(zip(course.path.points, course.path.chainages, strict=False))
        if (not course.path.closed and index in (0, len(course.path.points) - 1)) == ends
    ]
    xy, level, height, course_of, at = zip(*found, strict=True) if found else ((), (), (), (), ())
    return Points(
        xy=np.array(xy, dtype=np.float64).reshape(-1, 2),
        level=np.array(level, dtype=np.int64),
        low=np.array(height, dtype=np.float64),
        high=np.array(height, dtype=np.float64),
        course=np.array(course_of, dtype=np.int64),
        chainage=np.array(at, dtype=np.float64),
    )


def feet(pieces: Pieces, points: Points, radius_m: float, fresh: BoolArray | None = None) -> list[Foot]:
    """Every foot within a radius of every point, on its level and at its heights.

    A point on a course has a foot on that same course only where the course comes back to it.

    Args:
        pieces: The courses.
        points: The points.
        radius_m: The radius.
        fresh: Whether each course is one of those of which a point or its foot must be; None: any.
    """
    if not len(points.xy) or not len(pieces.course):
        return []
    point, piece = pieces.tree.query(shapely.points(points.xy), predicate="dwithin", distance=radius_m + MICRON_M)
    order = np.lexsort((piece, point))
    point, piece = point[order], piece[order]
    if fresh is not None:
        asked = fresh[pieces.course[piece]] | fresh[points.course[point]]
        point, piece = point[asked], piece[asked]
    away = points.xy[point] - pieces.start[piece]
    step, length = pieces.step[piece], pieces.length[piece]
    share = np.clip((away * step).sum(axis=1) / length**2, 0.0, 1.0)
    rest = away - share[:, None] * step
    gap, at = np.hypot(rest[:, 0], rest[:, 1]), pieces.chainage[piece] + share * length
    kept = _beside(pieces, points, point, piece) & ~_trivial(pieces, points, point, piece, at)
    return list(_nearest_of_visits(pieces.course, point[kept], piece[kept], at[kept], gap[kept]))


def round_distance(one: FloatArray, other: FloatArray, total: FloatArray, closed: BoolArray) -> FloatArray:
    """Distance along a course between two chainages on it, the shorter way round when it is closed."""
    straight = np.abs(one - other)
    return np.where(closed, np.minimum(straight, total - straight), straight)


def _beside(pieces: Pieces, points: Points, point: IntArray, piece: IntArray) -> BoolArray:
    course = pieces.course[piece]
    height, slack = pieces.height[course], DRAWING_TOLERANCE_M + MICRON_M
    fits = (height >= points.low[point] - slack) & (height <= points.high[point] + slack)
    return np.asarray(fits & (pieces.level[course] == points.level[point]), dtype=np.bool_)


def _trivial(pieces: Pieces, points: Points, point: IntArray, piece: IntArray, at: FloatArray) -> BoolArray:
    """Whether a point has its foot on its own course without a loop between."""
    course = pieces.course[piece]
    along = round_distance(at, points.chainage[point], pieces.total[course], pieces.closed[course])
    return np.asarray((course == points.course[point]) & (along <= OWN_LOOP_M), dtype=np.bool_)


def _nearest_of_visits(
    course: IntArray, point: IntArray, piece: IntArray, at: FloatArray, gap: FloatArray
) -> Iterator[Foot]:
    """Of each run of neighbouring pieces past one point, the nearest foot; ties take the first."""
    best: Foot | None = None
    last = -2
    for p, q, a, g in zip(point.tolist(), piece.tolist(), at.tolist(), gap.tolist(), strict=True):
        foot = Foot(p, int(course[q]), q, a, g)
        if best is not None and (p, foot.course) == (best.point, best.course) and q == last + 1:
            best = foot if g < best.gap_m - MICRON_M else best
        else:
            if best is not None:
                yield best
            best = foot
        last = q
    if best is not None:
        yield best


def _stacked(parts: Sequence[FloatArray]) -> FloatArray:
    return np.concatenate(parts) if parts else np.empty((0, 2))
