"""Open jobs for tests: a hand with a clock that the test turns, and a disk that is full for a while."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from leakmap.base.errors import NotWritten
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile, open_job_file
from leakmap.records.lock import Holder, take
from leakmap.work.open_job import Hand, OpenJob, made
from tests.helpers.job_files import database

ZONE = timezone(timedelta(hours=2))
MORNING = datetime(2026, 11, 2, 14, 2, tzinfo=ZONE)
GONE = 2**22 + 7
"""A process number that no system gives away."""


@dataclass(slots=True)
class Clock:
    """A clock that stands until it is turned."""

    now: datetime = MORNING

    def __call__(self) -> datetime:
        """The time."""
        return self.now

    def turn(self, minutes: float) -> None:
        """Let some minutes go by."""
        self.now += timedelta(minutes=minutes)


def hand(clock: Clock | None = None, *, user: str = "A. Rook", host: str = "site-laptop-1") -> Hand:
    """Somebody who works on a computer."""
    return Hand(user=user, host=host, clock=clock or Clock())


def new_job(folder: Path, job: Job, clock: Clock | None = None) -> OpenJob:
    """A job in a new file, open for work."""
    return made(folder / "pit.gpkg", job, hand(clock))


def kept_in(path: Path) -> Job:
    """The job that a file holds, as anybody else sees it."""
    with open_job_file(path, user="B. Teal", host="site-laptop-2", at=MORNING, look_only=True) as file:
        return file.job


def entries_of(path: Path) -> list[tuple[str, str]]:
    """Kind and words of every entry of a file's journal, oldest first."""
    with database(path) as connection:
        return connection.execute("SELECT kind, words FROM journal ORDER BY fid").fetchall()


def leave_lock(path: Path, at: datetime, *, process: int = GONE, host: str = "site-laptop-1") -> None:
    """Leave the lock row of a process behind, as when it was killed."""
    with database(path) as connection:
        take(connection, Holder(host=host, user="A. Rook", process=process, since=at))


@contextmanager
def full_disk(file: JobFile) -> Iterator[None]:
    """While this lasts, every save of a file fails as on a full disk, before anything is written."""
    save = file.save

    def refused(*_: Any, **__: Any) -> None:  # noqa: ANN401 - as save is called
        raise NotWritten("The disk is full.", why="disk full", where=str(file.path))

    file.save = refused  # type: ignore[method-assign]
    try:
        yield
    finally:
        file.save = save  # type: ignore[method-assign]
