"""Long work in a process of its own, so that the window never stalls and a stop takes effect at once.

``LongWork`` runs any function of a module. Everything it says comes as signals on the main thread:
``progressed`` while it runs, then exactly one of ``finished``, ``failed`` and ``stopped``. Whatever
happens, the folder that the two processes share is gone afterwards, also when the program is left.

A thread would hold the interpreter: issuing the sample job in one stood the window still four times as
long as beside it (68 ms against 16 ms), and nothing can stop a thread.
"""

from __future__ import annotations

import json
import logging
import os
import sys
import tempfile
import weakref
from collections.abc import Callable
from pathlib import Path
from shutil import rmtree
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QCoreApplication, QObject, QProcess, QProcessEnvironment, QTimer

import leakmap
from leakmap.desk.pace import Pace
from leakmap.desk.trouble import Trouble
from leakmap.desk.watched import Watched
from leakmap.work.apart import outcome_in, put_call

if TYPE_CHECKING:
    from leakmap.desk.state import Desk

GRACE_MS: Final = 150
"""What a process that should stop has for leaving by itself, before it is ended."""

_LAST_WAIT_MS: Final = 2000
_log: Final = logging.getLogger(__name__)


class Errand(Watched):
    """Base of long work: one process, what it tells, and a folder to share with it.

    A subclass says which module runs, takes parts as they come and takes the outcome.
    """

    broken = "The work broke off through a fault of leakmap; nothing was changed. Try it again."

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._folder: Path | None = None
        self._sweep: weakref.finalize[..., Errand] | None = None
        self._unread = b""
        self._told: dict[str, Any] = {}
        self._stopping = False
        self._pace = Pace()

    @property
    def running(self) -> bool:
        """Whether it was started and neither finished, failed nor stopped."""
        return self._folder is not None

    def stop(self) -> None:
        """Stop; within half a second ``stopped`` comes, and things are as before."""
        if not self.running or self._stopping:
            return
        self._stopping = True
        if self._process is None:
            QTimer.singleShot(0, self._end)
            return
        self._process.closeWriteChannel()  # nobody waits any longer: the process leaves by itself
        QTimer.singleShot(GRACE_MS, self._process, self._process.kill)

    def close(self) -> None:
        """End at once, without a signal; for a window that closes."""
        process, self._process = self._process, None
        if process is not None:
            process.blockSignals(True)
            process.kill()
            process.waitForFinished(_LAST_WAIT_MS)
        self._clear()

    def _open_folder(self) -> Path:
        assert not self.running, "one work at a time"
        self._folder = Path(tempfile.mkdtemp(prefix="leakmap-"))
        self._sweep = weakref.finalize(self, rmtree, self._folder, ignore_errors=True)
        self._unread, self._told, self._stopping, self._pace = b"", {}, False, Pace()
        return self._folder

    def _begin(self, module: str, *arguments: str) -> None:
        process = self._process = QProcess(self)
        surroundings = QProcessEnvironment.systemEnvironment()
        root, before = str(Path(leakmap.__path__[0]).parent), surroundings.value("PYTHONPATH")
        surroundings.insert("PYTHONPATH", os.pathsep.join(filter(None, (root, before))))
        process.setProcessEnvironment(surroundings)
        process.readyReadStandardOutput.connect(self._listen)
        process.finished.connect(self._left)
        process.errorOccurred.connect(self._not_started)
        application = QCoreApplication.instance()
        assert application is not None
        application.aboutToQuit.connect(self.close)
        process.start(sys.executable, ["-P", "-m", module, *arguments])

    def _listen(self) -> None:
        if self._process is None:
            return
        *lines, self._unread = (self._unread + bytes(self._process.readAllStandardOutput().data())).split(b"\n")
        for line in lines:
            self._hear(json.loads(line))

    def _hear(self, told: dict[str, Any]) -> None:
        self._told |= told
        if self._stopping:
            return
        if "at" in told:
            self._progress(*told["at"])
        if "part" in told:
            self._part(told["part"])

    def _progress(self, words: str, done: int, total: int | None, share: float | None) -> None:
        if share is not None:
            thousandths = self._pace.thousandths(share)
            self.progressed.emit(self._pace.words(words), thousandths, 1000)
        elif total:
            self.progressed.emit(f"{words}, {done:,} of {total:,}", 0, 0)
        else:
            self.progressed.emit(words, 0, 0)

    def _part(self, name: str) -> None:
        """A file in the folder can be taken already."""

    def _take(self, name: str) -> None:
        """The work is done; the subclass takes what came out and calls ``_finish``."""
        raise NotImplementedError

    def _left(self) -> None:
        """The process ended."""
        self._listen()
        process, self._process = self._process, None
        if process is None:
            return
        words = bytes(process.readAllStandardError().data()).decode(errors="replace").strip()
        process.deleteLater()
        if self._stopping:
            self._end()
        elif "done" in self._told:
            self._take(self._told["done"])
        else:
            if "failed" not in self._told:
                _log.error("A process broke off with code %s: %s", process.exitCode(), words)
            self._fail(self._told.get("failed", self.broken))

    def _not_started(self, problem: QProcess.ProcessError) -> None:
        if problem is QProcess.ProcessError.FailedToStart:  # then ``finished`` never comes
            self._left()

    def _finish(self, outcome: object) -> None:
        if self._stopping:
            return
        self._clear()
        self.finished.emit(outcome)

    def _fail(self, sentence: str) -> None:
        self._clear()
        self.failed.emit(sentence)

    def _end(self) -> None:
        self._clear()
        self.stopped.emit()

    def _clear(self) -> None:
        if self._sweep is not None:
            self._sweep()
        self._folder = None


class LongWork(Errand):
    """A function that takes long, done in a process of its own.

    >>> work = LongWork()  # doctest: +SKIP
    >>> work.finished.connect(print)  # doctest: +SKIP
    >>> work.start(issue, job, purpose=Purpose.PRICE, to_whom="the client")  # doctest: +SKIP
    """

    def start(self, function: Callable[..., object], *args: object, **named: object) -> None:
        """Start the work.

        Args:
            function: A function of a module; it must take ``progress``, which is given besides, and
                what it takes and gives must be plain values that can be pickled, as jobs and papers are.
            args: What it is given in order.
            named: What it is given by name.
        """
        folder = self._open_folder()
        put_call(folder, function, *args, **named)
        self._begin("leakmap.work.apart", str(folder))

    def _take(self, name: str) -> None:  # noqa: ARG002 - there is one outcome
        assert self._folder is not None
        self._finish(outcome_in(self._folder))


def told_work(desk: Desk) -> LongWork:
    """Long work that is gone once it ended; what goes wrong with it is told in the band."""
    work = LongWork(desk)
    work.failed.connect(lambda sentence: desk.troubled.emit(Trouble(sentence=sentence)))
    work.when_ended(work.deleteLater)
    return work
