"""History: what can be undone and done again."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from leakmap.base.errors import EditRefused
from leakmap.model.words import Wetness
from leakmap.work.edits.leaks import add_leak, set_wetness
from leakmap.work.edits.rules import rename_job
from leakmap.work.history import History
from tests.helpers.random_edits import empty_job, random_edits, seeded
from tests.helpers.small_jobs import one_line


def test_undo_and_redo_speak() -> None:
    """The next step each way has the words of its deed, and names the rows that it changed."""
    job, joint = one_line()
    edit = add_leak(job, joint=joint, from_m=1, to_m=2, wetness=Wetness.SEEP)
    history = History(present=job).done(edit)
    assert (history.undo_words, history.redo_words) == ("add L-01", None)
    back = history.undo()
    assert back.present is job
    assert (back.undo_words, back.redo_words, back.changed) == (None, "add L-01", edit.changed)
    assert back.redo().present is edit.job


def test_nothing_to_undo_or_redo_is_said() -> None:
    """A fresh history refuses both ways with one sentence."""
    history = History(present=one_line()[0])
    with pytest.raises(EditRefused, match="nothing to undo"):
        history.undo()
    with pytest.raises(EditRefused, match="nothing to do again"):
        history.redo()


def test_deed_that_changes_nothing_leaves_no_step() -> None:
    """Setting what is so already cannot be undone, and keeps what can be done again."""
    job, joint = one_line()
    edit = add_leak(job, joint=joint, from_m=1, to_m=2, wetness=Wetness.SEEP)
    history = History(present=job).done(edit)
    assert history.done(set_wetness(edit.job, leak=edit.made[0], wetness=Wetness.SEEP)) is history


def test_new_deed_forgets_what_was_undone() -> None:
    """After another deed the undone one cannot come back."""
    job, _ = one_line()
    history = History(present=job).done(rename_job(job, name="Tern Quay")).undo()
    history = history.done(rename_job(job, name="Heron Quay"))
    assert history.redo_words is None
    assert history.undo().present is job


def test_undo_stops_at_an_issue() -> None:
    """What was issued cannot be undone, later deeds can, and the refusal names the revision."""
    job, _ = one_line()
    history = History(present=job).done(rename_job(job, name="Tern Quay"))
    issued = rename_job(history.present, name="Tern Quay as issued")
    history = history.stopped_at(issued, revision="C01")
    assert history.undo_words is None
    with pytest.raises(EditRefused, match="Undo stops at C01, which was issued"):
        history.undo()
    later = history.done(rename_job(history.present, name="Tern Quay again")).undo()
    assert later.present is issued.job
    with pytest.raises(EditRefused, match="C01"):
        later.undo()


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32), back=st.integers(1, 15))
def test_undo_then_redo_gives_equal_jobs(seed: int, back: int) -> None:
    """Any number of steps undone and done again gives the job that was, and undo gives each job before."""
    chance = seeded(seed)
    jobs = [empty_job(chance)]
    history = History(present=jobs[0])
    for edit in random_edits(jobs[0], chance, 15):
        history = history.done(edit)
        jobs.append(edit.job)
    newest = history
    for job in jobs[-2 : -2 - back : -1]:
        history = history.undo()
        assert history.present == job
    for _ in range(back):
        history = history.redo()
    assert history.present == newest.present
    assert [step.words for step in history.past] == [step.words for step in newest.past]
