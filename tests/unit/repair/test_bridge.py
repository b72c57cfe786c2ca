"""Sound gaps that are taken in (definition 4), by hand; default bridge 0.30 m, which is our rule."""

from __future__ import annotations

import pytest

from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Rules
from leakmap.repair.cover import covered
from tests.helpers.jobs import job_of, leak, line
from tests.helpers.reading_cover import Spans, reasons, spans

ALONG = line((0, 0), (5, 0))


def cover(joints: list[Joint], *leaks: Leak, bridge_m: float = 0.3) -> Spans:
    """Covered stretches by joint, bridges included."""
    return spans(covered(job_of(joints, leaks, rules=Rules(bridge_m=bridge_m))))


@pytest.mark.parametrize(("gap", "one"), [(0.2, True), (0.3, True), (0.301, True), (0.302, False)])
def test_a_gap_between_two_cover_ends_is_taken_in_up_to_the_bridge(gap: float, one: bool) -> None:  # noqa: FBT001 - a table of cases
    """Seeps end at 1.5 and start at 2.1 + gap, 0.3 m of overrun each: the gap itself is left; τ is 1 mm."""
    start = round(2.1 + gap, 3)
    stop = round(start + 1.3, 3)
    whole, apart = [(0.7, stop)], [(0.7, 1.8), (round(start - 0.3, 3), stop)]
    assert cover([ALONG], leak(1, 1, 1.5), leak(1, start, start + 1))[1] == (whole if one else apart)


def test_a_bridged_gap_has_its_own_reason() -> None:
    """0.2 m between two overruns, on no leak's account."""
    found = covered(job_of([ALONG], [leak(1, 1, 1.5), leak(1, 2.3, 3)]))
    assert reasons(found, 1)[2:5] == [(1.5, 1.8, "overrun"), (1.8, 2.0, "bridge"), (2.0, 2.3, "overrun")]
    assert [piece.leaks for piece in found.parts[0].pieces if piece.why.value == "bridge"] == [()]


@pytest.mark.parametrize(("end", "taken"), [(4.4, True), (4.399, True), (4.398, False)])
def test_a_gap_to_a_free_end_is_taken_in(end: float, taken: bool) -> None:  # noqa: FBT001 - a table of cases
    """5.0 − 4.4 − 0.3 = 0.3 m of sound joint before the corner: nobody leaves it."""
    assert cover([ALONG], leak(1, 3, end))[1] == [(2.7, 5.0 if taken else round(end + 0.3, 3))]


def test_two_free_ends_are_no_reason() -> None:
    """A joint of 0.2 m between nothing and nothing stays uncovered."""
    assert cover([ALONG, line((0, 1), (0.2, 1))], leak(1, 2)) == {1: [(1.7, 2.3)]}


def test_a_path_through_an_uncovered_node_is_taken_in() -> None:
    """0.1 m to the junction and 0.2 m up the stem to the other cover: 0.3 m; the arm on stays open."""
    joints = [ALONG, line((2, 0), (2, 3))]
    found = cover(joints, leak(1, 1, 1.6), leak(2, 0.5, 1))
    assert found == {1: [(0.7, 2.0)], 2: [(0.0, 1.3)]}


def test_a_node_that_a_path_took_in_is_a_cover_end_from_then_on() -> None:
    """After 0.3 m through the junction at 2.0, the 0.25 m stub that hangs there goes from a cover end to a free end."""
    joints = [ALONG, line((2, 0), (2, 3)), line((2, 0), (2.2, -0.15))]
    found = cover(joints, leak(1, 1, 1.6), leak(2, 0.5, 1))
    assert found == {1: [(0.7, 2.0)], 2: [(0.0, 1.3)], 3: [(0.0, 0.25)]}
    without = cover(joints, leak(1, 1, 1.6))
    assert without == {1: [(0.7, 1.9)]}  # 0.1 + 0.25 m is too far


def test_a_path_between_two_nodes_that_were_taken_in_is_found() -> None:
    """A post of 0.5 m; joints come to it at 0.1 and 0.4 m, a long one leaves at 0.25 m.

    Each joint stops 0.2 m short, and 0.1 m of post lies beyond: 0.3 m to a free end, so both nodes are
    covered. Between them lie 0.15 + 0.15 m through the uncovered node in the middle, which no path
    could pass before.
    """
    joints = [line((2, -0.1), (2, 0.4)), line((0, 0), (2, 0)), line((0, 0.3), (2, 0.3)), line((2, 0.15), (5, 0.15))]
    found = cover(joints, leak(2, 1, 1.5), leak(3, 1, 1.5))
    assert found == {1: [(0.0, 0.5)], 2: [(0.7, 2.0)], 3: [(0.7, 2.0)]}


