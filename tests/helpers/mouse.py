"""The mouse of a test, which moves even where that of the test before stands."""

from __future__ import annotations

from PySide6.QtCore import QPoint
from PySide6.QtGui import QCursor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget


def move_mouse(widget: QWidget, pixel: QPoint) -> None:
    """Move the mouse to a pixel of a widget: a move to where it stands already would send no event."""
    if QCursor.pos() == widget.mapToGlobal(pixel):
        QTest.mouseMove(widget, pixel + QPoint(1, 0))
    QTest.mouseMove(widget, pixel)
