"""Deeds on blind stretches."""

from __future__ import annotations

import pytest

from leakmap.base.errors import EditRefused
from leakmap.model.joint import Blind
from leakmap.work.edits.blinds import add_blind, remove_blind
from tests.helpers.small_jobs import one_line

SQUARE = [(0, 0), (2.5, 0), (2.5, 2.5), (0, 2.5)]  # 10 m round


def test_stretch_is_hidden_and_uncovered() -> None:
    """Blind stretches are kept in order, and one that is taken away leaves the rest."""
    job, joint = one_line()
    job = add_blind(job, joint=joint, from_m=5, to_m=6, what=" a tank ", cleared_by="the owner").job
    edit = add_blind(job, joint=joint, from_m=1, to_m=2, what="a pump")
    tank = Blind(from_m=5, to_m=6, what="a tank", cleared_by="the owner")
    assert edit.job.joints[joint].blind == (Blind(from_m=1, to_m=2, what="a pump"), tank)
    assert edit.words == "hide a stretch of J-01"
    assert remove_blind(edit.job, joint=joint, blind=edit.job.joints[joint].blind[0]).job == job


@pytest.mark.parametrize(
    ("from_m", "to_m", "what", "sentence"),
    [
        (1, 1, "a tank", "has no length"),
        (2, 1, "a tank", "smaller chainage to the larger"),
        (1, 8, "a tank", "past the end of J-01"),
        (-1, 2, "a tank", "negative"),
        (1, 2, " ", "Say what hides"),
        (4.5, 5.5, "a pump", "hidden already: a tank"),
    ],
)
def test_stretch_that_cannot_be_hidden(from_m: float, to_m: float, what: str, sentence: str) -> None:
    """A stretch of no length, past the end, backwards, for no reason or hidden already is refused."""
    job, joint = one_line()
    job = add_blind(job, joint=joint, from_m=5, to_m=6, what="a tank").job
    with pytest.raises(EditRefused, match=sentence):
        add_blind(job, joint=joint, from_m=from_m, to_m=to_m, what=what)


def test_touching_stretches_are_two() -> None:
    """Stretches that only touch may lie side by side."""
    job, joint = one_line()
    job = add_blind(job, joint=joint, from_m=5, to_m=6, what="a tank").job
    assert len(add_blind(job, joint=joint, from_m=6, to_m=6.5, what="a pump").job.joints[joint].blind) == 2


def test_stretch_may_pass_the_start_of_a_closed_joint() -> None:
    """From 9 round to 1 on 10 m overlaps 0.5 to 2 and 8 to 9.5, not 2 to 8."""
    job, joint = one_line(SQUARE, closed=True)
    job = add_blind(job, joint=joint, from_m=9, to_m=1, what="a tank").job
    for from_m, to_m in ((0.5, 2), (8, 9.5)):
        with pytest.raises(EditRefused, match="hidden already"):
            add_blind(job, joint=joint, from_m=from_m, to_m=to_m, what="a pump")
    assert add_blind(job, joint=joint, from_m=2, to_m=8, what="a pump").changed


def test_unknown_stretch_is_refused() -> None:
    """What is not hidden cannot be uncovered."""
    job, joint = one_line()
    with pytest.raises(EditRefused, match="no such blind stretch"):
        remove_blind(job, joint=joint, blind=Blind(from_m=1, to_m=2, what="a tank"))
