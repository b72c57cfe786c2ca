"""What differs between two jobs, and places in an order."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from uuid import UUID

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.records.differences import differences, places_in
from leakmap.records.layout import ITEM_TABLES
from tests.helpers.job_files import full_job
from tests.helpers.random_edits import random_edits, random_job

COLLECTIONS = [table.collection for table in ITEM_TABLES]
IDS = [UUID(int=number) for number in range(8)]


@given(st.permutations(IDS), st.permutations(IDS), st.integers(0, 8), st.integers(0, 8), st.integers(20, 60))
def test_places_rise_between_their_neighbours(
    old: list[UUID], new: list[UUID], keep: int, take: int, high: int
) -> None:
    """Whatever was known, places rise in the new order between the two that stay, or there is no room."""
    known = {key: 3 * number + 11 for number, key in enumerate(old[:keep])}
    placed = places_in(new[:take], known, low=10, high=high)
    if placed is not None:
        assert list(placed) == new[:take]
        every = [10, *placed.values(), high]
        assert every == sorted(set(every))
        assert all(placed[key] == known[key] for key in placed if key in known)


@pytest.mark.parametrize(
    ("order", "known", "wanted"),
    [
        ("abc", "", [1, 2, 3]),  # all new
        ("abcd", "abc", [1, 2, 3, 4]),  # one more at the end: the others stay
        ("ac", "abc", [1, 3]),  # one gone: the others stay
        ("abc", "a-c", [1, 2, 3]),  # one comes back into its hole
        ("xab", "ab", [1, 2, 3]),  # no room before the first: all anew
        ("ba", "ab", [1, 2]),  # turned round: all anew
        ("acb", "a-c-", [1, 3, 4]),  # one more at the end of a row with holes
        ("", "ab", []),
    ],
)
def test_known_places_stay_where_the_order_allows_it(order: str, known: str, wanted: list[int]) -> None:
    """Only where there is no room are all places counted anew."""
    job = full_job()
    cut = next(iter(job.cuts.values()))
    ids = {letter: UUID(int=ord(letter)) for letter in "abcdx"}
    places = {ids[letter]: number for number, letter in enumerate(known, 1) if letter != "-"}
    before = replace(job, cuts={key: replace(cut, id=key) for key in places})
    after = replace(job, cuts={ids[letter]: replace(cut, id=ids[letter]) for letter in order})
    _, now = differences(before, after, {name: {} for name in COLLECTIONS} | {"cuts": places})
    assert [now["cuts"][key] for key in after.cuts] == wanted


@given(st.integers(0, 2**32))
@settings(max_examples=20)
def test_what_differs_is_found_as_by_comparing_everything(seed: int) -> None:
    """Between any two jobs, near or far, exactly those items differ that a plain comparison finds."""
    chance = Random(seed)  # noqa: S311 - not for secrets
    before = random_job(chance, 10)
    after = [edit.job for edit in random_edits(before, chance, chance.randrange(1, 20))][-1]
    places = {name: {key: n for n, key in enumerate(getattr(before, name), 1)} for name in COLLECTIONS}
    found, now = differences(before, after, places)
    wanted = {
        (name, key)
        for name in COLLECTIONS
        for key in getattr(before, name).keys() | getattr(after, name).keys()
        if getattr(before, name).get(key) != getattr(after, name).get(key)
        or places[name].get(key) != now[name].get(key)
    }
    assert {(each.table.collection, each.key) for each in found if each.table} == wanted
    assert len(found) - any(each.table is None for each in found) == len(wanted)
    for name in COLLECTIONS:
        rising = [now[name][key] for key in getattr(after, name)]
        assert rising == sorted(set(rising))
        assert len(rising) == len(now[name])
