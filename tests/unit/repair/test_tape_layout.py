"""A joint laid out straight: worked by hand on a small job."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from uuid import UUID

import pytest

from leakmap.model.grid import Axes, Axis, Grid
from leakmap.model.job import Job
from leakmap.model.words import Kind, Wetness
from leakmap.repair.junctions import junctions_of
from leakmap.repair.local import work_out, work_out_again
from leakmap.repair.results import Why
from leakmap.repair.tape_layout import TapeLayout, laid_out
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.leaks import set_overrun
from leakmap.work.edits.marks import add_cut
from tests.helpers.random_edits import random_edits, random_job, seeded
from tests.helpers.small_jobs import one_line, with_leak, with_line

BENT = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0))  # J-01: 7 m, bend at 4 m
STUB = ((2.0, 0.0), (2.0, -3.0))  # J-02: 3 m, starts on J-01 at 2 m


def layout_of(job: Job, joint: UUID) -> TapeLayout:
    """A joint of a job laid out."""
    return laid_out(job, repairs(job), joint, junctions_of(job).network)


def test_bends_and_lengths_between_them() -> None:
    """The bend of J-01 lies at 4 m: pieces of 4 m and 3 m."""
    job, joint = one_line(BENT)
    layout = layout_of(job, joint)
    assert (layout.bends, layout.lengths) == ((4.0,), ((0.0, 4.0), (4.0, 7.0)))
    assert (layout.row.leaks, layout.row.runs, layout.branches, layout.bubbles) == ((), (), (), ())


def test_bubbles_stand_where_axes_are_crossed() -> None:
    """Axes x = 0, 1.5, 4 and y = 1, 9: x = 0 touches the start, 1.5 is crossed there, y = 1 at 4 + 1 = 5 m.

    The second leg lies along x = 4, which it meets at the bend alone, and y = 9 is not reached.
    """
    job, joint = one_line(BENT)
    letters = tuple(Axis(name=name, at_m=at) for name, at in (("A", 0.0), ("B", 1.5), ("C", 4.0)))
    numbers = tuple(Axis(name=name, at_m=at) for name, at in (("1", 1.0), ("2", 9.0)))
    grid = Grid(letters=Axes(each=letters), numbers=Axes(towards_deg=90.0, each=numbers))
    found = layout_of(replace(job, grid=grid), joint).bubbles
    assert [(bubble.name, round(bubble.at_m, 9)) for bubble in found] == [
        ("A", 0.0),
        ("B", 1.5),
        ("C", 4.0),
        ("1", 5.0),
    ]


def test_a_bend_on_an_axis_is_one_crossing() -> None:
    """A corner that lies on an axis which the course goes through gives one bubble, at the corner."""
    job, joint = one_line(((0.0, 0.0), (2.0, 0.0), (4.0, 1.0)))
    grid = Grid(letters=Axes(each=(Axis(name="A", at_m=2.0),)))
    assert [bubble.at_m for bubble in layout_of(replace(job, grid=grid), joint).bubbles] == [2.0]


def test_zone_runs_round_the_junction_into_the_branch() -> None:
    """A seep from 1.9 to 2.1 m with 0.30 m each way covers 1.6 to 2.4 m, and 0.30 m of J-02 from its node inside.

    The run on J-01 measures 0.80 m; the branch's own part is 0.00 to 0.30 m of J-02.
    """
    job, joint = one_line(BENT)
    job, stub = with_line(job, STUB)
    job, leak = with_leak(job, joint, 1.9, 2.1)
    layout = layout_of(job, joint)
    (run,) = layout.row.runs
    assert (round(run.from_m, 6), round(run.to_m, 6), run.length_m) == (1.6, 2.4, Decimal("0.800"))
    assert {piece.why for piece in run.pieces} == {Why.OVERRUN, Why.LEAK}
    assert [(wet.leak.id, wet.spans) for wet in layout.row.leaks] == [(leak, ((1.9, 2.1),))]
    (branch,) = layout.branches
    assert (branch.joint.id, branch.at_m, branch.own_m) == (stub, 2.0, 0.0)
    assert branch.part == (0.0, pytest.approx(0.3))
    back = layout_of(job, stub)
    assert [(other.joint.ref, other.at_m, other.own_m) for other in back.branches] == [("J-01", 0.0, 2.0)]
    assert back.branches[0].part == (pytest.approx(1.6), pytest.approx(2.4))


def test_a_branch_without_repair_has_no_part_and_movement_joints_are_none() -> None:
    """A dry branch is laid out as its place alone; a movement joint is no part of the network."""
    job, joint = one_line(BENT)
    job, _ = with_line(job, STUB)
    job, moving = with_line(job, ((3.0, 0.0), (3.0, -2.0)), kind=Kind.MOVEMENT)
    (branch,) = layout_of(job, joint).branches
    assert (branch.part, branch.row.runs) == ((0.0, 0.0), ())
    assert layout_of(job, moving).branches == ()


def test_closed_joint_shows_what_passes_its_start_twice() -> None:
    """On a ring of 8 m a leak from 7.8 to 0.2 m lies at 0 to 0.2 and 7.8 to 8 m; so do its two runs, 0.5 m each."""
    job, joint = one_line(((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)), closed=True)
    job, _ = with_leak(job, joint, 7.8, 0.2)
    layout = layout_of(job, joint)
    (wet,) = layout.row.leaks
    assert wet.spans == ((0.0, 0.2), (7.8, 8.0))
    assert [(round(run.from_m, 6), round(run.to_m, 6), run.length_m) for run in layout.row.runs] == [
        (0.0, 0.5, Decimal("0.500")),
        (7.5, 8.0, Decimal("0.500")),
    ]
    assert layout.bends == (2.0, 4.0, 6.0)


def test_vertical_joint_is_laid_out_from_its_foot() -> None:
    """V-01 stands on J-01 at 2 m: it is a branch of J-01 at its foot, and J-01 one of V-01 at 0 m."""
    job, joint = one_line(BENT)
    edit = draw_vertical_joint(job, sheet=next(iter(job.sheets)), kind=Kind.CONSTRUCTION, point=(2.0, 0.0), rise_m=3.0)
    job, upright = with_leak(edit.job, edit.made[0], 0.5, 0.9, Wetness.DRIP)[0], edit.made[0]
    layout = layout_of(job, upright)
    assert (layout.bends, layout.bubbles, layout.row.leaks[0].spans) == ((), (), ((0.5, 0.9),))
    assert [(branch.joint.ref, branch.at_m, branch.own_m) for branch in layout.branches] == [("J-01", 0.0, 2.0)]
    assert [(branch.joint.ref, branch.at_m, branch.own_m) for branch in layout_of(job, joint).branches] == [
        ("V-01", 2.0, 0.0)
    ]


def test_crossings_with_movement_joints_are_told_on_both() -> None:
    """A movement joint over J-01 at 1.5 m, 2 m along itself: no junction, but each tape shows where the other crosses."""
    job, joint = one_line(BENT)
    job, moving = with_line(job, ((1.5, -2.0), (1.5, 2.0)), kind=Kind.MOVEMENT)
    crossings = junctions_of(job).movement
    for laid, other, at_m, own_m in ((joint, "J-02", 1.5, 2.0), (moving, "J-01", 2.0, 1.5)):
        layout = laid_out(job, repairs(job), laid, junctions_of(job).network, crossings)
        assert [(one.joint.ref, one.at_m, one.own_m, one.movement) for one in layout.branches] == [
            (other, at_m, own_m, True)
        ]
    assert layout_of(job, joint).branches == ()


def test_what_a_person_set_is_told() -> None:
    """A run has its relief point, a cut its place, and an end set by hand to 0.7 m past 1 m is told at 1.7 m."""
    job, joint = one_line(BENT)
    job, leak = with_leak(job, joint, 0.5, 1.0, Wetness.RUN)
    job = set_overrun(job, leak=leak, end="to", overrun_m=0.7).job
    job = add_cut(job, joint=joint, at_m=6.0).job
    row = layout_of(job, joint).row
    assert [(one.end.at_m, one.end.up, one.overrun_m) for one in row.by_hand] == [(pytest.approx(1.7), True, 0.7)]
    assert [(zone, relief.at_m) for zone, relief in row.reliefs] == [(1, 0.75)]
    assert row.cuts == (6.0,)


def test_what_a_deed_left_alone_on_a_joint_is_taken_over() -> None:
    """Through 30 random edits every joint laid out after the one before is what it is from nothing."""
    chance = seeded(5)
    worked, before = work_out(random_job(chance)), {}
    for edit in random_edits(worked.job, chance, 30):
        worked = work_out_again(worked, edit.job, edit.changed)
        job, found, network = worked.job, worked.repairs, worked.ground.junctions.network
        after = {key: laid_out(job, found, key, network, before=before.get(key)) for key in job.joints}
        assert after == {key: laid_out(job, found, key, network) for key in job.joints}
        before = after