def test_a_covered_node_is_a_cover_end() -> None:
    """The leak ends 0.1 m past the junction; a stub of 0.3 m there is taken in whole, one of 0.31 not."""
    for stub, taken in ((0.4, True), (0.41, False)):
        found = cover([ALONG, line((2, 0), (2, stub))], leak(1, 1, 1.8))
        assert found[2] == [(0.0, stub if taken else 0.1)]


def test_a_way_out_and_back_along_one_run_is_no_path() -> None:
    """Cover ends at a node to the micrometre; 0.1 m on lies an uncovered junction with long arms: nothing is taken."""
    joints = [ALONG, line((2, 0), (2, 3)), line((2.1, 0), (2.1, 3))]
    found = cover(joints, leak(1, 1, 1.7))
    assert found == {1: [(0.7, 2.0)]}


def test_a_path_needs_another_cover_end() -> None:
    """A dead branch off an uncovered node, and a way back through the same run, take in nothing."""
    joints = [ALONG, line((2, 0), (2, 3)), line((2, 0.1), (4, 0.1))]
    assert cover(joints, leak(1, 1, 1.6)) == {1: [(0.7, 1.9)]}


def test_a_loop_back_to_the_same_covered_node_is_taken_in() -> None:
    """A closed joint of 0.28 m met at one covered node is two cover ends there; split in two it is the same loop."""
    whole = line((0, 0), (0.07, 0), (0.07, 0.07), (0, 0.07), closed=True)
    halves = [line((0, 0), (0.07, 0), (0.07, 0.07)), line((0.07, 0.07), (0, 0.07), (0, 0))]
    feeding = line((-2, 0), (0, 0))
    spot = leak(1, 1.7)  # its overrun ends at the very node
    assert cover([feeding, whole], spot) == {1: [(1.4, 2.0)], 2: [(0.0, 0.28)]}
    assert cover([feeding, *halves], spot) == {1: [(1.4, 2.0)], 2: [(0.0, 0.14)], 3: [(0.0, 0.14)]}
    assert cover([feeding, whole], spot, bridge_m=0.27) == {1: [(1.4, 2.0)]}


def test_the_rest_of_a_ring_is_a_gap_between_two_cover_ends() -> None:
    """A square of 1.6 m: 0.8 m wet and twice 0.3 m leave 0.2 m, across the start or elsewhere."""
    square = line((0, 0), (0.4, 0), (0.4, 0.4), (0, 0.4), closed=True)
    for start in (0.0, 0.3, 0.9, 1.4):
        stop = round((start + 0.8) % 1.6, 3)
        assert cover([square], leak(1, start, stop)) == {1: [(0.0, 1.6)]}


def test_no_bridge_at_all_still_closes_a_tie() -> None:
    """With a bridge of 0 a gap of 1 mm is taken in, 2 mm are not."""
    assert cover([ALONG], leak(1, 1, 2), leak(1, 2.601, 3), bridge_m=0)[1] == [(0.7, 3.3)]
    assert len(cover([ALONG], leak(1, 1, 2), leak(1, 2.602, 3), bridge_m=0)[1]) == 2


def test_parallel_short_ways_between_cover_ends_are_all_taken_in() -> None:
    """Three rungs of 0.2 m between two covered rails; the fourth is bent and 0.233 m long, and the bridge is 0.2 m."""
    rails = [ALONG, line((0, 0.2), (5, 0.2))]
    rungs = [line((x, 0), (x, 0.2)) for x in (1.1, 1.5, 1.9)]
    bent = line((1.3, 0), (1.36, 0.1), (1.3, 0.2))  # twice the root of 0.06² + 0.1²: 0.233 m
    wet = [leak(number, 1, 2, overrun_from_m=0.0, overrun_to_m=0.0) for number in (1, 2)]
    found = cover([*rails, *rungs, bent], *wet, bridge_m=0.2)
    assert [found.get(number) for number in (3, 4, 5, 6)] == [[(0.0, 0.2)]] * 3 + [None]
