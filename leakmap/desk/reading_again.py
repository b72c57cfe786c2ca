"""A file that a job keeps, read again: in another way, or because what was read of it was not kept."""

from __future__ import annotations

from collections.abc import Callable

from leakmap.desk.pages_in import password_asked
from leakmap.desk.reading import Reading
from leakmap.desk.state import Desk
from leakmap.model.sheet import Reading as How
from leakmap.model.sheet import Source
from leakmap.work.job_drawings import NewDrawing
from leakmap.work.open_job import OpenJob


def read_again(
    desk: Desk,
    open_job: OpenJob,
    source: Source,
    how: How,
    take: Callable[[NewDrawing], object],
    *,
    failed: Callable[[str], object],
    left: Callable[[], object],
    why: str = "",
    password: str | None = None,
) -> None:
    """Read a file that a job keeps; where it is locked, its password is asked for until it is right.

    Args:
        desk: Shows the work in its band, and asks.
        open_job: The job.
        source: The file, as a level names it.
        how: Which part of it is read, and how.
        take: Is given what was read, inside ``Desk.attempt``.
        failed: Is given the sentence that says why it could not be read.
        left: What follows when the work was stopped, or no password was given.
        why: Why it is read again, as a sentence before the question for the password; empty where that is plain.
        password: What opens the file; None for none.
    """
    reading = Reading(desk)

    def open_with(typed: str) -> None:
        read_again(desk, open_job, source, how, take, failed=failed, left=left, why=why, password=typed)

    def fail(sentence: str) -> None:
        if reading.locked:
            wrong = sentence if password is not None else ""
            desk.troubled.emit(password_asked(source.name, open_with, left=left, why=why, wrong=wrong))
        else:
            failed(sentence)

    reading.finished.connect(lambda new: desk.attempt(lambda: take(new)))
    reading.failed.connect(fail)
    reading.stopped.connect(left)
    reading.when_ended(reading.deleteLater)
    reading.start_again(source, lambda: open_job.held.content_apart(source), how, password=password)
    desk.working.emit(reading)
