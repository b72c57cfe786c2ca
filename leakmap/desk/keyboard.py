"""Where the keyboard goes and how that is seen: the order in which Tab walks, and when a pane frames itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

import shiboken6
from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

BY_KEY: Final = (
    Qt.FocusReason.TabFocusReason,
    Qt.FocusReason.BacktabFocusReason,
    Qt.FocusReason.ShortcutFocusReason,
)
"""Reasons for which the keyboard came by a key."""

_ONE_ROW_PX: Final = 12


def framed(reason: Qt.FocusReason, *, before: bool) -> bool:
    """Whether a pane shows that it has the keyboard: not where the mouse brought it, else where a key did, or as before.

    >>> framed(Qt.FocusReason.TabFocusReason, before=False), framed(Qt.FocusReason.MouseFocusReason, before=True)
    (True, False)
    >>> framed(Qt.FocusReason.OtherFocusReason, before=True)
    True
    """
    return reason is not Qt.FocusReason.MouseFocusReason and (before or reason in BY_KEY)


def escaped_in(window: QWidget, watched: QObject, event: QEvent) -> bool:
    """Whether Esc goes down in a window: who watches the whole program leaves that of other windows alone."""
    return (
        isinstance(event, QKeyEvent)
        and event.type() == QEvent.Type.KeyPress
        and event.key() == Qt.Key.Key_Escape
        and isinstance(watched, QWidget)
        and watched.window() is window
    )


def tab_order(panes: Iterable[QWidget]) -> tuple[QWidget, ...]:
    """Everything in some panes that Tab reaches now: pane by pane, and in each as it is read, row by row."""
    return tuple(widget for pane in panes for widget in _as_read(pane))


def give_keyboard(pane: QWidget, reason: Qt.FocusReason) -> None:
    """Give the keyboard to a pane, or to what takes it in the pane's stead, or else to its first part that does."""
    takes = pane.focusPolicy() is not Qt.FocusPolicy.NoFocus or pane.focusProxy() is not None
    target = pane if takes else first_focus(pane)
    if target is not None:
        target.setFocus(reason)


def first_focus(pane: QWidget) -> QWidget | None:
    """The first part of a pane that takes the keyboard now."""
    takes = (child for child in pane.findChildren(QWidget) if child.focusPolicy() & Qt.FocusPolicy.TabFocus)
    return next((child for child in takes if child.isVisible() and child.isEnabled()), None)


class Bookmark:
    """Where the keyboard was before a sheet was laid in the plan's place, so that it goes back there after it.

    Args:
        place: Where sheets are laid.
    """

    def __init__(self, place: QWidget) -> None:
        self._place = place
        self._before: QWidget | None = None

    def turned(self, pane: QWidget, *, sheet: bool, opened: bool) -> QWidget:
        """What gets the keyboard now that another pane lies there.

        Args:
            pane: What lies there now.
            sheet: Whether it goes again, as a paper or the settings do.
            opened: Whether another job was opened, so that nothing is as before.
        """
        focus, before = QApplication.focusWidget(), self._before
        inside = focus is not None and self._place.isAncestorOf(focus)
        if sheet:
            self._before = before if before is not None and inside else focus
            return pane
        self._before = None
        back = focus if focus is not None and not inside else before
        there = not opened and back is not None and shiboken6.isValid(back) and _reached(back)
        return back if there and back is not None else pane


def _as_read(pane: QWidget) -> Iterator[QWidget]:
    there = [widget for widget in (pane, *pane.findChildren(QWidget)) if _reached(widget)]
    places = sorted(((_middle(widget, pane), widget) for widget in there), key=lambda each: each[0].y())
    row: list[tuple[int, QWidget]] = []
    last = 0
    for middle, widget in places:
        if row and middle.y() - last > _ONE_ROW_PX:
            yield from _from_left(row)
            row = []
        row.append((middle.x(), widget))
        last = middle.y()
    yield from _from_left(row)


def _from_left(row: list[tuple[int, QWidget]]) -> Iterator[QWidget]:
    yield from (widget for _, widget in sorted(row, key=lambda each: each[0]))


def _reached(widget: QWidget) -> bool:
    takes = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) and widget.focusProxy() is None
    return takes and widget.isVisible() and widget.isEnabled()


def _middle(widget: QWidget, pane: QWidget) -> QPoint:
    return widget.mapTo(pane, widget.rect().center()) if widget is not pane else pane.rect().center()
