"""Words and figures of the paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from leakmap.base.measures import Units
from leakmap.issue.cautions import cautions
from leakmap.issue.rule_words import value_words
from leakmap.issue.schedule_pdf.evidence import answers, known
from leakmap.issue.schedule_pdf.front import NOT_CHECKED, scale_words
from leakmap.issue.schedule_pdf.plan_page import bar_length
from leakmap.issue.schedule_pdf.words import (
    date_words,
    from_grid,
    head_words,
    leak_words,
    leaks_of,
    length,
    stretch,
    zone_from_grid,
)
from leakmap.model.grid import Grid, axes_with_bays, position_words
from leakmap.model.joint import Signed, plan_path
from leakmap.model.rules import Rules
from leakmap.model.sheet import KnownLength
from leakmap.repair.results import Why
from tests.helpers.hand_made import made_id, piece, zone
from tests.helpers.paper_job import B1, B2, paper_job, paper_repairs

JOB = paper_job()


def plain(words: str) -> str:
    """Words with plain spaces."""
    return words.replace("\u00a0", " ")


def test_lengths_have_three_decimals_and_a_true_minus() -> None:
    """4.8 prints as 4.800 and −3.6 with the sign of figures."""
    said = [length(Units.METRIC, value) for value in (Decimal("4.8"), Decimal("-3.6"), Decimal(0))]
    assert said == ["4.800", "−3.600", "0.000"]


def test_chainages_are_printed_from_the_joints_start_value() -> None:
    """J-08 starts at 12.500, so its metre 2.5 is printed as 15.000."""
    assert plain(stretch(JOB, made_id("J-08"), 2.5, 3.8)) == "J-08 15.000–16.300"
    assert plain(stretch(JOB, made_id("J-08"), 2.5, 2.5)) == "J-08 15.000", "a spot has one chainage"
    assert plain(leak_words(JOB, JOB.leaks[made_id("L-10")])) == "L-10 drip on J-08 15.000–16.300"


def test_places_are_said_from_the_grid() -> None:
    """A zone is said from where its first row begins to where its last one ends, as the grid says it; without one not."""
    (first, *_) = paper_repairs(JOB).zones
    assert not from_grid(JOB, first.rows[0].joint, 0.0)
    assert not zone_from_grid(JOB, first)
    numbers = axes_with_bays("12", (4.2,), towards_deg=-90.0)
    job = replace(JOB, grid=Grid(origin=(0.0, 21.6), letters=axes_with_bays("AB", (6.0,)), numbers=numbers))
    assert job.grid is not None
    places = []
    for row, raw in ((first.rows[0], first.rows[0].from_m), (first.rows[-1], first.rows[-1].to_m)):
        path = plan_path(job.joints[row.joint])
        assert path is not None
        places.append(position_words(job.grid, path.point_at(float(raw))))
    assert plain(zone_from_grid(job, first)) == f"{places[0]} to {places[1]}"


def test_a_head_of_water_is_given_in_kilopascal_and_metres() -> None:
    """1 m is 9.80665 kPa."""
    assert head_words(Units.METRIC, 9.80665) == "9.8 kPa (1.00 m of water)"


def test_small_words() -> None:
    """A depth has no idle zeros; a day cannot be read the other way round."""
    assert list(map(Units.METRIC.depth, map(Decimal, ("37", "37.50", "100")))) == ["37", "37.5", "100"]
    assert plain(date_words(Units.METRIC, date(2026, 3, 2))) == "02 Mar 2026"


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (0.037, "m", "37 mm"),
        (2.0, "m", "2.000 m"),
        (Decimal("0.10"), "m", "100 mm"),
        (None, "m", "none"),
        (0.5, "", "50 %"),
        (3, "days", "3 days"),
        ("", "", "not entered"),
        ("A1", "", "A1"),
        (Rules().overrun_m, "m", "300\u00a0· 300\u00a0· 300\u00a0· 400\u00a0· 450\u00a0· 450\u00a0mm"),
    ],
)
def test_rules_are_printed_with_their_units(value: object, unit: str, words: str) -> None:
    """Lengths below a metre in mm, shares in per cent."""
    assert value_words(Units.METRIC, value, unit) == words


def test_an_unchecked_scale_says_so() -> None:
    """No length, one length, two lengths along each other, two that disagree: not for work. A blank sheet is true."""
    sheet = JOB.sheets[B2]
    along = KnownLength(start=(0.0, 0.0), end=(10.0, 0.0), length_m=10.0)
    wrong = KnownLength(start=(0.0, 0.0), end=(0.0, 10.0), length_m=9.0)
    for lengths in ((), (along,), (along, along), (along, wrong)):
        assert scale_words(Units.METRIC, replace(sheet, lengths=lengths)).startswith(NOT_CHECKED)
    assert plain(scale_words(Units.METRIC, sheet)) == "Checked each way by 2 known lengths, within 0.00 %"
    assert NOT_CHECKED not in scale_words(Units.METRIC, JOB.sheets[B1])


def test_every_leak_has_an_answer() -> None:
    """A zone, another method, or watched; never two."""
    found = answers(JOB, replace(paper_repairs(JOB), watched=(made_id("L-07"),)))
    assert found[made_id("L-03")] == "Z-03"
    assert found[made_id("L-06")] == "another method"
    assert found[made_id("L-07")] == "watched"
    assert "none" not in found.values()


def test_what_is_known_of_a_joint_is_said() -> None:
    """Waterstop, clearance, dormancy, a decision against the rule."""
    joints = JOB.joints
    assert plain(known(JOB, joints[made_id("J-02")])) == "waterstop 0.120 m deep"
    assert plain(known(JOB, joints[made_id("J-04")])) == "slots keep 0.150 m clear"
    assert known(JOB, joints[made_id("J-07")]) == "not confirmed dormant"
    assert known(JOB, joints[made_id("V-01")]) == "up to B1"
    signed = Signed(name="A. Engineer", reason="joint is locked", on=date(2026, 3, 1))
    words = known(JOB, replace(joints[made_id("J-04")], repair_anyway=signed))
    assert words == "repaired by this method: joint is locked (A. Engineer, 2026-03-01)"


def test_the_cautions_of_the_job_are_all_there() -> None:
    """Each hazard that a schedule must warn of has its caution; sources are named where there is one."""
    found = {caution.key: caution for caution in cautions()}
    needed = {"dust", "cement", "cutting", "power", "confined", "coatings", "body", "pressure", "engineer", "limits"}
    assert set(found) == needed
    assert "1926.1153" in found["dust"].source
    assert all(len(caution.text) < 240 for caution in found.values()), "short"


def test_the_scale_bar_is_a_round_length_of_at_most_100_mm() -> None:
    """10 m at 1:100, 5 m at 1:50, 20 m at 1:200, 50 m at 1:500."""
    assert [bar_length(scale) for scale in (100, 50, 200, 500, 1)] == [10, 5, 20, 50, 0.1]
    assert [bar_length(scale, Units.IMPERIAL) for scale in (48, 100)] == [10, 20]


def test_a_leak_beyond_a_cut_answers_its_own_zone_alone() -> None:
    """L-04 lies in Z-04; its overrun, cut off into a zone of its own, does not make it a leak of that zone."""
    cut_off = zone(JOB, 13, [piece(JOB, "J-05", (19.4, 19.6), Why.OVERRUN, "L-04")])
    assert [leak.ref for leak in leaks_of(JOB, cut_off)] == []
    repairs = paper_repairs(JOB)
    assert answers(JOB, replace(repairs, zones=(cut_off, *repairs.zones)))[made_id("L-04")] == "Z-04"


def test_a_leak_that_a_cut_parts_answers_both_zones() -> None:
    """Half of L-12 in one zone, half in another: both are named."""
    halves = [zone(JOB, n, [piece(JOB, "J-10", ends, Why.LEAK, "L-12")]) for n, ends in ((1, (6, 7)), (2, (7, 8.5)))]
    assert answers(JOB, replace(paper_repairs(JOB), zones=tuple(halves)))[made_id("L-12")] == "Z-01, Z-02"


def test_a_spot_and_a_leak_past_the_start_lie_where_they_are() -> None:
    """A spot lies in the zone round it; a leak from 103 past the start to 1 on a closed joint of 104 m lies at 0.5."""
    repairs = paper_repairs(JOB)
    assert [leak.ref for leak in leaks_of(JOB, repairs.zones[11])] == ["L-14"]
    round_start = replace(JOB.leaks[made_id("L-13")], from_m=103.0, to_m=1.0)
    job = replace(JOB, leaks={**JOB.leaks, round_start.id: round_start})
    assert leaks_of(job, zone(job, 1, [piece(job, "J-01", (0.0, 1.0), Why.LEAK, "L-13")])) == [round_start]
    assert leaks_of(job, zone(job, 1, [piece(job, "J-01", (5.0, 6.0), Why.OVERRUN, "L-13")])) == []
