"""Take the table of a file into a sheet of the job: what it holds is a deed, what it cannot hold is told."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QFileDialog, QWidget

from leakmap.desk.job_sheets import JOB_SHEETS, TableFile
from leakmap.desk.state import Desk
from leakmap.desk.things import Declared
from leakmap.desk.trouble import Trouble

SHEET_TABLE: Final = ".toml"
"""How the name of such a table ends."""


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


def take_dropped_table(desk: Desk, path: Path) -> None:
    """Take a table that was dropped into the sheet that lies in the plan's place; without one it is asked for."""
    which = desk.declared
    if isinstance(which, Declared) and which in JOB_SHEETS and JOB_SHEETS[which].table is not None:
        if desk.may_change():
            take_table_of(desk, which, path)
        return
    sheets = " or ".join(sheet.title for sheet in JOB_SHEETS.values() if sheet.table is not None)
    first = "" if desk.open_job is not None else "a job, and "
    sentence = f"{path.name} was left alone, for it may belong to more than one sheet; open {first}{sheets}, and drop it there."
    desk.troubled.emit(Trouble(sentence=sentence, grave=False))


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
