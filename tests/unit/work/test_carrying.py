"""Carrying: where places and stretches lie after a deed."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID, uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.geometry.path import Path
from leakmap.work.carrying import Span, bent, carried, piecewise, proportional, shifted, unchanged
from tests.helpers.small_jobs import one_line, with_leak

KEY = UUID(int=5)


def line(length_m: float) -> object:
    """A straight joint of a length."""
    job, joint = one_line([(0, 0), (length_m, 0)])
    return replace(job.joints[joint], id=KEY)


def test_span_maps_evenly() -> None:
    """A span from 2 to 4 m that lies at 10 to 14 m puts 3 m at 12 m and clips what lies outside."""
    span = Span(2, 4, KEY, 10, 14)
    assert [span.at(at_m) for at_m in (2, 3, 4, 1, 5)] == [10, 12, 14, 10, 14]


def test_turned_span_maps_backwards() -> None:
    """A span that was turned over counts down: 2.5 m of 2 to 4 m at 10 to 8 m is 9.5 m."""
    span = Span(2, 4, KEY, 10, 8)
    assert [span.at(at_m) for at_m in (2, 2.5, 4)] == [10, 9.5, 8]


@given(st.floats(0, 10), st.floats(0.1, 10))
def test_span_of_the_same_length_adds_no_error(at_m: float, length_m: float) -> None:
    """Where a span only moves by nothing, chainages stay to the last bit."""
    span = Span(0, length_m, KEY, 0, length_m)
    assert span.at(at_m) == min(at_m, length_m)


@pytest.mark.parametrize(
    ("old", "old_at", "new", "new_at", "spans"),
    [
        (10, 4, 12, 6, [(0, 4, 0, 4), (4, 10, 6, 12)]),  # the first side 2 m longer
        (10, 4, 9, 3, [(0, 3, 0, 3), (4, 10, 3, 9)]),  # the first side 1 m shorter
        (10, 4, 9, 4, [(0, 4, 0, 4), (5, 10, 4, 9)]),  # the second side 1 m shorter
        (10, 10, 8, 8, [(0, 8, 0, 8)]),  # the end 2 m in
        (10, 0, 8, 0, [(2, 10, 0, 8)]),  # the start 2 m in
    ],
)
def test_bend_parts_a_joint_in_two_sides(
    old: float, old_at: float, new: float, new_at: float, spans: list[tuple[float, ...]]
) -> None:
    """Before the place chainages stay, after it distances from the end; what a shorter side loses lies next to it."""
    found = bent(line(old), old_at, line(new), new_at)
    assert [(s.from_m, s.to_m, s.new_from_m, s.new_to_m) for s in found] == spans


def test_simple_spans() -> None:
    """Unchanged, evenly stretched, moved on and moved back."""
    assert unchanged(line(3)) == (Span(0, 3, KEY, 0, 3),)
    assert proportional(line(3), line(6)) == (Span(0, 3, KEY, 0, 6),)
    assert shifted(line(3), line(5), 2) == (Span(0, 3, KEY, 2, 5),)
    assert shifted(line(3), line(2), -1) == (Span(1, 3, KEY, 0, 2),)
    assert shifted(line(3), line(2), -4) == ()


def test_pieces_stretch_by_themselves() -> None:
    """Pieces of 4 and 3 m that became 8 and 3 m."""
    spans = piecewise(Path(((0, 0), (4, 0), (4, 3))), Path(((0, 0), (8, 0), (8, 3))), KEY)
    assert spans == (Span(0, 4, KEY, 0, 8), Span(4, 7, KEY, 8, 11))


def test_everything_falls_off_without_spans() -> None:
    """A joint without spans loses what lies on it, and each loss is said."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1, 2)
    result = carried(job, joints={joint: None}, spans={joint: ()}, numbers=job.numbers, new_id=uuid4)
    assert result.changes.leaks == {leak: None}
    assert result.changes.joints == {joint: None}
    assert result.said == ("L-01 fell off J-01 and is gone.",)


def test_parts_far_apart_are_two_leaks() -> None:
    """A leak of which the middle went to another joint is three leaks with three references, each told once."""
    job, joint = one_line([(0, 0), (9, 0)])
    job, leak = with_leak(job, joint, 1, 8)
    first, second = replace(job.joints[joint], path=Path(((0, 0), (6, 0)))), replace(line(3), ref="J-02")
    spans = (Span(0, 3, joint, 0, 3), Span(3, 6, KEY, 0, 3), Span(6, 9, joint, 3, 6))
    result = carried(job, joints={joint: first, KEY: second}, spans={joint: spans}, numbers=job.numbers, new_id=uuid4)
    parts = [(item.ref, item.joint, item.from_m, item.to_m) for item in result.changes.leaks.values()]
    assert parts == [("L-01", joint, 1, 3), ("L-02", KEY, 0, 3), ("L-03", joint, 3, 5)]
    assert result.numbers.leak == 3
    assert len(result.made) == 2
    assert leak in result.changes.leaks
