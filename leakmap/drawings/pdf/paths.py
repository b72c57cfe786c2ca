"""Outlines of a page as polylines on paper.

What pdfium gives of a path is noted as it comes (``Outlines.take``); once all are noted they are moved onto
the paper, their curves become chords, and what lies outside their window is cut off, all at once.

A curve of four points is never farther from its chord than an eighth of the greatest second derivative
times the step squared (the error of linear interpolation), and its second derivative is never more than six
times the larger of ``|p0 - 2 p1 + p2|`` and ``|p1 - 2 p2 + p3|``.
"""

from __future__ import annotations

from array import array
from ctypes import c_float
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from pypdfium2 import raw  # type: ignore[import-untyped]

from leakmap.drawings.pdf.frame import Matrix
from leakmap.drawings.shown import stroke_boxes
from leakmap.geometry.path import Box
from leakmap.model.drawing import FloatArray, IntArray, Strokes

CHORD_MM: Final = 0.01
"""Greatest distance on paper between a chord and its curve: 1 mm on the concrete at 1:100 (ours)."""

FINENESS: Final = 50_000
"""On small pages chords are closer than that: within the page's longer side through this (1 mm on 50 m)."""

MOST_CHORDS: Final = 256
"""Chords of one curve, at most."""

MOST_POINTS: Final = 4_000_000
"""Points of the outlines of a page, at most (ours)."""

FARTHEST_MM: Final = 1e7
"""Coordinates beyond this are no places on a page."""

_EDGE_MM: Final = 1e-3
"""Lines on the very edge of a window are inside."""

_CORNER, _CONTROL, _CURVE_END = 0, 1, 2


class Window(NamedTuple):
    """What can be seen of a path.

    Attributes:
        box: On paper.
        outlines: Areas on paper that it is seen through besides.
    """

    box: Box
    outlines: tuple[shapely.Geometry, ...] = ()


class Outlines:
    """Paths as they come, noted to be drawn later."""

    def __init__(self) -> None:
        self._xy = array("d")
        self._kinds = bytearray()
        self._firsts = array("l")  # number of points before each polyline
        self._owners = array("l")  # path of each polyline
        self._matrices = array("d")  # six numbers of each path
        self._layers = array("l")
        self._windows: dict[Window, int] = {}
        self._window_of = array("l")
        self._x, self._y = c_float(), c_float()

    def __len__(self) -> int:
        """Number of points noted so far."""
        return len(self._kinds)

    def take(self, path: Any, matrix: Matrix, *, window: Window, layer: int) -> None:  # noqa: ANN401 - a pointer of pdfium
        """Note a path.

        Args:
            path: The object, as pdfium gives it.
            matrix: From its space to paper.
            window: What can be seen of it.
            layer: Its layer.
        """
        self._note_points(path, len(self._layers))
        self._matrices.extend(matrix)
        self._layers.append(layer)
        self._window_of.append(self._windows.setdefault(window, len(self._windows)))

    def _note_points(self, path: Any, owner: int) -> None:  # noqa: ANN401 - a pointer of pdfium
        x, y, xy, kinds = self._x, self._y, self._xy, self._kinds
        control, begin = 0, (0.0, 0.0)
        for index in range(raw.FPDFPath_CountSegments(path)):
            segment = raw.FPDFPath_GetPathSegment(path, index)
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            at = x.value, y.value
            kind = raw.FPDFPathSegment_GetType(segment)
            if kind == raw.FPDF_SEGMENT_MOVETO or not index:
                self._firsts.append(len(kinds))
                self._owners.append(owner)
                control, begin = 0, at
                kinds.append(_CORNER)
            elif kind == raw.FPDF_SEGMENT_BEZIERTO:
                control = (control + 1) % 3
                kinds.append(_CONTROL if control else _CURVE_END)
            else:
                kinds.append(_CORNER)
            xy.extend(at)
            if raw.FPDFPathSegment_GetClose(segment) and at != begin:
                xy.extend(begin)
                kinds.append(_CORNER)

    def strokes(self, size_mm: tuple[float, float]) -> tuple[Strokes, int]:
        """All that was noted as polylines in millimetres on paper, and how many were no places.

        Args:
            size_mm: Size of the page.
        """
        if not self._owners:
            return Strokes.none(), 0
        owners = np.asarray(self._owners, dtype=np.int64)
        firsts = np.append(np.asarray(self._firsts, dtype=np.int64), len(self._kinds))
        xy = self._on_paper(np.repeat(owners, np.diff(firsts)))
        kinds = np.frombuffer(self._kinds, np.uint8)
        xy, counts = _flattened(xy, kinds, firsts, min(CHORD_MM, max(size_mm) / FINENESS))
        usable = _usable(xy, counts)
        xy, counts, owners = xy[np.repeat(usable, counts)], counts[usable], owners[usable]
        layer = np.asarray(self._layers, dtype=np.int32)[owners]
        strokes = Strokes(xy, _starts(counts), layer)
        window_of = np.asarray(self._window_of, dtype=np.int64)[owners]
        return _seen(strokes, list(self._windows), window_of), int(np.count_nonzero(~usable))

    def _on_paper(self, owner: npt.NDArray[np.int64]) -> FloatArray:
        """Every point moved by the matrix of its path."""
        points = np.frombuffer(self._xy, np.float64).reshape(-1, 2)
        a, b, c, d, e, f = np.frombuffer(self._matrices, np.float64).reshape(-1, 6)[owner].T
        x, y = points.T
        with np.errstate(all="ignore"):  # what is no number is found and left out later
            return np.column_stack((a * x + c * y + e, b * x + d * y + f))


