"""Reading a drawing in a process of its own: progress in words, a sketch while it is read, a stop that is felt.

The lines come back as files that are mapped into memory; texts are taken some thousands at a time
between two frames. What comes out is a ``NewDrawing``, ready to be brought into a job.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal

from leakmap.desk.long_work import Errand
from leakmap.drawings.worker import CONTENT, KEPT, head_in, taken, texts_in
from leakmap.model.drawing import Drawing, Strokes, Text
from leakmap.model.sheet import Source
from leakmap.work.job_drawings import NewDrawing


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
        self._head: dict[str, Any] = {}
        self._coming: Iterator[tuple[Text, ...]] = iter(())
        self._texts: list[Text] = []

    def start(self, file: Path, *, m_per_unit: float | None = None) -> None:
        """Start to read a file.

        Args:
            file: The drawing.
            m_per_unit: Metres of one drawing unit, when the user knows it.
        """
        folder = self._open_folder()
        self._name, self._m_per_unit, self._texts = file.name, m_per_unit, []
        unit = () if m_per_unit is None else (repr(m_per_unit),)
        self._begin("leakmap.drawings.worker", str(file.absolute()), str(folder), *unit)

    def _part(self, name: str) -> None:
        assert self._folder is not None
        self.piece.emit(np.load(self._folder / name))

    def _take(self, name: str) -> None:  # noqa: ARG002 - the head
        assert self._folder is not None
        self._head = head_in(self._folder)
        self._coming = texts_in(self._folder, self._head)
        self._take_texts()

    def _take_texts(self) -> None:
        """Take some texts; the rest after the next frame."""
        if self._stopping or self._folder is None:
            return
        some = next(self._coming, None)
        if some is None:
            self._finish(self._new_drawing(self._folder))
        else:
            self._texts += some
            QTimer.singleShot(0, self._take_texts)

    def _new_drawing(self, folder: Path) -> NewDrawing:
        drawing = _on_its_own(taken(folder, self._head, tuple(self._texts)))
        source = Source(name=self._name, sha256=self._head["sha256"], unit=self._m_per_unit)
        content, kept = ((folder / name).read_bytes() for name in (CONTENT, KEPT))
        return NewDrawing(source=source, content=content, drawing=drawing, kept=kept)


def _on_its_own(drawing: Drawing) -> Drawing:
    """The drawing, independent of its files: where a mapped file cannot be removed, its arrays are copied."""
    if os.name != "nt":
        return drawing  # a removed file stays for as long as it is mapped
    strokes = Strokes(*(np.array(getattr(drawing.strokes, name)) for name in ("xy", "starts", "layer")))
    return Drawing(
        drawing.origin, drawing.layers, strokes, drawing.texts, drawing.unit, drawing.shown, drawing.findings
    )
