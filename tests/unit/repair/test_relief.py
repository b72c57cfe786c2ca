"""Relief points: where they are, how deep, and what a person may change."""

from __future__ import annotations

from decimal import Decimal
from math import pi
from uuid import UUID

import pytest

from leakmap.model.job import Job
from leakmap.model.leak import ReliefPoint
from leakmap.model.rules import Rules
from leakmap.model.words import Method, Wetness
from leakmap.repair.chainages import Spans
from leakmap.repair.relief import opened_at, relief_at, relief_places
from leakmap.repair.wet import wet_leaks
from tests.helpers.covers import Meeting, network_of
from tests.helpers.jobs import job_of, joint_id, leak, line, upright

TEN = line((0, 0), (10, 0))


def by_hand(*points: tuple[float, bool]) -> dict[UUID, ReliefPoint]:
    """Relief points on the first joint: (chainage, dropped)."""
    return {
        UUID(int=n): ReliefPoint(id=UUID(int=n), joint=joint_id(1), at_m=at_m, dropped=dropped)
        for n, (at_m, dropped) in enumerate(points, 1)
    }


def places(job: Job, *meetings: Meeting) -> list[tuple[str, float, bool]]:
    """Where relief points are wanted: joint, chainage, by hand."""
    network = network_of(job, meetings)
    found, _ = relief_places(job, network, wet_leaks(job, network))
    return [(job.joints[place.joint].ref, round(place.at_m, 6), place.by_hand) for place in found]


def test_one_for_each_run_and_jet_at_its_worst_point() -> None:
    """A run at its middle, a jet where a person said; drips and less get none."""
    job = job_of([TEN], [leak(1, 1, 2, 4), leak(1, 4, 5, 5, worst_m=4.9), leak(1, 7, 8, 3)])
    assert places(job) == [("J-01", 1.5, False), ("J-01", 4.9, False)]


def test_connected_runs_share_one_at_the_worst() -> None:
    """Runs that overlap, or meet at a junction, are one stretch: the jet's worst point, then the greater flow."""
    assert places(job_of([TEN], [leak(1, 1, 3, 4), leak(1, 2.5, 3.5, 5)])) == [("J-01", 3.0, False)]
    job = job_of([TEN, line((5, 0), (5, 4))], [leak(1, 4, 5, 4, flow_l_min=2.0), leak(2, 0, 0.6, 4, flow_l_min=3.0)])
    assert places(job, [(1, 5.0), (2, 0.0)]) == [("J-02", 0.3, False)]
    assert len(places(job)) == 2


def test_ties_go_to_the_lowest_then_the_longest() -> None:
    """Of a floor joint and a vertical joint that leak alike the floor is lower; of two on a floor the longer counts."""
    up = job_of([upright((5, 0), 3.0, height_m=0.0), TEN], [leak(1, 0.2, 1, 4), leak(2, 4.8, 5, 4)])
    node = [(1, 0.2), (2, 5.0)]
    assert places(up, node) == [("J-02", 4.9, False)]
    assert places(job_of([TEN], [leak(1, 1, 1.5, 4), leak(1, 1.5, 3, 4)])) == [("J-01", 2.25, False)]


def test_a_point_set_by_hand_takes_the_place() -> None:
    """Dragged along its run to 1.2 m; two on one run are both made."""
    job = job_of([TEN], [leak(1, 1, 2, 4)], reliefs=by_hand((1.2, False)))
    assert places(job) == [("J-01", 1.2, True)]
    assert places(job_of([TEN], [leak(1, 1, 2, 4)], reliefs=by_hand((1.2, False), (1.8, False)))) == [
        ("J-01", 1.2, True),
        ("J-01", 1.8, True),
    ]


def test_a_stretch_may_have_none() -> None:
    """Dropped on the first run, the second keeps its own."""
    job = job_of([TEN], [leak(1, 1, 2, 4), leak(1, 5, 6, 4)], reliefs=by_hand((1.5, True)))
    assert places(job) == [("J-01", 5.5, False)]


def test_one_may_be_added_to_another_wet_stretch() -> None:
    """Added to a drip, beside the run's own."""
    job = job_of([TEN], [leak(1, 1, 2, 4), leak(1, 5, 6, 3)], reliefs=by_hand((5.2, False)))
    assert sorted(places(job)) == [("J-01", 1.5, False), ("J-01", 5.2, True)]


def test_one_on_no_wet_stretch_is_a_finding() -> None:
    """A point on dry concrete, or on a suspect, lets out nothing: it is left out and said."""
    job = job_of([line((0, 0), (10, 0), start_m=100.0)], [leak(1, 5, 6, 0)], reliefs=by_hand((5.2, False)))
    network = network_of(job)
    found, findings = relief_places(job, network, wet_leaks(job, network))
    assert found == ()
    assert [finding.code for finding in findings.values()] == ["relief-off-wet"]
    assert "J-01 at 105.200 m" in next(iter(findings.values())).text  # as printed: the joint's chainage starts at 100 m


def test_a_method_set_by_hand_decides() -> None:
    """A run done deep without relief gets none, a drip done with relief gets one."""
    job = job_of([TEN], [leak(1, 1, 2, 4, method=Method.DEEP_PLUG), leak(1, 5, 6, 3, method=Method.DEEP_PLUG_RELIEF)])
    assert places(job) == [("J-01", 5.5, False)]


def test_the_hole_below_the_slot() -> None:
    """A round hole of slot width below the slot: run π/4 · 25² · (75 − 50) mm³ = 0.0123 L, jet 0.0187 L."""
    job = job_of([TEN], [leak(1, 1, 2, 4), leak(1, 5, 6, 5)])
    network = network_of(job)
    (run, jet), _ = relief_places(job, network, wet_leaks(job, network))
    at_run, at_jet = relief_at(Rules(), run, 1.5, 0.050), relief_at(Rules(), jet, 5.5, 0.062)
    assert (at_run.depth_mm, at_jet.depth_mm) == (Decimal(75), Decimal(100))
    assert at_run.hole_l == pytest.approx(pi / 4 * 0.25**2 * 0.25)  # decimetres: litres
    assert (round(at_run.hole_l, 4), round(at_jet.hole_l, 4)) == (0.0123, 0.0187)
    assert (at_run.wetness, at_jet.wetness) == (Wetness.RUN, Wetness.JET)


def test_a_hidden_worst_point_moves_to_the_nearest_opened_slot() -> None:
    """Wet 1 to 2 m, opened from 1.7 m on: the point is made at 1.7 m; where all is hidden it is not made."""
    job = job_of([TEN], [leak(1, 1, 2, 4)])
    network = network_of(job)
    (place,), _ = relief_places(job, network, wet_leaks(job, network))
    assert opened_at(place, Spans(((0.5, 2.5),))) == 1.5
    assert opened_at(place, Spans(((0.5, 1.1), (1.7, 2.5)))) == 1.7
    assert opened_at(place, Spans(((2.1, 2.5),))) is None
