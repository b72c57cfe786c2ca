"""A job under work: its file, its history, and what is worked out of it.

Every finished deed is on disk when ``do`` returns. Clock, user and computer are passed in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from uuid import UUID

from leakmap.model.drawing import Drawing
from leakmap.model.faults import Row
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile, open_job_file
from leakmap.repair.results import Repairs
from leakmap.repair.work_out import repairs
from leakmap.work.edits.edit import Edit
from leakmap.work.history import History
from leakmap.work.job_drawings import JobDrawings, drawings_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Who works, on which computer, and what tells the time."""

    user: str
    host: str
    clock: Callable[[], datetime]


class OpenJob:
    """A job that is open for work, or to look at.

    Attributes:
        file: Its job file.
        repairs: The work-out of the job as kept.
    """

    def __init__(self, file: JobFile, hand: Hand) -> None:
        self.file = file
        self._hand = hand
        self._history = History(present=file.job)
        self.repairs = repairs(file.job)
        self._held: JobDrawings | None = None

    @property
    def job(self) -> Job:
        """The job as kept."""
        return self._history.present

    @property
    def look_only(self) -> bool:
        """Whether it can only be looked at."""
        return self.file.look_only

    @property
    def notice(self) -> str:
        """What the user should read first; empty when there is nothing to say."""
        return self.file.notice

    @property
    def today(self) -> date:
        """The day by the clock of whoever works."""
        return self._hand.clock().date()

    @property
    def undo_words(self) -> str | None:
        """Words of what undo would undo."""
        return self._history.undo_words

    @property
    def redo_words(self) -> str | None:
        """Words of what redo would do."""
        return self._history.redo_words

    def do(self, edit: Edit) -> None:
        """Do a deed: it is on disk when this returns.

        Raises:
            UnusableJobFile: It cannot be written; the deed is not done.
        """
        self._keep(self._history.done(edit), edit.words)

    def undo(self) -> frozenset[Row]:
        """Undo the last deed; gives the rows that differ."""
        words = self._history.undo_words or ""
        return self._keep(self._history.undo(), f"Undo {words}")

    def redo(self) -> frozenset[Row]:
        """Do the last undone deed again; gives the rows that differ."""
        words = self._history.redo_words or ""
        return self._keep(self._history.redo(), f"Redo {words}")

    def repairs_of(self, edit: Edit) -> Repairs:
        """The work-out of a job that is not kept, as a drag shows it."""
        return repairs(edit.job)

    def drawing(self, sheet: UUID) -> Drawing | None:
        """The drawing of a sheet as read; None for a blank sheet.

        Raises:
            UnusableJobFile: It is missing from the file, or damaged.
        """
        source = self.job.sheets[sheet].source
        if source is None:
            return None
        if self._held is None or source.sha256 not in self._held.drawings:
            self._held = drawings_of(self.file, self.job)
        return self._held.drawings[source.sha256]

    def close(self) -> None:
        """Let others open the file for change."""
        self.file.close()

    def _keep(self, history: History, words: str) -> frozenset[Row]:
        self.file.save(history.present, words=words, user=self._hand.user, at=self._hand.clock())
        self._history = history
        self.repairs = repairs(history.present)
        return history.changed


def opened(path: Path, hand: Hand) -> OpenJob:
    """Open a job file for work; where somebody else has it open, to look.

    Raises:
        UnusableJobFile: It is not there, no job file, damaged, or newer than this program.
    """
    return OpenJob(open_job_file(path, user=hand.user, host=hand.host, at=hand.clock()), hand)
