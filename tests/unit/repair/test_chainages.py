"""Spans of one joint and groups of numbers."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.repair.chainages import Span, Spans, length_of, merged, round_of, shared_m, spans_of
from leakmap.repair.grouping import Groups
from tests.helpers.jobs import collar, line

OPEN = line((0, 0), (10, 0))
CLOSED = line((0, 0), (3, 0), (3, 2), (0, 2), closed=True)  # 10 m round


def test_a_stretch_of_an_open_joint_is_one_span_clipped_to_it() -> None:
    """What lies past an end is left off."""
    assert spans_of(OPEN, 2, 12) == ((2, 10),)


def test_a_stretch_that_passes_the_start_is_two_spans() -> None:
    """From 9 to 1 on a closed joint of 10 m: 0 to 1 and 9 to 10."""
    assert spans_of(CLOSED, 9, 1) == ((0, 1), (9, 10))


@pytest.mark.parametrize(
    ("from_m", "to_m", "expected"),
    [
        (-0.5, 0.5, ((0, 0.5), (9.5, 10))),
        (9.5, 10.5, ((0, 0.5), (9.5, 10))),
        (2, 3, ((2, 3),)),
        (-1, 9, ((0, 10),)),
        (4, 20, ((0, 10),)),
        (10, 11, ((0, 1),)),
    ],
)
def test_stretches_go_round_a_closed_joint(from_m: float, to_m: float, expected: tuple[Span, ...]) -> None:
    """A stretch past the start or the end comes in again at the other; a whole round is everything."""
    assert merged(round_of(CLOSED, from_m, to_m)) == expected


def test_stretches_stop_at_the_ends_of_an_open_joint() -> None:
    """±0.15 m about 0.1 m is 0 to 0.25 m."""
    assert round_of(OPEN, -0.05, 0.25) == ((0, 0.25),)


def test_the_length_of_a_collar_is_its_perimeter() -> None:
    """A pipe of 0.2 m has spans up to 0.628 m."""
    assert spans_of(collar((0, 0), 0.2), 0, 1)[0][1] == pytest.approx(0.6283185)


def test_touching_spans_are_one() -> None:
    """0 to 4 and 4 to 8 are 0 to 8; a gap stays; nothing gives nothing."""
    assert merged([(4, 8), (0, 4)]) == ((0, 8),)
    assert merged([(0, 1), (2, 3)]) == ((0, 1), (2, 3))
    assert merged([]) == ()


SPANS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)).map(lambda s: (min(s) / 4, max(s) / 4)), max_size=8)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(SPANS, SPANS)
def test_lengths_of_unions_and_intersections_add_up(a: list[Span], b: list[Span]) -> None:
    """|A| + |B| = |A ∪ B| + |A ∩ B|, and order does not matter."""
    one, two = merged(a), merged(b)
    assert length_of(one) + length_of(two) == pytest.approx(length_of(merged([*a, *b])) + shared_m(one, two))
    assert merged(reversed(a)) == one


def test_questions_of_spans() -> None:
    """Ends belong to them; breaks are the ends strictly inside."""
    spans = Spans(((1, 2), (3, 4)))
    assert [at for at in (0.5, 1, 1.5, 2, 2.5, 4, 4.1) if spans.at(at)] == [1, 1.5, 2, 4]
    assert spans.breaks(1, 3.5) == [2, 3]
    assert spans.breaks(1.2, 1.8) == []
    assert Spans(()).breaks(0, 9) == []
    assert not Spans(()).at(0)


def test_groups_are_known_by_their_lowest_number() -> None:
    """0-3, 3-4 and 1-2 make two groups, and 5 stays alone."""
    groups = Groups(6)
    for a, b in ((3, 4), (0, 3), (2, 1)):
        groups.join(a, b)
    assert groups.all() == [[0, 3, 4], [1, 2], [5]]
    assert groups.of(4) == 0
