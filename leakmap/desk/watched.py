"""Long work as the band sees it: how far it is, the word to stop, and exactly one end."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal


class Watched(QObject):
    """Base of work that the band shows and Esc stops: ``progressed``, then one end."""

    progressed = Signal(str, int, int)  # words for the band; done and total for its ticks, total 0 where unknown
    finished = Signal(object)  # what came out
    failed = Signal(str)  # one sentence for the user
    stopped = Signal()  # the user's stop took effect; nothing was changed
    given_up = Signal()  # it is not needed any more, and nobody is told

    @property
    def running(self) -> bool:
        """Whether it was started and neither finished, failed nor stopped."""
        raise NotImplementedError

    def stop(self) -> None:
        """Stop; within half a second ``stopped`` comes, and things are as before."""
        raise NotImplementedError

    def when_ended(self, then: Callable[[], object]) -> None:
        """Do something once it finished, failed or was stopped."""
        for ended in (self.finished, self.failed, self.stopped):
            ended.connect(then)

    def close(self) -> None:
        """End at once, without a signal; for a window that closes."""
        raise NotImplementedError
