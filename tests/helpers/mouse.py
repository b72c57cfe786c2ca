"""The mouse of a test, which moves even where that of the test before stands."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QCursor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget


def move_mouse(widget: QWidget, pixel: QPoint) -> None:
    """Move the mouse to a pixel of a widget: a move to where it stands already would send no event."""
    if QCursor.pos() == widget.mapToGlobal(pixel):
        QTest.mouseMove(widget, pixel + QPoint(1, 0))
    QTest.mouseMove(widget, pixel)


def turn_wheel(widget: QWidget, turned: int, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Turn the wheel in the middle of a widget; 120 is a notch away from the hand."""
    at = QPointF(widget.rect().center())
    no_button, no_phase = Qt.MouseButton.NoButton, Qt.ScrollPhase.NoScrollPhase
    there = widget.mapToGlobal(at)
    turn = QWheelEvent(at, there, QPoint(), QPoint(0, turned), no_button, modifiers, no_phase, False)
    QApplication.sendEvent(widget, turn)
