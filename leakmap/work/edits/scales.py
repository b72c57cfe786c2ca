"""Deeds that place a drawing in the site plane: its scale by known lengths, or its placement.

Joints go with the drawing: every place on a line keeps its place on the drawn line, so chainages are
carried piece by piece. What is known in metres by itself stays: overruns, heights, rises, diameters,
clearances. So does the grid where the drawing is the only one of the job; with several it is the grid of them all
and stays, which a scale deed says.

A scale by known lengths is the uniform scale with the least sum of squares of the differences
between placed and known lengths: s = Σ d·l / Σ d², with drawn lengths d and known lengths l. Paper
that was scanned or photographed gets a scale a and b each way once lengths lie across each other; for
the least sum of ((a² x² + b² y² − l²) / l)², which is four times the squares of the differences where
these are small, a² and b² are the solution of a linear system.
"""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, hypot, isclose
from typing import Final
from uuid import UUID, uuid4

import numpy as np

from leakmap.base.errors import EditRefused
from leakmap.base.measures import Units
from leakmap.geometry.path import Path, Point
from leakmap.geometry.placement import Placement
from leakmap.model.grid import Axes, Grid
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.sheet import (
    AGREE_SHARE,
    FULL_TURN_DEG,
    KnownLength,
    Sheet,
    disagreement,
    lie_across,
    placed_length_m,
    scale_is_checked,
    third_length_needed,
    two_ways_share,
)
from leakmap.work.carrying import Span, carried, piecewise, unchanged
from leakmap.work.edits.edit import Edit, deed, edited, refused, sheet_of

_SAME_SCALE: Final = 1e-6
_DECIMALS: Final = 9


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
def scale_each_way(job: Job, *, sheet: UUID, each_way: bool) -> Edit:
    """Let known lengths give a sheet's drawing one scale each way, or one scale; the scale follows them.

    Raises:
        EditRefused: The sheet has no drawing, or has that already.
    """
    old = sheet_of(job, sheet)
    if old.source is None:
        raise _true_already(old)
    ways = "one scale each way" if each_way else "one scale"
    if old.each_way == each_way:
        raise refused(f"Sheet {old.name} has {ways} already.", where=old.name)
    new = replace(old, each_way=each_way)
    return _placed(job, _fitted(new) if new.lengths else new, f"give {old.name} {ways}")


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


def fitted_scales(lengths: tuple[KnownLength, ...]) -> tuple[float, float] | None:
    """Metres per drawing unit along x and along y that fit known lengths best; None where they do not tell both.

    >>> across = KnownLength(start=(0, 0), end=(0, 1000), length_m=2.1)
    >>> [round(scale, 6) for scale in fitted_scales((KnownLength(start=(0, 0), end=(1000, 0), length_m=2.0), across))]
    [0.002, 0.0021]
    >>> fitted_scales((across,))
    """
    if not lie_across(lengths):
        return None
    drawn = np.array([(known.end[0] - known.start[0], known.end[1] - known.start[1]) for known in lengths])
    known_m = np.array([known.length_m for known in lengths])
    squares, _, rank, _ = np.linalg.lstsq(drawn**2 / known_m[:, None], known_m, rcond=None)
    if rank < 2 or squares.min() <= 0:  # both along one diagonal and its mirror image, or lengths that contradict
        return None
    x, y = np.sqrt(squares).tolist()
    return x, y


def _true_already(sheet: Sheet) -> EditRefused:
    return refused(f"Sheet {sheet.name} has no drawing, so its lengths are true; it needs no scale.", where=sheet.name)


def _fitted(sheet: Sheet) -> Sheet:
    one = fitted_scale(sheet.lengths)
    x, y = (fitted_scales(sheet.lengths) if sheet.each_way else None) or (one, one)
    return replace(sheet, placement=replace(sheet.placement, x_m_per_unit=x, y_m_per_unit=y))


