"""One thing as it is drawn on the plan, and boxes of the site round things."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import Final, TypeAlias

from leakmap.desk.things import Thing
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.primitives import Area, Coat, Disc, Hatch, Label, Line, Polygon, Primitive

Key: TypeAlias = tuple[str, Hashable]
"""Word for the sort of a thing, and its id."""


BY_HAND: Final = "by hand"
"""Sort of the end of a zone that a person set; no thing can be picked by it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One thing as drawn.

    Attributes:
        thing: What is picked by it; None for signs that cannot be picked.
        coats: Primitives with the coat they are painted in.
        box: Round all of it, metres.
        marker: Lines and polygons that the marker goes along when it is picked or pointed at.
        anchors: Points that its reference may stand beside, best first.
        words: Its reference.
        solid: Boxes that labels never cover: groups of strokes, rings, lozenges.
    """

    thing: Thing | None
    coats: tuple[tuple[Coat, tuple[Primitive, ...]], ...]
    box: Box
    marker: tuple[tuple[Point, ...], ...] = ()
    band: tuple[Polygon, ...] = ()
    anchors: tuple[Point, ...] = ()
    words: str = ""
    solid: tuple[Box, ...] = ()


def box_of(part: Primitive) -> Box:
    """Box round a primitive, without the width of its pen."""
    if isinstance(part, Disc):
        (x, y), r = part.centre, part.radius_m
        return x - r, y - r, x + r, y + r
    if isinstance(part, Label):
        return part.at[0], part.at[1], part.at[0] + part.width_m, part.at[1] + part.cap_height_m
    points: tuple[Point, ...]
    if isinstance(part, Line):
        points = part.points
    else:
        assert isinstance(part, Area | Hatch)
        points = tuple(point for polygon in part.polygons for point in polygon[0])
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def widened(box: Box | tuple[float, ...], by_m: float) -> Box:
    """A box with a margin round it."""
    return box[0] - by_m, box[1] - by_m, box[2] + by_m, box[3] + by_m


def box_round(boxes: Iterable[Box]) -> Box | None:
    """Box round boxes; None where there is none."""
    columns = list(zip(*boxes, strict=True))
    return (min(columns[0]), min(columns[1]), max(columns[2]), max(columns[3])) if columns else None


def both(one: Box, other: Box) -> Box:
    """Box round two boxes."""
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])


def reaches(box: Box, at: Point, reach_m: float) -> bool:
    """Whether a place lies in a box or within a reach of it."""
    return box[0] - reach_m <= at[0] <= box[2] + reach_m and box[1] - reach_m <= at[1] <= box[3] + reach_m


def off(at: Point, way: Point, by_m: float) -> Point:
    """A place moved along a unit vector."""
    return at[0] + way[0] * by_m, at[1] + way[1] * by_m


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes meet."""
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]
