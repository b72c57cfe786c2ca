"""Take a material table from a file into the job: what it holds is a deed, what it cannot hold is told."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QFileDialog, QWidget

from leakmap.desk.state import Desk
from leakmap.desk.things import Declared
from leakmap.work.material_lines import materials_taken

TAKE_TABLE: Final = "Take a material table in"
_TABLES: Final = "Material tables (*.toml)"


def choose_materials(desk: Desk, over: QWidget) -> None:
    """Ask for a file and take its table; the sheet of materials shows it then."""
    if desk.open_job is None or not desk.may_change():
        return
    name, _ = QFileDialog.getOpenFileName(over, TAKE_TABLE, str(desk.open_job.file.path.parent), _TABLES)
    if name:
        take_materials_of(desk, Path(name))


def take_materials_of(desk: Desk, path: Path) -> None:
    """Take the table of a file, as one deed; rows that were left out are said, and so is a file that is none."""
    desk.attempt(lambda: _take(desk, path))


def _take(desk: Desk, path: Path) -> None:
    assert desk.open_job is not None
    edit = materials_taken(desk.open_job.job, path)
    if edit.changed:
        desk.do(edit)
    else:
        for sentence in edit.said:
            desk.said.emit(sentence)
    desk.show_declared(Declared.MATERIALS)
