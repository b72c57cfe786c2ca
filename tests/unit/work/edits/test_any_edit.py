"""What is true of every edit, over random sequences of valid ones."""

from __future__ import annotations

from dataclasses import fields

from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.model.faults import faults
from leakmap.model.job import Job
from leakmap.model.references import highest, number_of
from leakmap.work.edits.edit import JOB_ROW, Changes
from tests.helpers.random_edits import DEEDS, empty_job, random_edits, random_job, seeded, with_issued

SEEDS = st.integers(0, 2**32)
COLLECTIONS = [item.name for item in fields(Changes)]


def differing(old: Job, new: Job) -> set[tuple[str, object]]:
    """Rows that differ between two jobs, looked for everywhere."""
    found = {
        (name, key)
        for name in COLLECTIONS
        for key in {*getattr(old, name), *getattr(new, name)}
        if getattr(old, name).get(key) != getattr(new, name).get(key)
    }
    own = [item.name for item in fields(Job) if item.name not in COLLECTIONS]
    return found | ({(JOB_ROW, old.id)} if any(getattr(old, name) != getattr(new, name) for name in own) else set())


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS)
def test_no_edit_makes_a_fault_and_each_names_its_rows(seed: int) -> None:
    """After every edit the job has no faults, the named rows are exactly those that differ, and the words say something."""
    chance = seeded(seed)
    job = with_issued(random_job(chance, 12), chance)
    for edit in random_edits(job, chance, 12):
        assert faults(edit.job) == ()
        assert edit.changed == differing(job, edit.job)
        assert edit.words
        assert all(sentence.endswith(".") for sentence in edit.said)
        job = edit.job


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS)
def test_no_number_is_used_twice(seed: int) -> None:
    """A reference of ours that is new was above the counter, and no counter falls."""
    chance = seeded(seed)
    job = empty_job(chance)
    for edit in random_edits(job, chance, 25):
        for name in ("joints", "leaks"):
            old, new = getattr(job, name), getattr(edit.job, name)
            for ref in {item.ref for item in new.values()} - {item.ref for item in old.values()}:
                found = number_of(ref)
                assert found is None or found[1] > highest(job.numbers, found[0])
        job = edit.job


def test_equal_seeds_give_equal_jobs() -> None:
    """Random jobs follow from their seed, ids included, but for halves that carrying made."""
    one, two = (random_job(seeded(7), 10) for _ in range(2))
    assert one.name == two.name
    assert [joint.ref for joint in one.joints.values()] == [joint.ref for joint in two.joints.values()]


def test_every_deed_is_drawn() -> None:
    """Long random sequences use every deed of the list, or it would prove nothing."""
    used = set()
    for seed in range(8):
        chance = seeded(seed)
        used |= {edit.words.split()[0] for edit in random_edits(empty_job(chance), chance, 60)}
    verbs = {"draw", "add", "move", "remove", "split", "combine", "set", "place", "hide", "cut", "part", "rejoin"}
    assert used >= verbs
    assert len(DEEDS) > 40
