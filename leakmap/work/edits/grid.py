"""Deeds on the grid: set it as a whole, or axis by axis. The grid only names places; it moves no joint."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Literal

from leakmap.base.numbers import positive
from leakmap.model.grid import Axes, Axis, Grid
from leakmap.model.job import Job
from leakmap.work.edits.edit import Edit, deed, edited, refused

Family = Literal["letters", "numbers"]


@deed
def set_grid(job: Job, *, grid: Grid | None) -> Edit:
    """Put another grid in force; None: no grid is known."""
    return edited(job, words="remove the grid" if grid is None else "set the grid", grid=grid)


@deed
def set_axis(job: Job, *, family: Family, name: str, at_m: float) -> Edit:
    """Add an axis, or move the one of that name to another place.

    Args:
        job: The job.
        family: Whether it is a letter axis or a number axis.
        name: Its letter or number.
        at_m: Distance from the grid's origin, square to the axes.

    Raises:
        EditRefused: The name is used the other way or unusable, or another axis lies there.
    """
    axis = Axis(name=name.strip(), at_m=at_m)
    axes: Axes = getattr(job.grid or Grid(), family)
    others = [other for other in axes.each if other.name != axis.name]
    verb = "add" if len(others) == len(axes.each) else "move"
    return _with(job, family, (*others, axis), f"{verb} axis {axis.name}")


@deed
def rename_axis(job: Job, *, name: str, to: str) -> Edit:
    """Give an axis another letter or number.

    Raises:
        EditRefused: There is no such axis, or the new name is in use or unusable.
    """
    return _each(job, name, f"rename axis {name}", lambda axis: replace(axis, name=to.strip()))


@deed
def set_bay(job: Job, *, after: str, length_m: float) -> Edit:
    """Set the length of the bay after an axis; the axes behind it keep their own bays.

    Raises:
        EditRefused: There is no such axis, it is the last one, or the length is not greater than zero.
    """
    family, axes = _family_of(job, after)
    place = [axis.name for axis in axes.each].index(after)
    if place + 1 == len(axes.each):
        raise refused(f"No bay follows axis {after}; it is the last one.", where=after)
    by_m = positive(length_m, f"bay after axis {after}") - (axes.each[place + 1].at_m - axes.each[place].at_m)
    moved = (replace(axis, at_m=axis.at_m + by_m) if number > place else axis for number, axis in enumerate(axes.each))
    return _with(job, family, moved, f"set bay after axis {after}")


@deed
def remove_axis(job: Job, *, name: str) -> Edit:
    """Take an axis out; with the last one the grid goes.

    Raises:
        EditRefused: There is no such axis.
    """
    return _each(job, name, f"remove axis {name}", lambda _: None)


def _each(job: Job, name: str, words: str, change: Callable[[Axis], Axis | None]) -> Edit:
    """The edit that changes one axis."""
    family, axes = _family_of(job, name)
    changed = (change(axis) if axis.name == name else axis for axis in axes.each)
    return _with(job, family, (axis for axis in changed if axis is not None), words)


def _family_of(job: Job, name: str) -> tuple[Family, Axes]:
    grid = job.grid or Grid()
    if any(axis.name == name for axis in grid.letters.each):
        return "letters", grid.letters
    if any(axis.name == name for axis in grid.numbers.each):
        return "numbers", grid.numbers
    raise refused(f"There is no axis {name}.", where=name)


def _with(job: Job, family: Family, each: Iterable[Axis], words: str) -> Edit:
    grid = job.grid or Grid()
    axes: Axes = getattr(grid, family)
    changed = replace(axes, each=tuple(sorted(each, key=lambda axis: axis.at_m)))
    new = replace(grid, letters=changed) if family == "letters" else replace(grid, numbers=changed)
    return edited(job, words=words, grid=new if new.axes else None)
