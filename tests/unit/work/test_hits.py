"""What lies under the pointer, against distances by shapely."""

from __future__ import annotations

from uuid import UUID

import pytest
import shapely
import shapely.ops
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.geometry.path import Path, Point
from leakmap.model.job import Job
from leakmap.model.joint import plan_path
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_collar, draw_vertical_joint
from leakmap.work.hits import Hit, Hits, Target
from tests.helpers.random_edits import random_edits, random_job, seeded
from tests.helpers.small_jobs import one_line, with_leak, with_line

AROUND = (-1.0, 13.0)  # random joints lie within this, metres
EVERY = (Target.LEAK, Target.ZONE, Target.JOINT)


@pytest.fixture(scope="module")
def wet() -> tuple[Job, Repairs, UUID]:
    """Three joints that meet, with leaks of three wetnesses, a collar and a vertical joint that is wet."""
    job, first = one_line([(0, 0), (8, 0), (8, 5)])
    job, second = with_line(job, [(4, 0), (4, 6)])
    job, _ = with_line(job, [(0, 8), (8, 9)])
    job, _ = with_leak(job, first, 1.0, 2.5, Wetness.DRIP)
    job, _ = with_leak(job, first, 2.0, 3.0, Wetness.RUN)
    job, _ = with_leak(job, second, 3.0, 3.0, Wetness.DAMP)
    sheet = next(iter(job.sheets))
    job = draw_collar(job, sheet=sheet, point=(2, 5), diameter_m=0.5, face=Face.FLOOR).job
    edit = draw_vertical_joint(job, sheet=sheet, kind=Kind.CONSTRUCTION, point=(12, 3), rise_m=4.0)
    job, _ = with_leak(edit.job, edit.made[0], 1.0, 2.0, Wetness.SEEP)
    return job, repairs(job), sheet


def nearest(job: Job, at: Point, target: Target, worked: Repairs) -> float:
    """Distance to the nearest thing of a sort, each measured by shapely on a line cut out by shapely."""
    place = shapely.Point(at)
    lines = {key: shapely.LineString(path.corners) for key, joint in job.joints.items() if (path := plan_path(joint))}
    if target is Target.JOINT:
        points = [shapely.Point(joint.point) for joint in job.joints.values() if joint.vertical]
        return min(place.distance(shape) for shape in (*lines.values(), *points))
    if target is Target.LEAK:
        cuts = [
            shapely.ops.substring(lines[leak.joint], leak.from_m, leak.to_m)
            for leak in job.leaks.values()
            if leak.joint in lines
        ]
        return min(place.distance(cut) for cut in cuts)
    shapes = [
        shapely.Polygon(rings[0], rings[1:]) for zone in worked.zones for band in zone.bands for rings in band.rings
    ]
    return min(place.distance(shape) for shape in shapes)


@given(x=st.floats(-1, 13), y=st.floats(-1, 10), target=st.sampled_from(EVERY))
@settings(max_examples=80)
def test_distance_is_that_of_shapely(wet: tuple[Job, Repairs, UUID], x: float, y: float, target: Target) -> None:
    """The nearest thing of a sort lies as far away as shapely measures; nothing is found past the radius."""
    job, worked, sheet = wet
    away = nearest(job, (x, y), target, worked)
    hits = Hits(job, worked, sheet)
    found = hits.at((x, y), away + 1e-6, [target])
    assert found is not None
    assert found.distance_m == pytest.approx(away, abs=1e-9)
    assert away < 1e-5 or hits.at((x, y), away - 1e-6, [target]) is None


def test_first_of_the_order_wins_where_both_are_near(wet: tuple[Job, Repairs, UUID]) -> None:
    """On a leak inside a zone on a joint, whichever the stage asks for first is found, though others are as near."""
    job, worked, sheet = wet
    hits = Hits(job, worked, sheet)
    found = [hits.at((1.5, 0.02), 0.1, order) for order in (EVERY, EVERY[::-1], (Target.ZONE, Target.LEAK))]
    assert [hit.target for hit in found if hit] == [Target.LEAK, Target.JOINT, Target.ZONE]


def test_a_sort_that_is_out_of_reach_gives_way(wet: tuple[Job, Repairs, UUID]) -> None:
    """Where no leak is within reach the next of the order is found; where nothing is, nothing."""
    job, worked, sheet = wet
    hits = Hits(job, worked, sheet)
    on_joint = hits.at((8.05, 4.0), 0.1, EVERY)
    assert on_joint is not None
    assert (on_joint.target, job.joints[UUID(str(on_joint.key))].ref) == (Target.JOINT, "J-01")
    assert hits.at((6.0, 3.0), 0.1, EVERY) is None


