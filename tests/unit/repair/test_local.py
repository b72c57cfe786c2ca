"""The work-out after an edit equals the whole work-out of the new job: worked examples, and long random sittings."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from leakmap.model.job import Job, Numbers
from leakmap.model.leak import IssuedStretch
from leakmap.model.rules import PlugExtent, Rules
from leakmap.model.words import Kind, Wetness
from leakmap.repair.local import WorkedOut, work_out, work_out_again
from leakmap.repair.work_out import repairs
from leakmap.work.edits import joints, leaks, marks, others
from leakmap.work.edits.edit import Edit
from tests.helpers.jobs import cut_id, job_of, joint_id, leak, leak_id, line, parted, sheet_id
from tests.helpers.random_edits import JOINTS, MARKING, random_edits, random_job, seeded, with_issued
from tests.helpers.sittings import Sitting, marked_edit, random_start

TEN = line((0, 0), (10, 0))


def after(before: WorkedOut, edit: Edit) -> WorkedOut:
    """The work-out after an edit, held against the whole work-out."""
    found = work_out_again(before, edit.job, edit.changed)
    assert found.repairs == repairs(edit.job)
    return found


def numbered(job: Job) -> Job:
    """The job with numbers above those of its items, so that deeds accept it."""
    return replace(job, numbers=replace(job.numbers, joint=99, vertical=99, leak=99))


def test_a_job_without_leaks_is_one_that_an_edit_can_start_from() -> None:
    """Nothing marked is a work-out too; the first leak makes the first zone."""
    start = work_out(numbered(job_of([TEN])))
    assert start.repairs == repairs(start.job)
    edit = leaks.add_leak(start.job, joint=joint_id(1), from_m=2, to_m=3, wetness=Wetness.SEEP)
    assert [zone.ref for zone in after(start, edit).repairs.zones] == ["Z-01"]


def test_only_what_an_edit_reached_is_worked_out() -> None:
    """Of three leaks far apart the second is moved: the zones of the others are the very same values."""
    start = work_out(numbered(job_of([TEN], [leak(1, 1, 2), leak(1, 5, 6), leak(1, 9)])))
    found = after(start, leaks.move_leak_ends(start.job, leak=leak_id(2), to_m=6.5))
    same = [one is other for one, other in zip(start.repairs.zones, found.repairs.zones, strict=True)]
    assert same == [True, False, True]


def test_a_leak_that_grows_up_to_a_neighbour_joins_its_zone() -> None:
    """Leaks 1 to 2 and 3.5 to 4 m are two zones; grown to 2.6 m, 0.3 m of gap are bridged: one, and back again."""
    start = work_out(numbered(job_of([TEN], [leak(1, 1, 2), leak(1, 3.5, 4)])))
    joined = after(start, leaks.move_leak_ends(start.job, leak=leak_id(1), to_m=2.6))
    assert (len(start.repairs.zones), len(joined.repairs.zones)) == (2, 1)
    apart = after(joined, leaks.move_leak_ends(joined.job, leak=leak_id(1), to_m=2.0))
    assert apart.repairs == start.repairs


def test_bands_that_share_area_are_worked_out_together() -> None:
    """Joints 0.2 m apart: one zone, 1.6 · (0.2 + 0.325) = 0.84 m² of coat; with one leak gone 1.6 · 0.325 = 0.52 m²."""
    start = work_out(numbered(job_of([TEN, line((0, 0.2), (10, 0.2))], [leak(1, 2, 3), leak(2, 2, 3)])))
    alone = after(start, leaks.remove_leak(start.job, leak=leak_id(1)))
    assert [str(zone.coat2_m2) for zone in (*start.repairs.zones, *alone.repairs.zones)] == ["0.840", "0.520"]
    again = after(alone, leaks.add_leak(alone.job, joint=joint_id(1), from_m=2, to_m=3, wetness=Wetness.SEEP))
    assert [str(zone.coat2_m2) for zone in again.repairs.zones] == ["0.840"]


def test_washing_that_shares_area_is_worked_out_together() -> None:
    """Joints 0.5 m apart, washed 0.3 m each side: 1.6 · 0.625 = 1 m²; the later zone loses 0.125 m, 1.6 · 0.5 = 0.8 m²."""
    lines = [TEN, line((0, 0.5), (10, 0.5))]
    start = work_out(numbered(job_of(lines, [leak(1, 2, 3), leak(2, 2, 3)], rules=Rules(wash_m=0.3))))
    assert [str(zone.wash_m2) for zone in start.repairs.zones] == ["1.000", "0.800"]
    alone = after(start, leaks.remove_leak(start.job, leak=leak_id(1)))
    assert [str(zone.wash_m2) for zone in alone.repairs.zones] == ["1.000"]


def test_a_bridge_to_a_stub_reaches_on_to_the_next_zone() -> None:
    """Gaps of 0.20 and 0.28 m beside a node are no bridge, but 0.20 and a stub of 0.05 m are; then 0.28 is one too."""
    lines = [TEN, line((5, 0), (5, 0.05))]
    start = work_out(numbered(job_of(lines, [leak(1, 5.58, 6), leak(1, 4, 4.2)])))
    assert len(start.repairs.zones) == 2
    assert len(after(start, leaks.move_leak_ends(start.job, leak=leak_id(2), to_m=4.5)).repairs.zones) == 1


def test_plug_that_goes_far_beyond_a_leak_reaches_another_zone() -> None:
    """Plug 2 m beyond the wet: a leak from 5 m plugs the end of the zone 0 to 3.7 m, 1 m away; from 7 m it does not."""
    rules = Rules(plug_extent=PlugExtent.WET, plug_beyond_m=2.0)
    start = work_out(numbered(job_of([TEN], [leak(1, 0, 1.2, overrun_to_m=2.5), leak(1, 5, 5.5)], rules=rules)))
    assert (
        start.repairs.zones[0].plug_l
        > after(start, leaks.move_leak_ends(start.job, leak=leak_id(2), from_m=7, to_m=8)).repairs.zones[0].plug_l
    )


def test_zones_that_share_area_are_measured_anew_when_a_number_moves() -> None:
    """Zones over each other at a parted crossing: the later loses the shared 0.325² m²; a far edit turns them over."""
    lines = [line((0, 0), (4, 0)), line((2, -2), (2, 2)), line((0, 5), (10, 5))]
    job = job_of(lines, [leak(1, 1.5, 2.5), leak(2, 1.5, 2.5), leak(3, 1, 1.1)], parted=[parted(1, 2, 2, 2)])
    stretches = [(1, 2, 1.5, 2.5), (1, 3, 0, 10), (2, 1, 1.5, 2.5)]
    issued = {
        cut_id(n): IssuedStretch(id=cut_id(n), zone=zone, joint=joint_id(on), from_m=from_m, to_m=to_m)
        for n, (zone, on, from_m, to_m) in enumerate(stretches, 1)
    }
    start = work_out(numbered(replace(job, issued=issued, numbers=Numbers(zone=2))))
    assert [(zone.ref, str(zone.coat2_m2)) for zone in start.repairs.zones[:2]] == [
        ("Z-01", "0.520"),
        ("Z-02", "0.414"),
    ]
    moved = after(start, leaks.move_leak_ends(start.job, leak=leak_id(3), to_m=4)).repairs.zones
    assert [(zone.ref, str(zone.coat2_m2)) for zone in moved[1:]] == [("Z-02", "0.520"), ("Z-03", "0.414")]


def test_an_unread_change_leaves_the_repairs_as_they_are() -> None:
    """Tie holes are listed under another method; the repairs hold the very same zones."""
    start = work_out(numbered(job_of([TEN], [leak(1, 1, 2)])))
    edit = others.add_tie_holes(start.job, sheet=sheet_id(1), number=4)
    assert after(start, edit).repairs.zones[0] is start.repairs.zones[0]


def test_what_was_worked_out_before_stays_as_it_was() -> None:
    """Two edits tried from one work-out, as a drag tries them, do not disturb each other."""
    start = work_out(numbered(job_of([TEN], [leak(1, 1, 2), leak(1, 5, 6)])))
    edits = [leaks.move_leak_ends(start.job, leak=leak_id(1), to_m=to_m) for to_m in (2.5, 4.5, 2.0001)]
    for edit in (*edits, *edits):
        after(start, edit)
    assert start.repairs == repairs(start.job)


def test_only_zones_near_a_new_joint_are_worked_out() -> None:
    """A joint that meets the first of three zones far apart: the others are the very same values."""
    start = work_out(numbered(job_of([TEN], [leak(1, 1, 2), leak(1, 5, 6), leak(1, 9)])))
    sheet = start.job.joints[joint_id(1)].sheet
    edit = joints.draw_joint(start.job, sheet=sheet, kind=Kind.CRACK, points=[(1.5, 1), (1.5, -1)])
    found = after(start, edit)
    same = [one is other for one, other in zip(start.repairs.zones, found.repairs.zones, strict=True)]
    assert same == [False, True, True]
    assert len(found.repairs.zones[0].rows) == 2


def test_zones_move_up_when_a_joint_before_them_goes() -> None:
    """Joints 1, 2 and 3 with a zone each: without the first the others are Z-01 and Z-02, and not measured anew."""
    lines = [line((0, y), (10, y)) for y in (0, 3, 6)]
    start = work_out(numbered(job_of(lines, [leak(2, 1, 2), leak(1, 8, 9), leak(3, 1, 2)])))
    found = after(start, joints.remove_joint(start.job, joint=joint_id(2)))
    assert [(zone.ref, zone.rows[0].joint) for zone in found.repairs.zones] == [
        ("Z-01", joint_id(1)),
        ("Z-02", joint_id(3)),
    ]
    assert found.repairs.zones[1].rows is start.repairs.zones[2].rows


def test_zones_are_numbered_anew_when_one_falls_apart_and_another_goes() -> None:
    """A joint that ties two leaks together goes, and a zone of its own with it: Z-01 is two now, and Z-02 becomes Z-03."""
    lines = [TEN, line((0, 30), (10, 30)), line((2, 0), (2, -1), (5, -1), (5, 20))]
    wet = [leak(1, 1, 2), leak(1, 5, 6), leak(2, 1, 2), leak(3, 0, 5.5), leak(3, 20, 21)]
    start = work_out(numbered(job_of(lines, wet)))
    assert [zone.rows[0].joint for zone in start.repairs.zones] == [joint_id(1), joint_id(2), joint_id(3)]
    found = after(start, joints.remove_joint(start.job, joint=joint_id(3)))
    assert [(zone.ref, zone.rows[0].joint) for zone in found.repairs.zones] == [
        ("Z-01", joint_id(1)),
        ("Z-02", joint_id(1)),
        ("Z-03", joint_id(2)),
    ]


def test_a_joint_far_from_a_zone_opens_a_shorter_way_to_its_relief_point() -> None:
    """A zone round three sides of a yard; a joint across it, 1 m from all cover, makes 17.2 m to a stub 6.8 m, below 10.2."""
    yard = line((0, 0), (0, 10), (4, 10), (4, 0))
    stubs = [line((0, 5), (1.5, 5)), line((4, 5), (2.5, 5)), line((2, 10), (2, 12))]
    jet = leak(1, 1, 23, Wetness.JET, worst_m=2)
    start = work_out(numbered(job_of([yard, *stubs], [jet])))
    sheet = start.job.joints[joint_id(1)].sheet
    across = joints.draw_joint(start.job, sheet=sheet, kind=Kind.CONSTRUCTION, points=[(1.5, 5), (2.5, 5)])
    found = after(start, across)
    orders = [
        [step.joint for step in now.repairs.zones[0].order if step.joint != joint_id(1)] for now in (start, found)
    ]
    assert orders == [[joint_id(3), joint_id(4), joint_id(2)], [joint_id(4), joint_id(3), joint_id(2)]]


def test_a_parted_crossing_parts_only_the_zone_there() -> None:
    """Joints that cross under one leak: parted, its reach stays on its own joint; the zone far away is the very same."""
    start = work_out(numbered(job_of([TEN, line((5, -5), (5, 5))], [leak(1, 4.9, 5.1), leak(2, 1, 2)])))
    edit = marks.part_junction(start.job, joint=joint_id(1), at_m=5, other=joint_id(2), other_at_m=5)
    found = after(start, edit)
    assert [len(zone.rows) for zone in found.repairs.zones] == [1, 1]
    assert found.repairs.zones[1] is start.repairs.zones[1]
    again = after(found, marks.rejoin_junction(found.job, parted=edit.made[0]))
    assert again.repairs == start.repairs


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(20))
def test_a_sitting_of_marking_gives_the_whole_work_out_at_every_step(seed: int) -> None:
    """Leaks added, moved, removed, cuts, relief points, undo: every step equals the whole work-out."""
    sitting = Sitting(random_start(seed), Random(seed))  # noqa: S311 - repeatable chance is what a test needs
    now = work_out(sitting.job)
    assert now.repairs == repairs(sitting.job)
    for _ in range(15):
        changed = sitting.step()
        now = work_out_again(now, sitting.job, changed)
        assert now.repairs == repairs(sitting.job)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_a_sitting_of_drawing_gives_the_whole_work_out_at_every_step(seed: int) -> None:
    """Joints drawn, moved, split, combined, removed, junctions parted, among marking and undo: every step is the whole."""
    deeds = (*JOINTS, *JOINTS, *MARKING)
    sitting = Sitting(random_start(seed), Random(seed), deeds)  # noqa: S311 - repeatable chance is what a test needs
    now = work_out(sitting.job)
    for _ in range(15):
        changed = sitting.step()
        now = work_out_again(now, sitting.job, changed)
        assert now.repairs == repairs(sitting.job)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(8))
def test_a_sitting_of_all_deeds_gives_the_whole_work_out_at_every_step(seed: int) -> None:
    """Joints moved, split and combined, rules, sheets and marks: every step equals the whole work-out."""
    chance = seeded(seed)
    job = random_job(chance, 25)
    now = work_out(with_issued(job, chance) if seed % 2 else job)
    for edit in random_edits(now.job, chance, 25):
        now = after(now, edit)


def test_issued_numbers_wander_between_zones_as_in_the_whole_work_out() -> None:
    """Issued zones keep and lose their numbers with shared metres, far away too."""
    chance = seeded(5)
    job = numbered(job_of([TEN, line((0, 5), (10, 5))], [leak(1, 1, 2), leak(1, 6, 7), leak(2, 3, 4)]))
    job = with_issued(job, chance)
    now = work_out(job)
    for _ in range(12):
        now = after(now, marked_edit(now.job, chance))


def test_a_cut_parts_a_zone_and_is_told_when_it_separates_nothing() -> None:
    """A cut at 5 m in one zone makes two; with the leak gone it separates nothing."""
    start = work_out(numbered(job_of([TEN], [leak(1, 4, 6)])))
    cut = after(start, marks.add_cut(start.job, joint=joint_id(1), at_m=5))
    assert len(cut.repairs.zones) == 2
    bare = after(cut, leaks.remove_leak(cut.job, leak=leak_id(1)))
    assert [finding.code for finding in bare.repairs.findings] == ["cut-separates-nothing"]
