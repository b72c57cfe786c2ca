"""Work that must be done on the main thread, done in slices between frames, so that the window goes on.

For work in Python on values that the window holds: a thread would hold the interpreter, and another process would have
to be handed the whole job.
"""

from __future__ import annotations

from collections.abc import Generator
from time import perf_counter
from typing import Final

from PySide6.QtCore import QObject, QTimer

from leakmap.base.errors import LeakmapError
from leakmap.desk.watched import Watched

SLICE_S: Final = 0.020
"""How long is worked between two looks at what the hand does."""

Steps = Generator[int, None, object]
"""Work in small steps: yields how many parts are done, returns what came out."""


class Slices(Watched):
    """Work in slices, begun as soon as the window is idle.

    Args:
        words: What is done, for the band.
        total: Number of its parts.
        steps: The work; a LeakmapError from it is told as ``failed``.
        parent: Its owner.
    """

    def __init__(self, words: str, total: int, steps: Steps, parent: QObject) -> None:
        super().__init__(parent)
        self._words, self._total = words, total
        self._steps: Steps | None = steps
        self._timer = QTimer(self, singleShot=True, interval=0)
        self._timer.timeout.connect(self.go_on)
        self._timer.start()

    @property
    def running(self) -> bool:
        """Whether it has not come to its end."""
        return self._steps is not None

    def stop(self) -> None:
        """Stop now."""
        if self.running:
            self.close()
            self.stopped.emit()

    def give_up(self) -> None:
        """Stop, because something else came between: the band goes on without a word."""
        if self.running:
            self.close()
            self.given_up.emit()

    def close(self) -> None:
        """End at once, without a signal."""
        self._timer.stop()
        if self._steps is not None:
            self._steps.close()
            self._steps = None
            self.deleteLater()

    def go_on(self) -> None:
        """Do the next slice; by itself whenever the window is idle."""
        until = perf_counter() + SLICE_S
        try:
            while self._steps is not None:
                done = next(self._steps)
                if perf_counter() >= until:
                    self._timer.start()
                    self.progressed.emit(f"{self._words}, {done:,} of {self._total:,}", done, self._total)
                    return
        except StopIteration as end:
            self.close()
            self.finished.emit(end.value)
        except LeakmapError as problem:
            self.close()
            self.failed.emit(str(problem))
