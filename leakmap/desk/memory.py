"""What a window remembers of itself and of each job: its place and panes, and where the work on a job stood.

Nothing here is a choice of the person, which is a setting; where nothing shall be remembered, nothing is.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from uuid import UUID

from PySide6.QtCore import QPoint, QRect
from PySide6.QtGui import QGuiApplication

from leakmap.desk.things import Stage
from leakmap.desk.tokens import LEAST_WINDOW, LEDGER_LIMITS, TAPE_LIMITS
from leakmap.work.recent import Recent, View, forget, recent, with_view, with_window

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow

_CAPTION_PX = 40
"""So much of a window's upper edge must lie on a screen, or nobody could take hold of it."""


class Memory:
    """The memory of one window.

    Args:
        window: The window; it is put where it was.
        known: What is remembered of earlier windows.
    """

    def __init__(self, window: MainWindow, known: Recent) -> None:
        self.window = window
        self._take(known)
        window.sitting.laid.connect(self._show_as_left)
        window.sitting.leaving.connect(self._note_view)
        window.desk.settings_changed.connect(self._forget)

    def keep(self) -> None:
        """Remember the window as it is."""
        window = self.window
        place = window.normalGeometry() if window.isMaximized() else window.geometry()
        layout = {"x": place.x(), "y": place.y(), "width": place.width(), "height": place.height()}
        layout |= {
            "maximised": int(window.isMaximized()),
            "plan_only": int(window.beside.plan_only and not window.beside.folded),
        }
        layout |= {"ledger": window.ledger_px or 0, "tape": window.tape_px or 0}
        sorted_by = window.ledger.remembered()
        window.desk.remember(lambda old: with_window(old, {**layout, **sorted_by}))

    def _take(self, known: Recent) -> None:
        window = self.window
        kept = {name: value for name, value in known.window.items() if isinstance(value, int)}
        window.ledger_px = _within(kept.get("ledger", 0), LEDGER_LIMITS)
        window.tape_px = _within(kept.get("tape", 0), TAPE_LIMITS)
        window.ledger.take_remembered(known.window)
        width, height = kept.get("width", 0), kept.get("height", 0)
        if width >= LEAST_WINDOW[0] and height >= LEAST_WINDOW[1]:
            window.resize(width, height)
            place = QRect(kept.get("x", 0), kept.get("y", 0), width, height)
            if {"x", "y"} <= kept.keys() and on_a_screen(place):
                window.move(place.topLeft())
        if kept.get("maximised"):
            window.showMaximized()
        if kept.get("plan_only"):
            window.beside.show(ledger=False, tape=False)

    def _note_view(self) -> None:
        """Remember where the work on the job stands, as it is about to be put away."""
        window, desk = self.window, self.window.desk
        if desk.open_job is None or desk.level is None:
            return
        moved, camera = window.plan.hand.has_moved, window.plan.camera
        view = View(
            stage=desk.stage.value,
            level=str(desk.level),
            centre=camera.centre if moved else None,
            px_per_m=camera.px_per_m if moved else 0.0,
        )
        path = desk.open_job.file.path
        desk.remember(lambda old: with_view(old, path, view))

    def _show_as_left(self) -> None:
        """Show the job that was just put on the desk as it was left; what is no longer there is left out."""
        window, desk = self.window, self.window.desk
        if desk.open_job is None:
            return
        view = recent().views.get(desk.open_job.file.path.absolute())
        if view is None:
            return
        if view.stage in set(Stage):
            desk.go_to(Stage(view.stage))
        level = next((key for key in desk.open_job.job.sheets if str(key) == view.level), None)
        if isinstance(level, UUID):
            desk.show_level(level)
            if view.centre is not None:
                window.plan.hand.has_moved = True
                window.plan.look(replace(window.plan.camera, centre=view.centre, px_per_m=view.px_per_m))

    def _forget(self) -> None:
        if not self.window.desk.settings.remember:
            forget()


def on_a_screen(place: QRect) -> bool:
    """Whether enough of a window's upper edge lies on a screen of today to take hold of it."""
    upper = QRect(place.topLeft() + QPoint(_CAPTION_PX, 0), place.topRight() + QPoint(-_CAPTION_PX, _CAPTION_PX))
    return any(screen.availableGeometry().intersects(upper) for screen in QGuiApplication.screens())


def _within(px: int, limits: tuple[int, int]) -> int | None:
    """A size that was kept; None where it is outside its limits, as 0 is."""
    return px if limits[0] <= px <= limits[1] else None
