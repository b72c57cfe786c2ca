"""How the panes of the middle share their room: splitters with limits, and defaults that come back."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAccessible, QColor, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QSplitter,
    QSplitterHandle,
    QStackedLayout,
    QVBoxLayout,
    QWidget,
)

from leakmap.desk.band import Band
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens


class RuleHandle(QSplitterHandle):
    """A rule of one pixel that can be dragged; a double click asks for the default."""

    heard_as: Final = QAccessible.Role.Separator

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Ask for the default size."""
        splitter = self.splitter()
        if isinstance(splitter, RuleSplitter):
            splitter.default_asked.emit()
        event.accept()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the rule."""
        painter = QPainter(self)
        ruled = self.orientation() is Qt.Orientation.Vertical  # the ledger rules its own left edge
        painter.fillRect(self.rect(), QColor(tokens().rule_strong if ruled else tokens().panel))
        painter.end()


class RuleSplitter(QSplitter):
    """Two panes parted by a rule; neither can be folded away by dragging."""

    default_asked = Signal()

    def __init__(self, orientation: Qt.Orientation, parent: QWidget | None = None) -> None:
        super().__init__(orientation, parent)
        self.setHandleWidth(1)
        self.setChildrenCollapsible(False)

    def createHandle(self) -> QSplitterHandle:  # noqa: N802 - Qt's name
        """A rule."""
        return RuleHandle(self.orientation(), self)

    def addWidget(self, widget: QWidget) -> None:  # noqa: N802 - Qt's name
        """Add a pane; a screen reader reads them in this order, which Qt would turn round."""
        super().addWidget(widget)
        for pane in [self.widget(at) for at in reversed(range(self.count()))]:
            if pane is not None:
                pane.lower()

    def give_second(self, px: int) -> None:
        """Give the second pane so many pixels, and the first the rest."""
        whole = self.width() if self.orientation() is Qt.Orientation.Horizontal else self.height()
        self.setSizes([max(whole - px - self.handleWidth(), 1), px])


class Centre(QWidget):
    """The plan or the start sheet, with the band over its foot."""

    def __init__(self, desk: Desk, plan: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._stack = QStackedLayout(self)
        self._stack.setContentsMargins(0, 0, 0, 0)
        self._stack.addWidget(plan)
        self.band = Band(desk, self)

    def show_pane(self, pane: QWidget) -> None:
        """Show one pane and hide the others."""
        if self._stack.indexOf(pane) < 0:
            self._stack.addWidget(pane)
        before, focus = self._stack.currentWidget(), QApplication.focusWidget()
        if before is not pane and before is not None and focus is not None and before.isAncestorOf(focus):
            focus.clearFocus()  # or Qt would give the keyboard to the first button of the other pane
        self._stack.setCurrentWidget(pane)
        self.band.raise_()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the band at the foot, and give hidden panes their room, so that nothing is made for another."""
        super().resizeEvent(event)
        for number in range(self._stack.count()):
            pane = self._stack.widget(number)
            if pane is not None:
                pane.setGeometry(self.rect())
        self.band.lie_at_foot()


def closely(layout: QHBoxLayout | QVBoxLayout, *widgets: QWidget) -> QHBoxLayout | QVBoxLayout:
    """A layout that holds widgets one after the other, without room between or round them."""
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(0)
    for widget in widgets:
        layout.addWidget(widget)
    return layout
