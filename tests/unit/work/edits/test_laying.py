"""A level laid over another."""

from __future__ import annotations

from math import cos, radians, sin
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.sheet import KnownLength
from leakmap.model.words import Kind
from leakmap.repair.work_out import repairs
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.laying import lay_over
from leakmap.work.edits.scales import add_known_length
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.small_jobs import DRAWN, joint_named, one_line, rows, stretches, with_leak, with_line

TURNED = Placement(turn_deg=-12.0, at_m=(40.0, -7.0))


def two_levels(*, source: bool = True) -> tuple[Job, UUID, UUID]:
    """B2 with a joint along (0, 0), (4, 0), (4, 3) and a leak on it, and B1 with nothing on it."""
    job, joint = one_line(source=DRAWN if source else None)
    job, _ = with_leak(job, joint, 1.0, 5.0)
    edit = add_sheet(job, name="B1")
    return edit.job, next(iter(job.sheets)), edit.made[0]


def test_one_place_shifts_joints_and_leaks() -> None:
    """3,4 comes to lie at 5,4.5: joint and drawing move by 2.00 and 0.50, the leak keeps its chainages; said in words."""
    job, b2, b1 = two_levels()
    edit = lay_over(job, sheet=b2, over=b1, places=[((3, 4), (5, 4.5))])
    path = joint_named(edit.job, "J-01").path
    assert path is not None
    assert path.points == ((2, 0.5), (6, 0.5), (6, 3.5))
    assert stretches(edit.job) == stretches(job)
    assert edit.words == "lay B2 over B1"
    assert edit.said == ("B2 moved by 2.00 m across and 0.50 m up.",)
    assert rows(edit) == {"sheets", "joints"}
    assert edit.job.sheets[b1] == job.sheets[b1]


@settings(max_examples=25, deadline=None)
@given(turn_deg=st.floats(-179, 179), across=st.floats(-90, 90), up=st.floats(-90, 90))
def test_two_places_shift_and_turn(turn_deg: float, across: float, up: float) -> None:
    """Wherever the other level shows two places, the level comes to lie there, its lengths and metres of repair as before."""
    job, b2, b1 = two_levels()
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    places = [((x, y), (across + c * x - s * y, up + s * x + c * y)) for x, y in ((0.0, 0.0), (4.0, 3.0))]
    edit = lay_over(job, sheet=b2, over=b1, places=places)
    path = joint_named(edit.job, "J-01").path
    assert path is not None
    assert path.points[0] == pytest.approx(places[0][1], abs=1e-9)
    assert path.points[2] == pytest.approx(places[1][1], abs=1e-9)
    assert repairs(edit.job).totals == repairs(job).totals
    assert edit.said[-1] == "All 2 places lie on each other within 1 mm."


def test_places_that_do_not_fit_are_said() -> None:
    """8 mm more between two places is shared, 4 mm each, and in order; 40 mm more is not, and what to do is said.

    By hand, a corner of a square of 10 m that wants 80 mm across: all move by 20 mm and turn by 0.4 / 200, which
    moves the corner by 10 and 10 mm; so it is out by 50 and −10 mm, 51 mm in all.
    """
    job, b2, b1 = two_levels()

    def said(more_m: float, *others: tuple[tuple[float, float], tuple[float, float]]) -> str:
        places = [((0.0, 0.0), (0.0, 0.0)), ((10.0, 0.0), (10.0 + more_m, 0.0)), *others]
        return lay_over(job, sheet=b2, over=b1, places=places).said[-1]

    assert said(0.008) == "All 2 places lie on each other within 4 mm."
    assert said(0.040) == (
        "The two places are out by 20 mm each, because B2 and B1 do not measure the same between them:"
        " pick them again, or check the scale of both."
    )
    third = ((10.0, 10.0), (10.0, 10.0))
    assert said(0.080, third, ((0.0, 10.0), (0.0, 10.0))).startswith("Place 2 is out by 51 mm, the most of 4: ")


