"""Deeds on the grid."""

from __future__ import annotations

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.grid import Axes, Grid, axes_with_bays, bays
from leakmap.model.job import Job
from leakmap.work.edits.grid import Family, remove_axis, rename_axis, set_axis, set_bay, set_grid
from tests.helpers.small_jobs import one_sheet, rows

GRID = Grid(letters=axes_with_bays("ABC", (6.0, 7.2)), numbers=axes_with_bays("12", (4.2,), towards_deg=-90.0))


def gridded() -> Job:
    """A job with a grid."""
    return set_grid(one_sheet()[0], grid=GRID).job


def test_grid_is_set_and_removed() -> None:
    """The grid is one of the job's own facts, and goes again."""
    job, _ = one_sheet()
    edit = set_grid(job, grid=GRID)
    assert (edit.job.grid, edit.words, rows(edit)) == (GRID, "set the grid", {"job"})
    gone = set_grid(edit.job, grid=None)
    assert (gone.job, gone.words) == (job, "remove the grid")
    assert not set_grid(edit.job, grid=GRID).changed


def test_axis_is_added_in_its_place() -> None:
    """A new axis stands where it lies, whatever the order of deeds; the first one makes a grid."""
    job, _ = one_sheet()
    for name, at_m in (("C", 12.0), ("A", 0.0), ("B", 6.0)):
        job = set_axis(job, family="letters", name=name, at_m=at_m).job
    assert job.grid is not None
    assert [axis.name for axis in job.grid.axes] == ["A", "B", "C"]
    assert set_axis(job, family="numbers", name=" 1 ", at_m=0.0).words == "add axis 1"


def test_axis_is_moved_past_another() -> None:
    """Setting an axis again moves it and leaves the others."""
    edit = set_axis(gridded(), family="letters", name="A", at_m=20.0)
    job = edit.job
    assert edit.words == "move axis A"
    assert job.grid is not None
    assert [(axis.name, axis.at_m) for axis in job.grid.letters.each] == [("B", 6.0), ("C", 13.2), ("A", 20.0)]


def test_bay_is_set() -> None:
    """A typed bay moves the axes behind it and keeps their bays."""
    edit = set_bay(gridded(), after="A", length_m=5.0)
    assert edit.job.grid is not None
    assert [bay.length_m for bay in bays(edit.job.grid.letters)] == pytest.approx([5.0, 7.2])
    assert edit.words == "set bay after axis A"


def test_axis_is_renamed_and_removed() -> None:
    """An axis is renamed in its place; with the last axis the grid goes."""
    job = rename_axis(gridded(), name="2", to=" 3").job
    assert job.grid is not None
    assert [axis.name for axis in job.grid.numbers.each] == ["1", "3"]
    for name in ("A", "B", "C", "1"):
        job = remove_axis(job, name=name).job
    assert job.grid is not None
    assert job.grid.letters == Axes()
    assert remove_axis(job, name="3").job.grid is None


@pytest.mark.parametrize(
    ("family", "name", "at_m", "sentence"),
    [
        ("numbers", "A", 9.0, "Two axes are called A"),
        ("letters", "D", 6.005, "at one place"),
        ("letters", "", 9.0, "letter or a number"),
        ("letters", "D", float("inf"), "not a finite number"),
    ],
)
def test_impossible_axis_is_refused(family: Family, name: str, at_m: float, sentence: str) -> None:
    """An axis that no grid can hold is refused, and the job stays."""
    with pytest.raises(EditRefused, match=sentence):
        set_axis(gridded(), family=family, name=name, at_m=at_m)


def test_deeds_on_no_axis_are_refused() -> None:
    """An axis that is not there, and a bay behind the last axis, are refused in words."""
    with pytest.raises(EditRefused, match="There is no axis D"):
        remove_axis(gridded(), name="D")
    with pytest.raises(EditRefused, match="There is no axis A"):
        rename_axis(one_sheet()[0], name="A", to="B")
    with pytest.raises(EditRefused, match="No bay follows axis C"):
        set_bay(gridded(), after="C", length_m=3.0)
    with pytest.raises(EditRefused, match="greater than zero"):
        set_bay(gridded(), after="A", length_m=0.0)
    with pytest.raises(EditRefused, match="Two axes are called B"):
        rename_axis(gridded(), name="A", to="B")
