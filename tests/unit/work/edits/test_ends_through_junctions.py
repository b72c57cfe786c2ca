"""Dragging an end of a zone through junctions: distances are measured along the network (definition 3).

J-01 runs 10 m along x; J-02 leaves it at 5 m and runs 5 m up; V-01 stands at its end, 3 m high.
L-01, a seep from 4 to 4.5 m of J-01, reaches 0.30 m farther, to 3.7 and 4.8 m.
"""

from __future__ import annotations

from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.model.job import Job
from leakmap.model.words import Kind
from leakmap.repair.cover import covered
from leakmap.repair.results import End
from leakmap.work.edits.ends import drag_end
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.leaks import LeakEnd, set_overrun
from tests.helpers.small_jobs import joint_named, leak_named, one_line, with_leak, with_line


def tee() -> Job:
    """The job of this module."""
    job, one = one_line([(0, 0), (10, 0)])
    job, _ = with_line(job, [(5, 0), (5, 5)])
    job = draw_vertical_joint(job, sheet=next(iter(job.sheets)), kind=Kind.CONSTRUCTION, point=(10, 0), rise_m=3.0).job
    return with_leak(job, one, 4, 4.5)[0]


def with_overrun(job: Job, overrun_m: float) -> Job:
    """The job with the overrun after L-01 set by hand."""
    return set_overrun(job, leak=leak_named(job, "L-01").id, end=LeakEnd.TO, overrun_m=overrun_m).job


def ends(job: Job) -> set[tuple[str, float]]:
    """Joint and chainage of each end of a zone."""
    return {(job.joints[end.joint].ref, round(end.at_m, 6)) for part in covered(job).parts for end in part.ends}


def end_at(job: Job, ref: str, at_m: float) -> End:
    """The end of a zone at a place."""
    found = [end for part in covered(job).parts for end in part.ends if job.joints[end.joint].ref == ref]
    return next(end for end in found if abs(end.at_m - at_m) < 1e-6)


def id_of(job: Job, ref: str) -> UUID:
    """Id of a joint."""
    return joint_named(job, ref).id


def test_lengthened_into_a_joint_that_meets_all_arms_follow() -> None:
    """4.8 m of J-01 dragged to 0.4 m of J-02: 0.5 + 0.4 = 0.9 m, so that J-01 itself is covered to 5.4 m."""
    job = tee()
    edit = drag_end(job, end=end_at(job, "J-01", 4.8), on=id_of(job, "J-02"), to_m=0.4)
    assert leak_named(edit.job, "L-01").overrun_to_m == pytest.approx(0.9, abs=2e-6)
    assert ends(edit.job) == {("J-01", 3.7), ("J-01", 5.4), ("J-02", 0.4)}


def test_shortened_back_through_a_junction() -> None:
    """An overrun of 0.9 m ends at 0.4 m of J-02; that end dragged to 4.9 m of J-01 leaves 0.4 m, and no arm."""
    job = with_overrun(tee(), 0.9)
    edit = drag_end(job, end=end_at(job, "J-02", 0.4), on=id_of(job, "J-01"), to_m=4.9)
    assert leak_named(edit.job, "L-01").overrun_to_m == pytest.approx(0.4, abs=2e-6)
    assert ends(edit.job) == {("J-01", 3.7), ("J-01", 4.9)}


def test_dragged_onto_another_arm_that_is_covered() -> None:
    """The end at 5.4 m of J-01 dragged to 0.2 m of J-02: its distance 0.5 + 0.2 = 0.7 m holds for both arms."""
    job = with_overrun(tee(), 0.9)
    edit = drag_end(job, end=end_at(job, "J-01", 5.4), on=id_of(job, "J-02"), to_m=0.2)
    assert leak_named(edit.job, "L-01").overrun_to_m == pytest.approx(0.7, abs=2e-6)
    assert ends(edit.job) == {("J-01", 3.7), ("J-01", 5.2), ("J-02", 0.2)}


