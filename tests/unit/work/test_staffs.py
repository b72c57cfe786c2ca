"""Heights pointed at on staffs, and what lies there."""

from __future__ import annotations

from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from leakmap.issue.marks.signs import Staff
from leakmap.model.words import Kind, Wetness
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.hits import Hit, Target
from leakmap.work.snap import Aim, snap, snap_places
from leakmap.work.staffs import Height, height_at, height_step_m, hit_at, stepped_m
from tests.helpers.small_jobs import one_line, with_leak

KEY = UUID(int=7)
STAFF = Staff((2.0, 0.0), 3.0, 100.0)  # 10.5 mm at 1:100: 1.05 m high for a rise of 3 m


def test_a_height_is_the_share_of_the_staff() -> None:
    """Half-way up a staff is half of the rise; above its top is the head, beyond 0.7 of the radius beside it nothing."""
    staffs = {KEY: STAFF}
    found = height_at(staffs, (2.05, 0.525), 0.1)
    assert found is not None
    assert (found.joint, round(found.at_m, 6)) == (KEY, 1.5)
    assert height_at(staffs, (2.0, 1.1), 0.1) == Height(KEY, 3.0)
    assert height_at(staffs, (2.08, 0.5), 0.1) is None


@given(rise=st.floats(0.1, 40), share=st.floats(-0.5, 1.5))
def test_a_stepped_height_lies_on_the_joint_and_near_what_was_pointed_at(rise: float, share: float) -> None:
    """It is never outside the joint, and from inside it never farther off than half a step."""
    at_m = share * rise
    found = stepped_m(rise, at_m)
    assert 0 <= found <= rise
    if 0 <= share <= 1:
        assert abs(found - at_m) <= height_step_m(rise) / 2 + 1e-3


def test_a_height_is_caught_before_what_lies_under_the_staff() -> None:
    """Where J-01 runs under a staff, the staff is caught, with its foot and head by name; a tool that draws catches J-01."""
    job, _ = one_line([(0, 0.5), (4, 0.5)])
    sheet = next(iter(job.sheets))
    job = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(1, 3), rise_m=3.0).job
    key = next(joint.id for joint in job.joints.values() if joint.vertical)
    places, staffs, aim = snap_places(job, sheet), {key: STAFF}, Aim(joints_only=True)
    caught = snap(places, (2.0, 0.5), radius_m=0.1, aim=aim, staffs=staffs)
    assert caught is not None
    assert (caught.words, caught.joint, caught.chainage_m) == ("on V-01, 1.40 m up", key, 1.4)  # 0.5 / 1.05 · 3 = 1.43
    words = [snap(places, (2.0, y), radius_m=0.1, aim=aim, staffs=staffs).words for y in (0.0, 1.05)]  # type: ignore[union-attr]
    assert words == ["foot of V-01", "head of V-01"]
    drawing = snap(places, (2.0, 0.5), radius_m=0.1, staffs=staffs)
    assert drawing is not None
    assert drawing.words == "on J-01"


def test_what_lies_at_a_height() -> None:
    """At 1.5 m the wetter of two leaks, its relief point within reach at its lowest place 1.2 m; at 2.9 m only the joint."""
    job, _ = one_line()
    sheet = next(iter(job.sheets))
    edit = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(9, 9), rise_m=3.0)
    job, key = edit.job, edit.made[0]
    job, _ = with_leak(job, key, 1.0, 2.0, Wetness.SEEP)
    job, wetter = with_leak(job, key, 1.2, 1.6, Wetness.RUN)
    worked = repairs(job)
    zone = worked.zones[0].number
    everything = [Target.LEAK, Target.JOINT]
    assert hit_at(job, worked, Height(key, 1.5), 0.1, everything) == Hit(target=Target.LEAK, key=wetter, distance_m=0.0)
    assert hit_at(job, worked, Height(key, 2.9), 0.1, everything) == Hit(target=Target.JOINT, key=key, distance_m=0.0)
    assert hit_at(job, worked, Height(key, 1.5), 0.4, [Target.RELIEF]).key == zone  # type: ignore[union-attr]
    assert hit_at(job, worked, Height(key, 1.5), 0.4, [Target.ZONE]) == Hit(
        target=Target.ZONE, key=zone, distance_m=0.0
    )
    assert hit_at(job, worked, Height(key, 2.9), 0.1, [Target.RELIEF, Target.ZONE, Target.LEAK]) is None
