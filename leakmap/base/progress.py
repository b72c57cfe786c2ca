"""Progress of long work, reported to whoever watches, and the word to stop."""

from __future__ import annotations

from collections.abc import Generator
from typing import Protocol, TypeVar

from leakmap.base.errors import Stopped

Made = TypeVar("Made")


class Progress(Protocol):
    """Watches long work. A window, a terminal or a test implements it."""

    def report(self, words: str, done: int, total: int | None) -> None:
        """Take note that ``done`` of ``total`` (None: unknown) is finished.

        Raises:
            Stopped: The user asked to stop; the work must leave things as before.
        """


class Unwatched:
    """Progress that nobody watches."""

    def report(self, words: str, done: int, total: int | None) -> None:
        """Do nothing."""


class StopAfter:
    """Progress that asks to stop at the n-th report; for tests of stopping."""

    def __init__(self, reports: int) -> None:
        self.left = reports

    def report(self, words: str, done: int, total: int | None) -> None:  # noqa: ARG002 - the protocol's arguments
        """Count down, then ask to stop."""
        self.left -= 1
        if self.left <= 0:
            raise Stopped


UNWATCHED = Unwatched()


def at_once(steps: Generator[object, None, Made]) -> Made:
    """What comes out of work in small steps, done without a pause."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            made: Made = end.value
            return made
