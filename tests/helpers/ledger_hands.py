"""A ledger on a desk with hands for tests, and a small job of two levels for it."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QAbstractButton, QWidget
from pytestqt.qtbot import QtBot

from leakmap.desk.ledger.cell_field import Below, CellField
from leakmap.desk.ledger.models import Part
from leakmap.desk.ledger.pane import LedgerPane
from leakmap.desk.state import Desk
from leakmap.model.job import Job
from leakmap.model.words import Wetness
from leakmap.work.edits.sheets import add_sheet
from tests.helpers.small_jobs import one_line, with_leak, with_line

LEFT = Qt.MouseButton.LeftButton


def two_levels() -> Job:
    """Two levels: on B2 joints of 4 and 9 m with a seep, a drip and a jet; on B1 a joint of 5 m with a damp stretch."""
    job, first = one_line(((0, 0), (4, 0)))
    job, second = with_line(job, ((0, 3), (9, 3)))
    job, _ = with_leak(job, second, 6.0, 7.0, Wetness.JET)
    job, _ = with_leak(job, first, 1.0, 2.0, Wetness.DRIP)
    job, _ = with_leak(job, second, 1.0, 1.255, Wetness.SEEP)
    edit = add_sheet(job, name="B1")
    job, third = with_line(edit.job, ((0, 6), (5, 6)), sheet=edit.made[0])
    job, _ = with_leak(job, third, 2.0, 3.0, Wetness.DAMP)
    return job


class Ledger:
    """A ledger on a desk, with hands: rows are found by their first cell."""

    def __init__(self, desk: Desk, qtbot: QtBot, width: int = 436) -> None:
        self.desk, self.qtbot = desk, qtbot
        self.frame = QWidget()
        self.frame.resize(1600, 900)
        qtbot.addWidget(self.frame)
        self.pane = LedgerPane(desk, self.frame)
        self.pane.setGeometry(1600 - width, 0, width, 900)
        self.frame.show()
        self.table, self.model = self.pane.table, self.pane.model

    def column(self, name: str) -> list[str]:
        """The cells of a column, top down, sums and notes left out."""
        at = [column.name for column in self.model.columns].index(name)
        lines = [row for row, entry in enumerate(self.model.entries) if entry.part is Part.LINE]
        return [str(self.model.index(row, at).data()) for row in lines]

    def headings(self) -> list[str]:
        """The headings."""
        return [column.heading for column in self.model.columns]

    def place(self, first: str) -> QPoint:
        """The middle of the row whose first cell, or sentence, starts so."""
        for row in range(self.model.rowCount()):
            if str(self.model.index(row, 0).data()).startswith(first):
                self.table.scrollTo(self.model.index(row, 0))
                return self.table.visualRect(self.model.index(row, 0)).center()
        raise AssertionError(first)

    def click(self, first: str, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """Click on a row."""
        self.qtbot.mouseClick(self.table.viewport(), LEFT, modifier, self.place(first))

    def click_heading(self, name: str) -> None:
        """Click on a heading."""
        header = self.table.horizontalHeader()
        at = [column.name for column in self.model.columns].index(name)
        middle = QPoint(header.sectionPosition(at) + header.sectionSize(at) // 2, header.height() // 2)
        self.qtbot.mouseClick(header.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, middle)

    def click_word(self, words: str) -> None:
        """Click on a word of the head or the foot, or on a button."""
        found = [one for one in self.pane.findChildren(QAbstractButton) if one.text() == words and one.isVisible()]
        self.qtbot.mouseClick(found[0], LEFT)

    def key(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """A key for the rows."""
        self.qtbot.keyClick(self.table, key, modifier)

    def edit(self, first: str, column: str) -> CellField:
        """The field of a cell, opened by Enter on it."""
        row = self.table.rowAt(self.place(first).y())
        at = [each.name for each in self.model.columns].index(column)
        self.table.setFocus()
        self.table.setCurrentIndex(self.model.index(row, at))
        self.key(Qt.Key.Key_Return)
        return self.field

    @property
    def field(self) -> CellField:
        """The field that is open."""
        assert self.table.editing.field is not None
        return self.table.editing.field

    @property
    def below(self) -> Below:
        """What stands below it."""
        assert self.table.editing.below is not None
        return self.table.editing.below

    def type(self, words: str, end: Qt.Key = Qt.Key.Key_Return) -> None:
        """Type words over what stands in the field, and end with a key."""
        field = self.field
        field.selectAll()
        self.qtbot.keyClicks(field, words)
        self.qtbot.keyClick(field, end)
