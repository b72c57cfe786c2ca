"""Import a drawing into the job on the desk: the file is chosen and brought in by the sitting."""

from __future__ import annotations

from leakmap.desk.sitting import Sitting
from leakmap.desk.state import Desk


def import_drawing(desk: Desk) -> None:
    """Let the user choose a drawing; it becomes a level of the job."""
    sitting = desk.findChild(Sitting)
    assert isinstance(sitting, Sitting)
    sitting.choose_drawing()
