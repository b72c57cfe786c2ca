"""Job files as the commands open them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from uuid import UUID

from leakmap.base.errors import BadValue, UnusableJobFile
from leakmap.console.places import job_path
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile, open_job_file
from leakmap.work.here import host, user
from leakmap.work.new_job import sheet_named


def job_in(words: str, *, at: datetime) -> Job:
    """The job in a file, opened only to look.

    Raises:
        UnusableJobFile: It is not there, or no usable job file.
    """
    with for_looking(words, at=at) as file:
        return file.job


@contextmanager
def for_looking(words: str, *, at: datetime) -> Iterator[JobFile]:
    """A job file opened only to look, whoever else has it open.

    Raises:
        UnusableJobFile: It is not there, or no usable job file.
    """
    with open_job_file(job_path(words), user=user(), host=host(), at=at, look_only=True) as file:
        yield file


@contextmanager
def for_change(words: str, *, at: datetime) -> Iterator[JobFile]:
    """A job file opened for change.

    Raises:
        UnusableJobFile: It is not there, no usable job file, or somebody else has it open.
    """
    with open_job_file(job_path(words), user=user(), host=host(), at=at) as file:
        if file.look_only:
            raise UnusableJobFile(f"{file.notice} Nothing was changed.", where=str(file.path))
        yield file


def sheet_called(job: Job, name: str) -> UUID:
    """The sheet of a name; outer spaces and capitals do not count.

    Raises:
        BadValue: There is none; the sentence names those that there are.
    """
    found = sheet_named(job, name)
    if found is None:
        names = ", ".join(sheet.name for sheet in job.sheets.values()) or "none"
        raise BadValue(f"There is no sheet {name}; the job has: {names}. Nothing was changed.")
    return found
