"""Net measurement, rounding, and water against published rules.

Sources: Standard Method of Measurement, General Rules A.3 (net as fixed in position, to the nearest
10 mm, 5 mm and over counts as 10 mm); the worked example of the IFC R2x cost quantity (4.886 with an
increment of 0.1 gives 4.9); head of water from g = 9.80665 m/s² and 1000 kg/m³, exact definitions.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.base.rounding import rounded, rounded_up
from leakmap.model.job import WaterLevel
from leakmap.model.rules import Rules
from leakmap.repair.chainages import length_of, merged
from leakmap.repair.work_out import repairs
from tests.helpers.jobs import job_of, leak, line, sheet


@pytest.mark.parametrize(
    ("measured", "booked"),
    [("12.344", "12.34"), ("12.345", "12.35"), ("12.355", "12.36"), ("12.365", "12.37"), ("2.675", "2.68")],
)
def test_the_rule_of_ten_millimetres(measured: str, booked: str) -> None:
    """5 mm and over counts as 10 mm, less is left off; floats must not turn 12.345 into 12.34."""
    assert rounded(float(measured), Decimal("0.01")) == Decimal(booked)


def test_a_zone_measured_by_the_rule_of_ten_millimetres() -> None:
    """A leak from 0 to 12.045 m and 0.30 m of overrun: 12.345 m are booked as 12.35 m."""
    rules = Rules(measuring_step_m=Decimal("0.01"))
    (zone,) = repairs(job_of([line((0, 0), (20, 0))], [leak(1, 0, 12.045, 2)], rules=rules)).zones
    assert (zone.rows[0].length_m, zone.length_m) == (Decimal("12.35"), Decimal("12.35"))


def test_the_published_cost_quantity() -> None:
    """As measured 4.886, increment 0.1: final quantity 4.9. A zone of 4.886 m is charged as 4.90 m."""
    assert rounded_up(Decimal("4.886"), Decimal("0.1")) == Decimal("4.9")
    job = job_of([line((0, 0), (20, 0))], [leak(1, 2, 6.286, 2)])
    (zone,) = repairs(job).zones
    assert (zone.length_m, zone.chargeable_m) == (Decimal("4.886"), Decimal("4.9"))
    (exact,) = repairs(
        job_of([line((0, 0), (20, 0))], [leak(1, 2, 6.286, 2)], rules=Rules(chargeable_step_m=None))
    ).zones
    assert exact.chargeable_m == Decimal("4.886")


def test_rounding_comes_last_and_once() -> None:
    """Waste is a factor of its own: it changes no measured or chargeable length."""
    job = job_of([line((0, 0), (20, 0))], [leak(1, 2, 6.286, 2)])
    with_waste = job_of([line((0, 0), (20, 0))], [leak(1, 2, 6.286, 2)], rules=Rules(waste_share=0.1))
    assert repairs(job).totals == repairs(with_waste).totals


def test_interval_union() -> None:
    """[0, 4] ∪ [3.5, 8] is 8.0 m; the sum 8.5 m counts the overlap of 0.5 m twice."""
    assert length_of(merged([(0.0, 4.0), (3.5, 8.0)])) == 8.0
    made = repairs(job_of([line((0, 0), (8, 0))], [leak(1, 0, 4), leak(1, 3.5, 8)]))
    assert (made.totals.wet_m, made.totals.repair_m) == (Decimal("8.000"), Decimal("8.000"))


@pytest.mark.parametrize(("head_m", "kpa"), [(1.0, 9.80665), (0.3048, 2.98907), (10.1972, 100.0)])
def test_head_of_water(head_m: float, kpa: float) -> None:
    """1 m is 9.80665 kPa, 1 ft is 2.98907 kPa, 10.1972 m are 1 bar."""
    level = WaterLevel(level_m=head_m - 4.0)
    job = job_of([line((0, 0), (8, 0))], [leak(1, 1, 2)], sheets=[sheet(floor_level_m=-4.0)], water=level)
    assert repairs(job).zones[0].head_kpa == pytest.approx(kpa, abs=6e-4)
