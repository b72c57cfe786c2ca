"""Everything that a page draws, thing by thing, also what lies inside of forms that it places.

A *thing* is what pdfium calls a page object: a path, a text, an image, a shading, or a form that holds
further things and is placed with a matrix. Each comes with the matrix of the space it lies in, with its
window (the box that the clip paths round it leave to be seen), and with its optional content.
"""

from __future__ import annotations

from collections.abc import Iterator
from ctypes import c_float, c_uint, c_void_p, cast
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Final

import shapely
from pypdfium2 import raw  # type: ignore[import-untyped]

from leakmap.drawings.pdf.frame import Frame, Matrix, common_box, joined, mapped_box, moved
from leakmap.drawings.pdf.layers import content_of
from leakmap.geometry.path import Box, Point

MOST_THINGS: Final = 1_000_000
"""Things of a page that are read, at most (ours); a plan of a whole floor has some tens of thousands."""

MOST_IMAGE_PIXELS: Final = 250_000_000
"""Pixels of one image on a page, at most (ours): A0 at 400 dots per inch."""

DEEPEST: Final = 30
"""Forms inside of forms, at most."""

_MOST_CLIP_POINTS: Final = 500
_RECTANGLE: Final = 5
_GRID_MM: Final = 1e-6
_FARTHEST: Final = 1e9
_Rings = tuple[tuple[Point, ...], ...]

NOTHING: Final[Box] = (0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing that a page draws.

    Attributes:
        object: The object, as pdfium gives it.
        kind: ``raw.FPDF_PAGEOBJ_...``.
        matrix: From the space that it lies in to millimetres on paper.
        window: What can be seen of it, millimetres on paper; ``NOTHING`` when nothing can.
        content: Name of its optional content; empty where that has no name, None where it belongs to none.
        outlines: Areas that it is seen through and that are no upright rectangles; the window is as narrow as
            the box round them.
    """

    object: Any
    kind: int
    matrix: Matrix
    window: Box
    content: str | None
    outlines: tuple[shapely.Geometry, ...] = ()

    @property
    def address(self) -> int:
        """What tells it from all others of its page."""
        return address_of(self.object)


def address_of(pointer: Any) -> int:  # noqa: ANN401 - a pointer of pdfium
    """The number of a pointer."""
    return cast(pointer, c_void_p).value or 0


def matrix_of(pointer: Any) -> Matrix:  # noqa: ANN401 - a pointer of pdfium
    """The matrix of a thing: of a path or image into the space it lies in, of a form for what it holds."""
    found = raw.FS_MATRIX()
    raw.FPDFPageObj_GetMatrix(pointer, found)
    return found.a, found.b, found.c, found.d, found.e, found.f


def image_px(thing: Thing) -> tuple[int, int]:
    """Width and height of an image, as it says itself."""
    width, height = c_uint(), c_uint()
    raw.FPDFImageObj_GetImagePixelSize(thing.object, width, height)
    return width.value, height.value


def left_out_as_giant(thing: Thing) -> bool:
    """Whether an image has more pixels than may be unpacked; if so, it is not rendered any more."""
    width, height = image_px(thing)
    giant = width * height > MOST_IMAGE_PIXELS
    if giant:
        raw.FPDFPageObj_SetIsActive(thing.object, False)
    return giant


def things_of(page: Any, frame: Frame) -> Iterator[Thing]:  # noqa: ANN401 - pypdfium2 has no types
    """Everything that a page draws, forms themselves left out; in the order in which it is drawn."""
    outer = Thing(page.raw, raw.FPDF_PAGEOBJ_UNKNOWN, frame.matrix, (0.0, 0.0, *frame.size_mm), None)
    count = raw.FPDFPage_CountObjects(page.raw)
    return _within(outer, count, raw.FPDFPage_GetObject, depth=0)


def _within(holder: Thing, count: int, get: Any, *, depth: int) -> Iterator[Thing]:  # noqa: ANN401 - a function of pdfium
    for index in range(count):
        pointer = get(holder.object, index)
        if not pointer:
            continue
        thing = _thing(pointer, holder)
        if thing.kind != raw.FPDF_PAGEOBJ_FORM:
            yield thing
        elif depth < DEEPEST:
            inner = replace(thing, matrix=joined(matrix_of(pointer), holder.matrix))
            yield from _within(inner, raw.FPDFFormObj_CountObjects(pointer), raw.FPDFFormObj_GetObject, depth=depth + 1)


def _thing(pointer: Any, holder: Thing) -> Thing:  # noqa: ANN401 - a pointer of pdfium
    content = content_of(pointer)
    content = holder.content if content is None else content
    kind = raw.FPDFPageObj_GetType(pointer)
    thing = Thing(pointer, kind, holder.matrix, holder.window, content, holder.outlines)
    path = raw.FPDFPageObj_GetClipPath(pointer)
    for index in range(raw.FPDFClipPath_CountPaths(path) if path else 0):
        thing = _clipped(thing, _rings(path, index))
    return thing


def _clipped(thing: Thing, rings: _Rings) -> Thing:
    """A thing seen through a clip path in the space that it lies in."""
    points = [point for ring in rings for point in ring]
    if not points:
        return thing
    xs, ys = zip(*points, strict=True)
    window = common_box(thing.window, mapped_box((min(xs), min(ys), max(xs), max(ys)), thing.matrix))
    if window is None:
        return replace(thing, window=NOTHING)
    plain = len(points) <= _RECTANGLE and len(set(points)) == 4 and len(set(xs)) == 2 == len(set(ys))
    plain = plain and _upright(thing.matrix)
    return replace(
        thing, window=window, outlines=thing.outlines if plain else (*thing.outlines, _outline(rings, thing.matrix))
    )


@lru_cache(maxsize=256)
def _outline(rings: _Rings, matrix: Matrix) -> shapely.Geometry:
    """The area inside of any of the rings, on paper."""
    areas = [
        shapely.make_valid(shapely.Polygon([moved(point, matrix) for point in ring])) for ring in rings if len(ring) > 2
    ]
    return shapely.union_all(areas, grid_size=_GRID_MM)


def _rings(path: Any, index: int) -> _Rings:  # noqa: ANN401 - a pointer of pdfium
    """Corners of a clip path, ring by ring; curves through their control points."""
    x, y = c_float(), c_float()
    rings: list[list[Point]] = [[]]
    for place in range(min(raw.FPDFClipPath_CountPathSegments(path, index), _MOST_CLIP_POINTS)):
        segment = raw.FPDFClipPath_GetPathSegment(path, index, place)
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_MOVETO and rings[-1]:
            rings.append([])
        if abs(x.value) < _FARTHEST and abs(y.value) < _FARTHEST:
            rings[-1].append((x.value, y.value))
    return tuple(map(tuple, rings))


def _upright(matrix: Matrix) -> bool:
    """Whether upright rectangles stay upright."""
    a, b, c, d, _, _ = matrix
    return (b == 0 == c) or (a == 0 == d)
