"""Choosing the file of a drawing: which endings are offered. What a file is, its content decides."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QFileDialog, QWidget

from leakmap.work.recent import recent

_ENDINGS: Final = ("dxf", "dwg", "pdf", "png", "jpg", "jpeg", "tif", "tiff")

DRAWINGS: Final = " ".join(f"*.{ending} *.{ending.upper()}" for ending in _ENDINGS)
FILTER: Final = f"Drawings, PDF and scans ({DRAWINGS});;All files (*)"
"""What the chooser offers: DXF, DWG, PDF, PNG, JPEG and TIFF."""


def chosen_drawing(over: QWidget | None, title: str) -> Path | None:
    """Let the user choose the file of a drawing; None where none was chosen.

    Args:
        over: The window that the chooser lies over.
        title: What it is chosen for.
    """
    known = recent()
    name, _ = QFileDialog.getOpenFileName(over, title, str(known.drawings or known.folder or Path.home()), FILTER)
    return Path(name) if name else None
