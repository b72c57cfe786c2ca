"""The ledger's header row: a click, or Enter on a heading, sorts by a column."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QAccessible, QColor, QFocusEvent, QKeyEvent, QPainter
from PySide6.QtWidgets import QHeaderView, QWidget

from leakmap.desk.keyboard import framed
from leakmap.desk.ledger.models import LedgerModel
from leakmap.desk.ledger.row_look import draw_heading, rule_header
from leakmap.desk.pens import frame
from leakmap.desk.theme import tokens

_STEPS: Final[dict[int, int]] = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
_TAKES: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)
_FOCUS_PX: Final = 3.0


class HeaderRow(QHeaderView):
    """Headings that sort: rising, falling, then as the rows come. Arrows go along them, Enter takes one."""

    heard_as: Final = QAccessible.Role.ColumnHeader

    def __init__(self, model: LedgerModel, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._rows = model
        self._at = 0
        self._by_key = False
        self.setSectionsClickable(True)
        self.setHighlightSections(False)
        self.setMinimumSectionSize(10)
        self.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName("Headings")
        model.modelReset.connect(self._say)
        model.headerDataChanged.connect(self._say)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Arrows go to the heading beside, Enter and Space sort by it."""
        step = _STEPS.get(event.key())
        if step is not None:
            self._at = min(max(self._at + step, 0), max(self.count() - 1, 0))
            self._by_key = True
        elif event.key() in _TAKES and self._at < self.count():
            self.sectionClicked.emit(self._at)
        else:
            event.ignore()
            return
        self._say()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show which heading the keyboard is on, where keys brought it."""
        self._by_key = framed(event.reason(), before=self._by_key)
        super().focusInEvent(event)
        self._say()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """The keyboard is elsewhere."""
        super().focusOutEvent(event)
        self.viewport().update()

    def paintSection(self, painter: QPainter, rect: QRect, section: int) -> None:  # noqa: N802 - Qt's name
        """Paint a cell."""
        column, room = self._rows.columns[section], QRectF(rect)
        last = section == len(self._rows.columns) - 1
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(room, QColor(tokens().panel))
        words = column.words(compact=self._rows.compact)
        draw_heading(painter, room, column, words, at=(section, last), order=self._rows.sense_of(column))
        rule_header(painter, room)
        if section == self._at and self._by_key and self.hasFocus():
            frame(painter, room, tokens().focus, _FOCUS_PX)
        painter.restore()

    def _say(self) -> None:
        """Tell a reader which heading the keyboard is on, and how it sorts."""
        self._at = min(self._at, max(self.count() - 1, 0))
        said = self._rows.headerData(self._at, Qt.Orientation.Horizontal, Qt.ItemDataRole.AccessibleTextRole)
        self.setAccessibleName(str(said or "Headings"))
        self.setAccessibleDescription(f"one of {self.count()} headings, Enter sorts" if said else "no rows")
        self.viewport().update()
