"""Upright boxes of the plane: round points, beside each other, one in another."""

from __future__ import annotations

from collections.abc import Iterable

from leakmap.geometry.path import Box, Point


def box_round(points: Iterable[Point]) -> Box | None:
    """Smallest box round points; None when there are none."""
    found = list(points)
    if not found:
        return None
    xs, ys = zip(*found, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def corners_of(box: Box) -> tuple[Point, Point]:
    """Lower left and upper right corner of a box."""
    return (box[0], box[1]), (box[2], box[3])


def size_of(box: Box) -> tuple[float, float]:
    """Width and height of a box."""
    return box[2] - box[0], box[3] - box[1]


def widened(box: Box, by: float, by_high: float | None = None) -> Box:
    """A box with a margin at its sides, and the same or another one above and below."""
    high = by if by_high is None else by_high
    return box[0] - by, box[1] - high, box[2] + by, box[3] + high


def holds(box: Box, other: Box) -> bool:
    """Whether a box holds another whole, to the micron."""
    return (
        box[0] <= other[0] + 1e-6
        and box[1] <= other[1] + 1e-6
        and box[2] >= other[2] - 1e-6
        and box[3] >= other[3] - 1e-6
    )


def meet(box: Box, other: Box) -> bool:
    """Whether two boxes have a place in common."""
    return box[0] <= other[2] and other[0] <= box[2] and box[1] <= other[3] and other[1] <= box[3]