def test_up_a_vertical_joint_and_down_again() -> None:
    """4.8 m of J-01 dragged 1.2 m up V-01: 5.5 + 1.2 = 6.7 m; from there back to 8 m of J-01: 3.5 m."""
    job = tee()
    edit = drag_end(job, end=end_at(job, "J-01", 4.8), on=id_of(job, "V-01"), to_m=1.2)
    assert leak_named(edit.job, "L-01").overrun_to_m == pytest.approx(6.7, abs=2e-6)
    assert ("V-01", 1.2) in ends(edit.job)
    back = drag_end(edit.job, end=end_at(edit.job, "V-01", 1.2), on=id_of(job, "J-01"), to_m=8.0)
    assert leak_named(back.job, "L-01").overrun_to_m == pytest.approx(3.5, abs=2e-6)


def test_every_side_that_passes_is_shortened_through_a_junction() -> None:
    """L-02 from 3 to 4.6 m with 0.8 m passes 4.9 m as L-01 with 0.9 m does: 0.3 and 0.4 m are left."""
    job = with_overrun(tee(), 0.9)
    job, second = with_leak(job, id_of(job, "J-01"), 3, 4.6, overrun_to_m=0.8)
    edit = drag_end(job, end=end_at(job, "J-02", 0.4), on=id_of(job, "J-01"), to_m=4.9)
    assert leak_named(edit.job, "L-01").overrun_to_m == pytest.approx(0.4, abs=2e-6)
    assert edit.job.leaks[second].overrun_to_m == pytest.approx(0.3, abs=2e-6)
    assert ("J-01", 4.9) in ends(edit.job)


def test_a_leak_on_the_way_is_never_shortened_away() -> None:
    """With L-02 from 0.2 to 0.6 m of J-02, the end beyond it cannot be dragged back to J-01."""
    job = with_overrun(tee(), 1.5)
    job, _ = with_leak(job, id_of(job, "J-02"), 0.2, 0.6)
    with pytest.raises(EditRefused, match="L-02 itself lies there"):
        drag_end(job, end=end_at(job, "J-02", 1.0), on=id_of(job, "J-01"), to_m=4.9)


def test_an_end_is_not_dragged_past_its_own_leak() -> None:
    """J-03 leaves J-01 at 2 m; the end at 4.8 m cannot go there, because L-01 lies in between; the one at 3.7 m can."""
    job, other = with_line(tee(), [(2, 0), (2, 5)])
    with pytest.raises(EditRefused, match="L-01 itself lies in between"):
        drag_end(job, end=end_at(job, "J-01", 4.8), on=other, to_m=0.5)
    edit = drag_end(job, end=end_at(job, "J-01", 3.7), on=other, to_m=0.5)
    assert leak_named(edit.job, "L-01").overrun_from_m == pytest.approx(2.5, abs=2e-6)


def test_a_joint_that_is_not_joined_is_refused() -> None:
    """J-03 lies apart from J-01, so no end can be dragged onto it; the sentence says so."""
    job, _ = with_line(tee(), [(0, 9), (4, 9)])
    with pytest.raises(EditRefused, match="J-03 is not joined to J-01"):
        drag_end(job, end=end_at(job, "J-01", 4.8), on=id_of(job, "J-03"), to_m=1.0)


@given(ref=st.sampled_from(["J-02", "V-01"]), at_mm=st.integers(2, 2690))
def test_where_it_is_dragged_to_it_ends(ref: str, at_mm: int) -> None:
    """An end dragged to any place of a joint that meets is an end there, and the overrun is the way along the network.

    Less than 0.301 m before the head of V-01 the gap would be bridged.
    """
    job, at_m = tee(), at_mm / 1000
    edit = drag_end(job, end=end_at(job, "J-01", 4.8), on=id_of(job, ref), to_m=at_m)
    way_m = {"J-02": 0.5, "V-01": 5.5}[ref] + at_m
    assert leak_named(edit.job, "L-01").overrun_to_m == pytest.approx(way_m, abs=2e-6)
    assert any(on == ref and abs(at - at_m) <= 2e-6 for on, at in ends(edit.job))
