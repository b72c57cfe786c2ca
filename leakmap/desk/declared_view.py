"""What is declared once, to read and change in the plan's place: the settings of a person, or the rules of the job.

The sheet is made from lines (``leakmap.work.declared``) and knows none of them by name. A setting is in force at once
and kept; a rule is a deed like any other, which Undo takes back. Tab goes from line to line, arrows choose or step,
Enter takes what was typed, Esc shows the plan again.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QScrollArea, QWidget

from leakmap.desk.declared_line import LineRow, wrapped_words
from leakmap.desk.faces import text
from leakmap.desk.larger import larger
from leakmap.desk.state import Desk
from leakmap.desk.things import Declared
from leakmap.desk.titled_column import TitledColumn
from leakmap.desk.tokens import BODY_TYPE, MARGIN, SECOND_TYPE, UNIT
from leakmap.model.job import Job
from leakmap.work.declared import Line, setting_lines
from leakmap.work.job_facts import change_line, job_lines
from leakmap.work.material_lines import MATERIALS_HEADING, change_material, material_lines
from leakmap.work.settings import setting_named

TITLES: Final[dict[object, str]] = {
    Declared.SETTINGS: "Settings",
    Declared.RULES: "Rules of this job",
    Declared.MATERIALS: MATERIALS_HEADING,
}
HINTS: Final[dict[object, str]] = {
    Declared.SETTINGS: "Of the person who works here, not of the job. Each is in force at once and kept for the next start.",
    Declared.RULES: "Zones are worked out by these, and papers print them with their origin. Undo takes a change back.",
    Declared.MATERIALS: "Powder, water and batches follow from these. Each has its origin; Undo takes a change back.",
}
_LINES: Final[dict[object, Callable[[Job], tuple[Line, ...]]]] = {
    Declared.RULES: job_lines,
    Declared.MATERIALS: material_lines,
}
_WIDEST: Final = 1000


class DeclaredView(TitledColumn):
    """The sheet that the desk has laid in the plan's place.

    Attributes:
        rows: A row for each line, in order.
    """

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(desk, QScrollArea(), parent)
        self.rows: tuple[LineRow, ...] = ()
        self._shown: object = None
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        desk.settings_changed.connect(self.refresh)

    def refresh(self, _rows: object = None) -> None:
        """Show what is declared as it stands; rows stay where only their values are others."""
        which = self.desk.declared
        if which is not None and which not in TITLES:
            return
        lines = self._lines()
        shown = (which, larger().share, larger().glove, tuple(line.name for line in lines))
        if shown != self._shown:
            self._shown = shown
            self._make(lines)
        for row, line in zip(self.rows, lines, strict=True):
            row.show_line(line)

    def _lines(self) -> tuple[Line, ...]:
        if self.desk.declared is Declared.SETTINGS:
            return setting_lines(self.desk.settings)
        job = self.desk.job
        made = _LINES.get(self.desk.declared)
        return made(job) if made is not None and job is not None else ()

    def _make(self, lines: tuple[Line, ...]) -> None:
        """Make the rows of another sheet, each group under its heading."""
        which = self.desk.declared
        large = larger().large  # letters which need every line of the room
        sheet, column = self._begin(TITLES.get(which, ""), widest=_WIDEST, above=0 if large else UNIT)
        group = ""
        hint = wrapped_words(HINTS.get(which, ""), text(SECOND_TYPE), quiet=True)
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

    def _take(self, name: str, said: str) -> bool:
        """Put what a line says in force; whether it could be. Why not is told in the band."""
        desk = self.desk
        if desk.declared is Declared.SETTINGS:
            setting = setting_named(name)
            return desk.attempt(lambda: desk.set_value(name, setting.read(said)))
        return desk.may_change() and desk.attempt(lambda: self._change_rule(name, said))

    def _change_rule(self, name: str, said: str) -> None:
        open_job = self.desk.open_job
        if open_job is not None:
            change = change_material if self.desk.declared is Declared.MATERIALS else change_line
            edit = change(open_job.job, name=name, text=said)
            if edit.changed:
                self.desk.do(edit)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Esc shows the plan again; letters take no tool while it is hidden."""
        if event.key() == Qt.Key.Key_Escape:
            self.desk.show_declared(None)
        elif not event.text():
            super().keyPressEvent(event)
