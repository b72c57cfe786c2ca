"""A marked drawing that holds the job it was issued from: whether the job is taken, or the drawing alone, is asked.

The file is looked into aside, and its job read in a process of its own; Esc stops either.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject

from leakmap.desk.aside import WatchedAside
from leakmap.desk.long_work import LongWork
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Answer, Trouble
from leakmap.desk.watched import Watched

if TYPE_CHECKING:
    from leakmap.work.from_marked import FromMarked

QUESTION: Final = "{name} was marked by leakmap and holds the job as it was issued."
TAKE_JOB: Final = "Take the job"
TAKE_DRAWING: Final = "Take the drawing alone"

Take = Callable[[Path, "FromMarked"], object]
"""Is given the file and the job that was read out of it."""


class MarkedIn(QObject):
    """What looks into drawings for our record, one at a time.

    Args:
        desk: Shows the work, the question, and whatever goes wrong.
        take: Is given the job, where it is wanted.
        parent: Its owner.
    """

    def __init__(self, desk: Desk, take: Take, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._take = desk, take
        self._work: Watched | None = None
        self._looking: WatchedAside | None = None

    def ask(self, path: Path, drawing: Callable[[Path], object], others: tuple[Path, ...] = ()) -> None:
        """Ask what of a file is taken, where it may hold a job.

        Args:
            path: The file.
            drawing: Is given it where it is taken as a drawing, at once where it holds nothing else.
            others: Files that came with it: marked drawings of the same issue hold the drawings of other levels.
        """
        from leakmap.work.marked_file import may_hold_record  # noqa: PLC0415 - late

        self.leave()
        work = self._looking = WatchedAside(lambda progress: may_hold_record(path, progress=progress), self)
        self._watch(work)
        work.finished.connect(lambda holds: self._ask(path, drawing, others) if holds else drawing(path))
        self._desk.working.emit(work)

    def settle(self) -> None:
        """Wait until it is known whether a file holds a job, if need be."""
        if self._looking is not None:
            self._looking.settle()

    def leave(self) -> None:
        """Look no further."""
        work, self._work, self._looking = self._work, None, None
        if work is not None:
            work.stop()

    def _ask(self, path: Path, drawing: Callable[[Path], object], others: tuple[Path, ...]) -> None:
        alone = Answer(words=TAKE_DRAWING, give=lambda: drawing(path))
        answers = (Answer(words=TAKE_JOB, give=lambda: self._read((path, *others), alone)), alone)
        sentence = QUESTION.format(name=path.name)
        self._desk.troubled.emit(Trouble(sentence=sentence, answers=answers, grave=False, keyboard=True))

    def _read(self, files: tuple[Path, ...], alone: Answer) -> None:
        from leakmap.work.marked_file import job_in_marked_file  # noqa: PLC0415 - late

        self.leave()
        work = LongWork(self)
        self._watch(work)
        work.finished.connect(lambda found: self._take(files[0], found))
        work.failed.connect(lambda words: self._desk.troubled.emit(Trouble(sentence=words, answers=(alone,))))
        work.when_ended(work.deleteLater)
        work.start(job_in_marked_file, files[0], files[1:])
        self._desk.working.emit(work)

    def _watch(self, work: Watched) -> None:
        self._work = work
        work.when_ended(lambda: self._ended(work))

    def _ended(self, work: Watched) -> None:
        if self._work is work:
            self._work = self._looking = None
