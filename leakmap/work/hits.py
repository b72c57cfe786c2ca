"""What lies under the pointer: the nearest joint, leak, zone or relief point of a sheet.

Distances are metres of the site plane: to the line of a joint or leak, to the coat band of a zone
(zero inside it), to the place of a relief point. A vertical joint is a point; what lies on it is found on the
staff that stands for it, where one is given.

Shapes are made when their target is first asked for, all of one sort at once, or before that in small steps
(``Hits.gather``); after an edit those of things that it left alone are taken over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, islice
from math import hypot
from typing import Any, Final, TypeAlias
from uuid import UUID

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.primitives import Polygon
from leakmap.model.job import Job
from leakmap.model.joint import Joint, ring
from leakmap.repair.results import Piece, Repairs, Why, Zone


class Target(StrEnum):
    """What can be hit."""

    JOINT = "joint"
    LEAK = "leak"
    ZONE = "zone"
    RELIEF = "relief point"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """Something near the pointer.

    Attributes:
        key: Id of a joint or leak, number of a zone; of a relief point the number of its zone.
        distance_m: From the pointer.
    """

    target: Target
    key: UUID | int
    distance_m: float


_Part: TypeAlias = tuple[UUID | int, tuple[Any, ...]]
"""Key of a thing, and what its shape is made from."""

_Shapes: TypeAlias = Iterable[BaseGeometry]

_SOME: Final = 100
"""Things whose shapes are made in one step."""


class Hits:
    """Finds what is near a place of one sheet.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Id of the sheet.
        staffs: Line, foot first, that stands for a vertical joint on the plan, by the joint's id.
        before: What found things before an edit; shapes that it left alone are taken over.
    """

    def __init__(
        self,
        job: Job,
        repairs: Repairs,
        sheet: UUID,
        staffs: Mapping[UUID, Path] | None = None,
        before: Hits | None = None,
    ) -> None:
        self._courses = {joint.id: course for joint in job.joints.values() if (course := _course(joint, sheet))}
        for key, path in (staffs or {}).items():
            self._courses[key] = Course(path, path.length_m / job.joints[key].length_m)
        self._on_staffs = bool(staffs)
        self._makers: dict[Target, tuple[Callable[[], Iterable[_Part]], Callable[[list[_Part]], _Shapes]]] = {
            Target.JOINT: (lambda: self._joints(job, sheet), _joint_shapes),
            Target.LEAK: (lambda: self._leaks(job), _leak_shapes),
            Target.ZONE: (lambda: self._zones(repairs, sheet, job.rules.band_m / 2), _zone_shapes),
            Target.RELIEF: (lambda: self._reliefs(repairs), _relief_shapes),
        }
        self.found: dict[Target, _Index] = {}
        self._making: dict[Target, Iterator[None]] = {}
        self._before = before.last if before is not None else {}

    def at(self, point: Point, radius_m: float, order: Sequence[Target]) -> Hit | None:
        """The nearest of the first target in ``order`` that has anything within the radius; None: nothing.

        Of two equally near, a wetter leak, then what comes first in the job wins.
        """
        for target in order:
            found = self._index(target).within(point, radius_m)
            if found:
                distance, _, key = min(found)
                return Hit(target=target, key=key, distance_m=distance)
        return None

    def all_at(self, point: Point, radius_m: float, target: Target) -> list[Hit]:
        """Everything of one target within the radius, nearest first."""
        found = sorted(self._index(target).within(point, radius_m))
        return [Hit(target=target, key=key, distance_m=distance) for distance, _, key in found]

    @property
    def last(self) -> dict[Target, _Index]:
        """What was last made for each target, be it before the edit."""
        return self._before | self.found

    def gather(self, order: Sequence[Target]) -> Iterator[None]:
        """Make what ``at`` needs, some at a step; what is asked for meanwhile is made at once from what there is."""
        for target in order:
            if target not in self.found:
                making = self._making.setdefault(target, self._make(target))
                for _ in making:  # goes on where whoever asked before left it
                    yield

    def _index(self, target: Target) -> _Index:
        for _ in self.gather((target,)):
            pass
        return self.found[target]

    def _make(self, target: Target) -> Iterator[None]:
        parts, shapes_of = self._makers[target]
        index = _Index(self._before.get(target))
        yield from index.fill(parts(), shapes_of)
        self.found[target] = index
        self._before.pop(target, None)

    def _joints(self, job: Job, sheet: UUID) -> Iterator[_Part]:
        upright = (
            joint for joint in job.joints.values() if joint.vertical and sheet in {joint.sheet, joint.head_sheet}
        )
        places = {joint.id: joint.point for joint in upright}
        for key, course in self._courses.items():
            if key not in places:
                yield key, (course.path.corners,)
        for key, place in places.items():
            staff = self._courses.get(key)
            yield key, ((place, place), *((staff.path.corners,) if staff is not None else ()))

    def _leaks(self, job: Job) -> Iterator[_Part]:
        for leak in sorted(job.leaks.values(), key=lambda item: -item.wetness):
            course = self._courses.get(leak.joint)
            if course is not None:
                yield leak.id, (leak.from_m, leak.to_m, course)

    def _zones(self, repairs: Repairs, sheet: UUID, half_m: float) -> Iterator[_Part]:
        for zone in repairs.zones:
            if sheet not in zone.sheets:
                continue
            bands = tuple(band for band in zone.bands if band.sheet == sheet and band.rings)
            bare = () if bands and not self._on_staffs else tuple(self._unbanded(zone, bool(bands), half_m))
            if bands or bare:
                yield zone.number, (bands, bare)

    def _unbanded(self, zone: Zone, banded: bool, half_m: float) -> Iterator[tuple[Piece, Course, float]]:  # noqa: FBT001 - of one caller
        """Pieces that no coat band shows, each with half its width: those on a staff, and all where no band is here."""
        for piece in zone.pieces:
            course = self._courses.get(piece.joint)
            if course is not None and piece.why is not Why.BLIND and not (banded and course.share == 1.0):
                yield piece, course, half_m if course.share == 1.0 else 0.0

    def _reliefs(self, repairs: Repairs) -> Iterator[_Part]:
        for zone in repairs.zones:
            here = tuple(
                (relief, self._courses[relief.joint]) for relief in zone.relief if relief.joint in self._courses
            )
            if here:
                yield zone.number, here


class _Index:
    """Shapes in a tree, each with the key of what it belongs to.

    Args:
        before: Shapes of parts that are made from the same are taken over from here.
    """

    def __init__(self, before: _Index | None) -> None:
        self._held = before.shapes if before is not None else {}
        self.shapes: dict[UUID | int, tuple[tuple[Any, ...], BaseGeometry]] = {}

    def fill(self, parts: Iterable[_Part], shapes_of: Callable[[list[_Part]], _Shapes]) -> Iterator[None]:
        """Make the shapes, some at a step, and the tree at last.

        Args:
            parts: What is found, best first; each key once.
            shapes_of: Makes a shape for each of some parts.
        """
        held, coming = self._held, iter(parts)
        while some := list(islice(coming, _SOME)):
            fresh = [(key, of) for key, of in some if key not in held or held[key][0] != of]
            made = {key: (of, shape) for (key, of), shape in zip(fresh, shapes_of(fresh), strict=True)}
            self.shapes.update((key, made[key] if key in made else held[key]) for key, _ in some)
            yield
        self._held = {}
        self._keys = list(self.shapes)
        self._tree = shapely.STRtree([shape for _, shape in self.shapes.values()])

    def within(self, point: Point, radius_m: float) -> list[tuple[float, int, UUID | int]]:
        """Distance, turn and key of everything within a radius."""
        if not self._keys:
            return []
        place = shapely.Point(point)
        near = self._tree.query(place, predicate="dwithin", distance=radius_m)
        distances = shapely.distance(place, self._tree.geometries[near])
        return [
            (distance, index, self._keys[index])
            for index, distance in zip(near.tolist(), distances.tolist(), strict=True)
        ]


def _course(joint: Joint, sheet: UUID) -> Course | None:
    if joint.sheet != sheet or joint.vertical:
        return None
    if joint.path is not None:
        return Course(joint.path)
    assert joint.point is not None
    assert joint.diameter_m is not None
    return Course(ring(joint.point, joint.diameter_m), collar=True)


def _joint_shapes(parts: list[_Part]) -> _Shapes:
    return [_one(_lines(lines)) for _, lines in parts]


def _leak_shapes(parts: list[_Part]) -> _Shapes:
    return _lines([course.part(from_m, to_m) for _, (from_m, to_m, course) in parts])


def _zone_shapes(parts: list[_Part]) -> _Shapes:
    polygons = [polygon for _, (bands, _) in parts for band in bands for polygon in band.rings]
    areas = iter(_areas(polygons))
    for _, (bands, bare) in parts:
        yield _one([*(next(areas) for band in bands for _ in band.rings), *(_piece_shape(*piece) for piece in bare)])


def _relief_shapes(parts: list[_Part]) -> _Shapes:
    return [shapely.multipoints([course.point_at(relief.at_m) for relief, course in places]) for _, places in parts]


def _one(shapes: list[BaseGeometry]) -> BaseGeometry:
    return shapes[0] if len(shapes) == 1 else shapely.geometrycollections(shapes)


def _lines(lines: Sequence[Sequence[Point]]) -> list[BaseGeometry]:
    """Lines, all at once."""
    if not lines:
        return []
    owner = np.repeat(np.arange(len(lines)), [len(line) for line in lines])
    made: list[BaseGeometry] = shapely.linestrings(np.array(list(chain.from_iterable(lines))), indices=owner).tolist()
    return made


def _areas(polygons: Sequence[Polygon]) -> list[BaseGeometry]:
    """Polygons, all at once; those with holes one by one."""
    if not polygons:
        return []
    shells = [rings[0] for rings in polygons]
    owner = np.repeat(np.arange(len(shells)), [len(shell) for shell in shells])
    made = shapely.polygons(shapely.linearrings(np.array(list(chain.from_iterable(shells))), indices=owner)).tolist()
    return [
        area if len(rings) == 1 else shapely.Polygon(rings[0], rings[1:])
        for rings, area in zip(polygons, made, strict=True)
    ]


def _piece_shape(piece: Piece, course: Course, half_m: float) -> BaseGeometry:
    points = course.part(piece.from_m, piece.to_m)
    if all(hypot(x - points[0][0], y - points[0][1]) == 0 for x, y in points):
        return shapely.Point(points[0])
    line = shapely.LineString(points)
    return line.buffer(half_m, cap_style="flat", join_style="mitre") if half_m else line
