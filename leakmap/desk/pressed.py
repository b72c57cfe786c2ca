"""What can be pressed: by a click, by Space, and by Enter as well."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton

_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Pressed(QAbstractButton):
    """A button, cell or word that a mouse, Space and Enter press."""

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter presses it as Space does; held down, once."""
        if event.key() not in _ENTER:
            super().keyPressEvent(event)
        elif not event.isAutoRepeat():
            self.click()
