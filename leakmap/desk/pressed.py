"""What can be pressed: by a click, by Space, and by Enter as well."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QKeyEvent
from PySide6.QtWidgets import QAbstractButton

from leakmap.desk.roles import tell_on

_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Pressed(QAbstractButton):
    """A button, cell or word that a mouse, Space and Enter press.

    Attributes:
        heard_as: What it is to a screen reader; None: the button that Qt knows.
        is_on: Whether it is the chosen one of a few; None: it is not one of a few.
    """

    heard_as: QAccessible.Role | None = None
    is_on: bool | None = None

    def turn(self, *, on: bool) -> None:
        """Be the chosen one of a few, or no longer."""
        if on is not self.is_on:
            self.is_on = on
            tell_on(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter presses it as Space does; held down, once."""
        if event.key() not in _ENTER:
            super().keyPressEvent(event)
        elif not event.isAutoRepeat():
            self.click()
