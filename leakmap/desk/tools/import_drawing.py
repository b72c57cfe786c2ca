"""Import a drawing into the job on the desk: the file is chosen here and brought in by the sitting."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication, QFileDialog

from leakmap.desk.sitting import Sitting
from leakmap.desk.state import Desk
from leakmap.work.recent import recent


def import_drawing(desk: Desk) -> None:
    """Let the user choose a drawing; it becomes a level of the job."""
    sitting = desk.findChild(Sitting)
    assert isinstance(sitting, Sitting)
    folder = str(recent().folder or Path.home())
    over = QApplication.activeWindow()
    name, _ = QFileDialog.getOpenFileName(over, "Import drawing", folder, "Drawings (*.dxf *.DXF)")
    if name:
        sitting.open_file(Path(name))
