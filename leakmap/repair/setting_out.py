"""Setting-out: a place found on site by two tapes from two points that anybody can find there.

The tapes are held level. They meet in two places, one on each side of the base line between the points; the
side is part of the answer. How well they meet depends on the angle between them: with an error of e in either tape
the place found lies at most e / min(sin(a/2), cos(a/2)) off, which follows from the two circles taken as straight
lines near where they cross. The bounds of angle and length are common practice, no published source.

Where no two points in sight of a place give fair tapes, points farther away are tried, then one tape from a point in
sight to the joint that the place lies on. Tapes that a line of the drawing crosses are the last resort, and say so.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from math import acos, cos, degrees, hypot, radians, sin
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.geometry.path import Point
from leakmap.repair.tapes_to_lines import LEAST_ANGLE_DEG, LONGEST_M, TAPE_ERROR_M, ToJoint, to_joint

SHORTEST_M: Final = 0.10
"""Shorter than this, a tape says nothing that an eye does not see (ours)."""

_NEAREST: Final = 14
_FAR_NEAREST: Final = 40
_RADII_M: Final = (5.0, 12.0, LONGEST_M)
_ENOUGH: Final = 40
_MM_PER_M: Final = 0.8  # a metre of tape is held to be as bad as this many millimetres of miss (ours)
_BLOCKED: Final = 500.0
_MOST_SHARED, _SHARED_MM = 3, 1.5
_CLEAR_M: Final = 0.03
"""What touches a tape this near to one of its ends is not in its way: points are corners of walls."""

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """A point that is found on site without an instrument.

    Attributes:
        name: What papers call it; empty where it is to be given a number.
        what: What it is, in words.
        at: Site position.
        worse_mm: By how much it is liked less than a point that is sharp and sure, as millimetres of miss.
    """

    name: str
    what: str
    at: Point
    worse_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tapes:
    """Two tapes that meet at a place.

    Attributes:
        first: Number of the first point among those known.
        second: Number of the second one.
        first_m: Length of the tape from the first point.
        second_m: Length of the tape from the second point.
        left: Whether the place lies on the left of the line from the first point to the second, looking that way.
        angle_deg: Angle between the tapes where they meet.
        miss_m: Farthest that the place found can lie off when either tape is out by ``TAPE_ERROR_M``.
        in_sight: Whether no line of the drawing crosses either tape.
    """

    first: int
    second: int
    first_m: float
    second_m: float
    left: bool
    angle_deg: float
    miss_m: float
    in_sight: bool


class Surroundings:
    """What is known round places that are to be set out.

    Args:
        known: Points to tape from.
        walls: ``(n, 2, 2)`` straight lines of the drawing that a tape should not cross, metres of the site plane.
    """

    def __init__(self, known: Sequence[Known], walls: FloatArray) -> None:
        self.known = tuple(known)
        self.walls = walls
        self._at = np.array([point.at for point in known], dtype=np.float64).reshape(-1, 2)
        self._worse = np.array([point.worse_mm for point in known], dtype=np.float64)
        self._points = shapely.STRtree(shapely.points(self._at))
        self._lines = shapely.STRtree(shapely.linestrings(walls) if len(walls) else np.empty(0, dtype=object))

    def tapes_to(self, places: Sequence[Point], ways: Sequence[Point] = ()) -> tuple[Tapes | ToJoint | None, ...]:
        """For each place the best two tapes, or one to its joint; None where no known points give a fair angle.

        A point that serves several places is liked better, so that a crew finds fewer of them.

        Args:
            places: On joints, on the site plane.
            ways: The way in which each place's joint runs there, as vectors of length 1; none where no joint is seen.
        """
        near = [self._near(place) for place in places]
        rays = [(index, number) for index, numbers in enumerate(near) for number in numbers.tolist()]
        if not rays:
            return tuple(None for _ in places)
        ends = np.array([places[index] for index, _ in rays], dtype=np.float64)
        blocked = self._blocked(self._at[[number for _, number in rays]], ends)
        first = self._chosen(places, near, blocked, self._worse)
        uses = Counter(number for tapes in first if tapes is not None for number in (tapes.first, tapes.second))
        shared = np.array([min(max(uses[number] - 1, 0), _MOST_SHARED) for number in range(len(self.known))])
        worse = self._worse - shared * _SHARED_MM
        second = self._chosen(places, near, blocked, worse)
        return tuple(
            found if found is not None and found.in_sight else self._from_afar(place, way, worse) or found
            for place, way, found in zip_longest(places, ways, second)
        )

    def in_sight(self, start: Point, end: Point) -> bool:
        """Whether no wall crosses the level line from one place to another."""
        if start == end:
            return True
        return not self._blocked(np.array([start], dtype=np.float64), np.array([end], dtype=np.float64)).any()

    def _from_afar(self, place: Point, way: Point | None, worse: FloatArray) -> Tapes | ToJoint | None:
        """The best two tapes from points in sight, however far a tape reaches; else one of them to the joint."""
        numbers = self._near(place, afar=True)
        if not len(numbers):
            return None
        blocked = self._blocked(self._at[numbers], np.broadcast_to(np.asarray(place), (len(numbers), 2)))
        numbers = numbers[~blocked]
        two = self._best(place, numbers, np.zeros(len(numbers), dtype=np.bool_), worse)
        if two is not None or way is None:
            return two
        ones = (to_joint(place, way, self._at[number].tolist(), number) for number in numbers.tolist())
        return min(
            (one for one in ones if one is not None),
            key=lambda one: one.miss_m * 1000 + one.length_m * _MM_PER_M + float(worse[one.point]),
            default=None,
        )

    def _chosen(
        self,
        places: Sequence[Point],
        near: Sequence[npt.NDArray[np.int64]],
        blocked: npt.NDArray[np.bool_],
        worse: FloatArray,
    ) -> tuple[Tapes | None, ...]:
        """The best tapes for each place; ``blocked`` holds the lines of sight of all places, one after the other."""
        found, at = [], 0
        for place, numbers in zip(places, near, strict=True):
            found.append(self._best(place, numbers, blocked[at : at + len(numbers)], worse))
            at += len(numbers)
        return tuple(found)

    def _near(self, place: Point, *, afar: bool = False) -> npt.NDArray[np.int64]:
        """Numbers of the points near a place that a tape may come from, some of each quarter round it."""
        numbers = np.empty(0, dtype=np.int64)
        for radius_m in _RADII_M[-1:] if afar else _RADII_M:
            numbers = self._points.query(shapely.Point(place), predicate="dwithin", distance=radius_m)
            if len(numbers) >= _ENOUGH:
                break
        away = self._at[numbers] - place
        length = np.hypot(away[:, 0], away[:, 1])
        fair = length >= SHORTEST_M
        numbers, away, length = numbers[fair], away[fair], length[fair]
        quarter = (np.arctan2(away[:, 1], away[:, 0]) // (np.pi / 2)).astype(np.int64)
        order = np.lexsort((numbers, length * _MM_PER_M + self._worse[numbers]))
        taken: list[int] = []
        for each in np.unique(quarter):
            most = _FAR_NEAREST if afar else _NEAREST // 2
            taken += [int(index) for index in order if quarter[index] == each][:most]
        return np.asarray(numbers[taken], dtype=np.int64)

    def _blocked(self, start: FloatArray, end: FloatArray) -> npt.NDArray[np.bool_]:
        """Which level lines of sight a wall crosses; what touches near an end or runs along is no crossing."""
        blocked = np.zeros(len(start), dtype=np.bool_)
        if not len(self.walls):
            return blocked
        length = np.hypot(*(end - start).T)[:, None]
        cut = np.minimum(_CLEAR_M / length, 0.4) * (end - start)
        rays = np.stack((start + cut, end - cut), axis=1)
        ray, wall = self._lines.query(shapely.linestrings(rays), predicate="intersects")
        a, b = self.walls[wall, 0], self.walls[wall, 1]
        p, q = rays[ray, 0], rays[ray, 1]
        along = (q - p) / np.maximum(np.hypot(*(q - p).T), 1e-12)[:, None]
        off_a, off_b = (along[:, 0] * (e - p)[:, 1] - along[:, 1] * (e - p)[:, 0] for e in (a, b))
        crosses = (off_a * off_b < 0) & (np.minimum(abs(off_a), abs(off_b)) > _CLEAR_M)
        blocked[np.unique(ray[crosses])] = True
        return blocked

    def _best(
        self, place: Point, numbers: npt.NDArray[np.int64], blocked: npt.NDArray[np.bool_], worse_mm: FloatArray
    ) -> Tapes | None:  # fmt: skip
        if len(numbers) < 2:
            return None
        away = np.asarray(place) - self._at[numbers]
        length = np.hypot(away[:, 0], away[:, 1])
        unit = away / length[:, None]
        one, other = np.triu_indices(len(numbers), 1)
        angle = np.arccos(np.clip((unit[one] * unit[other]).sum(axis=1), -1.0, 1.0))
        least = np.minimum(np.sin(angle / 2), np.cos(angle / 2))
        worse = worse_mm[numbers] + length * _MM_PER_M + blocked * _BLOCKED
        cost = TAPE_ERROR_M * 1000 / np.maximum(least, 1e-9) + worse[one] + worse[other]
        fair = least >= sin(radians(LEAST_ANGLE_DEG / 2)) - 1e-12
        if not fair.any():
            return None
        best = int(np.flatnonzero(fair)[np.argmin(cost[fair])])
        first, second = sorted((int(one[best]), int(other[best])), key=lambda index: int(numbers[index]))
        return tapes(
            place,
            (self._at[numbers[first]], self._at[numbers[second]]),
            numbers=(int(numbers[first]), int(numbers[second])),
            in_sight=not (blocked[first] or blocked[second]),
        )


def tapes(
    place: Point, points: Sequence[Sequence[float] | FloatArray], *, numbers: tuple[int, int], in_sight: bool
) -> Tapes:
    """The two tapes from two points to a place.

    Args:
        place: Site position.
        points: The two points.
        numbers: Their numbers among those known.
        in_sight: Whether nothing is in the way.
    """
    (ax, ay), (bx, by) = (float(points[0][0]), float(points[0][1])), (float(points[1][0]), float(points[1][1]))
    x, y = place
    first, second = hypot(x - ax, y - ay), hypot(x - bx, y - by)
    angle = acos(min(max(((x - ax) * (x - bx) + (y - ay) * (y - by)) / (first * second), -1.0), 1.0))
    return Tapes(
        first=numbers[0],
        second=numbers[1],
        first_m=first,
        second_m=second,
        left=(bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0,
        angle_deg=degrees(angle),
        miss_m=TAPE_ERROR_M / min(sin(angle / 2), cos(angle / 2)),
        in_sight=in_sight,
    )
