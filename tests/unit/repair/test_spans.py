"""Arithmetic of stretches on one line against plain sets of unit steps."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.repair.spans import Span, gaps, length_of, on_round, united

SPANS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 12)).map(lambda pair: (pair[0], pair[0] + pair[1])))
FEW = settings(max_examples=150, deadline=None, derandomize=True)


def steps(spans: list[Span]) -> set[int]:
    """Unit steps that spans cover."""
    return {at for low, high in spans for at in range(low, high)}


@FEW
@given(SPANS)
def test_united_spans_are_apart_and_cover_the_same(spans: list[Span]) -> None:
    """Sorted, no two touch, the same steps, and every single place is kept."""
    found = united(spans)
    assert steps(found) == steps(spans)
    assert all(high < low for (_, high), (low, _) in pairwise(found))
    assert all(any(low <= at <= high for low, high in found) for span in spans for at in span)
    assert length_of(spans) == len(steps(spans))


@FEW
@given(SPANS, st.integers(0, 20), st.integers(0, 40))
def test_gaps_and_spans_make_the_whole(spans: list[Span], low: int, more: int) -> None:
    """Gaps are what is left of the line; none is empty."""
    found = gaps(united(spans), low, low + more)
    assert steps(found) == set(range(low, low + more)) - steps(spans)
    assert all(start < stop for start, stop in found)


@FEW
@given(st.integers(0, 20), st.integers(0, 30), st.integers(1, 15))
def test_a_span_round_a_closed_line_covers_what_it_passes(low: int, more: int, length: int) -> None:
    """Steps counted past the length are those from the start again, to once round at most."""
    low %= 2 * length
    found = on_round(low, low + min(more, length), length)
    assert steps(found) == {at % length for at in range(low, low + min(more, length))}
    assert all(0 <= start <= stop <= length for start, stop in found)
