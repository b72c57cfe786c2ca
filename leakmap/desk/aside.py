"""Short work in a thread of its own, so that the window goes on: reading, writing, hashing, sorting of arrays.

All these let go of the interpreter while they work, so a thread holds nothing up; but nothing can stop
it. Whatever works long in Python itself, or may be stopped, belongs into a process (``leakmap.desk.long_work``).
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from leakmap.base.errors import LeakmapError, Stopped
from leakmap.base.progress import Progress
from leakmap.desk.watched import Watched


class Aside(QObject):
    """A function that runs aside; its outcome comes on the main thread, as one of three signals, and it goes.

    >>> Aside(lambda: 42).settle()

    Args:
        work: The function; it touches nothing that the window uses meanwhile.
        parent: Its owner, which settles or lets it end before it goes itself.
    """

    finished = Signal(object)  # what came out
    failed = Signal(object)  # the LeakmapError
    broken = Signal()  # a mistake of leakmap, which is raised besides

    _ended = Signal()

    def __init__(self, work: Callable[[], object], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._ended.connect(self.settle, Qt.ConnectionType.QueuedConnection)
        threads = ThreadPoolExecutor(max_workers=1, thread_name_prefix="leakmap-aside")
        self._work: Future[object] | None = threads.submit(work)
        self._work.add_done_callback(self._end)
        threads.shutdown(wait=False)
        self._threads = threads

    def _end(self, _work: Future[object]) -> None:
        with suppress(RuntimeError):  # Qt has deleted it: its owner went, as when reading is stopped, and nobody waits
            self._ended.emit()

    def settle(self) -> None:
        """Wait for the end, if need be, and tell what came out; a mistake is raised here."""
        work, self._work = self._work, None
        if work is None:
            return
        self._threads.shutdown()
        self.deleteLater()
        try:
            outcome = work.result()
        except LeakmapError as problem:
            self.failed.emit(problem)
        except Exception:
            self.broken.emit()
            raise
        else:
            self.finished.emit(outcome)

    def drop(self) -> None:
        """Wait for the end and tell nobody; for a window that closes."""
        if self._work is not None:
            self._work = None
            self._threads.shutdown()
            self.deleteLater()


class WatchedAside(Watched):
    """A function that runs aside, with its progress in the band; what it tells after a stop is told nobody.

    Args:
        work: The function; it takes ``progress``, and leaves at its next report once it was stopped.
        parent: Its owner.
    """

    _told = Signal(str, int, int)

    def __init__(self, work: Callable[[Progress], object], parent: QObject) -> None:
        super().__init__(parent)
        self._running = True
        self._told.connect(self._tell, Qt.ConnectionType.QueuedConnection)
        self._aside = Aside(lambda: work(self), self)
        self._aside.finished.connect(self._finish)
        self._aside.failed.connect(self._fail)

    @property
    def running(self) -> bool:
        """Whether it was neither stopped nor has come to its end."""
        return self._running

    def report(self, words: str, done: int, total: int | None) -> None:
        """Take note of how far the work is; from its thread.

        Raises:
            Stopped: It was stopped.
        """
        if not self._running:
            raise Stopped
        self._told.emit(words, done, total or 0)

    def stop(self) -> None:
        """Stop now; the thread leaves by itself."""
        if self._running:
            self._running = False
            QTimer.singleShot(0, self, self.stopped.emit)

    def settle(self) -> None:
        """Wait for the end, if need be, and tell what came out."""
        self._aside.settle()

    def close(self) -> None:
        """End without a signal, after the thread has left."""
        self._running = False
        self._aside.drop()

    def _tell(self, words: str, done: int, total: int) -> None:
        if self._running:
            self.progressed.emit(f"{words}, {done:,} of {total:,}" if total else words, done, total)

    def _finish(self, outcome: object) -> None:
        if self._running:
            self._running = False
            self.finished.emit(outcome)
        self.deleteLater()

    def _fail(self, problem: LeakmapError) -> None:
        if self._running:
            self._running = False
            self.failed.emit(str(problem))
        self.deleteLater()