def test_vertical_joints_meet_after_levels_are_laid_over_each_other() -> None:
    """A vertical joint of B2 misses the joint of B1 above it until B2 lies right; then a leak reaches up and along it."""
    job, b2, b1 = two_levels(source=False)
    job, _ = with_line(job, ((20.0, 10.0), (26.0, 10.0)), sheet=b1)
    edit = draw_vertical_joint(job, sheet=b2, point=(0.0, 0.0), rise_m=3.0, kind=Kind.CONSTRUCTION, head_sheet=b1)
    job, _ = with_leak(edit.job, edit.made[0], 2.9, 2.95)
    upper = joint_named(job, "J-02").id

    def reached(of: Job) -> bool:
        return any(piece.joint == upper for zone in repairs(of).zones for piece in zone.pieces)

    assert not reached(job)
    assert reached(lay_over(job, sheet=b2, over=b1, places=[((0.0, 0.0), (20.0, 10.0))]).job)


def test_a_level_takes_its_scale_too_only_where_it_has_none() -> None:
    """A drawing of unknown scale becomes twice as large when asked to; one with known lengths refuses, as does a blank."""
    job, b2, b1 = two_levels()
    places = [((0.0, 0.0), (1.0, 1.0)), ((4.0, 0.0), (1.0, 9.0))]
    edit = lay_over(job, sheet=b2, over=b1, places=places, with_scale=True)
    assert edit.job.sheets[b2].placement.x_m_per_unit == pytest.approx(2.0)
    assert joint_named(edit.job, "J-01").length_m == pytest.approx(14.0)
    assert "turned by 90.00°, made 2 times as large" in edit.said[-2]
    kept = lay_over(job, sheet=b2, over=b1, places=places)
    assert kept.job.sheets[b2].placement.x_m_per_unit == 1.0
    known = KnownLength(start=(0, 0), end=(4, 0), length_m=4.0)
    scaled = add_known_length(job, sheet=b2, known=known).job
    with pytest.raises(EditRefused, match="has its scale by known lengths"):
        lay_over(scaled, sheet=b2, over=b1, places=places, with_scale=True)
    with pytest.raises(EditRefused, match="pick a second place"):
        lay_over(job, sheet=b2, over=b1, places=places[:1], with_scale=True)
    with pytest.raises(EditRefused, match="needs no scale"):
        lay_over(job, sheet=b1, over=b2, places=places, with_scale=True)


def test_impossible_layings_are_refused() -> None:
    """Over itself, without a place, or with two places at one spot: one sentence, and nothing is changed."""
    job, b2, b1 = two_levels()
    with pytest.raises(EditRefused, match="over itself"):
        lay_over(job, sheet=b2, over=b2, places=[((0, 0), (1, 1))])
    with pytest.raises(EditRefused, match="Pick a place that B2 and B1 both show"):
        lay_over(job, sheet=b2, over=b1, places=[])
    with pytest.raises(EditRefused, match="at one spot"):
        lay_over(job, sheet=b2, over=b1, places=[((0, 0), (1, 1)), ((0, 0.001), (1, 1.001))])


def test_a_level_can_be_laid_over_again() -> None:
    """Laying it back by the same places gives the placement from before, to the micrometre."""
    job, b2, b1 = two_levels()
    places = [((0.0, 0.0), TURNED.to_site((0.0, 0.0))), ((9.0, 2.0), TURNED.to_site((9.0, 2.0)))]
    there = lay_over(job, sheet=b2, over=b1, places=places).job
    back = lay_over(there, sheet=b2, over=b1, places=[(b, a) for a, b in places]).job
    before, after = job.sheets[b2].placement, back.sheets[b2].placement
    assert after.to_site((5.0, 5.0)) == pytest.approx(before.to_site((5.0, 5.0)), abs=1e-6)
