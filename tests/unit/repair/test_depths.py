"""Slot depths and fillings, worked by hand. Depths: common practice, no published source; 0.30 m at least: our rule."""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.model.job import Job
from leakmap.model.rules import PlugExtent, Rules
from leakmap.model.words import Method
from leakmap.repair.depths import Depths, depth_mm, depths_of
from leakmap.repair.wet import wet_leaks
from tests.helpers.covers import Meeting, network_of, part, piece
from tests.helpers.jobs import job_of, joint_id, leak, line, upright

TEN = line((0, 0), (10, 0))


def depths(job: Job, *meetings: Meeting) -> Depths:
    """Depths of a job that is one part with all its leaks."""
    network = network_of(job, meetings)
    everything = part(piece(1, 0, 1, leaks=range(1, len(job.leaks) + 1)))
    return depths_of(job, network, [everything], wet_leaks(job, network))


def deep(job: Job, *meetings: Meeting, joint: int = 1) -> list[tuple[float, float, int]]:
    """Deep stretches of a joint: from, to, depth in mm."""
    found = depths(job, *meetings)
    identity = joint_id(joint)
    standard = job.rules.slot_depth_m
    return [
        (round(from_m, 6), round(to_m, 6), round(depth_m * 1000))
        for from_m, to_m, depth_m, _ in found.segments(0, identity, 0.0, job.joints[identity].length_m)
        if depth_m > standard
    ]


def test_a_short_run_in_a_seep_is_deep_over_the_least_length() -> None:
    """Run 1.0 to 1.2 m in a seep 0 to 3 m: worst point 1.1 m, deep 0.95 to 1.25 m at 50 mm; the rest keeps 37 mm."""
    assert deep(job_of([TEN], [leak(1, 0, 3, 2), leak(1, 1.0, 1.2, 4)])) == [(0.95, 1.25, 50)]


def test_a_long_run_is_deep_itself() -> None:
    """A jet of 0.30 m and more is deep where it is, at 62 mm."""
    assert deep(job_of([TEN], [leak(1, 2.0, 2.3, 5)])) == [(2.0, 2.3, 62)]


def test_the_worst_point_moves_the_deep_stretch() -> None:
    """Worst at 1.18 m: deep 1.03 to 1.33 m. A spot is deep 0.15 m each way."""
    assert deep(job_of([TEN], [leak(1, 1.0, 1.2, 4, worst_m=1.18)])) == [(1.03, 1.33, 50)]
    assert deep(job_of([TEN], [leak(1, 5, wetness=5)])) == [(4.85, 5.15, 62)]


def test_a_deep_stretch_is_clipped_to_its_joint() -> None:
    """A spot 0.05 m from the end is deep 0 to 0.20 m."""
    assert deep(job_of([TEN], [leak(1, 0.05, wetness=4)])) == [(0.0, 0.2, 50)]


def test_a_deep_stretch_goes_round_a_closed_joint() -> None:
    """A spot at 0.05 m of a ring of 10 m is deep to 0.20 m and from 9.90 m."""
    ring = line((0, 0), (3, 0), (3, 2), (0, 2), closed=True)
    assert deep(job_of([ring], [leak(1, 0.05, wetness=4)])) == [(0.0, 0.2, 50), (9.9, 10.0, 50)]


def test_a_jet_inside_a_run_is_deeper() -> None:
    """Run 2 to 4 m at 50 mm; jet 3.0 to 3.1 m in it: 2.90 to 3.20 m at 62 mm."""
    assert deep(job_of([TEN], [leak(1, 2, 4, 4), leak(1, 3.0, 3.1, 5)])) == [
        (2.0, 2.9, 50),
        (2.9, 3.2, 62),
        (3.2, 4.0, 50),
    ]


def test_runs_that_touch_are_one_stretch() -> None:
    """0.2 + 0.2 m end to end are 0.4 m, deep as they are, not 0.30 m each; through a junction too."""
    assert deep(job_of([TEN], [leak(1, 1.0, 1.2, 4), leak(1, 1.2, 1.4, 4)])) == [(1.0, 1.4, 50)]
    cross = job_of([TEN, line((10, 0), (10, 5))], [leak(1, 9.8, 10, 4), leak(2, 0, 0.2, 4)])
    node = [(1, 10.0), (2, 0.0)]
    assert deep(cross, node) == [(9.8, 10.0, 50)]
    assert deep(cross, node, joint=2) == [(0.0, 0.2, 50)]
    assert deep(cross) == [(9.75, 10.0, 50)]  # not joined: ±0.15 m about 9.9 m, clipped


