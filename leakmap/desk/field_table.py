"""Field sheets from the window: made into a folder, and a filled table taken in after its findings were shown.

Making and reading run in a process of their own; what a table would do is told in the band and done by its button.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog

from leakmap.base.counted import many
from leakmap.base.errors import UnusableFile
from leakmap.desk.long_work import LongWork
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Answer, Trouble
from leakmap.work.field import FieldLeaks, FieldRows, field_papers, leaks_from, read_field
from leakmap.work.papers import Papers, refuse_to_replace, staged

_TABLES: Final = "Filled tables (*.xlsx *.XLSX *.csv *.CSV);;All files (*)"
_SHOWN: Final = 2
"""Findings that the band tells in full."""


def make_field_sheets(desk: Desk) -> None:
    """Let the user choose a folder, and make the sheets and the table to fill there."""
    open_job, found = desk.open_job, desk.repairs
    if open_job is None or found is None:
        return
    chosen = QFileDialog.getExistingDirectory(None, "Where the field sheets go", str(open_job.file.path.parent))
    if chosen:
        folder, work = Path(chosen), _begun(desk)
        work.finished.connect(lambda made: desk.attempt(lambda: _put(desk, made, folder)))
        work.start(field_papers, open_job.job, open_job.repairs, at=open_job.hand.clock())
        desk.working.emit(work)


def take_field_table(desk: Desk) -> None:
    """Let the user choose a filled table, and tell what it would do."""
    open_job = desk.open_job
    if open_job is None or not desk.may_change():
        return
    name, _ = QFileDialog.getOpenFileName(None, "Take a field table in", str(open_job.file.path.parent), _TABLES)
    if name:
        desk.attempt(lambda: _read(desk, Path(name)))


def _read(desk: Desk, path: Path) -> None:
    assert desk.open_job is not None
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise UnusableFile(f"{path.name} could not be read: {problem.strerror}. Nothing was taken.") from None
    work = _begun(desk)
    work.finished.connect(lambda read: desk.attempt(lambda: offer_field_rows(desk, read)))
    work.start(read_field, content, path.name, desk.open_job.job.units)
    desk.working.emit(work)


def offer_field_rows(desk: Desk, read: object) -> None:
    """Tell what a table that was read would do to the job on the desk, with a button that does it."""
    assert isinstance(read, FieldRows)
    if desk.open_job is None:
        return
    found = leaks_from(desk.open_job.job, read)

    def take() -> None:
        if desk.open_job is not None and desk.may_change():
            edit = leaks_from(desk.open_job.job, read).edit  # of the job as it is by then
            if edit is not None:
                desk.do(edit)

    answers = (Answer(words="Take them", give=lambda: desk.attempt(take)),) if found.edit is not None else ()
    desk.troubled.emit(Trouble(sentence=_told(read.name, found), answers=answers, grave=False))


def _told(name: str, found: FieldLeaks) -> str:
    sentences = [f"{name} has {many(len(found.leaks), 'leak')} to take."]
    sentences += [finding.text for finding in found.findings[:_SHOWN]]
    if len(found.findings) > _SHOWN:
        sentences.append(f"And {len(found.findings) - _SHOWN} more to look at.")
    return " ".join(sentences)


def _begun(desk: Desk) -> LongWork:
    work = LongWork(desk)
    work.failed.connect(lambda sentence: desk.troubled.emit(Trouble(sentence=sentence)))
    for ended in (work.finished, work.failed, work.stopped):
        ended.connect(work.deleteLater)
    return work


def _put(desk: Desk, made: object, folder: Path) -> None:
    assert isinstance(made, Papers)
    refuse_to_replace(folder, made.files)
    try:
        with staged(folder, made.files) as placed:
            placed()
    except OSError as problem:
        raise UnusableFile(f"{folder} takes no files: {problem.strerror}. Nothing was written.") from None
    show = Answer(words="Open the folder", give=lambda: QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder))))
    desk.troubled.emit(
        Trouble(sentence=f"Field sheets and the table are in {folder}.", answers=(show,), grave=False, waits=False)
    )
