"""The line from the guide to the thing that it means: ruled along the edges of panes, so that it crosses nothing.

It ends in a frame round the thing. It is masked to what it draws and deaf to the mouse, so nothing is in its way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPaintEvent, QRegion
from PySide6.QtWidgets import QWidget

from leakmap.desk.pens import painting
from leakmap.desk.theme import tokens

_PX: Final = 3
_GAP: Final = 3

Spot = tuple[float, float]


def route(bar: QRectF, thing: QRectF, rule: float) -> tuple[Spot, ...]:
    """Corners of the line: up along the window's left edge, along a rule of it, then to the middle of the thing.

    Args:
        bar: The guide's bar.
        thing: What is meant; it lies above ``rule``.
        rule: Where the line runs across: an edge between panes.

    >>> route(QRectF(0, 600, 900, 90), QRectF(200, 70, 80, 40), 120)
    ((1.0, 600.0), (1.0, 120), (240.0, 120), (240.0, 110.0))
    """
    left, x = bar.left() + _PX // 2, thing.center().x()
    return (left, bar.top()), (left, rule), (x, rule), (x, thing.bottom())


def strokes(corners: Sequence[Spot], px: int) -> list[QRect]:
    """The line as rectangles of whole pixels; every piece is level or upright."""
    half = px // 2
    made = []
    for (x0, y0), (x1, y1) in pairwise(corners):
        left, right = sorted((round(x0), round(x1)))
        top, bottom = sorted((round(y0), round(y1)))
        made.append(QRect(left - half, top - half, right - left + px, bottom - top + px))
    return made


def framed(room: QRect, px: int) -> list[QRect]:
    """A frame just outside a room, as rectangles."""
    outer = room.adjusted(-px, -px, px, px)
    return [
        QRect(outer.left(), outer.top(), outer.width(), px),
        QRect(outer.left(), outer.bottom() - px + 1, outer.width(), px),
        QRect(outer.left(), outer.top(), px, outer.height()),
        QRect(outer.right() - px + 1, outer.top(), px, outer.height()),
    ]


class Leader(QWidget):
    """The line and the frame, over the whole window.

    Args:
        meant: Gives the corners of the line and the thing that it leads to, in pixels of the window; None: nothing.
    """

    def __init__(self, meant: Callable[[], tuple[tuple[Spot, ...], QRect] | None], parent: QWidget) -> None:
        super().__init__(parent)
        self._meant, self._over = meant, parent
        self.thing: QRect | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()

    def refresh(self) -> None:
        """Lead to what is meant now."""
        meant = self._meant()
        self.thing = meant[1] if meant is not None else None
        if meant is None:
            self.hide()
            return
        corners, thing = meant
        region = QRegion()
        for part in (*strokes(corners, _PX), *framed(thing.adjusted(-_GAP, -_GAP, _GAP, _GAP), _PX)):
            region = region.united(part)
        self.setGeometry(self._over.rect())
        self.setMask(region)
        self.show()
        self.raise_()
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Fill what the mask leaves."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().focus))
