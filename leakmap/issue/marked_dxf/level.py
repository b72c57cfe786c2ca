"""A job laid level for one drawing: its site plane turned and moved so that the drawing lies straight.

Words then stand level in the drawing, and shapes are worked out near the origin, where numbers are
finest, however far away the survey's zero lies.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin
from uuid import UUID

from leakmap.geometry.path import Path, Point, path_of
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.joint import Joint, ring
from leakmap.repair.results import Band, Repairs


def levelled(job: Job, repairs: Repairs, sheet: UUID) -> tuple[Job, Repairs, Placement]:
    """The job and its work-out in the sheet's level plane, and the sheet's placement in that plane.

    Only places change: no chainage, length or figure. Distances are kept to the last bits.
    """
    placement = job.sheets[sheet].placement
    level = replace(placement, turn_deg=0.0, at_m=(0.0, 0.0))
    joints = {key: _joint(joint, placement) for key, joint in job.joints.items()}
    zones = tuple(
        replace(zone, bands=tuple(_band(band, placement) for band in zone.bands if band.sheet == sheet))
        for zone in repairs.zones
    )
    return replace(job, joints=joints), replace(repairs, zones=zones), level


def _moved(point: Point, placement: Placement) -> Point:
    x, y = point[0] - placement.at_m[0], point[1] - placement.at_m[1]
    if placement.turn_deg == 0:
        return x, y
    c, s = cos(radians(placement.turn_deg)), sin(radians(placement.turn_deg))
    return c * x + s * y, c * y - s * x


def _joint(joint: Joint, placement: Placement) -> Joint:
    if joint.diameter_m is not None and placement.turn_deg:
        assert joint.point is not None
        round_pipe = _path(ring(joint.point, joint.diameter_m), placement)
        return replace(joint, path=round_pipe, point=None, diameter_m=None)
    path = None if joint.path is None else _path(joint.path, placement)
    point = None if joint.point is None else _moved(joint.point, placement)
    return replace(joint, path=path, point=point)


def _path(path: Path, placement: Placement) -> Path:
    return path_of((_moved(point, placement) for point in path.points), closed=path.closed)


def _band(band: Band, placement: Placement) -> Band:
    rings = tuple(
        tuple(tuple(_moved(point, placement) for point in ring_) for ring_ in polygon) for polygon in band.rings
    )
    return replace(band, rings=rings)
