"""Deeds that place a drawing in the site plane: its scale by known lengths, or its placement.

Joints go with the drawing: every place on a line keeps its place on the drawn line, so chainages are
carried piece by piece. What is known in metres by itself stays: overruns, heights, rises, diameters,
clearances.

A scale by known lengths is the uniform scale with the least sum of squares of the differences
between placed and known lengths: s = Σ d·l / Σ d², with drawn lengths d and known lengths l.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot
from uuid import UUID, uuid4

from leakmap.base.errors import EditRefused
from leakmap.geometry.path import Path
from leakmap.geometry.placement import Placement
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.printed import metres
from leakmap.model.sheet import (
    AGREE_SHARE,
    KnownLength,
    Sheet,
    disagreement,
    placed_length_m,
    scale_is_checked,
)
from leakmap.work.carrying import Span, carried, piecewise, unchanged
from leakmap.work.edits.edit import Edit, deed, edited, refused, sheet_of


@deed
def add_known_length(job: Job, *, sheet: UUID, known: KnownLength) -> Edit:
    """Set or check a sheet's scale by a length known on site.

    The origin of the placement stays where it is. Lengths that disagree with the placed drawing by
    more than 0.5 % are said.

    Raises:
        EditRefused: The sheet has no drawing.
    """
    old = sheet_of(job, sheet)
    if old.source is None:
        raise _true_already(old)
    return _placed(job, _fitted(replace(old, lengths=(*old.lengths, known))), f"set scale of {old.name}")


@deed
def remove_known_length(job: Job, *, sheet: UUID, known: KnownLength) -> Edit:
    """Take a known length back; the scale follows those that are left, and stays when none is.

    Raises:
        EditRefused: The sheet has no such length.
    """
    old = sheet_of(job, sheet)
    if known not in old.lengths:
        raise refused(f"Sheet {old.name} has no such known length.")
    left = replace(old, lengths=tuple(item for item in old.lengths if item != known))
    return _placed(job, _fitted(left) if left.lengths else left, f"remove known length of {old.name}")


@deed
def place_sheet(job: Job, *, sheet: UUID, placement: Placement) -> Edit:
    """Place a sheet's drawing in the site plane directly; what is drawn on it goes along.

    Raises:
        EditRefused: The sheet has no drawing and the placement would scale it.
    """
    old = sheet_of(job, sheet)
    scales = (placement.x_m_per_unit, placement.y_m_per_unit)
    if old.source is None and scales != (old.placement.x_m_per_unit, old.placement.y_m_per_unit):
        raise _true_already(old)
    return _placed(job, replace(old, placement=placement), f"place {old.name}")


@deed
def set_scale(job: Job, *, sheet: UUID, x_m_per_unit: float, y_m_per_unit: float | None = None) -> Edit:
    """Set metres per drawing unit, one scale each way where a scan needs it; the origin stays.

    Raises:
        EditRefused: The sheet has no drawing, or a scale is not greater than zero.
    """
    old = sheet_of(job, sheet)
    if old.source is None:
        raise _true_already(old)
    y = x_m_per_unit if y_m_per_unit is None else y_m_per_unit
    placement = replace(old.placement, x_m_per_unit=x_m_per_unit, y_m_per_unit=y)
    return _placed(job, replace(old, placement=placement), f"set scale of {old.name}")


def fitted_scale(lengths: tuple[KnownLength, ...]) -> float:
    """Metres per drawing unit that fit known lengths best; there must be one at least.

    >>> fitted_scale((KnownLength(start=(0, 0), end=(2000, 0), length_m=2.0),))
    0.001
    """
    drawn = [hypot(known.end[0] - known.start[0], known.end[1] - known.start[1]) for known in lengths]
    squares = sum(length * length for length in drawn)
    return sum(length * known.length_m for length, known in zip(drawn, lengths, strict=True)) / squares


def residuals_mm(sheet: Sheet) -> tuple[float, ...]:
    """For each known length, by how many millimetres the placed drawing is longer (positive) or shorter."""
    return tuple((placed_length_m(sheet, known) - known.length_m) * 1000 for known in sheet.lengths)


def _true_already(sheet: Sheet) -> EditRefused:
    return refused(f"Sheet {sheet.name} has no drawing, so its metres are true; it needs no scale.", where=sheet.name)


def _fitted(sheet: Sheet) -> Sheet:
    scale = fitted_scale(sheet.lengths)
    return replace(sheet, placement=replace(sheet.placement, x_m_per_unit=scale, y_m_per_unit=scale))


def _placed(job: Job, new: Sheet, words: str) -> Edit:
    """The edit that puts a sheet with another placement into the job, with everything drawn on it."""
    old = job.sheets[new.id]
    moved = {
        joint.id: _moved(joint, old.placement, new.placement) for joint in job.joints.values() if joint.sheet == new.id
    }
    spans = {key: _spans(job.joints[key], joint) for key, joint in moved.items()}
    result = carried(job, joints=moved, spans=spans, numbers=job.numbers, new_id=uuid4, say_lengths=False)
    changes = replace(result.changes, sheets={new.id: new})
    return edited(job, changes, words=words, said=(*_disagreements(new), *result.said))


def _moved(joint: Joint, old: Placement, new: Placement) -> Joint:
    def moved(point: tuple[float, float]) -> tuple[float, float]:
        return new.to_site(old.to_drawing(point))

    if old == new:
        return joint
    if joint.path is None:
        assert joint.point is not None
        return replace(joint, point=moved(joint.point))
    path = Path(tuple(map(moved, joint.path.points)), joint.path.closed)
    start = joint.start_m * path.length_m / joint.path.length_m
    return replace(joint, path=path, start_m=start, blind=())


def _spans(old: Joint, new: Joint) -> tuple[Span, ...]:
    return unchanged(old) if old.path is None or new.path is None else piecewise(old.path, new.path, new.id)


def _disagreements(sheet: Sheet) -> tuple[str, ...]:
    if sheet.source is None or scale_is_checked(sheet):
        return ()
    return tuple(
        f"A known length of {metres(known.length_m)} on {sheet.name} measures"
        f" {metres(placed_length_m(sheet, known))}, {abs(disagreement(sheet, known)):.1%}"
        f" {'more' if disagreement(sheet, known) > 0 else 'less'}; measure it again, or give each way its own scale."
        for known in sheet.lengths
        if abs(disagreement(sheet, known)) > AGREE_SHARE
    )
