"""What revisions came to, for the ledger: read aside from the job file, each once."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from PySide6.QtCore import QObject, Signal

from leakmap.desk.aside import Aside
from leakmap.desk.state import Desk
from leakmap.work.issued_sums import IssuedSum, issued_sums


class IssuedSums(QObject):
    """The sums of the revisions of the job on the desk.

    Args:
        desk: The desk.
        parent: Its owner.
    """

    done = Signal()  # sums that were asked for are known

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._known: dict[str, IssuedSum | None] = {}  # by the hash of the schedule
        self._aside: Aside | None = None

    def look(self) -> Mapping[UUID, IssuedSum]:
        """The sums that are known; others are read, and then told as done."""
        open_job = self._desk.open_job
        if open_job is None:
            return {}
        revisions = open_job.job.revisions
        unknown = tuple({each.schedule_sha256 for each in revisions.values()} - self._known.keys())
        if unknown and self._aside is None:
            blob_of = open_job.file.blob_apart
            self._aside = aside = Aside(lambda: issued_sums(unknown, blob_of), self._desk)  # and ends with the desk
            aside.finished.connect(self._take)
            aside.broken.connect(self._forget)
        sums = ((key, self._known.get(each.schedule_sha256)) for key, each in revisions.items())
        return {key: found for key, found in sums if found is not None}

    def settle(self) -> None:
        """Wait for sums that are being read; for pictures and tests."""
        while self._aside is not None:
            self._aside.settle()

    def _take(self, found: object) -> None:
        assert isinstance(found, Mapping)
        self._aside = None
        self._known |= found
        self.done.emit()

    def _forget(self) -> None:
        self._aside = None
