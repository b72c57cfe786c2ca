"""Limits of a reading process, for files that make a library take memory or time without end.

The process watches itself from a thread of its own, as nothing can stop a library that does not come back:
when it takes too much it says so in one sentence and leaves.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final, Self

from leakmap.base.progress import Progress
from leakmap.base.telling import Teller
from leakmap.drawings.kinds import DXF_KINDS, FileKind

MOST_BYTES: Final = 2 << 30
"""Memory that a reading may take (ours)."""

BYTES_OF_ONE: Final = 40
"""Memory that one byte of a DXF file takes where the library makes an object of each record; measured."""

MOST_BYTES_DXF: Final = 6 << 30
"""Memory that the reading of a DXF may take, however large the file is (ours)."""

MOST_SILENT_S: Final = 30.0
"""Seconds without a word of how far a reading is, after which it is given up, where nothing else is said (ours)."""

LONG_SILENT_S: Final = 120.0
"""The same for DWG, of which nothing tells how far it is on its way to a DXF, and for DXF with steps that take long
in a large file (ours)."""

_EVERY_S: Final = 0.1
_EXIT: Final = 3
_LINUX: Final = sys.platform.startswith("linux")
_COUNTS_BYTES: Final = sys.platform == "darwin"


def most_bytes(kind: FileKind, size: int) -> int:
    """Memory that the reading of a file of so many bytes may take; a large DXF honestly takes more.

    >>> [most_bytes(FileKind.DXF_TEXT, size) >> 20 for size in (0, 50 << 20, 500 << 20)]
    [2048, 4048, 6144]
    """
    return min(MOST_BYTES + BYTES_OF_ONE * size, MOST_BYTES_DXF) if kind in DXF_KINDS else MOST_BYTES


def silent_s(kind: FileKind) -> float:
    """Seconds without a word after which the reading of a file is given up."""
    return LONG_SILENT_S if kind in DXF_KINDS or kind is FileKind.DWG else MOST_SILENT_S


def _memory() -> int:
    """Bytes that this process took at most so far; 0 where the system does not tell.

    On Linux the system's own count goes on from the process that started this one, so that of its memory is read.
    """
    if _LINUX:
        status = Path("/proc/self/status").read_text(encoding="ascii")
        return next((int(line.split()[1]) * 1024 for line in status.splitlines() if line.startswith("VmHWM:")), 0)
    if not _COUNTS_BYTES:
        return 0
    import resource  # noqa: PLC0415 - not on every system

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


class Watched:
    """Progress that is passed on, and whose silence ends the process.

    Args:
        progress: Takes the reports.
        teller: Tells why the process leaves.
        name: Name of the file, for the sentence.
        most: Bytes that the process may take.
        silent_s: Seconds without a report after which it is given up.
        memory: Bytes that the process takes.
        leave: Ends the process.
    """

    def __init__(
        self,
        progress: Progress,
        teller: Teller,
        name: str,
        *,
        most: int = MOST_BYTES,
        silent_s: float = MOST_SILENT_S,
        memory: Callable[[], int] = _memory,
        leave: Callable[[int], object] = os._exit,
    ) -> None:
        self._progress, self._teller, self._name = progress, teller, name
        self._most, self._silent_s, self._memory, self._leave = most, silent_s, memory, leave
        self._heard = time.monotonic()
        self._done = threading.Event()
        self._watcher = threading.Thread(target=self._watch, daemon=True)

    def report(self, words: str, done: int, total: int | None) -> None:
        """Pass a report on."""
        self._heard = time.monotonic()
        self._progress.report(words, done, total)

    def __enter__(self) -> Self:
        self._watcher.start()
        return self

    def __exit__(self, *trouble: object) -> None:
        self._done.set()
        self._watcher.join()

    def _watch(self) -> None:
        while not self._done.wait(_EVERY_S):
            if self._memory() > self._most:
                self._give_up("memory")
            elif time.monotonic() - self._heard > self._silent_s:
                self._give_up("time")

    def _give_up(self, what: str) -> None:
        self._teller.failed(
            f"{self._name} takes more {what} than leakmap gives a drawing; export it again with fewer layers or smaller"
            " pictures."
        )
        self._done.set()
        self._leave(_EXIT)
