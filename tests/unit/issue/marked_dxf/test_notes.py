"""Tables beside the plan of a marked drawing."""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.base.measures import Units
from leakmap.issue.marked_dxf.notes import OTHER_COLUMNS, ZONE_COLUMNS
from leakmap.issue.marked_dxf.width import width_mm
from leakmap.model.rules import Rules

CAP_MM, PAD_MM = 2.5, 1.5


@pytest.mark.parametrize("units", Units.EACH)
def test_heads_and_usual_depths_stand_on_one_line(units: Units) -> None:
    """In feet a depth has its inches beside it; a row that breaks for them is twice as high as it reads."""
    rules = Rules()
    depths = [
        units.depth(Decimal(repr(each)) * 1000) for each in (rules.slot_depth_m, rules.run_depth_m, rules.jet_depth_m)
    ]
    for column in (*ZONE_COLUMNS, *OTHER_COLUMNS):
        for words in (units.heading(column.title), *(depths if column.title == "Depth mm" else ())):
            assert width_mm(words, CAP_MM) <= column.width_mm - 2 * PAD_MM


def test_both_tables_are_equally_wide() -> None:
    """One stands over the other, and both are cut to one width of columns on a sheet."""
    assert sum(each.width_mm for each in ZONE_COLUMNS) == sum(each.width_mm for each in OTHER_COLUMNS)
