"""Ticks of a tape, worked by hand; and words that find room."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.measures import Units
from leakmap.repair.tape_rows import GAP_PX, Wish, placed, words_beside
from leakmap.repair.tape_ticks import Rank, ticks
from tests.helpers.small_jobs import one_line

JOB, KEY = one_line()  # J-01, 7 m
JOINT = JOB.joints[KEY]


def numbers(px_per_m: float, units: Units = Units.METRIC, **facts: float) -> list[str]:
    """Numbers on the whole of J-01."""
    return [tick.number for tick in ticks(JOINT, 0.0, 7.0, px_per_m, units, **facts) if tick.number]


@pytest.mark.parametrize(
    ("px_per_m", "count"),
    [(34.0, 71), (33.9, 15), (6.7, 8), (3.3, 4), (1.5, 2)],
    ids=["tenths", "halves below 34 px", "metres", "every second", "every fifth"],
)
def test_ticks_grow_coarser_where_they_would_lie_too_close(px_per_m: float, count: int) -> None:
    """7 m have 71 tenths, 15 halves and 8 whole metres, ends included; neighbours never lie closer than 3.4 px."""
    found = list(ticks(JOINT, 0.0, 7.0, px_per_m))
    assert len(found) == count
    assert found[0].at_m == 0.0
    assert min(b.at_m - a.at_m for a, b in pairwise(found)) * px_per_m >= 3.39


def test_every_fifth_tick_is_longer_and_every_tenth_has_its_number() -> None:
    """At 40 px a metre 1.0 m is numbered, 1.5 m is a half, 1.4 m a fine one."""
    found = {round(tick.at_m, 6): tick for tick in ticks(JOINT, 0.9, 1.6, 40.0)}
    assert (found[1.0].rank, found[1.0].number) == (Rank.WHOLE, "1")
    assert (found[1.5].rank, found[1.4].rank, found[1.5].number) == (Rank.HALF, Rank.FINE, "")
    assert min(found) == 0.9
    assert max(found) == 1.6


def test_numbers_keep_apart() -> None:
    """With 24 px between numbers, 24 px a metre number every metre, 12 every second, 5 every fifth."""
    assert numbers(24.0) == ["0", "1", "2", "3", "4", "5", "6", "7"]
    assert numbers(12.0) == ["0", "2", "4", "6"]
    assert numbers(5.0) == ["0", "5"]
    assert numbers(24.0, number_px=40.0) == ["0", "2", "4", "6"]


def test_printed_chainages_are_numbered() -> None:
    """With a start value of 12.3 m the first whole metre is 13, at 0.7 m of the joint."""
    late = replace(JOINT, start_m=12.3)
    found = [(round(tick.at_m, 9), tick.number) for tick in ticks(late, 0.0, 7.0, 40.0) if tick.number]
    assert found == [(round(0.7 + k, 9), str(13 + k)) for k in range(7)]


def test_feet_have_three_and_six_inches() -> None:
    """A foot is 0.3048 m (16 CFR 500.19): 7 m have 22 whole feet past 0; 3 in are 0.0762 m, 6 in 0.1524 m."""
    found = list(ticks(JOINT, 0.0, 7.0, 80.0, Units.IMPERIAL))
    assert [tick.number for tick in found if tick.number] == [str(foot) for foot in range(23)]
    assert [(round(tick.at_m, 6), tick.rank) for tick in found[:5]] == [
        (0.0, Rank.WHOLE), (0.0762, Rank.FINE), (0.1524, Rank.HALF), (0.2286, Rank.FINE), (0.3048, Rank.WHOLE)
    ]  # fmt: skip
    assert len(list(ticks(JOINT, 0.0, 7.0, 40.0, Units.IMPERIAL))) == 46  # 3 in would lie 3.05 px apart


def test_no_tick_outside() -> None:
    """Nothing comes where the stretch has no length backwards."""
    assert list(ticks(JOINT, 3.0, 2.0, 40.0)) == []


def test_words_go_right_then_left_then_nowhere() -> None:
    """Of two bands 10 to 50 and 60 to 90, words of 30 px have no room between: the first go left, the second right."""
    one, two = Wish(start=40, end=80, words_px=30), Wish(start=90, end=120, words_px=30)
    assert words_beside([one, two]) == [10, 120]
    assert words_beside([one, two], limits=(20, 200)) == [None, 120]
    wide = Wish(start=40, end=80, words_px=30, inside=True)
    assert words_beside([wide, two], limits=(20, 200)) == [45, 120]


def test_words_within_a_thing_keep_off_its_signs() -> None:
    """In a band from 0 to 100 with a sign from 45 to 60, words of 30 px move to 15, nearer the middle than 60; words of 50 have no room."""
    other = Wish(start=110, end=140, words_px=0)
    band = Wish(start=0, end=100, words_px=30, inside=True)
    assert words_beside([band, other], limits=(0, 140)) == [35, 140]
    assert words_beside([band, other], limits=(0, 140), signs=[(45, 60)]) == [15, 140]
    assert words_beside([band, other], limits=(0, 140), signs=[(45, 60), (10, 12)]) == [15, 140]
    wide = Wish(start=0, end=100, words_px=50, inside=True)
    assert words_beside([wide, other], limits=(0, 140), signs=[(45, 60)]) == [None, 140]


def test_the_first_to_choose_has_room() -> None:
    """Words that choose first have their room, those of a neighbour then go elsewhere."""
    one, two = Wish(start=100, end=100, words_px=50), Wish(start=170, end=170, words_px=50)
    assert words_beside([one, two], limits=(90, 400)) == [100, 170]
    assert words_beside([one, two], first=[1], limits=(90, 200)) == [None, 120]


def test_rows_take_what_would_cover() -> None:
    """A second branch that would cover the first goes one row lower, a third has its place without words, a fourth none."""
    same = Wish(start=100, end=140, words_px=80)
    limits = (90.0, 230.0)  # words fit to the right alone
    assert [(place.row, place.words_at) for place in placed([same] * 3, 2, limits=limits)] == [
        (0, 140), (1, 140), (None, None)
    ]  # fmt: skip
    free = Wish(start=240, end=260, words_px=80)
    assert [(place.row, place.words_at) for place in placed([same, free], 1, limits=limits)] == [(0, 140), (0, None)]


@given(
    st.lists(
        st.builds(
            lambda start, long, words: Wish(start=start, end=start + long, words_px=words),
            st.floats(0, 900), st.floats(0, 80), st.floats(5, 90),
        ),
        max_size=12,
    ),
    st.integers(1, 3),
)  # fmt: skip
def test_nothing_on_a_row_covers_another(wishes: list[Wish], rows: int) -> None:
    """Whatever is placed on a row, with its words, keeps its distance from all else there."""
    found: dict[int, list[tuple[float, float]]] = {}
    for wish, place in zip(wishes, placed(wishes, rows), strict=True):
        if place.row is not None:
            ends = (wish.start, wish.end)
            at = place.words_at
            words = ends if at is None else (at, at + wish.words_px)
            found.setdefault(place.row, []).append((min(*ends, *words), max(*ends, *words)))
    for spans in found.values():
        for (_, end), (start, _) in pairwise(sorted(spans)):
            assert start - end >= GAP_PX - 1e-9
