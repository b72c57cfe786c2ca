"""Words between a process that works and the one that started it.

The working process writes one JSON object a line on its standard output:

* ``{"at": [words, done, total, share]}`` how far it is; total and share may be null;
* ``{"part": name}`` a file in the shared folder that can be taken already;
* ``{"done": name}`` the work is finished; the file holds what came out;
* ``{"failed": sentence}`` it came to nothing, and why, for the user.

The folder belongs to the process that started the work, which removes it. The standard input of the
working process stays open for as long as somebody waits: when it ends, nobody does, so the working
process removes the folder itself and leaves at once.
"""

from __future__ import annotations

import io
import json
import os
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from shutil import rmtree
from typing import Final, TextIO

from leakmap.base.errors import LeakmapError

EVERY_S: Final = 0.1
"""How far the work is is told no more often than this."""


class Teller:
    """Progress that is told to the process that started this one.

    Args:
        stream: Where the lines go.
        clock: Seconds that only rise.
    """

    def __init__(self, stream: TextIO, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream = stream
        self._clock = clock
        self._next = clock()

    def report(self, words: str, done: int, total: int | None) -> None:
        """Tell how far the work is, at most ten times a second."""
        self.report_share(words, done, total, None)

    def report_share(self, words: str, done: int, total: int | None, share: float | None) -> None:
        """Tell also how large a share of everything is done, 0 to 1."""
        now = self._clock()
        if now >= self._next:
            self._next = now + EVERY_S
            self._tell(at=[words, done, total, share])

    def part(self, name: str) -> None:
        """Tell that a file in the folder can be taken."""
        self._tell(part=name)

    def done(self, name: str) -> None:
        """Tell that the work is finished, and the file that holds what came out."""
        self._tell(done=name)

    def failed(self, sentence: str) -> None:
        """Tell that the work came to nothing."""
        self._tell(failed=sentence)

    def _tell(self, **told: object) -> None:
        self._stream.write(json.dumps(told) + "\n")
        self._stream.flush()


def done_apart(folder: Path, work: Callable[[Teller], str]) -> int:
    """Do the work of this process and tell how it goes; gives the exit code: 0 done, 3 it came to nothing.

    As soon as nobody waits any longer, the process removes the folder and leaves.

    Args:
        folder: What this process shares with the one that started it.
        work: Gives the name of the file in it that holds what came out.
    """
    _leave_when_unwanted(folder, sys.stdin.fileno())
    teller = Teller(io.TextIOWrapper(sys.stdout.buffer, encoding="ascii", write_through=True))
    try:
        teller.done(work(teller))
    except LeakmapError as problem:
        teller.failed(str(problem))
        return 3
    except MemoryError:
        teller.failed("There is not enough memory for this; nothing was changed. Close other programs and try again.")
        return 3
    return 0


def _leave_when_unwanted(folder: Path, source: int) -> None:
    """Remove the folder and leave at once when the source ends: nobody waits any longer.

    Args:
        folder: What is removed.
        source: File descriptor of the standard input.
    """

    def watch() -> None:
        while os.read(source, 1):
            pass
        rmtree(folder, ignore_errors=True)
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
