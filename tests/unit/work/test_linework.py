"""Joints on the lines of a drawing, before and after a new revision of it."""

from __future__ import annotations

import numpy as np
import pytest

from leakmap.geometry.path import Point
from leakmap.model.words import Kind
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.linework import left_behind, wholly_on_linework
from leakmap.work.snap_lines import Lines, lines_of
from tests.helpers.small_jobs import one_line, one_sheet, with_line

NO_LINES = lines_of(np.empty((0, 2)), np.empty((0, 2)))


def lines(*pieces: tuple[Point, Point]) -> Lines:
    """Lines with their index."""
    array = np.array(pieces, dtype=np.float64)
    return lines_of(array[:, 0], array[:, 1])


@pytest.mark.parametrize(
    ("offset", "covered_m", "lies"),
    [(0.0, 7.0, True), (0.019, 7.0, True), (0.021, 7.0, False), (0.0, 6.4, True), (0.0, 6.2, False)],
)
def test_nine_tenths_of_a_joint_must_be_near(offset: float, covered_m: float, lies: bool) -> None:  # noqa: FBT001 - a table's row
    """Within 20 mm over at least 6.3 m of 7 m it lies wholly on linework."""
    job, joint = one_line(((0, 0), (7, 0)))
    found = wholly_on_linework(job.joints.values(), lines(((0, offset), (covered_m, offset))))
    assert found == (frozenset({joint}) if lies else frozenset())


@pytest.mark.parametrize(
    ("length_m", "covered_m", "left"),
    [(7.0, 6.6, False), (7.0, 6.4, True), (0.6, 0.4, False), (0.6, 0.2, True)],
)
def test_half_a_metre_or_half_a_short_joint_must_be_gone(length_m: float, covered_m: float, left: bool) -> None:  # noqa: FBT001 - a table's row
    """Of 7 m on a line that is shorter now, 0.4 m beyond it is no matter and 0.6 m is; of 0.6 m, 0.2 m and 0.4 m."""
    job, _ = one_line(((0, 0), (length_m, 0)))
    before, after = lines(((0, 0), (length_m, 0))), lines(((0, 0), (covered_m, 0)))
    assert bool(left_behind(job.joints.values(), before, after)) == left


def test_a_corner_whose_one_leg_went_is_left_behind() -> None:
    """4 m and 3 m round a corner: the wall of the short leg went, so the joint is to be looked at."""
    job, _ = one_line()
    legs = (((0, 0), (4, 0)), ((4, 0), (4, 3)))
    assert left_behind(job.joints.values(), lines(*legs), lines(legs[0]))


def test_wall_that_moved_leaves_its_joint_behind() -> None:
    """Of a joint on a wall that moved, one on a wall that stayed and one on no wall, only the first is listed."""
    job, moved = one_line(((0, 0), (4, 0)))
    job, _ = with_line(job, ((0, 3), (4, 3)))
    job, _ = with_line(job, ((1, 1), (3, 2)))
    before = lines(((0, 0), (4, 0)), ((0, 3), (4, 3)))
    after = lines(((0, 0.2), (4, 0.2)), ((0, 3), (4, 3)))
    assert [joint.id for joint in left_behind(job.joints.values(), before, after)] == [moved]
    assert left_behind(job.joints.values(), before, before) == ()
    assert [joint.ref for joint in left_behind(job.joints.values(), before, NO_LINES)] == ["J-01", "J-02"]
    assert left_behind((), before, after) == ()


def test_vertical_joint_lies_where_its_point_does() -> None:
    """A vertical joint on a corner lies on linework; 30 mm beside it does not."""
    job, sheet = one_sheet()
    job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(4, 0), rise_m=3.0).job
    (joint,) = job.joints
    assert wholly_on_linework(job.joints.values(), lines(((0, 0), (4, 0)))) == {joint}
    assert wholly_on_linework(job.joints.values(), lines(((0, 0.03), (4, 0.03)))) == frozenset()
