"""Geometries of joints, leaks and blind stretches."""

from __future__ import annotations

from math import pi

import pytest

from leakmap.geometry.path import Point
from leakmap.model.joint import Joint
from leakmap.model.words import Face
from leakmap.records.geopackage import points_of
from leakmap.records.shapes import joint_shape, leak_shape, stretch_shape
from tests.helpers.jobs import collar, job_of, leak, line, upright

CORNER = line((0, 0), (4, 0), (4, 3))
ROUND = line((0, 0), (4, 0), (4, 3), closed=True)


@pytest.mark.parametrize(
    ("joint", "from_m", "to_m", "points"),
    [
        (CORNER, 3.0, 6.0, ((3, 0), (4, 0), (4, 2))),
        (CORNER, 1.0, 1.0, ((1, 0),)),  # a spot is a point
        (CORNER, 4.0, 4.0, ((4, 0),)),  # at the bend too
        (CORNER, 6.0, 9.0, ((4, 2), (4, 3))),  # clipped
        (CORNER, 8.0, 9.0, ((4, 3),)),  # past the end, as in a damaged job
        (ROUND, 11.0, 1.0, ((0.8, 0.6), (0, 0), (1, 0))),  # over the start: the third side runs from (4, 3) to (0, 0)
        (ROUND, 0.0, 12.0, ((0, 0), (4, 0), (4, 3), (0, 0))),
        (ROUND, 12.0, 0.0, ((0, 0),)),  # the end and the start are one place
        (upright((1.5, 2.5), 3.0), 0.5, 2.0, ((1.5, 2.5),)),
        (collar((1.5, 2.5), 0.3, face=Face.WALL), 0.1, 0.2, ((1.5, 2.5),)),
    ],
)
def test_a_stretch_is_a_line_or_a_point(joint: Joint, from_m: float, to_m: float, points: tuple[Point, ...]) -> None:
    """A stretch is a line along its joint; a spot, or anything on what is a point in plan, is a point."""
    found = points_of(stretch_shape(joint, from_m, to_m))
    assert len(found) == len(points)
    for one, other in zip(found, points, strict=True):
        assert one == pytest.approx(other, abs=1e-12)


def test_a_stretch_of_a_collar_lies_on_its_ring() -> None:
    """A quarter of a collar in the floor runs clockwise from its top, at its radius within half a millimetre."""
    found = points_of(stretch_shape(collar((0.0, 0.0), 1.0), 0.0, pi / 4))
    assert found[0] == pytest.approx((0.0, 0.5), abs=5e-4)
    assert found[-1] == pytest.approx((0.5, 0.0), abs=5e-4)


def test_a_joint_is_drawn_as_it_is() -> None:
    """A line is its corners, a closed one repeats the first, and what is drawn as a point is a point."""
    job = job_of([CORNER, ROUND, upright((1.5, 2.5), 3.0), collar((1.0, 1.0), 0.3)], [leak(1, 1.0, 2.0)])
    assert [points_of(joint_shape(job, joint)) for joint in job.joints.values()] == [
        ((0, 0), (4, 0), (4, 3)),
        ((0, 0), (4, 0), (4, 3), (0, 0)),
        ((1.5, 2.5),),
        ((1.0, 1.0),),
    ]
    assert [points_of(leak_shape(job, each)) for each in job.leaks.values()] == [((1, 0), (2, 0))]
