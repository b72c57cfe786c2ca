"""Field sheets from the window: made into a folder, and a filled table taken in after its findings were shown.

Making and reading run in a process of their own; what a table would do is listed in the plan's place, and done by a
button of the band.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog

from leakmap.base.counted import many
from leakmap.base.errors import UnusableFile, reason_of
from leakmap.base.findings import Effect
from leakmap.desk.long_work import told_work
from leakmap.desk.state import Desk
from leakmap.desk.trouble import Answer, Trouble
from leakmap.model.job import Job
from leakmap.work.field import FieldLeaks, FieldRows, field_papers, leaks_from, read_field, told
from leakmap.work.leaflets import Leaflet, Passage
from leakmap.work.papers import Papers, refuse_to_replace, staged

_TABLES: Final = "Filled tables (*.xlsx *.XLSX *.csv *.CSV);;All files (*)"
TABLE_ENDINGS: Final = (".xlsx", ".csv")
"""How the name of a filled table ends."""


def make_field_sheets(desk: Desk, paper: str | None = None) -> None:
    """Let the user choose a folder, and make the sheets and the table to fill there.

    Args:
        desk: The desk.
        paper: What they are printed on; None: the small paper of the job's office.
    """
    open_job, found = desk.open_job, desk.repairs
    if open_job is None or found is None:
        return
    chosen = QFileDialog.getExistingDirectory(None, "Where the field sheets go", str(open_job.file.path.parent))
    if chosen:
        folder, work = Path(chosen), told_work(desk)
        work.finished.connect(lambda made: desk.attempt(lambda: _put(desk, made, folder)))
        work.start(field_papers, open_job.job, open_job.repairs, at=open_job.hand.clock(), paper=paper)
        desk.working.emit(work)


def take_field_table(desk: Desk) -> None:
    """Let the user choose a filled table, and list what it would do."""
    open_job = desk.open_job
    if open_job is None or not desk.may_change():
        return
    name, _ = QFileDialog.getOpenFileName(None, "Take a field table in", str(open_job.file.path.parent), _TABLES)
    if name:
        read_field_table(desk, Path(name))


def read_field_table(desk: Desk, path: Path) -> None:
    """Read a filled table for the job on the desk, and list what it would do."""
    if desk.open_job is None:
        sentence = f"{path.name} is a table, and tables belong to a job; open the job first."
        desk.troubled.emit(Trouble(sentence=sentence))
    elif desk.may_change():
        desk.attempt(lambda: _read(desk, path))


def _read(desk: Desk, path: Path) -> None:
    assert desk.open_job is not None
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise UnusableFile(f"{path.name} could not be read: {reason_of(problem)}. Nothing was taken.") from None
    work = told_work(desk)
    work.finished.connect(lambda read: desk.attempt(lambda: offer_field_rows(desk, read)))
    work.start(read_field, content, path.name, desk.open_job.job.units)
    desk.working.emit(work)


def offer_field_rows(desk: Desk, read: object) -> None:
    """List in the plan's place what a table that was read would do to the job on the desk; a button does it."""
    assert isinstance(read, FieldRows)
    if desk.open_job is None:
        return
    found = leaks_from(desk.open_job.job, read)
    leaflet = field_leaflet(desk.open_job.job, read.name, found)

    def put_away() -> None:
        if desk.declared is leaflet:
            desk.show_declared(None)

    def take() -> None:
        put_away()
        if desk.open_job is not None and desk.may_change():
            edit = leaks_from(desk.open_job.job, read).edit  # of the job as it is by then
            if edit is not None:
                desk.do(edit)

    count = len(found.leaks)
    words = "Take it" if count == 1 else f"Take all {count}"
    answers = (Answer(words=words, give=lambda: desk.attempt(take)),) if found.edit is not None else ()
    desk.show_declared(leaflet)
    desk.troubled.emit(
        Trouble(sentence=_told(read.name, found), answers=answers, grave=False, left=put_away, keyboard=True)
    )


def field_leaflet(job: Job, name: str, found: FieldLeaks) -> Leaflet:
    """What taking a table would do, to be read before it is done: its leaks, and all that was noticed."""
    lost = [finding.text for finding in found.findings if finding.effect is Effect.LOST]
    other = [finding.text for finding in found.findings if finding.effect is not Effect.LOST]
    parts = (("Left out", lost), ("To look at", other), ("Leaks to take", list(told(job, found))))
    passages = tuple(Passage(heading, ("\n".join(lines),)) for heading, lines in parts if lines)
    hint = "Nothing is taken before you say so below." if found.leaks else "No row of it says a leak: nothing is taken."
    return Leaflet(title=name, hint=hint, passages=passages)


def _told(name: str, found: FieldLeaks) -> str:
    """What the band asks: how much can be taken, and how much is to be looked at first."""
    leaks = len(found.leaks)
    said = f"{name} has {many(leaks, 'leak') if leaks else 'no leaks'} to take"
    count = len(found.findings)
    if not count:
        return f"{said}."
    return f"{said}; {many(count, 'thing')} to look at first {'stands' if count == 1 else 'stand'} in the list above."


def _put(desk: Desk, made: object, folder: Path) -> None:
    assert isinstance(made, Papers)
    refuse_to_replace(folder, made.files)
    try:
        with staged(folder, made.files) as placed:
            placed()
    except OSError as problem:
        raise UnusableFile(f"{folder} takes no files: {reason_of(problem)}. Nothing was written.") from None
    show = Answer(words="Open the folder", give=lambda: QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder))))
    desk.troubled.emit(
        Trouble(sentence=f"Field sheets and the table are in {folder}.", answers=(show,), grave=False, waits=False)
    )
