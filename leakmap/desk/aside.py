"""Short work in a thread of its own, so that the window goes on: reading, writing, hashing, sorting of arrays.

All these let go of the interpreter while they work, so a thread holds nothing up; but nothing can stop
it. Whatever works long in Python itself, or may be stopped, belongs into a process (``leakmap.desk.long_work``).
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor

from PySide6.QtCore import QObject, Qt, Signal

from leakmap.base.errors import LeakmapError


class Aside(QObject):
    """A function that runs aside; its outcome comes on the main thread, as one of two signals, and it goes.

    >>> Aside(lambda: 42).settle()

    Args:
        work: The function; it touches nothing that the window uses meanwhile.
        parent: Its owner, which settles or lets it end before it goes itself.
    """

    finished = Signal(object)  # what came out
    failed = Signal(object)  # the LeakmapError

    _ended = Signal()

    def __init__(self, work: Callable[[], object], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._ended.connect(self.settle, Qt.ConnectionType.QueuedConnection)
        threads = ThreadPoolExecutor(max_workers=1, thread_name_prefix="leakmap-aside")
        self._work: Future[object] | None = threads.submit(work)
        self._work.add_done_callback(lambda _: self._ended.emit())
        threads.shutdown(wait=False)
        self._threads = threads

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
        else:
            self.finished.emit(outcome)

    def drop(self) -> None:
        """Wait for the end and tell nobody; for a window that closes."""
        if self._work is not None:
            self._work = None
            self._threads.shutdown()
            self.deleteLater()
