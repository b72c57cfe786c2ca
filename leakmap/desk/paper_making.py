"""Making the paper that is looked at, in a process of its own, watched in the band; what is wanted no more is given up."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final
from uuid import UUID

from PySide6.QtCore import QObject, Signal

from leakmap.desk.long_work import LongWork
from leakmap.desk.state import Desk
from leakmap.desk.things import Paper, Sort
from leakmap.desk.trouble import Trouble
from leakmap.work.previews import changes_preview, plan_set_preview, schedule_preview
from leakmap.work.revisions import sides_of

_FILES: Final = {Paper.MARKED: Paper.SCHEDULE}
"""In whose file a paper is, where it has none of its own."""


def picked_revisions(desk: Desk) -> tuple[UUID, ...]:
    """The revisions that are picked in the ledger."""
    return tuple(thing.key for thing in desk.picked if thing.sort is Sort.REVISION and isinstance(thing.key, UUID))


def made_of(desk: Desk) -> tuple[object, ...]:
    """What the file of the paper in the plan's place is made of besides the job: its kind first."""
    paper = desk.paper
    assert paper is not None
    more = picked_revisions(desk) if paper is Paper.CHANGES else (desk.draft,)
    return _FILES.get(paper, paper), *more


class PaperMaking(QObject):
    """Makes one file at a time.

    Attributes:
        work: What runs; None: nothing.
    """

    made = Signal(bytes)  # the PDF file
    broken_off = Signal()  # it failed, which the band tells
    stopped = Signal()  # the user stopped it

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self.desk = desk
        self.work: LongWork | None = None

    def begin(self) -> None:
        """Make the file of the paper that lies in the plan's place.

        Raises:
            LeakmapError: A drawing or a revision of the job cannot be read.
        """
        self.give_up()
        open_job, paper = self.desk.open_job, self.desk.paper
        assert open_job is not None
        drawings, at = open_job.drawings().drawings, open_job.hand.clock()
        sides = None
        if paper is Paper.CHANGES:
            sides = sides_of(open_job.job, picked_revisions(self.desk), open_job.file.blob)
            assert sides is not None  # the tool lays nothing out before the first issue
        work = self._new_work()
        if sides is not None:
            work.start(changes_preview, *sides, at=at, drawings=drawings)
        else:
            preview = plan_set_preview if paper is Paper.PLAN_SET else schedule_preview
            work.start(preview, open_job.job, purpose=self.desk.draft, at=at, drawings=drawings)
        self.desk.working.emit(work)

    def give_up(self) -> None:
        """End what runs, without a word."""
        work, self.work = self.work, None
        if work is not None:
            work.close()
            work.given_up.emit()
            work.deleteLater()

    def _new_work(self) -> LongWork:
        work = self.work = LongWork(self)
        work.finished.connect(lambda data: self._ended(lambda: self.made.emit(data)))
        work.failed.connect(lambda sentence: self._ended(lambda: self._tell(sentence)))
        work.stopped.connect(lambda: self._ended(self.stopped.emit))
        work.when_ended(work.deleteLater)
        return work

    def _ended(self, then: Callable[[], object]) -> None:
        self.work = None
        then()

    def _tell(self, sentence: str) -> None:
        self.broken_off.emit()
        self.desk.troubled.emit(Trouble(sentence=sentence))
