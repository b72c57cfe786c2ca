"""Take the table of a file into a sheet of the job: what it holds is a deed, what it cannot hold is told."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from leakmap.desk.job_sheets import JOB_SHEETS, TableFile
from leakmap.desk.state import Desk
from leakmap.desk.things import Declared


def choose_table(desk: Desk, which: Declared, over: QWidget) -> None:
    """Ask for a file and take its table; the sheet that it is for shows it then."""
    if desk.open_job is None or not desk.may_change():
        return
    table = table_of(which)
    name, _ = QFileDialog.getOpenFileName(over, table.words, str(desk.open_job.file.path.parent), table.files)
    if name:
        take_table_of(desk, which, Path(name))


def take_table_of(desk: Desk, which: Declared, path: Path) -> None:
    """Take the table of a file, as one deed; rows that were left out are said, and so is a file that is none."""
    desk.attempt(lambda: _take(desk, which, path))


def table_of(which: Declared) -> TableFile:
    """The table that a sheet can be taken from."""
    table = JOB_SHEETS[which].table
    assert table is not None, "only a sheet that has a table is taken from one"
    return table


def _take(desk: Desk, which: Declared, path: Path) -> None:
    assert desk.open_job is not None
    edit = table_of(which).taken(desk.open_job.job, path)
    if edit.changed:
        desk.do(edit)
    else:
        for sentence in edit.said:
            desk.said.emit(sentence)
    desk.show_declared(which)
