"""Where staffs stand beside vertical joints."""

from __future__ import annotations

from leakmap.geometry.path import Box
from leakmap.issue.marks.primitives import on_site
from leakmap.issue.marks.signs import STAFF_AWAY_MM, STAFF_WIDTH_MM, Staff
from leakmap.issue.marks.staff_places import staffs_on
from tests.helpers.jobs import job_of, joint_id, line, sheet_id, upright

SCALE = 100.0


def box(staff: Staff) -> Box:
    """The frame of a staff."""
    half = on_site(STAFF_WIDTH_MM / 2, SCALE)
    (x, y), top = staff.foot, staff.point_at(staff.rise_m)[1]
    return x - half, y, x + half, top


def meets(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_a_staff_stands_on_the_right_where_nothing_is() -> None:
    """Its middle line is 6 mm of paper beside the sign, 0.6 m at 1:100, also on a sheet without a line."""
    job = job_of([upright((5, 5), 3.0)])
    (staff,) = staffs_on(job, sheet_id(1), SCALE).values()
    assert staff.foot[0] == 5 + on_site(STAFF_AWAY_MM, SCALE)


def test_a_staff_keeps_off_lines_and_off_other_staffs() -> None:
    """With a wall close on the right and a second joint on the left, no staff lies over the wall or over the other."""
    job = job_of([line((5.6, 0), (5.6, 10)), upright((5, 5), 3.0), upright((4.4, 5), 3.0)])
    staffs = staffs_on(job, sheet_id(1), SCALE)
    one, two = box(staffs[joint_id(2)]), box(staffs[joint_id(3)])
    assert not meets(one, two)
    assert not any(meets(frame, (5.59, 0, 5.61, 10)) for frame in (one, two))


def test_lines_far_off_change_nothing() -> None:
    """A place depends only on what is near: lines 20 m away leave it as it is."""
    near = [upright((5, 5), 3.0), line((4, 5), (9, 5))]
    far = line((30, 0), (30, 40), (0, 40))
    one, two = (staffs_on(job_of(joints), sheet_id(1), SCALE) for joints in (near, [*near, far]))
    assert one == two
