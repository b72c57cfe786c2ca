"""One-dimensional arithmetic of stretches on one line, in whole micrometres, exact.

A span is (from, to) with from <= to, closed at both ends; a span without length is a single place.
Every function takes spans in any order and gives them sorted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Span = tuple[int, int]


def united(spans: Iterable[Span]) -> list[Span]:
    """Spans that touch or overlap made one.

    >>> united([(5, 8), (0, 2), (2, 3), (6, 7)])
    [(0, 3), (5, 8)]
    >>> united([])
    []
    """
    whole: list[Span] = []
    for low, high in sorted(spans):
        if whole and low <= whole[-1][1]:
            if high > whole[-1][1]:
                whole[-1] = (whole[-1][0], high)
        else:
            whole.append((low, high))
    return whole


def length_of(spans: Iterable[Span]) -> int:
    """Length of the union of spans.

    >>> length_of([(0, 4), (3, 8), (9, 9)])
    8
    """
    return sum(high - low for low, high in united(spans))


def gaps(spans: Sequence[Span], low: int, high: int) -> list[Span]:
    """What united spans leave open between two places; gaps have length.

    >>> gaps([(2, 3), (5, 5)], 0, 8)
    [(0, 2), (3, 5), (5, 8)]
    >>> gaps([(0, 8)], 0, 8)
    []
    """
    open_spans, at = [], low
    for start, stop in spans:
        if at < min(start, high):
            open_spans.append((at, min(start, high)))
        at = max(at, stop)
    if at < high:
        open_spans.append((at, high))
    return open_spans


def on_round(low: int, high: int, length: int) -> list[Span]:
    """A span of a closed line, counted on past its length, as spans between 0 and the length.

    >>> on_round(7, 12, 10), on_round(11, 12, 10), on_round(2, 3, 10), on_round(7, 17, 10)
    ([(7, 10), (0, 2)], [(1, 2)], [(2, 3)], [(0, 10)])
    """
    if high - low >= length:
        return [(0, length)]
    if low >= length:
        return [(low - length, high - length)]
    return [(low, length), (0, high - length)] if high > length else [(low, high)]
