"""What is drawn on a level after deeds: the same as drawn from nothing, whatever was taken over."""

from __future__ import annotations

import pytest

from leakmap.base.progress import at_once
from leakmap.desk.plan.detail import Detail
from leakmap.desk.plan.drawn import Drawn, Key, overlap
from leakmap.desk.plan.things import Level
from leakmap.desk.stage_states import stage_states
from leakmap.geometry.path import Box
from leakmap.repair.compared import old_repairs_of
from leakmap.repair.local import work_out, work_out_again
from leakmap.work.changes_since import Before, changes_steps
from leakmap.work.kept import Kept
from tests.helpers.random_edits import random_edits, random_job, seeded


def drawn_on(level: Level) -> dict[Key, Drawn]:
    """All of a level, made to its end."""
    assert level.make(lambda: True)
    assert level.ready()
    return dict(level.drawn)


def square(low: float, high: float) -> Box:
    """A square box."""
    return low, low, high, high


@pytest.mark.parametrize("seed", [3, 8])
def test_things_that_are_taken_over_are_those_made_anew(seed: int) -> None:
    """Through 40 random edits, worked out locally, a level and the states of the stages are what they are from nothing.

    So are they where changes since an earlier job are told meanwhile, and no more; what meets a box is what its own box says,
    in the order in which all of it comes.
    """
    chance, kept, level, detail = seeded(seed), Kept(), Level(), Detail(px_per_m=40.0)
    worked = work_out(random_job(chance, 20))
    before, last = Before("P01", worked.job, old_repairs_of(worked.repairs)), None
    for number, edit in enumerate(random_edits(worked.job, chance, 40)):
        worked = work_out_again(worked, edit.job, edit.changed)
        job, found, told = worked.job, worked.repairs, None
        sheet = next(iter(job.sheets))
        if number % 8 > 3:
            told = last = at_once(changes_steps(before, job, found, last))
        level.plan(job, found, sheet, detail, changes=told)
        afresh = Level()
        afresh.plan(job, found, sheet, detail, changes=told)
        assert drawn_on(level) == drawn_on(afresh)
        for box in (square(-1.0, 4.0), square(3.0, 9.0)):
            assert level.meeting(box) == [each for each in level.drawn if overlap(each[1].box, box)]
        assert stage_states(job, found, kept) == stage_states(job, found)
