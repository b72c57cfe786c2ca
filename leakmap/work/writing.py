"""The deeds of a job on their way into its file.

Where one cannot be written for the time being, because the disk is full, it waits in memory with those after it, in
their order, until it is tried again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from leakmap.base.errors import LeakmapError, NotWritten, UnusableJobFile
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile
from leakmap.records.journal import Deed

ON_DISK: Final = "all changes on disk"
_FULL: Final = "disk full"
_ELSEWHERE: Final = "changed elsewhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Waiting:
    """A deed that is not on disk yet."""

    job: Job
    deed: Deed
    words: str


class Writing:
    """What is to be written, and why it is not yet.

    Args:
        file: The job file.
        user: Who works.
        clock: Tells the time.
    """

    def __init__(self, file: JobFile, *, user: str, clock: Callable[[], datetime]) -> None:
        self._file, self._user, self._clock = file, user, clock
        self._waiting: list[_Waiting] = []
        self._why = ""

    @property
    def words(self) -> str:
        """Whether everything is on disk, in the words of the foot."""
        return f"not saved: {self._why}" if self._waiting else ON_DISK

    @property
    def unsaved(self) -> str:
        """What the user should know of what is not on disk, as a sentence; empty when all of it is."""
        if not self._waiting:
            return ""
        if self._why == _FULL:
            return "The disk is full. Your work is safe in memory; free some space and it saves by itself."
        if self._why == _ELSEWHERE:
            return (
                f"{self._file.path.name} was taken over or changed elsewhere, and your last {len(self._waiting)} changes"
                " are only in memory. Take note of them, close the job and open it again."
            )
        return (
            f"{self._file.path.name} cannot be written now ({self._why}). Your work is safe in memory and saves by"
            " itself as soon as that has passed."
        )

    def refusal(self) -> NotWritten:
        """The error of what needs everything on disk."""
        return NotWritten(self.unsaved, why=self._why, where=str(self._file.path))

    def add(self, job: Job, deed: Deed, words: str) -> None:
        """Write a deed, or let it wait.

        Args:
            job: The job after it.
            deed: What was done.
            words: What it is called.

        Raises:
            UnusableJobFile: Somebody else took the file over or changed it; the deed does not wait.
        """
        self._waiting.append(_Waiting(job=job, deed=deed, words=words))
        try:
            self.retry()
        except LeakmapError:
            del self._waiting[-1]
            raise

    def retry(self) -> bool:
        """Write what waits; whether everything is on disk now.

        Raises:
            UnusableJobFile: Somebody else took the file over or changed it; what waits stays in memory.
        """
        while self._waiting:
            first = self._waiting[0]
            try:
                self._file.save(first.job, words=first.words, user=self._user, at=self._clock(), deed=first.deed)
            except NotWritten as problem:
                self._why = problem.why
                return False
            except UnusableJobFile:
                self._why = _ELSEWHERE
                raise
            del self._waiting[0]
        return True
