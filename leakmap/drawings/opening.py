"""Opening a drawing of any kind; the kind is decided by the content, not by the ending of the name."""

from __future__ import annotations

from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.dxf.read import read_dxf
from leakmap.model.drawing import Drawing


def read_drawing(name: str, data: bytes, *, m_per_unit: float | None = None, progress: Progress = UNWATCHED) -> Drawing:
    """The drawing in a file, with findings on what was fixed, lost, or should be looked at.

    Args:
        name: Name of the file, for messages.
        data: Its content.
        m_per_unit: Metres of one drawing unit, when the user knows it; greater than zero.
        progress: Watches.

    Raises:
        UnusableDrawing: Nothing of it could be used, or its kind is not read yet; one sentence says why.
        Stopped: The watcher asked to stop.
    """
    return read_dxf(data, m_per_unit=m_per_unit, name=name, progress=progress)
