"""A thin scroll bar that lies over the margin of what it scrolls: a plain handle and no arrows.

What has one slides under a finger too, for whom the bar is too thin.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QScrollBar,
    QScroller,
    QScrollerProperties,
    QStyle,
    QStyleOptionSlider,
)

from leakmap.desk.pens import painting
from leakmap.desk.theme import tokens

_WIDE: Final = 10
_HANDLE: Final = 6


class ThinBar(QScrollBar):
    """An upright scroll bar over the right margin of a view, in step with the view's own, which is not shown."""

    def __init__(self, view: QAbstractScrollArea) -> None:
        super().__init__(Qt.Orientation.Vertical, view)
        self.setFixedWidth(_WIDE)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent, on=False)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._of = view.verticalScrollBar()
        view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._of.rangeChanged.connect(self._follow)
        self._of.valueChanged.connect(self.setValue)
        self.valueChanged.connect(self._of.setValue)
        _slide_under_fingers(view)
        self._follow()

    def _follow(self) -> None:
        self.setPageStep(self._of.pageStep())
        self.setSingleStep(self._of.singleStep())
        self.setRange(self._of.minimum(), self._of.maximum())
        self.setVisible(self._of.maximum() > self._of.minimum())

    def lie_over(self, room: QRect) -> None:
        """Lie along the right edge of a room of the view."""
        self.setGeometry(room.right() + 1 - _WIDE, room.top(), _WIDE, room.height())
        self._follow()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Ten pixels wide."""
        return QSize(_WIDE, 40)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint track and handle."""
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        handle = self.style().subControlRect(
            QStyle.ComplexControl.CC_ScrollBar, option, QStyle.SubControl.SC_ScrollBarSlider, self
        )
        with painting(self) as painter:
            left = (self.width() - _HANDLE) / 2
            ink = tokens().ink2 if self.underMouse() or self.isSliderDown() else tokens().edge
            painter.fillRect(QRectF(left, handle.top(), _HANDLE, handle.height()), QColor(ink))


def _slide_under_fingers(view: QAbstractScrollArea) -> None:
    """Let a finger slide what a view shows, never past its ends."""
    QScroller.grabGesture(view.viewport(), QScroller.ScrollerGestureType.TouchGesture)
    scroller = QScroller.scroller(view.viewport())
    ways, metrics = scroller.scrollerProperties(), QScrollerProperties.ScrollMetric
    for metric in (metrics.HorizontalOvershootPolicy, metrics.VerticalOvershootPolicy):
        ways.setScrollMetric(metric, QScrollerProperties.OvershootPolicy.OvershootAlwaysOff)
    scroller.setScrollerProperties(ways)
