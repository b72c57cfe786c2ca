"""When things of a job last changed, and when files were taken in: what the journal of the job file knows.

What was there when the file was made, and never touched since, has the day of that.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from datetime import date
from typing import Final
from uuid import UUID

from leakmap.base.errors import UnusableJobFile
from leakmap.model.job import Job
from leakmap.records.job_file import JobFile

_HASH: Final = re.compile(r'"([0-9a-f]{64})"')


class RowDays:
    """The days of one job file; each entry of its journal is read once.

    Where the journal is damaged it says nothing; the check of the file says where.
    """

    def __init__(self, file: JobFile) -> None:
        self._file = file
        self._made: date | None = None
        self._changed: dict[UUID, date] = {}
        self._received: dict[tuple[UUID, str], date] = {}
        self._read = {"joints": 0, "sheets": 0}
        with suppress(UnusableJobFile):
            made = file.made_at()
            self._made = None if made is None else made.date()

    def changed(self, job: Job) -> Mapping[UUID, date]:
        """The day on which each joint of a job last changed, undoing included."""
        for key, day, _ in self._news("joints"):
            self._changed[key] = day
        days = ((key, self._changed.get(key, self._made)) for key in job.joints)
        return {key: day for key, day in days if day is not None}

    def received(self, job: Job) -> Mapping[UUID, date]:
        """The day on which the file of each level's drawing was first under that level."""
        hashes = {key: sheet.source.sha256 for key, sheet in job.sheets.items() if sheet.source is not None}
        for key, day, row in self._news("sheets"):
            for sha256 in _HASH.findall(row):
                self._received.setdefault((key, sha256), day)
        days = ((key, self._received.get((key, sha256), self._made)) for key, sha256 in hashes.items())
        return {key: day for key, day in days if day is not None}

    def _news(self, collection: str) -> list[tuple[UUID, date, str]]:
        found: list[tuple[UUID, date, str]] = []
        with suppress(UnusableJobFile):
            for number, key, at, row in self._file.touched(collection, after=self._read[collection]):
                self._read[collection] = number
                found.append((key, at.date(), row))
        return found
