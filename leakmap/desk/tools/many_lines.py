"""Many lines of a drawing at once, in slices that Esc stops: what they lie on, and the deed that makes joints of them."""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from typing import Final
from uuid import UUID

from leakmap.desk.slices import Slices
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Trouble
from leakmap.model.job import Job
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.taking import taking
from leakmap.work.offering import Offering
from leakmap.work.open_job import OpenJob
from leakmap.work.proposals import AsJoint, Proposal

AT_ONCE: Final = 100
"""Lines that are done between two frames; more of them in slices (ours)."""

CHANGED: Final = "The job was changed meanwhile, so none of the lines was taken; take them again."


class ManyLines:
    """One work on many lines at a time.

    Args:
        desk: The desk; it owns the work.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._looking: Slices | None = None
        self._taking: Slices | None = None

    @property
    def taking(self) -> bool:
        """Whether joints are being made."""
        return self._taking is not None

    def look(self, offering: Offering, job: Job, as_joint: AsJoint, *, then: Callable[[], object]) -> bool:
        """Look for what many lines of an offer lie on; whether that takes slices.

        Args:
            offering: The offer; layers of which not everything is known are put back where it is stopped.
            job: The job as kept.
            as_joint: What the lines would become.
            then: Follows when it has ended or was stopped.
        """
        self.give_up_looking()
        count = len(offering.unlooked(job, as_joint))
        if count <= AT_ONCE:
            return False

        def ended() -> None:
            self._looking = None
            then()

        def stopped() -> None:
            offering.put_back_unlooked(job, as_joint)
            ended()

        self._looking = work = Slices("Comparing lines with joints", count, offering.looking(job, as_joint), self._desk)
        work.finished.connect(lambda _none: ended())
        work.stopped.connect(stopped)
        self._desk.working.emit(work)
        return True

    def give_up_looking(self) -> None:
        """Look no more; nothing follows."""
        work, self._looking = self._looking, None
        if work is not None:
            work.give_up()

    def take(
        self, sheet: UUID, proposals: Sequence[Proposal], as_joint: AsJoint, *, then: Callable[[Edit | None], object]
    ) -> None:
        """Make joints of many proposals, as one step of undo.

        Args:
            sheet: The sheet of the drawing.
            proposals: What is taken.
            as_joint: What they become.
            then: Is given the deed, before it is done; None: it came to nothing.
        """
        desk, open_job = self._desk, self._desk.open_job
        assert open_job is not None
        job = open_job.job

        def ended(edit: Edit | None, sentence: str = "") -> None:
            self._taking = None
            if edit is not None and (desk.open_job is not open_job or open_job.job is not job):
                edit, sentence = None, CHANGED
            if sentence:
                desk.troubled.emit(Trouble(sentence=sentence))
            then(edit)

        steps = _ahead(open_job, taking(job, sheet=sheet, proposals=proposals, as_joint=as_joint))
        self._taking = work = Slices("Making joints of lines", len(proposals), steps, desk)
        work.finished.connect(ended)
        work.failed.connect(lambda sentence: ended(None, sentence))
        work.stopped.connect(lambda: ended(None))
        desk.working.emit(work)


def _ahead(open_job: OpenJob, steps: Generator[int, None, Edit]) -> Generator[int, None, Edit]:
    """The deed, worked out already when it is done; the last is a slice of its own."""
    edit = yield from steps
    open_job.work_ahead(edit)
    yield len(edit.made)
    return edit
