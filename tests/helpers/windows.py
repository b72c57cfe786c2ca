"""The whole window for tests: shown off screen, with a job or the start sheet, closed whatever happens."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication

from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.window import MainWindow
from leakmap.model.job import Job
from leakmap.records.job_file import create_job_file
from leakmap.work.open_job import Hand

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
HAND = Hand(user="ann", host="site", clock=lambda: AT)


def all_painted(plan: PlanView) -> None:
    """Let a plan make and paint all that is due; when one film is finished the next look may begin another."""
    while True:
        QApplication.processEvents()
        plan.grab()
        if not (plan.at_work or plan.scene.busy):
            return


@contextmanager
def window_with(
    job: Job | None, folder: Path, *, size: tuple[int, int] = (1600, 1000), sources: tuple[bytes, ...] = ()
) -> Iterator[MainWindow]:
    """A window on a job, or on the start sheet; the drawings of the job are its sources."""
    window = MainWindow(Desk(), HAND)
    window.resize(*size)
    window.show()
    try:
        if job is not None:
            path = folder / "pit.gpkg"
            create_job_file(path, job, user="ann", at=AT, sources=sources)
            window.sitting.open_job(path)
            window.sitting.settle()
        yield window
    finally:
        window.sitting.close(lose_unsaved=True)
        window.close()
        window.desk.deleteLater()
        window.deleteLater()
        QApplication.processEvents()


def drop(window: MainWindow, *paths: Path, at: QPoint | None = None) -> None:
    """Drop files on a place of the window, its middle unless said otherwise, and wait until it is known what they hold."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    place = window.rect().center() if at is None else at
    button, key = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enters = QDragEnterEvent(QPoint(place), Qt.DropAction.CopyAction, mime, button, key)
    QApplication.sendEvent(window, enters)
    assert enters.isAccepted()
    QApplication.sendEvent(window, QDropEvent(QPointF(place), Qt.DropAction.CopyAction, mime, button, key))
    window.sitting.settle()