def _placed(job: Job, new: Sheet, words: str) -> Edit:
    """The edit that puts a sheet with another placement into the job, with everything drawn on it, and its north."""
    old = job.sheets[new.id]
    if new.north_deg is not None and new.placement.turn_deg != old.placement.turn_deg:
        turned_deg = new.placement.turn_deg - old.placement.turn_deg
        new = replace(new, north_deg=(new.north_deg - turned_deg) % FULL_TURN_DEG % FULL_TURN_DEG)
    moved = {
        joint.id: _moved(joint, old.placement, new.placement) for joint in job.joints.values() if joint.sheet == new.id
    }
    spans = {key: _spans(job.joints[key], joint) for key, joint in moved.items()}
    result = carried(job, joints=moved, spans=spans, numbers=job.numbers, new_id=uuid4, say_lengths=False)
    changes = replace(result.changes, sheets={new.id: new})
    grid, stays = _grid(job, old, new)
    return edited(job, changes, words=words, said=(*_disagreements(job.units, new), *stays, *result.said), grid=grid)


def _grid(job: Job, old: Sheet, new: Sheet) -> tuple[Grid | None, tuple[str, ...]]:
    """The grid as it is to be, and what should be said where it stays although the drawing gets another scale."""
    if job.grid is None or old.source is None or old.placement == new.placement:
        return job.grid, ()
    if all(sheet.source is None for sheet in job.sheets.values() if sheet.id != new.id):
        return _moved_grid(job.grid, old.placement, new.placement), ()
    share = new.placement.x_m_per_unit / old.placement.x_m_per_unit
    if isclose(share, 1.0, rel_tol=_SAME_SCALE):
        return job.grid, ()
    return job.grid, (f"The grid stays, as other levels have it too; if it was set on {new.name}, set it again.",)


def _moved_grid(grid: Grid, old: Placement, new: Placement) -> Grid:
    """The grid whose axes lie where they lay on the drawing; those of a family stay parallel under any placement."""
    origin = _moved_point(grid.origin, old, new)

    def family(axes: Axes) -> Axes:
        (x, y), (dx, dy) = grid.origin, axes.along
        ahead = _moved_point((x + dx, y + dy), old, new)
        along_deg = degrees(atan2(ahead[1] - origin[1], ahead[0] - origin[0]))
        bare = Axes(towards_deg=round(along_deg - 90.0, _DECIMALS) % 360)
        each = []
        for axis in axes.each:
            at = _moved_point((x + axes.towards[0] * axis.at_m, y + axes.towards[1] * axis.at_m), old, new)
            off = at[0] - origin[0], at[1] - origin[1]
            at_m = off[0] * bare.towards[0] + off[1] * bare.towards[1]
            each.append(replace(axis, at_m=round(at_m, _DECIMALS)))
        return replace(bare, each=tuple(each))

    return Grid(origin=origin, letters=family(grid.letters), numbers=family(grid.numbers))


def _moved_point(point: Point, old: Placement, new: Placement) -> Point:
    return new.to_site(old.to_drawing(point))


def _moved(joint: Joint, old: Placement, new: Placement) -> Joint:
    def moved(point: Point) -> Point:
        return _moved_point(point, old, new)

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


def _disagreements(units: Units, sheet: Sheet) -> tuple[str, ...]:
    if sheet.source is None or scale_is_checked(sheet):
        return ()
    remedy = "measure it again" if sheet.each_way else "measure it again, or give each way its own scale"
    wrong = tuple(
        f"A known length of {units.said(known.length_m)} on {sheet.name} measures"
        f" {units.said(placed_length_m(sheet, known))}, {abs(disagreement(sheet, known)):.1%}"
        f" {'more' if disagreement(sheet, known) > 0 else 'less'}; {remedy}."
        for known in sheet.lengths
        if abs(disagreement(sheet, known)) > AGREE_SHARE
    )
    return (*wrong, *((two_ways_words(sheet),) if third_length_needed(sheet) else ()))


def two_ways_words(sheet: Sheet) -> str:
    """Why two known lengths are not enough for a sheet with two scales, and what to do."""
    narrower = sheet.placement.x_m_per_unit > sheet.placement.y_m_per_unit
    way = "narrower" if narrower else "wider"
    flat = sheet.source is not None and sheet.source.reading.corners is not None
    cause = "laying it flat did that" if flat else "the paper is warped"  # four corners tell no proportions
    return (
        f"By its two known lengths {sheet.name} is {two_ways_share(sheet):.1%} {way} than the paper"
        f" was; give a third length to tell whether {cause} or a length is wrong."
    )