def test_the_worst_point_of_a_vertical_joint_is_its_lowest_wet_point() -> None:
    """A run 1.0 to 1.2 m up: ±0.15 m about 1.0 m."""
    assert deep(job_of([upright((0, 0), 3.0)], [leak(1, 1.0, 1.2, 4)])) == [(0.85, 1.15, 50)]


def test_a_method_set_by_hand_overrules_the_wetness() -> None:
    """A run done as slot and plug is not deep; a seep done deep is, at the depth of a run; the heaviest wins."""
    assert deep(job_of([TEN], [leak(1, 2, 3, 4, method=Method.SLOT_PLUG)])) == []
    assert deep(job_of([TEN], [leak(1, 2, 3, 2, method=Method.DEEP_PLUG)])) == [(2.0, 3.0, 50)]
    both = [leak(1, 2, 3, 4, method=Method.SLOT_PLUG), leak(1, 2.5, 3, 4)]
    assert deep(job_of([TEN], both)) == [(2.5, 3.0, 50)]


@pytest.mark.parametrize(("wetness", "plugged"), [(0, False), (1, True), (2, True), (5, True)])
def test_plug_wherever_the_slot_is_connected_to_something_wet(wetness: int, plugged: bool) -> None:  # noqa: FBT001 - a table
    """Suspects alone are all dry-pack; one damp leak plugs the whole connected slot (common practice)."""
    job = job_of([TEN], [leak(1, 1, 2, 0), leak(1, 5, 6, wetness)])
    assert depths(job).plugged(0, joint_id(1), 9.0) is plugged


def test_plug_is_judged_before_cuts_and_not_across_components() -> None:
    """Two parts of one component are plugged when one of them is wet; another component is not."""
    job = job_of([TEN], [leak(1, 1, 2, 3), leak(1, 3, 4, 0), leak(1, 8, 9, 0)])
    parts = [
        part(piece(1, 1, 2, leaks=(1,)), whole=0),
        part(piece(1, 3, 4, leaks=(2,)), whole=0),
        part(piece(1, 8, 9, leaks=(3,)), whole=1),
    ]
    network = network_of(job)
    found = depths_of(job, network, parts, wet_leaks(job, network))
    assert (found.plugged(0, joint_id(1), 3.5), found.plugged(1, joint_id(1), 8.5)) == (True, False)


def test_plug_limited_to_the_wet_stretches_and_a_length() -> None:
    """Seep 5 to 6 m and 0.1 m beyond: plug 4.9 to 6.1 m; a suspect in the same slot gets none."""
    rules = Rules(plug_extent=PlugExtent.WET, plug_beyond_m=0.1)
    found = depths(job_of([TEN], [leak(1, 5, 6, 2), leak(1, 6.5, 7, 0)], rules=rules))
    segments = [(round(a, 6), round(b, 6), plugged) for a, b, _, plugged in found.segments(0, joint_id(1), 4, 8)]
    assert segments == [(4, 4.9, False), (4.9, 6.1, True), (6.1, 8, False)]


def test_limited_plug_turns_corners() -> None:
    """A seep that ends 0.1 m before a junction, 0.3 m beyond: 0.2 m of the joint that meets it; over it, all 0.3 m."""
    rules = Rules(plug_extent=PlugExtent.WET, plug_beyond_m=0.3)
    joints, node = [TEN, line((5, 0), (5, 4))], [(1, 5.0), (2, 0.0)]
    before = depths(job_of(joints, [leak(1, 4, 4.9, 2)], rules=rules), node)
    assert [round(b, 6) for _, b, _, plugged in before.segments(0, joint_id(2), 0, 4) if plugged] == [0.2]
    over = depths(job_of(joints, [leak(1, 4, 5.9, 2)], rules=rules), node)
    assert [round(b, 6) for _, b, _, plugged in over.segments(0, joint_id(2), 0, 4) if plugged] == [0.3]


def test_depths_print_as_millimetres() -> None:
    """Whole where they are whole, else tenths: 38.1 mm is an inch and a half."""
    assert [depth_mm(value) for value in (0.037, 0.0381, 0.1)] == [Decimal(37), Decimal("38.1"), Decimal(100)]
