"""Find in old jobs: the zones of many jobs in the plan's place, narrowed by words; Enter opens a job at its zone.

The job files are read in a process of its own, which the band shows and Esc stops; nothing is written to them.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFileDialog, QWidget

from leakmap.desk.button import Button
from leakmap.desk.choice_pane import ChoicePane
from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.find.job_lines import HEADINGS, JobLines, columns_in, stacked_in
from leakmap.desk.larger import airy, control_px, grown
from leakmap.desk.ledger.answers import look_at
from leakmap.desk.long_work import LongWork, told_work
from leakmap.desk.pens import across, painting, write, write_fitting
from leakmap.desk.sitting import Sitting
from leakmap.desk.theme import tokens
from leakmap.desk.things import Declared, Sort, Stage, Thing
from leakmap.desk.tokens import CAPTION_TYPE, MARGIN, SECOND_TYPE
from leakmap.work.recent import recent
from leakmap.work.register import Line, Lines, Register, count_words, lines_of, register_with_lines

HEADING: Final = "Find in old jobs"
FIELD: Final = "Site, level, grid bay, zone or year"
READING: Final = "Reading the jobs in the folders of recent ones…"
NO_FIT: Final = "No zone fits all of these words. Take one away, or add a folder."
NO_JOBS: Final = "There are no jobs in the folders of recent ones. Add the folder that holds yours."
_WORDS: Final = 76
_HEAD: Final = 156
_HEADINGS: Final = 28
_FIELD: Final = 460
_NAMED: Final = 3


def _count_px() -> int:
    """Height of what says how many rows there are, where it stands under the field."""
    return round(airy(44))


class OldJobs(ChoicePane):
    """The pane.

    Attributes:
        words: The field that narrows the list.
        lines: The list.
    """

    def __init__(self, sitting: Sitting, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sitting, self.desk = sitting, sitting.desk
        self.words = Field(FIELD, self)
        self.words.setPlaceholderText(FIELD)
        self.lines = JobLines(self)
        self.take = Button("Open the job", self._open, self)
        self.add = Button("Add a folder", self.choose_folder, self)
        self.back = Button("Back", self.leave, self)
        self.take.full = True
        self.setFocusProxy(self.words)
        self.setAccessibleName(HEADING)
        self.words.setAccessibleDescription("narrows the list below")
        self.take.setAccessibleDescription("opens the job of the chosen zone")
        self.add.setAccessibleDescription("looks through another folder, too")
        self.back.setAccessibleDescription("to where you were")
        self.lines.setAccessibleDescription("arrows choose, Enter opens")
        self._folders: tuple[Path, ...] = ()
        self._work: LongWork | None = None
        self._register = Register()
        self._index: Lines = lines_of(self._register)
        self.words.textChanged.connect(lambda _words: self._narrow())
        self.lines.chosen.connect(self._take)
        self.desk.declared_changed.connect(self._stop_where_put_away)

    @property
    def shown(self) -> bool:
        """Whether it lies in the plan's place."""
        return self.desk.declared is Declared.OLD_JOBS

    def open(self) -> None:
        """Lie in the plan's place, and read the jobs in the folders of recent ones."""
        self.desk.show_declared(Declared.OLD_JOBS)
        self.words.clear()
        self.read()

    def leave(self) -> None:
        """Let the plan, or the start sheet, lie here again."""
        if self.shown:
            self.desk.show_declared(None)

    def _stop_where_put_away(self) -> None:
        if self._work is not None and not self.shown:
            self._work.stop()

    def choose_folder(self) -> None:
        """Let the user add a folder, which is looked through with all within it."""
        name = QFileDialog.getExistingDirectory(self, "Look through", str(recent().folder or Path.home()))
        if name:
            self._folders = tuple(dict.fromkeys((*self._folders, Path(name))))
            self.read()

    def read(self) -> None:
        """Read the jobs anew, in a process of its own."""
        if self._work is not None:
            return
        known = recent()
        beside = dict.fromkeys(path.parent for path in known.jobs)
        work = self._work = told_work(self.desk)
        work.finished.connect(self._take_register)
        work.when_ended(self._ended)
        work.start(register_with_lines, self._folders, beside=tuple(beside))
        self.desk.working.emit(work)
        self.update()

    # Events ---------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Up, Down and Enter work the list while words are typed; Esc leaves."""
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.lines.step(1 if event.key() == Qt.Key.Key_Down else -1)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._open()
        elif event.key() == Qt.Key.Key_Escape:
            self.leave()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep everything in its place."""
        super().resizeEvent(event)
        self._lay_out()

    def _lay_out(self) -> None:
        more, stacked = self._more_head(self.sentence), stacked_in(self.width() - 2 * MARGIN)
        wide = min(grown(_FIELD), self.width() - 4 * MARGIN)
        self.words.setGeometry(2 * MARGIN, round(airy(_WORDS)) + more, wide, control_px())
        under = (
            self.words.geometry().bottom() - round(airy(_WORDS)) - control_px()
        )  # what the field is lower than usual
        count = _count_px() if stacked else 0
        self._lay_choice(
            self.lines,
            round(airy(_HEAD)) + under + count + stacked * round(airy(_HEADINGS)),
            self.take,
            self.add,
            self.back,
        )

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the board, the heading and what there is."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            self._paint_head(painter, HEADING, self.sentence)
            stacked = stacked_in(self.lines.width())
            left, below = self.words.geometry().right() + MARGIN, self.words.geometry().bottom()
            count = QRectF(left, self.words.y(), self.width() - left - MARGIN, self.words.height())
            if stacked:  # under the field instead of beside it
                count = QRectF(2 * MARGIN, below, self.width() - 4 * MARGIN, _count_px())
            high = round(airy(_HEADINGS)) * (1 + stacked)
            head = QRectF(self.lines.x(), self.lines.y() - high, self.lines.width(), high)
            for (cell, align, _), words in zip(columns_in(head), HEADINGS, strict=True):
                write(painter, cell, words, text(CAPTION_TYPE), ink=tokens().ink2, align=align)
            across(painter, self.lines.y() - 1, head.left(), head.right(), tokens().rule_strong)
            write_fitting(
                painter, count, self._count(), [text(px) for px in (SECOND_TYPE, CAPTION_TYPE)], ink=tokens().ink2
            )

    @property
    def sentence(self) -> str:
        """What there is, and which files could not be read."""
        if self._work is not None:
            return READING
        if not self._register.jobs and not self._register.findings:
            return NO_JOBS
        lost = [Path(finding.where).name for finding in self._register.findings]
        more = f" and {len(lost) - _NAMED} more" if len(lost) > _NAMED else ""
        named = f": {', '.join(lost[:_NAMED])}{more}" if lost else ""
        return f"{count_words(self._register)}{named}."

    # What is listed -------------------------------------------------------------------------------

    def _count(self) -> str:
        shown, every = len(self.lines.shown), len(self._index.each)
        if every and not shown:
            return NO_FIT
        return f"{shown:,} of {every:,}" if shown < every else ""

    def _take_register(self, found: tuple[Register, Lines]) -> None:
        self._register, self._index = found
        tips = (finding.text for finding in self._register.findings)
        self.setToolTip("\n".join(tips))
        self._narrow()

    def _narrow(self) -> None:
        self._show(self._index.found(self.words.text()))
        self.setAccessibleDescription(f"{self.sentence} {self._count()}".strip())

    def _show(self, lines: Iterable[Line]) -> None:
        self.lines.show_lines(tuple(lines))
        self.take.setEnabled(self.lines.current is not None)
        self._lay_out()
        self.update()

    def _ended(self) -> None:
        self._work = None
        self._lay_out()
        self.update()

    def _open(self) -> None:
        if self.lines.current is not None:
            self._take(self.lines.current)

    def _take(self, line: Line) -> None:
        self.sitting.open_job(line.job.file, lambda: self._show_zone(line))

    def _show_zone(self, line: Line) -> None:
        self.desk.go_to(Stage.REPAIR)
        if line.zone is not None:
            look_at(self.desk, Thing(Sort.ZONE, line.zone.number))
