"""Papers of a job that is read in feet and inches."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from fractions import Fraction
from io import StringIO

from leakmap.base.length_text import metres_of
from leakmap.base.measures import AREA, EIGHTH_M, FOOT_M, VOLUME, Units
from leakmap.issue.schedule_csv import schedule_csv
from leakmap.issue.schedule_json import schedule_json
from leakmap.model.printed import printed
from leakmap.repair.local import work_out, work_out_again
from leakmap.repair.work_out import repairs as worked_out
from leakmap.work.edits.rules import set_units
from tests.helpers.paper_job import paper_job

METRIC = paper_job()
JOB = set_units(METRIC, units=Units.IMPERIAL).job
FOUND = worked_out(JOB)


def read(words: str) -> Fraction:
    """Metres of printed words."""
    return metres_of(words, Units.IMPERIAL)


def test_printed_rows_add_up_to_printed_zones_and_totals() -> None:
    """Whoever adds up printed lengths finds the printed sum, and the difference of printed chainages is the length."""
    zones = Fraction(0)
    for zone in FOUND.zones:
        rows = Fraction(0)
        for row in zone.rows:
            joint = JOB.joints[row.joint]
            length = read(JOB.units.measured(row.length_m))
            assert read(printed(JOB, joint, row.to_m)) - read(printed(JOB, joint, row.from_m)) == length
            rows += length
        assert rows == read(JOB.units.measured(zone.length_m))
        zones += rows
    assert zones == read(JOB.units.measured(FOUND.totals.repair_m)) > 0


def test_printed_quantities_add_up() -> None:
    """Square and cubic feet of zones, as printed, add up to those of the totals."""
    for name, scale in (("coat1_m2", AREA), ("coat2_m2", AREA), ("slot_l", VOLUME), ("plug_l", VOLUME)):
        rows = [Decimal(scale[JOB.units].shown(getattr(zone, name))) for zone in FOUND.zones]
        assert sum(rows) == Decimal(scale[JOB.units].shown(getattr(FOUND.totals, name)))


def test_zones_are_charged_by_whole_feet() -> None:
    """Each zone's measured length is rounded up to a foot, common practice, no published source."""
    for zone in FOUND.zones:
        assert zone.chargeable_m % FOOT_M == 0
        assert 0 <= zone.chargeable_m - zone.length_m < FOOT_M


def test_units_move_no_end_by_more_than_an_eighth() -> None:
    """The same zones come out; a row differs from its metric one by the rounding alone."""
    metric = worked_out(METRIC)
    assert [zone.ref for zone in FOUND.zones] == [zone.ref for zone in metric.zones]
    for zone, same in zip(FOUND.zones, metric.zones, strict=True):
        assert abs(zone.length_m - same.length_m) <= (EIGHTH_M + Decimal("0.001")) * len(zone.stretches)


def test_machine_copies_stay_metric() -> None:
    """JSON and CSV give metres that add up exactly, with as many decimals as an eighth of an inch takes."""
    told = json.loads(schedule_json(JOB, FOUND), parse_float=Decimal)
    for zone, found in zip(told["zones"], FOUND.zones, strict=True):
        assert zone["length_m"] == found.length_m
        assert sum(part["to_m"] - part["from_m"] for part in zone["stretches"]) == found.length_m
    rows = list(csv.DictReader(StringIO(schedule_csv(JOB, FOUND))))
    assert sum(Decimal(row["length_m"]) for row in rows) == FOUND.totals.repair_m


def test_a_switch_works_everything_out_again() -> None:
    """Sentences of findings stand in the new units too, just as from nothing."""
    edit = set_units(METRIC, units=Units.IMPERIAL)
    before = work_out(METRIC)
    assert work_out_again(before, edit.job, edit.changed).repairs == FOUND
    assert not any(" m " in finding.text for finding in FOUND.findings)
