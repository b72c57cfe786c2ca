"""What the window's own panes and controls are to a screen reader.

Qt knows what a button, a table and a field are; of what is painted it knows nothing. Such a pane or control says in
``heard_as`` what it is, one of a few in ``is_on`` whether it is the chosen one, and in ``heard_details`` what is read
with it when the keyboard comes, but not told again whenever it changes. Its name and description are else those of every
widget. Of values, positions and tables no more can be said here: Qt for Python lets no interface of these be made.
"""

from __future__ import annotations

from functools import cache
from typing import Any, Final

import shiboken6
from PySide6.QtCore import QLocale, QObject, Qt
from PySide6.QtGui import QAccessible, QAccessibleEvent, QAccessibleInterface, QAccessibleStateChangeEvent
from PySide6.QtWidgets import QAbstractButton, QAccessibleWidget, QWidget

from leakmap.work.aloud import aloud

_MADE: Final[list[QAccessibleInterface]] = []
"""Qt owns what the factory makes, yet Python must hold it too."""

_PRESS: Final = "Press"  # as Qt calls it


class Heard(QAccessibleWidget):
    """A pane or control that says itself what it is."""

    def state(self) -> Any:  # noqa: ANN401 - Qt's value, which its stubs know as a class alone
        """What Qt knows of it, and whether it is the chosen one of a few."""
        state, on = super().state(), getattr(self.widget(), "is_on", None)
        if on is not None:
            state.checkable, state.checked = True, on
        return state

    def text(self, which: QAccessible.Text) -> str:
        """Its name or description."""
        details = getattr(self.widget(), "heard_details", None)
        if details is not None and which is QAccessible.Text.Description:
            return aloud(details)
        return super().text(which)

    def actionNames(self) -> list[str]:  # noqa: N802 - Qt's name
        """What can be done with it: a button is pressed."""
        widget = self.widget()
        able = isinstance(widget, QAbstractButton) and widget.isEnabled()
        pressed = able and widget.focusPolicy() is not Qt.FocusPolicy.NoFocus  # else it only shows something
        return [*([_PRESS] if pressed else []), *super().actionNames()]

    def doAction(self, action: str) -> None:  # noqa: N802 - Qt's name
        """Do one of these."""
        widget = self.widget()
        if action == _PRESS and isinstance(widget, QAbstractButton):
            widget.click()
        else:
            super().doAction(action)


@cache
def tell_roles() -> None:
    """Let screen readers ask panes what they are, from now on, and in which language: words of ours are English everywhere."""
    QAccessible.installFactory(_interface_of)
    QLocale.setDefault(QLocale(QLocale.Language.English))


def tell_on(widget: QWidget) -> None:
    """Tell that a control is the chosen one of a few, or no longer."""
    if QAccessible.isActive():
        changed = QAccessible.State()
        changed.checked = True
        QAccessible.updateAccessibility(QAccessibleStateChangeEvent(widget, changed))


def tell_focus(widget: QWidget | None, child: int = -1) -> None:
    """Tell once more what has the keyboard, where a reader was told of something else meanwhile.

    Args:
        widget: What has it.
        child: The part of it that is meant; below 0: all of it.
    """
    if widget is not None and QAccessible.isActive():
        event = QAccessibleEvent(widget, QAccessible.Event.Focus)
        if child >= 0:
            event.setChild(child)
        QAccessible.updateAccessibility(event)


def _interface_of(_name: str, thing: QObject | None) -> QAccessibleInterface | None:
    role = getattr(thing, "heard_as", None)
    if role is None or not isinstance(thing, QWidget):
        return None
    _MADE[:] = [made for made in _MADE if shiboken6.isValid(made)]
    _MADE.append(Heard(thing, role))
    return _MADE[-1]
