"""What becomes of files that are dropped on the window: a photo on its leak, else a job, a drawing or a table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final
from uuid import UUID

from PySide6.QtCore import QPoint
from PySide6.QtGui import QDragEnterEvent, QDropEvent

from leakmap.desk.photos_in import are_photos
from leakmap.desk.things import Sort, Stage
from leakmap.desk.tools.places import leak_at
from leakmap.desk.tools.tool import Pointer

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow

_SEEN: Final = (Stage.LEAKS, Stage.REPAIR)
"""Stages in which the plan shows leaks."""


def enter(event: QDragEnterEvent) -> None:
    """Take files that are dragged in."""
    if _files(event):
        event.acceptProposedAction()


def drop(window: MainWindow, event: QDropEvent) -> None:
    """Do what dropped files mean where they are dropped."""
    files = _files(event)
    if not files:
        return
    event.acceptProposedAction()
    leak = _leak_under(window, event.position().toPoint()) if are_photos(files) else None
    if leak is not None:
        window.desk.photos_given.emit(leak, files)
    else:
        window.sitting.open_file(*files)


def _files(event: QDropEvent) -> tuple[Path, ...]:
    """The files of this computer that are dropped."""
    return tuple(Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile())


def _leak_under(window: MainWindow, place: QPoint) -> UUID | None:
    """The leak on the plan, or in the ledger, at a place of the window; None where there is none."""
    desk = window.desk
    if desk.job is None or desk.stage not in _SEEN:
        return None
    table = window.ledger.table
    row = table.thing_at(table.viewport().mapFrom(window, place)) if table.isVisible() else None
    if row is not None:
        return row.key if row.sort is Sort.LEAK and isinstance(row.key, UUID) else None
    on_plan = window.plan.mapFrom(window, place)
    if not window.plan.isVisible() or not window.plan.rect().contains(on_plan):
        return None
    camera = window.plan.camera
    at = camera.to_site((on_plan.x(), on_plan.y()))
    found = leak_at(desk, Pointer(at=at, raw=at, catch=None, m_per_px=1 / camera.px_per_m, units=desk.units))
    return None if found is None else found.id
