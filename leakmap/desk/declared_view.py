"""What is declared once, to read and change in the plan's place: the settings of a person, or the rules of the job.

The sheet is made from lines (``leakmap.work.declared``) and knows none of them by name. A setting is in force at once
and kept; a rule is a deed like any other, which Undo takes back. Tab goes from value to value, Shift Tab to the buttons
between them too; arrows choose or step, Enter takes what was typed, Esc shows the plan again.
"""

from __future__ import annotations

from functools import partial
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget

from leakmap.desk.button import Button
from leakmap.desk.declared_line import LineRow, wrapped_words
from leakmap.desk.faces import text
from leakmap.desk.job_sheets import JOB_SHEETS, TableFile
from leakmap.desk.larger import larger
from leakmap.desk.state import Desk
from leakmap.desk.table_in import choose_table
from leakmap.desk.things import Declared
from leakmap.desk.titled_column import TitledColumn
from leakmap.desk.tokens import BODY_TYPE, MARGIN, SECOND_TYPE, UNIT
from leakmap.work.declared import Line, setting_lines
from leakmap.work.settings import setting_named

_SETTINGS: Final = (
    "Settings",
    "Of the person who works here, not of the job. Each is in force at once and kept for the next start.",
)
_WIDEST: Final = 1000


class DeclaredView(TitledColumn):
    """The sheet that the desk has laid in the plan's place.

    Attributes:
        rows: A row for each line, in order.
        table: The button that takes the table of a file, where the sheet has one.
    """

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(desk, QScrollArea(), parent)
        self.rows: tuple[LineRow, ...] = ()
        self.table = Button("", self._choose_table, self)
        self.table.hide()
        self._head.insertWidget(1, self.table, 0, Qt.AlignmentFlag.AlignTop)
        self._shown: object = None
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        desk.settings_changed.connect(self.refresh)
        self.refresh()

    def refresh(self, _rows: object = None) -> None:
        """Show what is declared as it stands; rows stay where only their values are others."""
        which = self.desk.declared
        if which is not None and which is not Declared.SETTINGS and which not in JOB_SHEETS:
            return
        lines = self._lines()
        shown = (which, larger().share, larger().glove, tuple(line.name for line in lines))
        left = self._with_keyboard() if shown != self._shown else ""
        if shown != self._shown:
            self._shown = shown
            self._make(lines)
        for row, line in zip(self.rows, lines, strict=True):
            row.show_line(line)
            if line.name == left:
                row.first.setFocus(Qt.FocusReason.TabFocusReason)

    def _with_keyboard(self) -> str:
        """Name of the line that has the keyboard; empty where none has."""
        focus = QApplication.focusWidget()
        return next((row.line.name for row in self.rows if focus is not None and row.isAncestorOf(focus)), "")

    def _lines(self) -> tuple[Line, ...]:
        if self.desk.declared is Declared.SETTINGS:
            return setting_lines(self.desk.settings)
        job, sheet = self.desk.job, JOB_SHEETS.get(self.desk.declared)
        return sheet.lines(job) if sheet is not None and job is not None else ()

    def _make(self, lines: tuple[Line, ...]) -> None:
        """Make the rows of another sheet, each group under its heading."""
        of_job = JOB_SHEETS.get(self.desk.declared)
        title, words = _SETTINGS if of_job is None else (of_job.title, of_job.hint)
        large = larger().large  # letters which need every line of the room
        sheet, column = self._begin(title, widest=_WIDEST, above=0 if large else UNIT)
        self._show_table(of_job.table if of_job is not None else None)
        group = ""
        hint = wrapped_words(words, text(SECOND_TYPE), quiet=True)
        rows: list[LineRow] = []
        for line in lines:
            if line.group != group:
                group = line.group
                if rows or group != self._title.text():
                    heading = wrapped_words(group, text(BODY_TYPE + 1, strong=True))
                    heading.setContentsMargins(0, 0 if large and not rows else MARGIN, 0, UNIT)
                    column.addWidget(heading)
            rows.append(LineRow(line, partial(self._take, line.name)))
            column.addWidget(rows[-1])
        column.insertWidget(column.count() if large else 0, hint)
        column.addStretch(1)
        self.rows = tuple(rows)
        self._scroll.setWidget(sheet)
        for row in rows:
            row.reached.connect(self._scroll.ensureWidgetVisible)
        if rows:
            self.setFocusProxy(rows[0].first)

    def _show_table(self, table: TableFile | None) -> None:
        self.table.setVisible(table is not None)
        if table is not None:
            self.table.setText(table.words)
            self.table.setAccessibleName(table.words)
            self.table.setAccessibleDescription("chooses a file")
            self.table.setFixedSize(self.table.sizeHint())

    def _choose_table(self) -> None:
        which = self.desk.declared
        if isinstance(which, Declared):
            choose_table(self.desk, which, self)

    def passed_by(self, value: QWidget) -> frozenset[QWidget]:
        """What Tab passes by behind a value: buttons where Space would change what has just been typed, or the next."""
        at = next((number for number, row in enumerate(self.rows) if row.last is value), None)
        if at is None:
            return frozenset()
        follows = self.rows[at + 1].beside if at + 1 < len(self.rows) else ()
        return frozenset((self.rows[at].usual, *follows))

    def _take(self, name: str, said: str) -> bool:
        """Put what a line says in force; whether it could be. Why not is told in the band."""
        desk = self.desk
        if desk.declared is Declared.SETTINGS:
            setting = setting_named(name)
            return desk.attempt(lambda: desk.set_value(name, setting.read(said)))
        return desk.may_change() and desk.attempt(lambda: self._change_job(name, said))

    def _change_job(self, name: str, said: str) -> None:
        open_job, sheet = self.desk.open_job, JOB_SHEETS.get(self.desk.declared)
        if open_job is not None and sheet is not None:
            edit = sheet.change(open_job.job, name=name, text=said)
            if edit.changed:
                self.desk.do(edit)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Esc shows the plan again; letters take no tool while it is hidden."""
        if event.key() == Qt.Key.Key_Escape:
            self.desk.show_declared(None)
        elif not event.text():
            super().keyPressEvent(event)
