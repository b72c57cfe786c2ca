"""Definition 6 on numbers alone."""

from __future__ import annotations

from leakmap.repair.joining import joined_parts


def test_one_square_centimetre_is_not_enough() -> None:
    """Parts join over 1 cm², not at it."""
    assert joined_parts(2, {(0, 1): 1.0e-4}, set()) == [[0], [1]]
    assert joined_parts(2, {(0, 1): 1.1e-4}, set()) == [[0, 1]]


def test_the_larger_shared_area_wins_where_a_cut_forbids_both() -> None:
    """2 shares 300 cm² with 1 and 200 cm² with 0, which a cut parts from 1: it goes to 1."""
    assert joined_parts(3, {(0, 2): 0.02, (1, 2): 0.03}, {(0, 1)}) == [[0], [1, 2]]


def test_a_cut_is_kept_through_others() -> None:
    """0 and 3 are parted; a chain 0-1-2-3 must break at its weakest pair that would bring them together."""
    assert joined_parts(4, {(0, 1): 0.03, (1, 2): 0.02, (2, 3): 0.01}, {(0, 3)}) == [[0, 1, 2], [3]]


def test_a_cut_is_kept_by_whom_one_joined() -> None:
    """0 joins 1, which is parted from 2; so 0 cannot join 2 any more, though nothing parts the two."""
    assert joined_parts(3, {(0, 1): 0.03, (0, 2): 0.02}, {(1, 2)}) == [[0, 1], [2]]


def test_ties_go_by_order() -> None:
    """Equal areas are taken in the order of the parts, whatever their last bits."""
    assert joined_parts(3, {(1, 2): 0.02 + 1e-12, (0, 1): 0.02}, {(0, 2)}) == [[0, 1], [2]]


def test_parted_parts_that_share_stay_apart() -> None:
    """A crossing that a person parted keeps two zones, however much they share."""
    assert joined_parts(2, {(0, 1): 0.1}, {(0, 1)}) == [[0], [1]]


def test_no_parts() -> None:
    """A job without cover has no zones."""
    assert joined_parts(0, {}, set()) == []
