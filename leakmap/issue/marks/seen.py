"""What labels point at where a plan shows a part of a sheet only."""

from __future__ import annotations

from collections.abc import Iterable

import shapely

from leakmap.geometry.path import Box, Point


def seen_anchors(
    within: Box | None, anchors: Iterable[Point], along: Iterable[Iterable[Point]] = ()
) -> tuple[Point, ...]:
    """Those of a thing's anchors that are seen, else the middle of the longest part of its lines that is seen.

    >>> seen_anchors((0, 0, 4, 4), [(1, 1), (9, 9)]), seen_anchors((0, 0, 4, 4), [(9, 1)], [[(2, 1), (9, 1)]])
    (((1, 1),), ((3.0, 1.0),))

    Args:
        within: What is shown, metres of the site plane; None: everything.
        anchors: Best first.
        along: Lines of the thing; none for what is a point.
    """
    every = tuple(anchors)
    if within is None:
        return every
    x0, y0, x1, y1 = within
    kept = tuple((x, y) for x, y in every if x0 <= x <= x1 and y0 <= y <= y1)
    lines = [shapely.LineString(list(points)) for points in along] if not kept else []
    if not lines:
        return kept
    parts = shapely.get_parts(shapely.intersection(shapely.multilinestrings(lines), shapely.box(*within)))
    longest = max(parts.tolist(), key=lambda part: part.length, default=None)
    if longest is None or longest.is_empty:
        return ()
    middle = shapely.centroid(longest) if longest.length == 0 else longest.interpolate(0.5, normalized=True)
    return ((float(middle.x), float(middle.y)),)
