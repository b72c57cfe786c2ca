"""What every deed gives back."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from leakmap.base.errors import BadValue, EditRefused
from leakmap.model.words import Wetness
from leakmap.work.edits.edit import Changes, deed, edited, joint_of, leak_of, sheet_of, together
from leakmap.work.edits.leaks import add_leak, set_wetness
from leakmap.work.edits.sheets import rename_sheet
from tests.helpers.small_jobs import one_line, with_leak


def test_edit_names_the_rows_that_differ() -> None:
    """A new leak changes its own row and, by its number, the job's."""
    job, joint = one_line()
    edit = add_leak(job, joint=joint, from_m=1, to_m=2, wetness=Wetness.DRIP)
    assert edit.changed == {("leaks", edit.made[0]), ("job", job.id)}
    assert edit.words == "add L-01"


def test_old_job_stays_as_it_was() -> None:
    """A deed makes a new job and leaves the old one alone."""
    job, joint = one_line()
    add_leak(job, joint=joint, from_m=1, to_m=2, wetness=Wetness.DRIP)
    assert not job.leaks
    assert job.numbers.leak == 0


def test_same_value_changes_nothing() -> None:
    """Setting what is so already changes no row."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1, 2)
    assert set_wetness(job, leak=leak, wetness=Wetness.SEEP).changed == frozenset()


def test_item_that_is_gone_refuses() -> None:
    """A deed on an item that is not in the job is refused with one sentence each."""
    job, _ = one_line()
    for look, what in ((sheet_of, "sheet"), (joint_of, "joint"), (leak_of, "leak")):
        with pytest.raises(EditRefused, match=f"This {what} is not in the job any more"):
            look(job, UUID(int=5))


def test_faulty_change_is_refused() -> None:
    """No edit makes a job with a fault: a joint with a leak on it cannot just be taken out of the mapping's sheet."""
    job, joint = one_line()
    job, leak = with_leak(job, joint, 1, 2)
    moved = {leak: replace(job.leaks[leak], joint=UUID(int=5))}
    with pytest.raises(EditRefused, match="not in the job"):
        edited(job, Changes(leaks=moved), words="move a leak")


def test_bad_value_becomes_a_refusal() -> None:
    """A value that no job can hold reaches the user as a refusal that says that nothing was changed."""

    @deed
    def refuse() -> object:
        """Fail as a value does."""
        message = "The depth is -1; it must not be negative."
        raise BadValue(message)

    with pytest.raises(EditRefused) as caught:
        refuse()
    assert str(caught.value) == "The depth is -1; it must not be negative. Nothing was changed."


def test_several_edits_are_one_step() -> None:
    """Edits put together have all their rows, sentences and new items, and the last job."""
    job, joint = one_line()
    one = add_leak(job, joint=joint, from_m=1, to_m=2, wetness=Wetness.DRIP)
    two = rename_sheet(one.job, sheet=next(iter(job.sheets)), name="B3")
    both = together((one, two), words="take over a table")
    assert both.job is two.job
    assert both.changed == one.changed | two.changed
    assert both.made == one.made


def test_no_edits_are_a_mistake() -> None:
    """Putting nothing together is a programming mistake."""
    with pytest.raises(ValueError, match="no edits"):
        together((), words="nothing")
