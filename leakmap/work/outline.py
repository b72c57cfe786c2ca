"""The closed outline that lines of a drawing make round a place: that of a wall, a column, a room.

Lines need not be one polyline: where they cross they are cut, an end that lies on no other line is led to the nearest
one within the drawing tolerance δ, and of the faces between them all the one is taken that holds the place. A line that
ends free inside, such as a door leaf, makes no face; a face inside it, such as a column, is no part of the outline.
Looked at are the lines within a radius that grows until the outline lies inside it, so that no line is missed that
would part it.

Places are (x, y) in metres of the site plane.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from leakmap.base.errors import UnusableDrawing
from leakmap.geometry.cells import FloatArray
from leakmap.geometry.path import Path, Point, path_of
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.work.snap_lines import Lines, lines_near

RADII_M: Final = (2.0, 6.0, 18.0, 54.0)
"""How far round the place lines are looked at, one after the other (ours)."""

Pieces = npt.NDArray[np.object_]
"""Lines of the geometry library."""

MOST_LINES: Final = 3_000
"""More lines than this are not looked through (ours): as many take up to half a second, aside."""


def outline_round(lines: Lines, at: Point, *, most_lines: int = MOST_LINES) -> Path:
    """The outline that lines make round a place, as a closed path without its straight-on places.

    Args:
        lines: Lines of the drawing that are shown.
        at: The place.
        most_lines: How many lines are looked through.

    Raises:
        UnusableDrawing: No lines close round it, or there are too many lines.
    """
    looked, face = 0, None
    for radius in RADII_M:
        near = lines_near(lines, at, radius).number
        if len(near) > most_lines:
            text = f"{len(near):,} lines lie within {radius:g} m of this place, too many to look through"
            raise UnusableDrawing(f"{text}; hide layers such as hatching first.")
        if len(near) > looked:  # else they are the same ones, and what they make is known
            looked, face = len(near), _face_round(lines.start[near], lines.end[near], at)
        if face is not None and shapely.hausdorff_distance(shapely.Point(at), face.exterior) <= radius:
            ring = shapely.simplify(face.exterior, MICRON_M)
            return path_of([(x, y) for x, y in ring.coords], closed=True)
    raise UnusableDrawing(
        "No lines close round this place: an outline must have no gap of over 10 mm; draw it with J along its lines."
    )


def _face_round(start: FloatArray, end: FloatArray, at: Point) -> shapely.Polygon | None:
    """The face between lines that holds a place; None: none does."""
    pieces = shapely.linestrings(np.stack((start, end), axis=1))
    cut = shapely.union_all((*pieces, *_leads(pieces, start, end)), grid_size=MICRON_M)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(cut)))
    held = faces[shapely.contains_xy(faces, *at)]
    return held[0] if len(held) else None


def _leads(pieces: Pieces, start: FloatArray, end: FloatArray) -> Pieces:
    """A short line from each end that lies on no other line to the nearest one within δ."""
    ends = shapely.points(np.concatenate((start, end)))
    tip, piece = shapely.STRtree(pieces).query(ends, predicate="dwithin", distance=DRAWING_TOLERANCE_M + MICRON_M)
    others = piece != tip % len(pieces)
    tip, piece = tip[others], piece[others]
    apart = shapely.distance(ends[tip], pieces[piece])
    order = np.lexsort((apart, tip))
    first = order[np.unique(tip[order], return_index=True)[1]]  # the nearest of each end
    short = first[apart[first] > MICRON_M]
    return np.asarray(shapely.shortest_line(ends[tip[short]], pieces[piece[short]]))
