"""Places of joints that catch the pointer: ends, bends, crossings, square feet, places along them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot
from typing import NamedTuple
from uuid import UUID

import numpy as np

from leakmap.base.measures import Units
from leakmap.geometry.cells import FloatArray, IntArray
from leakmap.geometry.path import Path, Point
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.work.catch import Aim, Catch
from leakmap.work.snap_lines import (
    Lines,
    Near,
    Spots,
    crossing_near,
    line_at,
    lines_near,
    lines_of,
    not_along,
    spots_near,
    spots_of,
    square_foot,
)
from leakmap.work.staffs import Staffs, height_at, stepped_m


class _Piece(NamedTuple):
    """A straight piece of a joint in plan."""

    start: Point
    end: Point
    joint: int
    chainage_m: float


@dataclass(frozen=True, slots=True, eq=False)
class JointPlaces:
    """What of the joints of a level catches the pointer.

    Attributes:
        joints: Id and reference of each joint.
        units: In what heights are said.
        lines: Straight pieces.
        joint: Number of the joint of each piece.
        chainage_m: Chainage where each piece starts.
        ends: Places of ends; ``end_catches`` says what each is.
        bends: The same of bends.
    """

    joints: tuple[tuple[UUID, str], ...]
    units: Units
    lines: Lines
    joint: IntArray
    chainage_m: FloatArray
    ends: Spots
    end_catches: tuple[Catch, ...]
    bends: Spots
    bend_catches: tuple[Catch, ...]


def joint_places(job: Job, level: UUID) -> JointPlaces:
    """Gather the places of the joints that are seen on a level: its own, and heads of uprights from below."""
    joints = [joint for joint in job.joints.values() if level in {joint.sheet, joint.head_sheet}]
    pieces: list[_Piece] = []
    ends: list[Catch] = []
    bends: list[Catch] = []
    for number, joint in enumerate(joints):
        path = plan_path(joint)
        if path is None:
            ends.append(_upright(joint, level))
            continue
        pieces += (_Piece(a, b, number, at) for (a, b), at in zip(pairwise(path.corners), path.chainages, strict=False))
        if joint.path is not None:
            ends += _ends(joint, path)
            bends += _bends(joint, path)
    start, end = _points(piece.start for piece in pieces), _points(piece.end for piece in pieces)
    return JointPlaces(
        joints=tuple((joint.id, joint.ref) for joint in joints),
        units=job.units,
        lines=lines_of(start, end),
        joint=np.array([piece.joint for piece in pieces], dtype=np.int64),
        chainage_m=np.array([piece.chainage_m for piece in pieces], dtype=np.float64),
        ends=spots_of(_points(catch.at for catch in ends)),
        end_catches=tuple(ends),
        bends=spots_of(_points(catch.at for catch in bends)),
        bend_catches=tuple(bends),
    )


def caught_on_joints(places: JointPlaces, at: Point, radius_m: float, aim: Aim) -> Catch | None:
    """The nearest end within the radius, else bend, crossing, square foot, place along a joint."""
    spot = _spot(places.ends, places.end_catches, at, radius_m, aim)
    spot = spot or _spot(places.bends, places.bend_catches, at, radius_m, aim)
    if spot is not None:
        return spot
    found = _without(places, lines_near(places.lines, at, radius_m), aim)
    if not len(found.number):
        return None
    crossing = crossing_near(places.lines, found, at, radius_m, course=places.joint)
    if crossing is not None:
        one, other, place = crossing
        words = f"{places.joints[places.joint[one]][1]} and {places.joints[places.joint[other]][1]} meet"
        return _on(places, one, place, words)
    if aim.origin is not None:
        square = square_foot(places.lines, found, aim.origin, at, radius_m)
        if square is not None:
            piece, place = square
            return _on(places, piece, place, f"square to {places.joints[places.joint[piece]][1]}")
    found = not_along(places.lines, found, aim.across)
    if not len(found.number):
        return None
    piece = int(found.number[0])
    x, y = found.foot[0].tolist()
    on = _on(places, piece, (x, y), f"on {places.joints[places.joint[piece]][1]}")
    return replace(on, line=line_at(places.lines, piece))


def caught_on_staffs(places: JointPlaces, staffs: Staffs, at: Point, radius_m: float, aim: Aim) -> Catch | None:
    """The height of a vertical joint that is pointed at on its staff."""
    height = height_at(staffs, at, radius_m)
    if height is None or height.joint in aim.without:
        return None
    key, staff, ref = height.joint, staffs[height.joint], dict(places.joints)[height.joint]
    at_m = stepped_m(staff.rise_m, height.at_m)
    ends = {0.0: f"foot of {ref}", staff.rise_m: f"head of {ref}"}
    return Catch(
        at=staff.point_at(at_m),
        words=ends.get(at_m, f"on {ref}, {places.units.with_unit(at_m)} up"),
        joint=key,
        chainage_m=at_m,
    )


def _spot(spots: Spots, catches: tuple[Catch, ...], at: Point, radius_m: float, aim: Aim) -> Catch | None:
    found = (catches[int(number)] for number in spots_near(spots, at, radius_m))
    return next((catch for catch in found if catch.joint not in aim.without), None)


def _without(places: JointPlaces, found: Near, aim: Aim) -> Near:
    if not aim.without:
        return found
    barred = [number for number, (key, _) in enumerate(places.joints) if key in aim.without]
    kept = ~np.isin(places.joint[found.number], barred)
    return Near(found.number[kept], found.foot[kept])


def _on(places: JointPlaces, piece: int, at: Point, words: str) -> Catch:
    x, y = places.lines.start[piece].tolist()
    chainage = float(places.chainage_m[piece]) + hypot(at[0] - x, at[1] - y)
    return Catch(at=at, words=words, joint=places.joints[places.joint[piece]][0], chainage_m=chainage)


def _upright(joint: Joint, level: UUID) -> Catch:
    """What is a mere point in plan: a vertical joint, or a pipe collar in a wall."""
    assert joint.point is not None
    if not joint.vertical:
        return Catch(at=joint.point, words=f"centre of {joint.ref}", joint=joint.id, chainage_m=0.0)
    if level == joint.sheet:
        return Catch(at=joint.point, words=f"foot of {joint.ref}", joint=joint.id, chainage_m=0.0)
    return Catch(at=joint.point, words=f"head of {joint.ref}", joint=joint.id, chainage_m=joint.length_m)


def _ends(joint: Joint, path: Path) -> Iterator[Catch]:
    if path.closed:
        yield Catch(at=path.points[0], words=f"start of {joint.ref}", joint=joint.id, chainage_m=0.0)
        return
    for point, at in ((path.points[0], 0.0), (path.points[-1], path.length_m)):
        yield Catch(at=point, words=f"end of {joint.ref}", joint=joint.id, chainage_m=at)


def _bends(joint: Joint, path: Path) -> Iterator[Catch]:
    last = len(path.points) if path.closed else len(path.points) - 1
    for point, at in zip(path.points[1:last], path.chainages[1:last], strict=True):
        yield Catch(at=point, words=f"bend of {joint.ref}", joint=joint.id, chainage_m=at)


def _points(points: Iterator[Point]) -> FloatArray:
    return np.array(list(points), dtype=np.float64).reshape(-1, 2)
