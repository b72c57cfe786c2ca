"""A column in the plan's place under its title, with Back beside it: what is declared, or a leaflet."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAccessible, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from leakmap.desk.button import Button
from leakmap.desk.declared_line import wrapped_words
from leakmap.desk.faces import text
from leakmap.desk.larger import grown, larger
from leakmap.desk.ledger.thin_bar import ThinBar
from leakmap.desk.state import Desk
from leakmap.desk.tokens import MARGIN, TITLE_TYPE, UNIT


class TitledColumn(QWidget):
    """A title over a column that can be moved.

    Attributes:
        back: The button that shows the plan again.

    Args:
        desk: What lies there is its ``declared``.
        scroll: What moves the column.
        parent: Its owner.
    """

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, scroll: QScrollArea, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self._title = wrapped_words("", text(TITLE_TYPE, strong=True))
        self.back = Button("Back", lambda: desk.show_declared(None), self)
        self.back.setAccessibleDescription("shows the plan again")
        self._scroll = scroll
        scroll.setParent(self)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._bar = ThinBar(scroll)
        self.setAutoFillBackground(True)
        self._head = head = QHBoxLayout()
        head.setSpacing(UNIT)
        head.addWidget(self._title, 1)
        head.addWidget(self.back, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(2 * MARGIN, MARGIN, MARGIN, MARGIN)
        column.addLayout(head)
        column.addWidget(scroll, 1)
        for signal in (desk.declared_changed, desk.changed, desk.opened):
            signal.connect(self.refresh)
        larger().changed.connect(self.refresh)

    def refresh(self, _rows: object = None) -> None:
        """Show what lies there as it stands."""
        raise NotImplementedError

    def _begin(self, title: str, *, widest: int, above: int = UNIT) -> tuple[QWidget, QVBoxLayout]:
        """Title another column; gives it with its layout, to be filled and then moved by the scroll.

        Args:
            title: Its title.
            widest: Its greatest width at the usual size of letters, px.
            above: Room left free above it, px.
        """
        self._title.setFont(text(TITLE_TYPE, strong=True))
        self._title.setText(title)
        self.back.setFixedSize(self.back.sizeHint())
        self.setAccessibleName(title)
        sheet = QWidget()
        sheet.setMaximumWidth(grown(widest))
        column = QVBoxLayout(sheet)
        column.setContentsMargins(0, above, MARGIN, UNIT)
        column.setSpacing(0)
        return sheet, column

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the scroll bar at the right."""
        super().resizeEvent(event)
        QTimer.singleShot(0, self, lambda: self._bar.lie_over(self._scroll.rect()))  # once the column is laid out
