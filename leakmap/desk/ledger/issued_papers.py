"""Papers that were issued, opened from the job file: checked against their hashes, and looked at as copies that say what is old."""

from __future__ import annotations

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from leakmap.desk.copies import Copies
from leakmap.desk.state import Desk
from leakmap.model.revision import Paper
from leakmap.work.reprints import owner_of, reprint


class IssuedPapers:
    """Opens issued papers; their copies are gone when the window is."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._copies = Copies()

    def open(self, paper: Paper) -> None:
        """Show a paper in whatever program the system has for it; the band says what was found of its hash."""
        self._desk.attempt(lambda: self._open(paper))

    def _open(self, paper: Paper) -> None:
        open_job = self._desk.open_job
        assert open_job is not None
        owner = owner_of(open_job.job, paper)
        assert owner is not None
        made = reprint(open_job.job, owner, paper, open_job.file.blob)
        path = self._copies.put(made.name, made.content, paper.sha256)
        opened = QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
        how = "a copy is opened" if opened else f"no program here opens it, so its copy lies in {path.parent}"
        old = f", superseded by {made.by.name} and its copy says so" if made.by is not None else ""
        self._desk.said.emit(f"{paper.name} is as it was issued{old}, SHA-256 {paper.sha256}; {how}.")
