"""Photos on their way to a leak: chosen or dropped, read apart, kept in the job file aside, then added as one deed."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import Final
from uuid import UUID

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QFileDialog

from leakmap.base.errors import LeakmapError
from leakmap.desk.long_work import told_work
from leakmap.desk.one_aside import OneAside
from leakmap.desk.state import Desk
from leakmap.desk.things import Sort, Thing
from leakmap.desk.trouble import trouble_of
from leakmap.model.leak import Leak
from leakmap.work.edits.leaks import add_photos
from leakmap.work.open_job import OpenJob
from leakmap.work.photos import PHOTO_ENDINGS, NewPhoto, read_photos

_ENDINGS: Final = " ".join(f"*{ending} *{ending.upper()}" for ending in PHOTO_ENDINGS)
_FILTER: Final = f"Photos ({_ENDINGS});;All files (*)"
NO_LEAK: Final = "Pick the leak that the photo shows, then press P; or drop the photo on the leak."


def picked_leak(desk: Desk) -> Leak | None:
    """The leak that is picked, where it is the only thing; None for none."""
    if len(desk.picked) != 1 or desk.picked[0].sort is not Sort.LEAK or desk.job is None:
        return None
    key = desk.picked[0].key
    return desk.job.leaks.get(key) if isinstance(key, UUID) else None


def choose_photos(desk: Desk) -> None:
    """Let the user choose photos of the picked leak."""
    leak = picked_leak(desk)
    if leak is None:
        desk.said.emit(NO_LEAK)
    elif desk.may_change() and desk.open_job is not None:
        folder = str(desk.open_job.file.path.parent)
        names, _ = QFileDialog.getOpenFileNames(QApplication.activeWindow(), f"Photos of {leak.ref}", folder, _FILTER)
        if names:
            desk.photos_given.emit(leak.id, tuple(map(Path, names)))


def are_photos(paths: Iterable[Path]) -> bool:
    """Whether files may be photos by their names, and there are any."""
    endings = {path.suffix.lower() for path in paths}
    return bool(endings) and endings <= set(PHOTO_ENDINGS)


class PhotosIn(QObject):
    """What adds photos to leaks of the job on the desk.

    Args:
        desk: The desk.
        asides: What is done aside with whole files.
        parent: Its owner.
    """

    def __init__(self, desk: Desk, asides: OneAside, parent: QObject) -> None:
        super().__init__(parent)
        self._desk, self._asides = desk, asides
        desk.photos_given.connect(self.add)

    def add(self, leak: UUID, paths: tuple[Path, ...]) -> None:
        """Read photos, and add them to a leak; all of them or none."""
        open_job = self._desk.open_job
        if open_job is None or not self._desk.may_change():
            return
        work = told_work(self._desk)
        work.finished.connect(partial(self._keep, open_job, leak))
        work.start(read_photos, paths)
        self._desk.working.emit(work)

    def _keep(self, open_job: OpenJob, leak: UUID, new: tuple[NewPhoto, ...]) -> None:
        self._asides.settle()
        if self._desk.open_job is not open_job or leak not in open_job.job.leaks:
            return

        def add(_outcome: object) -> None:
            open_job.end_keeping(None)
            if leak in open_job.job.leaks:
                self._desk.do(add_photos(open_job.job, leak=leak, photos=[each.photo for each in new]))
                self._desk.pick(Thing(Sort.LEAK, leak))

        def leave(problem: LeakmapError) -> None:
            self._desk.troubled.emit(trouble_of(problem))
            open_job.end_keeping(None)

        self._desk.attempt(lambda: self._asides.go(open_job.begin_keeping(*new), add, leave))
