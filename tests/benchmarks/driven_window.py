"""The real window, driven by a script, and how long each turn of its event loop holds it still."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, thread_time

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

from leakmap.desk.state import Desk  # noqa: E402 - after the path
from leakmap.desk.tools.name_level import NameLevel  # noqa: E402 - after the path
from leakmap.desk.window import MainWindow  # noqa: E402 - after the path
from leakmap.work.here import host, now, user  # noqa: E402 - after the path
from leakmap.work.open_job import Hand  # noqa: E402 - after the path


class DrivenWindow:
    """One window, whose turns are timed.

    Args:
        app: The application.
        folder: Where files go.
        patience_s: After how many seconds something should have come to its end.
        quiet: Turns in which nothing happens, after which nothing will.
    """

    def __init__(self, app: QApplication, folder: Path, *, patience_s: float, quiet: int) -> None:
        self.app, self.folder, self._patience_s, self._quiet = app, folder, patience_s, quiet
        self.window = MainWindow(Desk(), Hand(user=user(), host=host(), clock=now))
        self.window.resize(1600, 1000)
        self.window.show()
        self.desk, self.sitting, self.plan = self.window.desk, self.window.sitting, self.window.plan

    @property
    def busy(self) -> bool:
        """Whether anything is still to be drawn."""
        paper = self.plan._paper
        return self.plan.scene.busy or (paper._backdrop is not None and paper._backdrop.busy)

    def settle(self, until: Callable[[], bool] = lambda: True) -> tuple[float, float, float]:
        """Turn the loop until something holds and nothing is busy: longest turn, longest work, all of it, seconds."""
        worst = most = 0.0
        begun, quiet = perf_counter(), 0
        while quiet < self._quiet:
            start, worked = perf_counter(), thread_time()
            self.app.processEvents()
            worst, most = max(worst, perf_counter() - start), max(most, thread_time() - worked)
            quiet = quiet + 1 if until() and not self.busy else 0
            assert perf_counter() - begun < self._patience_s, "it never came to its end"
        return worst, most, perf_counter() - begun

    def timed(self, do: Callable[[], object], until: Callable[[], bool]) -> tuple[float, float, float]:
        """Do something and settle: the same figures, of both together."""
        start, worked = perf_counter(), thread_time()
        do()
        first, work = perf_counter() - start, thread_time() - worked
        worst, most, whole = self.settle(until)
        return max(first, worst), max(work, most), first + whole

    def move(self, x_px: float, y_px: float) -> None:
        """Move the pointer over the plan, by five pixels from a place."""
        for step in range(5):
            at, none = QPointF(x_px + step, y_px), Qt.MouseButton.NoButton
            event = QMouseEvent(QEvent.Type.MouseMove, at, at, none, none, Qt.KeyboardModifier.NoModifier)
            self.app.sendEvent(self.plan, event)

    def named(self) -> bool:
        """Whether the second level is there; its name is given as soon as it is asked for."""
        tool = self.desk.tool
        if isinstance(tool, NameLevel):
            for letter in "B3":
                tool.typed(letter)
            tool.entered()
        return self.desk.job is not None and len(self.desk.job.sheets) == 2
