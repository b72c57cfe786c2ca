"""What must be asked before work, the head of water, and what makes a zone provisional."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from leakmap.model.job import Job, WaterLevel
from leakmap.model.words import Face, Kind, Waterstop, Wetness
from leakmap.repair.holds import head_kpa, holds_of, why_provisional
from leakmap.repair.results import Relief, Row
from tests.helpers.covers import piece
from tests.helpers.jobs import collar, job_of, joint_id, leak, line, sheet, upright


def holds(depth_mm: int, relief_mm: int = 0, **facts: Any) -> tuple[str, ...]:  # noqa: ANN401 - any field of a joint
    """Holds of a metre of one joint."""
    job = job_of([line((0, 0), (10, 0), **facts)])
    row = Row(joint=joint_id(1), from_m=Decimal(0), to_m=Decimal(1), depth_mm=Decimal(depth_mm), plugged=True)
    point = Relief(
        joint=joint_id(1), at_m=0.5, depth_mm=Decimal(relief_mm), hole_l=0.01, wetness=Wetness.RUN, by_hand=False
    )
    return holds_of(job, [row], [point] if relief_mm else [])


def test_nothing_known_asks_nothing() -> None:
    """A joint of which neither cover nor tendons nor waterstop are known has no hold."""
    assert holds(50, 75) == ()


def test_a_slot_deeper_than_the_cover_is_a_hold() -> None:
    """50 mm into 40 mm of cover is asked; 37 mm into 37 mm is not."""
    (sentence,) = holds(50, cover_m=0.040)
    assert sentence == ("Hold, ask the engineer: the slot on J-01 is 50 mm deep, the cover to steel only 40 mm.")
    assert holds(37, cover_m=0.037) == ()


def test_a_relief_point_deeper_than_the_cover_is_a_hold() -> None:
    """The slot of 50 mm clears a cover of 60 mm, the relief point of 75 mm does not."""
    (sentence,) = holds(50, 75, cover_m=0.060)
    assert "the relief point on J-01 is 75 mm deep" in sentence


def test_tendons_without_a_known_cover_are_a_hold() -> None:
    """Tendons and no cover: asked. With a cover that is deep enough: not asked."""
    assert "tendons" in holds(37, tendons=True)[0]
    assert holds(37, tendons=True, cover_m=0.1) == ()


@pytest.mark.parametrize(
    ("depth_mm", "relief_mm", "held"), [(49, 0, False), (50, 0, True), (50, 75, True), (120, 0, True)]
)
def test_near_a_waterstop_is_a_hold(depth_mm: int, relief_mm: int, held: bool) -> None:  # noqa: FBT001 - a table
    """A waterstop at 100 mm: bottoms from 50 mm on are within 50 mm of it (our rule), or past it."""
    asked = holds(depth_mm, relief_mm, waterstop=Waterstop.AT_DEPTH, waterstop_depth_m=0.1)
    assert bool(asked) is held


def test_a_waterstop_at_an_unknown_depth_is_a_hold() -> None:
    """Known to be there, nobody knows how deep."""
    assert "not known" in holds(37, waterstop=Waterstop.AT_DEPTH)[0]


def test_head_of_water_over_the_lowest_place() -> None:
    """Floor at −6 m, water at −1 m: 5 m of water are 5 × 9.80665 = 49.03325 kPa (g = 9.80665 m/s², exact)."""
    job = wet_job()
    assert head_kpa(job, [piece(1, 0, 1)]) == pytest.approx(49.03325)


def wet_job(**facts: Any) -> Job:  # noqa: ANN401 - any field of a job
    """A floor joint, a vertical joint with its foot 1 m up, and a collar of 0.4 m 2 m up; floor at −6 m."""
    joints = [
        line((0, 0), (10, 0)),
        upright((0, 0), 3.0, height_m=1.0),
        collar((5, 5), 0.4, face=Face.WALL, height_m=2.0),
    ]
    return job_of(joints, sheets=[sheet(floor_level_m=-6.0)], **{"water": WaterLevel(level_m=-1.0), **facts})


def test_head_on_a_vertical_joint_and_a_collar() -> None:
    """The foot of the stretch decides: 1 + 0.5 m up leaves 3.5 m. A collar's lowest place is its bottom: 1.8 m up."""
    job = wet_job()
    assert head_kpa(job, [piece(2, 0.5, 2)]) == pytest.approx(3.5 * 9.80665)
    assert head_kpa(job, [piece(3, 0.0, 1.2)]) == pytest.approx(3.2 * 9.80665)


def test_head_is_never_negative_and_not_guessed() -> None:
    """Water below the zone presses with nothing; without a water level or a floor level nobody knows."""
    assert head_kpa(wet_job(water=WaterLevel(level_m=-9.0)), [piece(1, 0, 1)]) == 0.0
    assert head_kpa(wet_job(water=None), [piece(1, 0, 1)]) is None
    unknown = job_of([line((0, 0), (10, 0))], water=WaterLevel(level_m=0.0))
    assert head_kpa(unknown, [piece(1, 0, 1)]) is None


def test_only_suspects_are_provisional() -> None:
    """A zone of suspects alone is provisional; one damp leak makes it firm."""
    job = job_of([line((0, 0), (10, 0))], [leak(1, 1, 2, 0), leak(1, 3, 4, 1)])
    assert why_provisional(job, [piece(1, 1, 2)]) == "Provisional: it holds only suspects."
    assert why_provisional(job, [piece(1, 1, 2), piece(1, 3, 4, leaks=(2,))]) == ""


@pytest.mark.parametrize(("kind", "words"), [(Kind.CRACK, "a crack"), (Kind.CONTRACTION, "a contraction joint")])
def test_unconfirmed_cracks_and_contraction_joints_are_provisional(kind: Kind, words: str) -> None:
    """Until confirmed dormant; confirmed, they are firm."""
    leaks = [leak(1, 1, 2, 3)]
    moving = why_provisional(job_of([line((0, 0), (10, 0), kind=kind)], leaks), [piece(1, 1, 2)])
    assert moving == f"Provisional: J-01 is {words} not confirmed dormant."
    assert why_provisional(job_of([line((0, 0), (10, 0), kind=kind, dormant=True)], leaks), [piece(1, 1, 2)]) == ""
