"""Deeds on sheets: add, remove, rename, levels, layers of the drawing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

from leakmap.base.numbers import finite
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.sheet import FULL_TURN_DEG, Sheet, Source
from leakmap.work.edits.edit import Changes, Edit, deed, edited, refused, sheet_of


@deed
def add_sheet(
    job: Job,
    *,
    name: str,
    source: Source | None = None,
    placement: Placement | None = None,
    floor_level_m: float | None = None,
    storey_height_m: float = 3.0,
    each_way: bool = False,
    new_id: Callable[[], UUID] = uuid4,
) -> Edit:
    """Add a sheet; without a source it is blank and its metres are true.

    Raises:
        EditRefused: The name is empty or in use, or a level or height is not a usable number.
    """
    sheet = Sheet(
        id=new_id(),
        name=_free_name(job, name),
        source=source,
        placement=placement or Placement(),
        floor_level_m=floor_level_m,
        storey_height_m=storey_height_m,
        each_way=each_way,
    )
    return edited(job, Changes(sheets={sheet.id: sheet}), words=f"add sheet {sheet.name}", made=(sheet.id,))


@deed
def remove_sheet(job: Job, *, sheet: UUID) -> Edit:
    """Remove a sheet on which nothing is marked.

    Raises:
        EditRefused: Joints or other items lie on it, or vertical joints have their head there.
    """
    gone = sheet_of(job, sheet)
    marked = [joint.ref for joint in job.joints.values() if sheet in {joint.sheet, joint.head_sheet}]
    marked += [other.what for other in job.others.values() if other.sheet == sheet]
    if marked:
        more = f" and {len(marked) - 1} more" if len(marked) > 1 else ""
        raise refused(f"Sheet {gone.name} is not empty: {marked[0]}{more} must be removed first.", where=gone.name)
    return edited(job, Changes(sheets={sheet: None}), words=f"remove sheet {gone.name}")


@deed
def rename_sheet(job: Job, *, sheet: UUID, name: str) -> Edit:
    """Rename a sheet.

    Raises:
        EditRefused: The name is empty or in use.
    """
    old = sheet_of(job, sheet)
    if name.strip() == old.name:
        return _with(job, sheet, f"rename sheet {old.name}")
    return _with(job, sheet, f"rename sheet {old.name}", name=_free_name(job, name, but=sheet))


@deed
def set_floor_level(job: Job, *, sheet: UUID, floor_level_m: float | None) -> Edit:
    """Set the level of a sheet's slab over the job's datum; None: not known."""
    return _with(job, sheet, f"set floor level of {sheet_of(job, sheet).name}", floor_level_m=floor_level_m)


@deed
def set_storey_height(job: Job, *, sheet: UUID, storey_height_m: float) -> Edit:
    """Set the height from a sheet's floor to its soffit.

    Raises:
        EditRefused: It is not greater than zero.
    """
    return _with(job, sheet, f"set storey height of {sheet_of(job, sheet).name}", storey_height_m=storey_height_m)


@deed
def set_north(job: Job, *, sheet: UUID, north_deg: float | None) -> Edit:
    """Say where true north lies on a sheet: degrees clockwise from straight up; None: not known."""
    turn = None if north_deg is None else finite(north_deg, "north") % FULL_TURN_DEG % FULL_TURN_DEG
    return _with(job, sheet, f"set north of {sheet_of(job, sheet).name}", north_deg=turn)


@deed
def show_layer(job: Job, *, sheet: UUID, layer: str, shown: bool | None) -> Edit:
    """Show or hide a layer of a sheet's drawing; None: as the file says."""
    old = sheet_of(job, sheet)
    kept = {name: state for name, state in old.shown if name != layer}
    if shown is not None:
        kept[layer] = shown
    verb = {True: "show", False: "hide", None: "reset"}[shown]
    return _with(job, sheet, f"{verb} layer {layer} of {old.name}", shown=tuple(kept.items()))


def _free_name(job: Job, name: str, *, but: UUID | None = None) -> str:
    """A name that no other sheet has, in whatever capitals; that of a removed one may come back: storeys keep their names."""
    name = name.strip()
    if any(sheet.name.casefold() == name.casefold() and sheet.id != but for sheet in job.sheets.values()):
        raise refused(f"There is a sheet {name} already; give another name.", where=name)
    return name


def _with(job: Job, sheet: UUID, words: str, **facts: Any) -> Edit:  # noqa: ANN401 - a sheet's fields
    return edited(job, Changes(sheets={sheet: replace(sheet_of(job, sheet), **facts)}), words=words)
