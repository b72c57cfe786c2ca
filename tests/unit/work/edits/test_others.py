"""Deeds on other items."""

from __future__ import annotations

from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused
from leakmap.work.edits.others import add_honeycomb, add_other, add_tie_holes, remove_other, set_quantity
from tests.helpers.small_jobs import one_sheet


def test_items_are_listed_and_taken_off() -> None:
    """Tie holes are counted, honeycomb is measured in square metres; both can be changed and removed."""
    job, sheet = one_sheet()
    holes = add_tie_holes(job, sheet=sheet, number=12, note="north wall")
    comb = add_honeycomb(holes.job, sheet=sheet, area_m2=0.75)
    items = [(item.what, item.quantity, item.unit, item.note) for item in comb.job.others.values()]
    assert items == [("tie holes", 12, "", "north wall"), ("honeycomb", 0.75, "m²", "")]
    assert set_quantity(comb.job, other=holes.made[0], quantity=13).job.others[holes.made[0]].quantity == 13
    assert remove_other(holes.job, other=holes.made[0]).job == job
    assert [holes.words, comb.words] == ["add tie holes", "add honeycomb"]


def test_impossible_items_are_refused() -> None:
    """Nothing, half a hole, a sheet that is not there, and no words are refused."""
    job, sheet = one_sheet()
    with pytest.raises(EditRefused, match="whole numbers"):
        add_tie_holes(job, sheet=sheet, number=2.5)
    with pytest.raises(EditRefused, match="whole numbers"):
        add_tie_holes(job, sheet=sheet, number=float("nan"))
    with pytest.raises(EditRefused, match="quantity of honeycomb"):
        add_honeycomb(job, sheet=sheet, area_m2=0)
    with pytest.raises(EditRefused, match="quantity of honeycomb"):
        add_honeycomb(job, sheet=sheet, area_m2=float("nan"))
    with pytest.raises(EditRefused, match="This sheet is not in the job"):
        add_tie_holes(job, sheet=UUID(int=5), number=2)
    with pytest.raises(EditRefused, match="Say what"):
        add_other(job, sheet=sheet, what=" ", quantity=1, unit="")
    with pytest.raises(EditRefused, match="This item is not in the job"):
        remove_other(job, other=UUID(int=5))
