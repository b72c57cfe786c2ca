"""Points of a level that a crew finds without an instrument, and lines that a tape should not cross.

Vertical joints, crossings of the grid, places where joints meet, bend or end, and corners of the drawing where straight
lines end. Which of them are surer than others, and how long a line must be to be taken for a wall, is ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import cos, hypot, radians
from typing import Any, Final
from uuid import UUID

import numpy as np
import shapely

from leakmap.geometry.path import Point
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M
from leakmap.issue.marks.plan import meeting_points
from leakmap.issue.schedule_pdf.backdrop import placed, shown_layers
from leakmap.model.drawing import Drawing, FloatArray
from leakmap.model.grid import Grid, crossings, from_origin_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint, height_of
from leakmap.model.sheet import Sheet
from leakmap.model.words import Kind
from leakmap.repair.setting_out import Known

LEAST_WALL_M: Final = 0.4
"""A shorter line of the drawing is no wall and makes no corner."""

_SAME_M: Final = 0.030
_SHARP_DEG: Final = 30.0
_ON_AXIS_M: Final = 0.020
_MOST_AT_CORNER: Final = 4
_MEETING_MM, _CORNER_MM, _CROSSING_MM, _END_MM = 2.0, 3.0, 6.0, 8.0


def known_points(job: Job, sheet: Sheet, walls: FloatArray) -> tuple[Known, ...]:
    """Points of a level, surest first; of those within 30 mm of each other the surest alone.

    Args:
        job: The job.
        sheet: The level.
        walls: Straight lines of its drawing, ``(n, 2, 2)`` metres of the site plane.
    """
    joints = [joint for joint in job.joints.values() if joint.sheet == sheet.id and joint.path is not None]
    found = [
        *_verticals(job, sheet.id),
        *_meetings(joints, sheet),
        *_bends(joints),
        *_corners(walls),
        *_crossings(job.grid),
        *_ends(joints),
    ]
    return tuple(_apart(found))


def _verticals(job: Job, sheet: UUID) -> Iterator[Known]:
    for at, ups, downs in meeting_points(job, sheet):
        refs = ", ".join(joint.ref for joint in (*ups, *downs))
        yield Known(name=refs.split(", ", maxsplit=1)[0], what=f"vertical joint {refs}", at=at)


def _meetings(joints: list[Joint], sheet: Sheet) -> Iterator[Known]:
    """Where joints of one height meet, ends on another joint among them."""
    lines = np.array([shapely.LineString(joint.path.corners) for joint in joints if joint.path], dtype=object)
    one, other = (
        shapely.STRtree(lines).query(lines, predicate="dwithin", distance=DRAWING_TOLERANCE_M)
        if len(lines)
        else ((), ())
    )
    for i, j in zip(one, other, strict=True):
        heights = [height_of(joints[index], sheet.storey_height_m) for index in (i, j)]
        if i >= j or heights[0] != heights[1]:
            continue
        for at in _places_in_common(lines[i], lines[j]):
            yield Known(name="", what=f"{joints[i].ref} meets {joints[j].ref}", at=at, worse_mm=_MEETING_MM)


def _places_in_common(one: shapely.LineString, other: shapely.LineString) -> Iterator[Point]:
    """Where two lines cross or touch, both ends of what they share, or where they nearly meet."""
    shared = shapely.intersection(one, other)
    if shared.is_empty:
        shared = shapely.Point(shapely.shortest_line(one, other).coords[0])
    for part in shapely.get_parts(shared).tolist():
        for x, y in (part.coords[0], part.coords[-1]) if part.length else part.coords:
            yield float(x), float(y)


def _bends(joints: Iterable[Joint]) -> Iterator[Known]:
    for joint in joints:
        assert joint.path is not None
        corners = joint.path.corners
        ring = (corners[-2], *corners) if joint.closed else corners
        for (x0, y0), (x1, y1), (x2, y2) in zip(ring, ring[1:], ring[2:], strict=False):
            turn = (x1 - x0) * (x2 - x1) + (y1 - y0) * (y2 - y1)
            if turn < cos(radians(_SHARP_DEG)) * hypot(x1 - x0, y1 - y0) * hypot(x2 - x1, y2 - y1):
                yield Known(name="", what=f"bend of {joint.ref}", at=(x1, y1), worse_mm=_MEETING_MM)


def _ends(joints: Iterable[Joint]) -> Iterator[Known]:
    """Ends of joints; those of cracks run out, and no two people see them at one place."""
    for joint in joints:
        assert joint.path is not None
        if joint.kind is not Kind.CRACK and not joint.closed:
            for side, at in (("start", joint.path.corners[0]), ("end", joint.path.corners[-1])):
                yield Known(name="", what=f"{side} of {joint.ref}", at=at, worse_mm=_END_MM)


def _crossings(grid: Grid | None) -> Iterator[Known]:
    for crossing in crossings(grid) if grid is not None else ():
        name = f"{crossing.letter}/{crossing.number}"
        yield Known(name=name, what=f"grid {name}", at=crossing.at, worse_mm=_CROSSING_MM)


def _corners(walls: FloatArray) -> list[Known]:
    """Places where a few straight lines end, two of them at a sharp turn."""
    if not len(walls):
        return []
    ends = walls.reshape(-1, 2)
    way = walls[:, 1] - walls[:, 0]
    turn = np.repeat(np.arctan2(way[:, 1], way[:, 0]) % np.pi, 2)
    _, place, counts = np.unique(
        np.rint(ends / 0.005).astype(np.int64), axis=0, return_inverse=True, return_counts=True
    )
    order = np.argsort(place.ravel(), kind="stable")
    starts = np.concatenate(([0], np.cumsum(counts)))
    few = np.flatnonzero((counts >= 2) & (counts <= _MOST_AT_CORNER))
    found = []
    for group in few.tolist():
        members = order[starts[group] : starts[group + 1]]
        angles = turn[members]
        apart = np.abs(angles[:, None] - angles[None, :])
        if (np.minimum(apart, np.pi - apart) >= radians(_SHARP_DEG)).any():
            x, y = ends[members[0]].tolist()
            found.append(Known(name="", what="corner on the drawing", at=(x, y), worse_mm=_CORNER_MM))
    return found


def _apart(found: Iterable[Known]) -> Iterator[Known]:
    """Those that no surer one lies near."""
    taken: dict[tuple[int, int], list[Point]] = {}
    for known in found:
        column, row = int(known.at[0] // _SAME_M), int(known.at[1] // _SAME_M)
        cells = [(column + dx, row + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
        near = (point for cell in cells for point in taken.get(cell, ()))
        if all(hypot(x - known.at[0], y - known.at[1]) > _SAME_M for x, y in near):
            taken.setdefault((column, row), []).append(known.at)
            yield known


def walls_of(sheet: Sheet, drawing: Drawing | None, grid: Grid | None) -> FloatArray:
    """Straight lines of a drawing that may be walls, ``(n, 2, 2)`` metres of the site plane; none that lie on an axis."""
    if drawing is None or len(drawing.strokes.xy) < 2:
        return np.empty((0, 2, 2))
    strokes = drawing.strokes
    xy = placed(sheet.placement, drawing, strokes.xy)
    lines = np.stack((xy[:-1], xy[1:]), axis=1)
    shown = np.isin(strokes.layer, list(shown_layers(sheet, drawing)))
    owner = np.repeat(np.arange(len(strokes)), np.diff(strokes.starts))
    long = np.hypot(*(lines[:, 1] - lines[:, 0]).T) >= LEAST_WALL_M
    kept: FloatArray = lines[(owner[:-1] == owner[1:]) & shown[owner[:-1]] & long]
    return kept[~_on_axes(kept, grid)] if grid is not None else kept


def _on_axes(lines: FloatArray, grid: Grid) -> Any:  # noqa: ANN401 - truth array
    on = np.zeros(len(lines), dtype=bool)
    for axes in (grid.letters, grid.numbers):
        x, y = axes.towards
        zero = from_origin_m(grid, axes, (0.0, 0.0))
        at = lines[:, :, 0] * x + lines[:, :, 1] * y + zero
        for axis in axes.each:
            on |= (np.abs(at - axis.at_m) <= _ON_AXIS_M).all(axis=1)
    return on
