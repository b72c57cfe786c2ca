"""Stretches of one joint in metres, as pieces come from the cover, rounded nowhere.

A span is a pair (from, to) in metres with from <= to; a stretch of a closed joint that passes the
start is two spans. The exact arithmetic of the cover itself is in ``leakmap.repair.spans``.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.joint import Joint

Span = tuple[float, float]


def spans_of(joint: Joint, from_m: float, to_m: float) -> tuple[Span, ...]:
    """Spans of a stretch, clipped to the joint and in rising order; two where it passes the start of a closed joint."""
    if joint.closed and from_m > to_m:
        return (0.0, min(to_m, joint.length_m)), (from_m, joint.length_m)
    low, high = sorted((from_m, to_m))
    return ((min(max(low, 0.0), joint.length_m), min(high, joint.length_m)),)


def round_of(joint: Joint, from_m: float, to_m: float) -> tuple[Span, ...]:
    """Spans of a stretch that may lie past an end: clipped there, or going on round a closed joint.

    Args:
        joint: The joint.
        from_m: May be negative.
        to_m: At least ``from_m``, may be past the joint's length.
    """
    length = joint.length_m
    if not joint.closed:
        return ((max(from_m, 0.0), min(to_m, length)),)
    if to_m - from_m >= length:
        return ((0.0, length),)
    start = from_m % length
    end = start + to_m - from_m
    return spans_of(joint, start, end - length if end > length else end)


def merged(spans: Iterable[Span], gap_m: float = MICRON_M) -> tuple[Span, ...]:
    """Union of spans, sorted and disjoint; spans at most ``gap_m`` apart become one.

    >>> merged([(3.5, 8.0), (0.0, 4.0)])
    ((0.0, 8.0),)
    """
    result: list[Span] = []
    for start, end in sorted(spans):
        if result and start <= result[-1][1] + gap_m:
            result[-1] = (result[-1][0], max(result[-1][1], end))
        else:
            result.append((start, end))
    return tuple(result)


def length_of(spans: Iterable[Span]) -> float:
    """Sum of the lengths of disjoint spans."""
    return sum(end - start for start, end in spans)


def shared_m(a: Sequence[Span], b: Sequence[Span]) -> float:
    """Length that two lists of spans, each sorted and disjoint, have in common."""
    total, i, j = 0.0, 0, 0
    while i < len(a) and j < len(b):
        total += max(0.0, min(a[i][1], b[j][1]) - max(a[i][0], b[j][0]))
        if a[i][1] < b[j][1]:
            i += 1
        else:
            j += 1
    return total


@dataclass(frozen=True, slots=True)
class Spans:
    """Spans of one joint for questions: sorted and disjoint."""

    spans: tuple[Span, ...]

    def at(self, at_m: float, slack_m: float = MICRON_M) -> bool:
        """Whether a chainage lies on them, ends included."""
        index = bisect_right(self.spans, (at_m + slack_m, float("inf"))) - 1
        return index >= 0 and at_m <= self.spans[index][1] + slack_m

    def breaks(self, from_m: float, to_m: float) -> list[float]:
        """Their ends strictly between two chainages."""
        first = max(bisect_right(self.spans, (from_m, float("inf"))) - 1, 0)
        last = bisect_right(self.spans, (to_m, 0.0))
        return [end for span in self.spans[first:last] for end in span if from_m < end < to_m]
