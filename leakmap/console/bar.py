"""Progress of long work as a bar on a terminal; silent where nobody watches."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from types import TracebackType
from typing import Final, Self, TextIO

_WIDTH: Final = 24
_FIRST_AFTER_S: Final = 0.3
_EVERY_S: Final = 0.1


class Bar:
    """A bar on a terminal that goes away when the work is done; a pipe stays silent.

    Args:
        stream: Where it is drawn; None: the error stream of now.
        clock: Seconds that only rise.
    """

    def __init__(self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._clock = clock
        self._next = clock() + _FIRST_AFTER_S
        self._drawn = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._draw("")

    def report(self, words: str, done: int, total: int | None) -> None:
        """Draw how far the work is, at most ten times a second."""
        now = self._clock()
        if now >= self._next:
            self._next = now + _EVERY_S
            self._draw(line(words, done, total))

    def _draw(self, text: str) -> None:
        if not self._stream.isatty() or not (text or self._drawn):
            return
        self._stream.write(f"\r{text.ljust(self._drawn)}" + ("" if text else "\r"))
        self._stream.flush()
        self._drawn = len(text)


def line(words: str, done: int, total: int | None) -> str:
    """One line that says how far the work is.

    >>> line("Reading a.dxf", 50, 100)
    'Reading a.dxf [############            ] 50 of 100'
    >>> line("Reading a.dxf", 61200, None), line("Working out zones", 0, None)
    ('Reading a.dxf 61,200', 'Working out zones ...')
    """
    if not total:
        return f"{words} {done:,}" if done else f"{words} ..."
    ticks = "#" * (_WIDTH * min(done, total) // total)
    return f"{words} [{ticks:<{_WIDTH}}] {done:,} of {total:,}"