def _flattened(
    xy: FloatArray, kinds: npt.NDArray[np.uint8], firsts: npt.NDArray[np.int64], tolerance: float
) -> tuple[FloatArray, IntArray]:
    """Points with chords in the place of curves, and how many each polyline has."""
    ends = np.flatnonzero(kinds == _CURVE_END)
    given = (kinds == _CORNER).astype(np.int64)
    p0, p1, p2, p3 = (xy[np.maximum(ends - back, 0)] for back in (3, 2, 1, 0))
    given[ends] = steps = _chords(p0, p1, p2, p3, tolerance)
    before = np.concatenate(([0], np.cumsum(given)))
    flat = np.repeat(xy, given, axis=0)
    curve = np.repeat(np.arange(len(ends)), steps)
    place = np.arange(len(curve)) - np.repeat(np.cumsum(steps) - steps, steps) + 1
    t = (place / steps[curve])[:, None]
    u = 1 - t
    with np.errstate(all="ignore"):
        points = u**3 * p0[curve] + 3 * u * u * t * p1[curve] + 3 * u * t * t * p2[curve] + t**3 * p3[curve]
    points[place == steps[curve]] = p3  # the last point, bit for bit
    flat[np.repeat(before[ends], steps) + place - 1] = points
    return flat, np.diff(before[firsts]).astype(np.int32)


def _chords(p0: FloatArray, p1: FloatArray, p2: FloatArray, p3: FloatArray, tolerance: float) -> npt.NDArray[np.int64]:
    """How many chords each curve needs."""
    with np.errstate(all="ignore"):
        bend = np.maximum(np.hypot(*(p0 - 2 * p1 + p2).T), np.hypot(*(p1 - 2 * p2 + p3).T))
        steps = np.ceil(np.sqrt(0.75 * bend / tolerance))
    chords: npt.NDArray[np.int64] = np.clip(np.nan_to_num(steps, nan=1.0), 1, MOST_CHORDS).astype(np.int64)
    return chords


def _usable(xy: FloatArray, counts: IntArray) -> npt.NDArray[np.bool_]:
    """Which polylines have two points or more, all of them places; not-a-number fails the comparison."""
    bad = ~(np.abs(xy) < FARTHEST_MM).all(axis=1)
    owners = np.repeat(np.arange(len(counts)), counts)
    usable: npt.NDArray[np.bool_] = (np.bincount(owners[bad], minlength=len(counts)) == 0) & (counts > 1)
    return usable


def _seen(strokes: Strokes, windows: list[Window], window_of: npt.NDArray[np.int64]) -> Strokes:
    """What of each polyline is seen in its window; points without length are left out."""
    boxes = stroke_boxes(strokes)
    seen = np.array([window.box for window in windows]) + np.array((-_EDGE_MM, -_EDGE_MM, _EDGE_MM, _EDGE_MM))
    low, high = seen[window_of, :2], seen[window_of, 2:]
    bent = np.array([bool(window.outlines) for window in windows])[window_of]
    outside = (boxes[:, 2:] < low).any(axis=1) | (boxes[:, :2] > high).any(axis=1)
    kept = ~outside & (boxes[:, :2] != boxes[:, 2:]).any(axis=1)
    whole = kept & ~bent & (boxes[:, :2] >= low).all(axis=1) & (boxes[:, 2:] <= high).all(axis=1)
    cut = kept & ~whole
    if not cut.any():
        return _picked(strokes, kept)
    return _together(_picked(strokes, whole), _cut(_picked(strokes, cut), windows, seen, window_of[cut]))


def _picked(strokes: Strokes, which: npt.NDArray[np.bool_]) -> Strokes:
    counts = np.diff(strokes.starts)
    return Strokes(strokes.xy[np.repeat(which, counts)], _starts(counts[which]), strokes.layer[which])


def _cut(strokes: Strokes, windows: list[Window], seen: FloatArray, window_of: npt.NDArray[np.int64]) -> Strokes:
    """The parts of polylines that are seen, each in its own window."""
    counts = np.diff(strokes.starts)
    lines = shapely.linestrings(strokes.xy, indices=np.repeat(np.arange(len(counts)), counts))
    order = np.argsort(window_of, kind="stable")
    for group in np.split(order, np.flatnonzero(np.diff(window_of[order])) + 1):
        index = window_of[group[0]]
        lines[group] = _seen_through(windows[index], shapely.clip_by_rect(lines[group], *seen[index].tolist()))
    pieces, owner = shapely.get_parts(lines, return_index=True)
    kept = ~shapely.is_empty(pieces) & (shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING)
    xy, piece = shapely.get_coordinates(pieces[kept], return_index=True)
    sizes = np.bincount(piece, minlength=int(kept.sum()))
    return Strokes(xy, _starts(sizes), strokes.layer[owner[kept]])


def _seen_through(window: Window, lines: npt.NDArray[np.object_]) -> npt.NDArray[np.object_]:
    """What of lines lies inside the outlines of a window."""
    for outline in window.outlines:
        lines = np.where(shapely.covers(outline, lines), lines, shapely.intersection(lines, outline))
    return lines


def _together(some: Strokes, others: Strokes) -> Strokes:
    sizes = np.concatenate((np.diff(some.starts), np.diff(others.starts)))
    xy, layer = np.concatenate((some.xy, others.xy)), np.concatenate((some.layer, others.layer))
    return Strokes(xy, _starts(sizes), layer.astype(np.int32))


def _starts(counts: npt.NDArray[Any]) -> IntArray:
    return np.concatenate(([0], np.cumsum(counts))).astype(np.int32)
