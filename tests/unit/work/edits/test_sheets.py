"""Deeds on sheets."""

from __future__ import annotations

from uuid import UUID

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind
from leakmap.work.edits.joints import draw_vertical_joint
from leakmap.work.edits.others import add_tie_holes
from leakmap.work.edits.sheets import (
    add_sheet,
    remove_sheet,
    rename_sheet,
    set_floor_level,
    set_storey_height,
    show_layer,
)
from tests.helpers.small_jobs import DRAWN, one_line, one_sheet


def test_sheet_is_added() -> None:
    """A new sheet has the name, levels and drawing that were given, under the id that was given."""
    job, _ = one_sheet()
    edit = add_sheet(
        job, name=" B1 ", source=DRAWN, floor_level_m=-3.0, storey_height_m=2.8, new_id=lambda: UUID(int=7)
    )
    sheet = edit.job.sheets[UUID(int=7)]
    assert (sheet.name, sheet.source, sheet.floor_level_m, sheet.storey_height_m) == ("B1", DRAWN, -3.0, 2.8)
    assert edit.words == "add sheet B1"
    assert edit.made == (UUID(int=7),)


@pytest.mark.parametrize("name", ["B2", " B2 ", "", "  "])
def test_sheet_name_must_be_free(name: str) -> None:
    """A name in use, or none, is refused."""
    with pytest.raises(EditRefused, match="sheet"):
        add_sheet(one_sheet()[0], name=name)


@pytest.mark.parametrize("height", [0.0, -1.0, float("nan")])
def test_storey_height_must_be_positive(height: float) -> None:
    """A storey has a height."""
    job, sheet = one_sheet()
    with pytest.raises(EditRefused, match="storey height of B2"):
        set_storey_height(job, sheet=sheet, storey_height_m=height)


def test_empty_sheet_is_removed() -> None:
    """A sheet on which nothing is marked goes."""
    job, sheet = one_sheet()
    edit = remove_sheet(job, sheet=sheet)
    assert not edit.job.sheets
    assert edit.words == "remove sheet B2"


def test_sheet_with_a_joint_stays() -> None:
    """A sheet with a joint is not removed."""
    job, joint = one_line()
    with pytest.raises(EditRefused, match="Sheet B2 is not empty: J-01 must be removed first"):
        remove_sheet(job, sheet=job.joints[joint].sheet)


def test_sheet_with_a_head_or_an_item_stays() -> None:
    """A sheet on which a vertical joint has its head, or with counted items, is not removed."""
    job, low = one_sheet()
    edit = add_sheet(job, name="B1")
    job, high = edit.job, edit.made[0]
    job = draw_vertical_joint(job, sheet=low, kind=Kind.CONSTRUCTION, point=(0, 0), rise_m=3, head_sheet=high).job
    with pytest.raises(EditRefused, match="V-01"):
        remove_sheet(job, sheet=high)
    job = add_tie_holes(job, sheet=high, number=3).job
    with pytest.raises(EditRefused, match="V-01 and 1 more"):
        remove_sheet(job, sheet=high)


def test_sheet_is_renamed() -> None:
    """A sheet takes a free name; its own name changes nothing; another's is refused, in whatever capitals.

    The name of a removed sheet is free again, for a storey keeps its name.
    """
    job, sheet = one_sheet()
    job = add_sheet(job, name="B1").job
    edit = rename_sheet(job, sheet=sheet, name="B3")
    assert edit.job.sheets[sheet].name == "B3"
    assert edit.words == "rename sheet B2"
    assert not rename_sheet(job, sheet=sheet, name="B2").changed
    for name in ("B1", "b1"):
        with pytest.raises(EditRefused, match=f"There is a sheet {name} already"):
            rename_sheet(job, sheet=sheet, name=name)
    with pytest.raises(EditRefused, match="There is a sheet b2 already"):
        add_sheet(job, name="b2")
    assert rename_sheet(job, sheet=sheet, name="b2").job.sheets[sheet].name == "b2"
    assert add_sheet(remove_sheet(job, sheet=sheet).job, name="B2").made


def test_levels_are_set() -> None:
    """A floor level may be unknown; a storey height never is."""
    job, sheet = one_sheet()
    job = set_floor_level(job, sheet=sheet, floor_level_m=-6.25).job
    assert job.sheets[sheet].floor_level_m == -6.25
    assert set_floor_level(job, sheet=sheet, floor_level_m=None).job.sheets[sheet].floor_level_m is None
    assert set_storey_height(job, sheet=sheet, storey_height_m=3.4).job.sheets[sheet].storey_height_m == 3.4
    with pytest.raises(EditRefused, match="floor level"):
        set_floor_level(job, sheet=sheet, floor_level_m=float("inf"))


def test_layers_are_shown_and_hidden() -> None:
    """The last word on a layer counts; None forgets it."""
    job, sheet = one_sheet(source=DRAWN)
    job = show_layer(job, sheet=sheet, layer="walls", shown=False).job
    edit = show_layer(job, sheet=sheet, layer="grid", shown=True)
    assert edit.job.sheets[sheet].shown == (("walls", False), ("grid", True))
    assert edit.words == "show layer grid of B2"
    assert show_layer(edit.job, sheet=sheet, layer="walls", shown=None).job.sheets[sheet].shown == (("grid", True),)


def test_storey_height_leaves_joints_alone() -> None:
    """A soffit joint takes its height from the sheet when asked, so no joint changes."""
    job, joint = one_line(face=Face.SOFFIT)
    before: Joint = job.joints[joint]
    edit = set_storey_height(job, sheet=before.sheet, storey_height_m=2.5)
    assert edit.job.joints[joint] is before
