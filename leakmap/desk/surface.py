"""A surface that tools work on: whatever mouse and keys do on it is for its hand to say."""

from __future__ import annotations

from typing import Final, Protocol

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible, QFocusEvent, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.keyboard import framed
from leakmap.desk.surface_keys import SurfaceKeys


class SurfaceHand(Protocol):
    """What the mouse does on a surface, and its keys."""

    @property
    def keys(self) -> SurfaceKeys:
        """What keys do."""

    def pressed(self, event: QMouseEvent, *, double: bool) -> None:
        """A button went down; with ``double`` as the second press of a double click."""

    def moved(self, event: QMouseEvent) -> None:
        """The pointer moved."""

    def released(self, event: QMouseEvent) -> None:
        """A button went up."""

    def wheeled(self, event: QWheelEvent) -> None:
        """The wheel was turned."""

    def left(self) -> None:
        """The pointer left."""


class Surface(QWidget):
    """A pane that tools work on.

    Attributes:
        hand: What mouse and keys do on it.
        heard_details: What lies on it, in words, read when the keyboard comes; what changes is told apart.
    """

    heard_as: Final = QAccessible.Role.Canvas
    heard_details = ""
    hand: SurfaceHand

    def __init__(self, parent: QWidget | None = None, *, framed_at_first: bool = False) -> None:
        super().__init__(parent)
        self._framed = framed_at_first
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def shows_keyboard(self) -> bool:
        """Whether it has the keyboard and frames itself, because a key brought it."""
        return self._framed and self.hasFocus()

    def event(self, event: QEvent) -> bool:
        """Give the hand keys that the window would take for its own, and Tab."""
        if isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.ShortcutOverride and self.hand.keys.wants(event):
                event.accept()
                return True
            if event.type() == QEvent.Type.KeyPress and self.hand.keys.tabbed(event):
                return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button went down."""
        self.hand.pressed(event, double=False)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """The second press of a double click."""
        self.hand.pressed(event, double=True)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """The pointer moved."""
        self.hand.moved(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """A button went up."""
        self.hand.released(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Zoom about the pointer."""
        self.hand.wheeled(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """The pointer left the surface."""
        del event
        self.hand.left()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key went down; with Alt it is a letter of the strip."""
        if event.modifiers() & Qt.KeyboardModifier.AltModifier or not self.hand.keys.pressed(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """A key went up."""
        if not self.hand.keys.released(event):
            super().keyReleaseEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show that the keyboard is here, unless the mouse brought it."""
        self._framed = framed(event.reason(), before=self._framed)
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Keys that are held are let go of."""
        self.hand.keys.let_go()
        super().focusOutEvent(event)
        self.update()
