"""One thing at a time that is done aside for whole files, and waited for before the next."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject, Signal

from leakmap.base.errors import LeakmapError
from leakmap.desk.aside import Aside
from leakmap.desk.state import Desk

T = TypeVar("T")


class OneAside(QObject):
    """What is done aside now, if anything.

    Args:
        desk: Tells what goes wrong.
        parent: Its owner.
    """

    broken = Signal()  # it ended by a mistake of leakmap, which is told as such

    def __init__(self, desk: Desk, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._aside: Aside | None = None

    @property
    def busy(self) -> bool:
        """Whether something is being done aside."""
        return self._aside is not None

    def settle(self) -> None:
        """Wait for what is done aside, and for what follows from it."""
        while self._aside is not None:
            self._aside.settle()

    def go(self, work: Callable[[], T], take: Callable[[T], None], leave: Callable[[LeakmapError], None]) -> None:
        """Do something aside; what came out, or what went wrong, is taken on the main thread."""
        aside = self._aside = Aside(work, self)

        def ended(tell: Callable[[], None]) -> None:
            self._aside = None
            self._desk.attempt(tell)

        def broke() -> None:
            self._aside = None
            self.broken.emit()

        aside.broken.connect(broke)
        aside.finished.connect(lambda outcome: ended(lambda: take(outcome)))
        aside.failed.connect(lambda problem: ended(lambda: leave(problem)))
