"""The process that reads a drawing file, so that reading never stalls a window and can be stopped.

    python -m leakmap.drawings.worker FILE FOLDER

The folder may hold what is asked for (``leakmap.drawings.asked``). What it says on its standard output is told in
``leakmap.base.telling``. Parts that it names while it reads are sketches (``.npy``, lines as ``(n, 4)``: x, y, x, y in
drawing units). At the end the folder holds:

* ``content``: the file as it was read, and ``sha256``: its hash;
* ``kept``: the drawing packed as a job file keeps it; its name is told last.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Final

import numpy as np

from leakmap.base.errors import UnusableDrawing
from leakmap.base.progress import Progress
from leakmap.base.telling import Teller
from leakmap.drawings.asked import Asked, answered
from leakmap.drawings.first_look import FirstLook
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.limits import Watched, most_bytes, silent_s
from leakmap.drawings.opening import read_here
from leakmap.drawings.packed import packed
from leakmap.model.drawing import Drawing

CONTENT: Final = "content"
DIGEST: Final = "sha256"
KEPT: Final = "kept"
READING: Final = "Reading the file"
BUILDING: Final = "Building the drawing"
CHECKING: Final = "Checking the drawing"
DRAWING: Final = "Drawing the lines"
CUTTING: Final = "Reading the picture"
KEEPING: Final = "Keeping the drawing"

SHARES: Final = {
    READING: (0.0, 0.31),
    BUILDING: (0.31, 0.63),
    CHECKING: (0.63, 0.73),
    DRAWING: (0.73, 0.89),
    "Laying the lines flat": (0.89, 0.93),
    KEEPING: (0.93, 1.0),
}
"""From and to which share of the time each step takes, measured on drawings of many lines."""

_OTHER_SHARES: Final = {
    FileKind.PDF: {DRAWING: (0.0, 0.4), "Rendering the page": (0.4, 0.7), CUTTING: (0.7, 0.93), KEEPING: (0.93, 1.0)},
    FileKind.PICTURE: {CUTTING: (0.0, 0.93), KEEPING: (0.93, 1.0)},
}
"""The same where there are no lines to be read from a text."""

AS_IT_IS: Final = Asked()
"""The first page of a file, and all of it, in the unit that it hints at."""

_FEW: Final = 1000


class Course:
    """Progress of a reading: every step as a share of the whole that never goes back.

    Args:
        teller: Tells it.
        folder: Where sketches are put.
        look: Picks lines out of the file as it comes; None for none.
        shares: Which share of the time each step takes.
    """

    def __init__(
        self,
        teller: Teller,
        folder: Path,
        look: FirstLook | None,
        shares: Mapping[str, tuple[float, float]] = SHARES,
    ) -> None:
        self._teller = teller
        self._folder = folder
        self._look = look
        self._shares = shares
        self._sketches = 0
        self._share = 0.0
        self._most = 0
        self._furthest: dict[str, int] = {}

    def report(self, words: str, done: int, total: int | None) -> None:
        """Tell how far the reader is, and what can be seen already."""
        if words == READING:
            self._sketch(done)
        if words == BUILDING:  # section after section; the longest one counts
            self._most = total = max(self._most, total or 0)
        done = self._furthest[words] = max(done, self._furthest.get(words, 0))
        whole = self._most if total is None else total
        first, last = self._shares.get(words, (self._share, self._share))
        self._share = max(self._share, first + (last - first) * (min(done / whole, 1.0) if whole else 0.0))
        self._teller.report_share(_words(words, done, total), done, total, self._share)

    def _sketch(self, read: int) -> None:
        lines = self._look.lines_up_to(read) if self._look is not None else None
        if lines is not None and len(lines):
            name = f"sketch-{self._sketches}.npy"
            self._sketches += 1
            np.save(self._folder / name, lines)
            self._teller.part(name)


def _words(words: str, done: int, total: int | None) -> str:
    """What is done, in the unit of the step.

    >>> _words("Reading the file", 6_200_000, 13_949_000), _words("Building the drawing", 61200, 98400)
    ('6.2 of 13.9 MB read', '61,200 of 98,400 lines')
    >>> _words("Drawing the lines", 61200, None), _words("Laying the lines flat", 1, 3)
    ('61,200 lines drawn', 'laying the lines flat')
    """
    if words == READING and total:
        return f"{done / 1e6:.1f} of {total / 1e6:.1f} MB read"
    if words == DRAWING and done > 1:
        return f"{done:,} lines drawn"
    if total is None or total < _FEW:
        return words[:1].lower() + words[1:]
    return f"{min(done, total):,} of {total:,} {'parts checked' if words == CHECKING else 'lines'}"


def read_into(file: Path, folder: Path, teller: Teller, asked: Asked = AS_IT_IS) -> str:
    """Read a drawing file and put what it holds into a folder; gives the name of the packed drawing.

    Raises:
        UnusableDrawing: Nothing of it could be used.
    """
    data = content_of(file)
    kind = kind_of(data)
    look = FirstLook(data) if kind is FileKind.DXF_TEXT else None
    course = Course(teller, folder, look, _OTHER_SHARES.get(kind, SHARES))
    with Watched(course, teller, file.name, most=most_bytes(kind, len(data)), silent_s=silent_s(kind)) as progress:
        drawing = _read(file.name, data, asked, progress)
    course.report(KEEPING, 0, 2)
    (folder / CONTENT).write_bytes(data)
    (folder / DIGEST).write_text(sha256(data).hexdigest(), encoding="ascii")
    course.report(KEEPING, 1, 2)
    (folder / KEPT).write_bytes(packed(drawing))
    return KEPT


def _read(name: str, data: bytes, asked: Asked, progress: Progress) -> Drawing:
    return read_here(
        name, data, m_per_unit=asked.m_per_unit, reading=asked.reading, password=asked.password, progress=progress
    )


def content_of(path: Path) -> bytes:
    """The content of a drawing file.

    Raises:
        UnusableDrawing: It is a folder, or cannot be read.
    """
    if path.is_dir():
        raise UnusableDrawing(f"{path.name} is a folder; choose the drawing file inside it.", where=path.name)
    try:
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        text = f"{path.name} could not be opened ({reason}); check that it is still there and who may read it."
        raise UnusableDrawing(text, where=path.name) from error


def main(arguments: list[str]) -> int:
    """Read the file that the arguments name; gives the exit code."""
    return answered(arguments, read_into)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
