"""What the window's own panes are to a screen reader.

Qt knows what a button, a table and a field are; of a pane that is painted it knows nothing. Such a pane says in
``heard_as`` what it is. Its name and description are those of every widget.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import shiboken6
from PySide6.QtCore import QObject
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QAccessibleWidget, QWidget

_MADE: Final[list[QAccessibleInterface]] = []
"""Qt owns what the factory makes, yet Python must hold it too."""


@cache
def tell_roles() -> None:
    """Let screen readers ask panes what they are, from now on."""
    QAccessible.installFactory(_interface_of)


def _interface_of(_name: str, thing: QObject | None) -> QAccessibleInterface | None:
    role = getattr(thing, "heard_as", None)
    if role is None or not isinstance(thing, QWidget):
        return None
    _MADE[:] = [made for made in _MADE if shiboken6.isValid(made)]
    _MADE.append(QAccessibleWidget(thing, role))
    return _MADE[-1]