def test_wetter_of_two_leaks_at_one_place(wet: tuple[Job, Repairs, UUID]) -> None:
    """Where two leaks overlap, the wetter one is found."""
    job, worked, sheet = wet
    found = Hits(job, worked, sheet).at((2.2, 0.0), 0.1, [Target.LEAK])
    assert found is not None
    assert job.leaks[UUID(str(found.key))].wetness is Wetness.RUN


def test_vertical_joint_is_found_at_its_point_and_on_its_staff(wet: tuple[Job, Repairs, UUID]) -> None:
    """A staff of 2 m for a rise of 4 m halves heights: its leak from 1.0 to 2.0 is found from 0.5 to 1.0 up the staff."""
    job, worked, sheet = wet
    upright = next(joint for joint in job.joints.values() if joint.vertical)
    bare = Hits(job, worked, sheet)
    assert bare.at((12.1, 3.0), 0.2, [Target.JOINT]) == Hit(
        target=Target.JOINT, key=upright.id, distance_m=pytest.approx(0.1)
    )
    hits = Hits(job, worked, sheet, {upright.id: Path(((13.0, 3.0), (13.0, 5.0)))})
    assert hits.at((13.0, 3.75), 0.01, [Target.LEAK]) is not None
    assert hits.at((13.0, 4.25), 0.2, [Target.LEAK]) is None
    assert bare.at((13.0, 3.75), 0.2, [Target.LEAK]) is None
    assert hits.at((13.0, 3.75), 0.01, [Target.ZONE]) is not None


def test_relief_point_is_found_by_its_zone(wet: tuple[Job, Repairs, UUID]) -> None:
    """The relief point of the run is found at its place, with the number of its zone."""
    job, worked, sheet = wet
    zone, relief = next((zone, relief) for zone in worked.zones for relief in zone.relief)
    path = job.joints[relief.joint].path
    assert path is not None
    found = Hits(job, worked, sheet).at(path.point_at(relief.at_m), 0.05, [Target.RELIEF, *EVERY])
    assert found == Hit(target=Target.RELIEF, key=zone.number, distance_m=0.0)


def test_everything_near_comes_nearest_first(wet: tuple[Job, Repairs, UUID]) -> None:
    """All joints within reach are given once each, nearest first."""
    job, worked, sheet = wet
    found = Hits(job, worked, sheet).all_at((4.1, 0.3), 0.5, Target.JOINT)
    assert [job.joints[UUID(str(hit.key))].ref for hit in found] == ["J-02", "J-01"]
    assert found[0].distance_m == pytest.approx(0.1)


def test_another_level_holds_nothing_of_this_one(wet: tuple[Job, Repairs, UUID]) -> None:
    """Asked of a sheet that is not theirs, joints, leaks and zones are not found."""
    job, worked, _ = wet
    hits = Hits(job, worked, UUID(int=99))
    assert all(hits.at((1.5, 0.0), 1.0, [target]) is None for target in Target)


@pytest.mark.parametrize("seed", [3, 8, 21])
def test_what_is_taken_over_after_an_edit_is_found_as_if_gathered_anew(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Through 30 random edits, finding with what was gathered before, however far that came, is finding afresh."""
    monkeypatch.setattr("leakmap.work.hits._SOME", 2)
    chance = seeded(seed)
    job = random_job(chance)
    held: dict[UUID, Hits] = {}
    for edit in random_edits(job, chance, 30):
        job, worked = edit.job, repairs(edit.job)
        for sheet in job.sheets:
            held[sheet] = Hits(job, worked, sheet, before=held.get(sheet))
            anew = Hits(job, worked, sheet)
            gathering = held[sheet].gather(chance.sample(list(Target), 3))
            steps = [None for _, _ in zip(range(chance.randrange(9)), gathering, strict=False)]
            if len(steps) < 2:
                continue  # the next edit comes before anything was looked for
            for _ in range(12):
                place = (chance.uniform(*AROUND), chance.uniform(*AROUND))
                for target in Target:
                    assert held[sheet].all_at(place, 2.0, target) == anew.all_at(place, 2.0, target)
            assert list(gathering) == []
