"""Geometries of the job file, so that any map program shows joints, leaks and blind stretches.

A joint's geometry is its course itself. Those of leaks and blind stretches follow from the joint: a
stretch is a line, and a spot, or anything on a joint that is a mere point in plan, is a point.
"""

from __future__ import annotations

from itertools import pairwise

from leakmap.geometry.path import Path
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.model.leak import Leak
from leakmap.records.geopackage import blob_of


def joint_shape(_job: Job, joint: Joint) -> bytes:
    """Geometry of a joint: its line, whose first point is repeated where it is closed, or its point."""
    course = joint.path or joint.point
    assert course is not None
    return blob_of(course.corners if isinstance(course, Path) else (course,))


def leak_shape(job: Job, leak: Leak) -> bytes:
    """Geometry of a leak."""
    return stretch_shape(job.joints[leak.joint], leak.from_m, leak.to_m)


def stretch_shape(joint: Joint, from_m: float, to_m: float) -> bytes:
    """Geometry of a stretch of a joint, clipped to it."""
    path = plan_path(joint)
    if path is None:
        assert joint.point is not None
        return blob_of((joint.point,))
    points = path.part(from_m, to_m)
    return blob_of([points[0], *(point for before, point in pairwise(points) if point != before)])
