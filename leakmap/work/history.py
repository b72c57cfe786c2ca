"""History of a job in one sitting: what was done, undone, and can be done again.

A history is a value. Undo stops at an issue: what was issued stays as it was.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from leakmap.base.errors import EditRefused
from leakmap.model.faults import Row
from leakmap.model.job import Job
from leakmap.work.edits.edit import Edit


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One deed, seen from the present: the job on its other side.

    Attributes:
        job: The job before the deed, for undo; the job after it, for redo.
        changed: Rows that differ between the two jobs.
        words: What was done.
    """

    job: Job
    changed: frozenset[Row]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """Past, present and future of a job.

    Attributes:
        present: The newest job.
        past: Steps that can be undone, latest last.
        future: Steps that can be done again, next last.
        changed: Rows that differ from the present before the last step, undo or redo.
        issued: Name of the revision at which undo stops; empty where there is none.
    """

    present: Job
    past: tuple[Step, ...] = ()
    future: tuple[Step, ...] = ()
    changed: frozenset[Row] = frozenset()
    issued: str = ""

    def done(self, edit: Edit) -> History:
        """The history with a deed done; a deed that changed nothing leaves no step."""
        if not edit.changed:
            return self
        step = Step(job=self.present, changed=edit.changed, words=edit.words)
        return replace(self, present=edit.job, past=(*self.past, step), future=(), changed=edit.changed)

    def undo(self) -> History:
        """The history with the last deed undone.

        Raises:
            EditRefused: There is nothing to undo, or it was issued.
        """
        if not self.past:
            raise EditRefused(
                f"Undo stops at {self.issued}, which was issued; change the job by new deeds."
                if self.issued
                else "There is nothing to undo."
            )
        step = self.past[-1]
        again = replace(step, job=self.present)
        return replace(self, present=step.job, past=self.past[:-1], future=(*self.future, again), changed=step.changed)

    def redo(self) -> History:
        """The history with the last undone deed done again.

        Raises:
            EditRefused: Nothing was undone since the last deed.
        """
        if not self.future:
            raise EditRefused("There is nothing to do again.")
        step = self.future[-1]
        back = replace(step, job=self.present)
        return replace(self, present=step.job, past=(*self.past, back), future=self.future[:-1], changed=step.changed)

    def stopped_at(self, issued: Edit, *, revision: str) -> History:
        """The history with an issue done: nothing before it can be undone any more."""
        return History(present=issued.job, changed=issued.changed, issued=revision)

    @property
    def undo_words(self) -> str | None:
        """Words of what undo would undo; None where it would be refused."""
        return self.past[-1].words if self.past else None

    @property
    def redo_words(self) -> str | None:
        """Words of what redo would do; None where it would be refused."""
        return self.future[-1].words if self.future else None
