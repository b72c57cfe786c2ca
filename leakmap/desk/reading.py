"""Reading a drawing in a process of its own: progress in words, a sketch while it is read, a stop that is felt.

A file of several pages is leafed through first, in a process of its own as well.

The drawing comes back packed as a job file keeps it, and is used as it lies there. What comes out is a
``NewDrawing``, ready to be brought into a job.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import numpy as np
from PySide6.QtCore import QObject, Signal

from leakmap.base.file_names import safe_name
from leakmap.desk.aside import Aside
from leakmap.desk.long_work import Errand
from leakmap.drawings.asked import LOCKED, Asked, ask
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.leafing import Leaf
from leakmap.drawings.opening import AS_IT_IS
from leakmap.drawings.packed import unpacked
from leakmap.drawings.worker import CONTENT, DIGEST
from leakmap.model.sheet import Reading as How
from leakmap.model.sheet import Source
from leakmap.work.job_drawings import NewDrawing, source_of


class FileErrand(Errand):
    """Base of what is done with one drawing file.

    Attributes:
        locked: Whether it failed because the file opens with a password only, or with another one.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.locked = False

    def _fail(self, sentence: str) -> None:
        self.locked = self._folder is not None and (self._folder / LOCKED).exists()
        super()._fail(sentence)


class Leafing(FileErrand):
    """Leafs through the pages of one file, so that the user can choose.

    Signals besides those of its base: ``seen`` gives each ``Leaf`` with the bytes of its thumbnail as a PNG file, empty
    where it has none. ``finished`` gives how many pages there are; where there is but one, none was seen.
    """

    seen = Signal(object, bytes)

    broken = "The pages could not be looked at through a fault of leakmap; nothing was changed. Try it again."

    def start(self, file: Path, *, password: str | None = None) -> None:
        """Start to leaf through a file."""
        folder = self._open_folder()
        ask(folder, Asked(password=password))
        self._begin("leakmap.drawings.leafing", str(file.absolute()), str(folder))

    def enough(self, count: int) -> None:
        """End at once as if all pages had been seen; so many are told."""
        if self.running:
            self.close()
            self.finished.emit(count)

    def _part(self, name: str) -> None:
        assert self._folder is not None
        leaf = Leaf(**json.loads((self._folder / name).read_text(encoding="utf-8")))
        self.seen.emit(leaf, (self._folder / leaf.picture).read_bytes() if leaf.picture else b"")

    def _take(self, name: str) -> None:
        assert self._folder is not None
        self._finish(json.loads((self._folder / name).read_text(encoding="utf-8")))


class Reading(FileErrand):
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
        self._how = AS_IT_IS

    def start(
        self, file: Path, *, m_per_unit: float | None = None, how: How = AS_IT_IS, password: str | None = None
    ) -> None:
        """Start to read a file.

        Args:
            file: The drawing.
            m_per_unit: Metres of one drawing unit, when the user knows it.
            how: Which part of it is read, and how.
            password: What opens it; None for none. It is kept nowhere.
        """
        folder = self._open_folder()
        self._name, self._m_per_unit, self._how = file.name, m_per_unit, how
        ask(folder, Asked(m_per_unit=m_per_unit, reading=how, password=password))
        self._begin("leakmap.drawings.worker", str(file.absolute()), str(folder))

    def start_again(
        self, source: Source, content: Callable[[], bytes], how: How, *, password: str | None = None
    ) -> None:
        """Start to read a file that a job keeps, in another way.

        Args:
            source: The file, as a level names it.
            content: Gives its bytes, in another thread.
            how: Which part of it is read, and how.
            password: What opens it; None for none. It is kept nowhere.
        """
        folder = self._open_folder()
        self._name, self._m_per_unit, self._how = source.name, source.unit, how
        file = folder / "source" / safe_name(source.name)
        file.parent.mkdir()
        ask(folder, Asked(m_per_unit=source.unit, reading=how, password=password))

        def put() -> None:
            data = content()
            with suppress(FileNotFoundError):  # it was stopped, and the folder is gone
                file.write_bytes(data)

        aside = Aside(put, self)
        aside.finished.connect(lambda _: self._begin_reading(file))
        aside.failed.connect(lambda problem: self._fail(str(problem)) if self.running else None)

    def _progress(self, words: str, done: int, total: int | None, share: float | None) -> None:
        """The band says which file is read, then how far that is."""
        name = self._name.replace(", ", ",\N{NO-BREAK SPACE}")  # what stands before the first comma is the band's title
        super()._progress(f"Reading {name}, {words}", done, total, share)

    def _begin_reading(self, file: Path) -> None:
        if self.running and not self._stopping:
            self._begin("leakmap.drawings.worker", str(file), str(self._folder))

    def _part(self, name: str) -> None:
        assert self._folder is not None
        self.piece.emit(np.load(self._folder / name))

    def _take(self, name: str) -> None:
        assert self._folder is not None
        content, kept = ((self._folder / part).read_bytes() for part in (CONTENT, name))
        digest = (self._folder / DIGEST).read_text(encoding="ascii")
        drawing = unpacked(kept)
        source = source_of(
            self._name,
            digest,
            drawing,
            m_per_unit=self._m_per_unit,
            reading=self._how,
            on_paper=kind_of(content) is FileKind.PDF,
        )
        self._finish(NewDrawing(source=source, content=content, drawing=drawing, kept=kept))
