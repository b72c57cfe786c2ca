"""Papers that were issued, opened from the job file: checked against their hashes, and looked at as copies that say what is old."""

from __future__ import annotations

import tempfile
import weakref
from pathlib import Path
from shutil import rmtree

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from leakmap.base.errors import UnusableFile
from leakmap.base.file_names import safe_name
from leakmap.desk.state import Desk
from leakmap.model.revision import Paper
from leakmap.work.reprints import Reprint, owner_of, reprint


class IssuedPapers:
    """Opens issued papers; their copies are gone when the window is."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._folder: Path | None = None

    def open(self, paper: Paper) -> None:
        """Show a paper in whatever program the system has for it; the band says what was found of its hash."""
        self._desk.attempt(lambda: self._open(paper))

    def _open(self, paper: Paper) -> None:
        open_job = self._desk.open_job
        assert open_job is not None
        owner = owner_of(open_job.job, paper)
        assert owner is not None
        made = reprint(open_job.job, owner, paper, open_job.file.blob)
        path = self._put(made, paper.sha256)
        opened = QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
        how = "a copy is opened" if opened else f"no program here opens it, so its copy lies in {path.parent}"
        old = f", superseded by {made.by.name} and its copy says so" if made.by is not None else ""
        self._desk.said.emit(f"{paper.name} is as it was issued{old}, SHA-256 {paper.sha256}; {how}.")

    def _put(self, made: Reprint, sha256: str) -> Path:
        """Put a copy where programs can read it."""
        try:
            if self._folder is None:
                self._folder = Path(tempfile.mkdtemp(prefix="leakmap-papers-"))
                weakref.finalize(self, rmtree, self._folder, ignore_errors=True)
            folder = self._folder / sha256[:12]
            folder.mkdir(exist_ok=True)
            path = folder / safe_name(made.name)
            path.write_bytes(made.content)
        except OSError as problem:
            reason = problem.strerror or "the system gave no reason"
            raise UnusableFile(
                f"{made.name} could not be copied to look at it ({reason}); the job is whole."
            ) from problem
        return path
