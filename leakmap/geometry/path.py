"""A joint's course in plan: a polyline with a chainage.

Chainage is the distance along the path from its first point. A closed path returns to its first
point; its chainage runs from 0 to its length, and both name the same place.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
from math import hypot

from leakmap.base.errors import BadValue
from leakmap.base.numbers import finite

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Path:
    """A polyline in metres of the site plane.

    Attributes:
        points: At least two points (three when closed), no two neighbours equal.
        closed: Whether the last point is joined to the first, which is not repeated.
        chainages: Chainage of each corner, first 0; a closed path adds its length at the end.
    """

    points: tuple[Point, ...]
    closed: bool = False
    chainages: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Refuse what has no course.

        Raises:
            BadValue: A coordinate is not finite, there are too few points, or neighbours are equal.
        """
        points = tuple((float(finite(x, "x of a point")), float(finite(y, "y of a point"))) for x, y in self.points)
        if len(points) < (3 if self.closed else 2):
            raise BadValue("A joint needs two points at least, and a closed one three; draw one more.")
        corners = (*points, points[0]) if self.closed else points
        pieces = [hypot(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise(corners)]
        if min(pieces) <= 0:
            raise BadValue("A joint has two equal points in a row; leave one of them out.")
        object.__setattr__(self, "points", points)
        object.__setattr__(self, "chainages", tuple(accumulate(pieces, initial=0.0)))

    @property
    def length_m(self) -> float:
        """Length in metres, greater than zero."""
        return self.chainages[-1]

    @property
    def corners(self) -> tuple[Point, ...]:
        """All corners in order; a closed path repeats its first point at the end."""
        return (*self.points, self.points[0]) if self.closed else self.points

    @property
    def box(self) -> Box:
        """Smallest box round the path: min x, min y, max x, max y."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def piece_at(self, chainage_m: float) -> int:
        """Index of the straight piece that holds a chainage; at a corner the later piece."""
        return min(max(bisect_right(self.chainages, chainage_m) - 1, 0), len(self.chainages) - 2)

    def point_at(self, chainage_m: float) -> Point:
        """The point at a chainage, which is clipped to the path."""
        index = self.piece_at(chainage_m)
        start, end = self.chainages[index], self.chainages[index + 1]
        share = min(max((chainage_m - start) / (end - start), 0.0), 1.0)
        (x0, y0), (x1, y1) = self.corners[index], self.corners[index + 1]
        return x0 + share * (x1 - x0), y0 + share * (y1 - y0)

    def direction_at(self, chainage_m: float) -> Point:
        """Unit vector of the straight piece that holds a chainage, along rising chainage."""
        index = self.piece_at(chainage_m)
        (x0, y0), (x1, y1) = self.corners[index], self.corners[index + 1]
        length = self.chainages[index + 1] - self.chainages[index]
        return (x1 - x0) / length, (y1 - y0) / length

    def nearest(self, point: Point) -> tuple[float, float]:
        """Chainage of the place nearest to a point, and its distance in metres; ties take the first."""
        best = (0.0, float("inf"))
        for (a, b), start in zip(pairwise(self.corners), self.chainages, strict=False):
            share, distance = _foot(a, b, point)
            if distance < best[1]:
                best = (start + share * hypot(b[0] - a[0], b[1] - a[1]), distance)
        return best

    def part(self, from_m: float, to_m: float) -> tuple[Point, ...]:
        """Corners of the part between two chainages, ends included.

        On a closed path ``from_m > to_m`` passes the start. Empty length gives the same point twice.

        >>> Path(((0, 0), (4, 0), (4, 3))).part(3, 6)
        ((3.0, 0.0), (4.0, 0.0), (4.0, 2.0))
        """
        if self.closed and from_m > to_m:
            return (*self.part(from_m, self.length_m), *self.part(0.0, to_m)[1:])
        between = [corner for corner, at in zip(self.corners, self.chainages, strict=True) if from_m < at < to_m]
        return (self.point_at(from_m), *between, self.point_at(to_m))


def path_of(points: Iterable[Point], *, closed: bool = False) -> Path:
    """A path of points in which neighbours may repeat: repeats are left out.

    Raises:
        BadValue: Fewer than two different points are left (three when closed), or one is not finite.
    """
    kept: list[Point] = []
    for x, y in points:
        if not kept or (x, y) != kept[-1]:
            kept.append((float(x), float(y)))
    if closed and len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    return Path(tuple(kept), closed)


def _foot(a: Point, b: Point, p: Point) -> tuple[float, float]:
    """Share (0 to 1) along a-b of the place nearest to p, and its distance."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    share = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)
    share = min(max(share, 0.0), 1.0)
    return share, hypot(p[0] - a[0] - share * dx, p[1] - a[1] - share * dy)
