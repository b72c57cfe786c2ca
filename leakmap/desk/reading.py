"""Reading a drawing in a process of its own: progress in words, a sketch while it is read, a stop that is felt.

The drawing comes back packed as a job file keeps it, and is used as it lies there. What comes out is a
``NewDrawing``, ready to be brought into a job.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PySide6.QtCore import QObject, Signal

from leakmap.desk.long_work import Errand
from leakmap.drawings.asked import Asked, ask
from leakmap.drawings.packed import unpacked
from leakmap.drawings.worker import CONTENT, DIGEST
from leakmap.work.job_drawings import NewDrawing, source_of


class Reading(Errand):
    """Reads one drawing file.

    Signals besides those of its base: ``piece`` gives lines of a sketch as they come, an array
    ``(n, 4)`` of x, y, x, y in drawing units; ``Backdrop.grow`` takes it. ``finished`` gives a ``NewDrawing``.
    """

    piece = Signal(object)

    broken = "The drawing could not be read through a fault of leakmap; nothing was changed. Try it again."

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._name = ""
        self._m_per_unit: float | None = None

    def start(self, file: Path, *, m_per_unit: float | None = None) -> None:
        """Start to read a file.

        Args:
            file: The drawing.
            m_per_unit: Metres of one drawing unit, when the user knows it.
        """
        folder = self._open_folder()
        self._name, self._m_per_unit = file.name, m_per_unit
        ask(folder, Asked(m_per_unit=m_per_unit))
        self._begin("leakmap.drawings.worker", str(file.absolute()), str(folder))

    def _part(self, name: str) -> None:
        assert self._folder is not None
        self.piece.emit(np.load(self._folder / name))

    def _take(self, name: str) -> None:
        assert self._folder is not None
        content, kept = ((self._folder / part).read_bytes() for part in (CONTENT, name))
        digest = (self._folder / DIGEST).read_text(encoding="ascii")
        drawing = unpacked(kept)
        source = source_of(self._name, digest, drawing, m_per_unit=self._m_per_unit)
        self._finish(NewDrawing(source=source, content=content, drawing=drawing, kept=kept))
