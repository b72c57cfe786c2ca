"""What lies under the pointer: the nearest joint, leak, zone or relief point of a sheet.

Distances are metres of the site plane: to the line of a joint or leak, to the coat band of a zone
(zero inside it), to the place of a relief point. A vertical joint is a point; what lies on it is found on the
staff that stands for it, where one is given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot
from uuid import UUID

import shapely
from shapely.geometry.base import BaseGeometry

from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.course import Course
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


class Hits:
    """Finds what is near a place of one sheet.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Id of the sheet.
        staffs: Line, foot first, that stands for a vertical joint on the plan, by the joint's id.
    """

    def __init__(self, job: Job, repairs: Repairs, sheet: UUID, staffs: Mapping[UUID, Path] | None = None) -> None:
        self._courses = {joint.id: course for joint in job.joints.values() if (course := _course(joint, sheet))}
        for key, path in (staffs or {}).items():
            self._courses[key] = Course(path, path.length_m / job.joints[key].length_m)
        self._makers: dict[Target, Callable[[], Iterable[tuple[UUID | int, BaseGeometry]]]] = {
            Target.JOINT: lambda: self._joints(job, sheet),
            Target.LEAK: lambda: self._leaks(job),
            Target.ZONE: lambda: self._zones(repairs, sheet, job.rules.band_m / 2),
            Target.RELIEF: lambda: self._reliefs(repairs),
        }
        self._found: dict[Target, _Index] = {}

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

    def _index(self, target: Target) -> _Index:
        if target not in self._found:
            self._found[target] = _Index(self._makers[target]())
        return self._found[target]

    def _joints(self, job: Job, sheet: UUID) -> Iterator[tuple[UUID, BaseGeometry]]:
        for key, course in self._courses.items():
            yield key, shapely.linestrings(course.path.corners)
        for joint in job.joints.values():
            if joint.vertical and sheet in {joint.sheet, joint.head_sheet}:
                yield joint.id, shapely.Point(joint.point)

    def _leaks(self, job: Job) -> Iterator[tuple[UUID, BaseGeometry]]:
        for leak in sorted(job.leaks.values(), key=lambda item: -item.wetness):
            course = self._courses.get(leak.joint)
            if course is not None:
                yield leak.id, shapely.linestrings(course.part(leak.from_m, leak.to_m))

    def _zones(self, repairs: Repairs, sheet: UUID, half_m: float) -> Iterator[tuple[int, BaseGeometry]]:
        for zone in repairs.zones:
            if sheet not in zone.sheets:
                continue
            bands = [polygon for band in zone.bands if band.sheet == sheet for polygon in band.rings]
            yield from ((zone.number, shapely.Polygon(rings[0], rings[1:])) for rings in bands)
            yield from self._unbanded(zone, bare=not bands, half_m=half_m)

    def _unbanded(self, zone: Zone, *, bare: bool, half_m: float) -> Iterator[tuple[int, BaseGeometry]]:
        """Pieces that no coat band shows: those on a staff, and all of a zone that has no band here."""
        for piece in zone.pieces:
            course = self._courses.get(piece.joint)
            if course is not None and piece.why is not Why.BLIND and (bare or course.share != 1.0):
                yield zone.number, _piece_shape(piece, course, half_m if bare and course.share == 1.0 else 0.0)

    def _reliefs(self, repairs: Repairs) -> Iterator[tuple[int, BaseGeometry]]:
        for zone in repairs.zones:
            for relief in zone.relief:
                if relief.joint in self._courses:
                    yield zone.number, shapely.Point(self._courses[relief.joint].point_at(relief.at_m))


class _Index:
    """Shapes in a tree, each with the key of what it belongs to."""

    def __init__(self, shapes: Iterable[tuple[UUID | int, BaseGeometry]]) -> None:
        pairs = list(shapes)
        self._keys = [key for key, _ in pairs]
        self._tree = shapely.STRtree([shape for _, shape in pairs])

    def within(self, point: Point, radius_m: float) -> list[tuple[float, int, UUID | int]]:
        """Distance, turn and key of everything within a radius, each thing once."""
        if not self._keys:
            return []
        place = shapely.Point(point)
        near = self._tree.query(place, predicate="dwithin", distance=radius_m)
        distances = shapely.distance(place, self._tree.geometries[near])
        best: dict[UUID | int, tuple[float, int, UUID | int]] = {}
        for index, distance in sorted(zip(near.tolist(), distances.tolist(), strict=True)):
            key = self._keys[index]
            if key not in best or distance < best[key][0]:
                best[key] = (distance, index, key)
        return list(best.values())


def _course(joint: Joint, sheet: UUID) -> Course | None:
    if joint.sheet != sheet or joint.vertical:
        return None
    if joint.path is not None:
        return Course(joint.path)
    assert joint.point is not None
    assert joint.diameter_m is not None
    return Course(ring(joint.point, joint.diameter_m), collar=True)


def _piece_shape(piece: Piece, course: Course, half_m: float) -> BaseGeometry:
    points = course.part(piece.from_m, piece.to_m)
    if all(hypot(x - points[0][0], y - points[0][1]) == 0 for x, y in points):
        return shapely.Point(points[0])
    line = shapely.LineString(points)
    return line.buffer(half_m, cap_style="flat", join_style="mitre") if half_m else line
