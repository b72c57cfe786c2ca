"""The pane of the tape: its head at the left, and the tape."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QWidget

from leakmap.desk.state import Desk
from leakmap.desk.tape.head import TapeHead
from leakmap.desk.tape.view import TapeView
from leakmap.desk.tokens import WIDE, Sizes


class TapePane(QWidget):
    """Where the picked joint lies straight.

    Attributes:
        head: Which joint it is.
        view: The joint laid out.
    """

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sizes = WIDE
        self.view = TapeView(desk, self)
        self.head = TapeHead(desk, self)
        across = QHBoxLayout(self)
        across.setContentsMargins(0, 0, 0, 0)
        across.setSpacing(0)
        across.addWidget(self.head)
        across.addWidget(self.view, 1)
        for signal in (desk.opened, desk.changed, desk.shown_changed, self.view.laying.changed):
            signal.connect(self._refresh)
        self.set_sizes(WIDE)
        self.setFocusProxy(self.view)

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the pane out for wide or compact."""
        self.sizes = sizes
        self.head.set_sizes(sizes)
        self.view.set_sizes(sizes)

    def _refresh(self, _rows: object = None) -> None:
        self.head.refresh()
