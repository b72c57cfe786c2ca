"""The start window: an empty sheet that says how to begin, and asks for names once a drawing is chosen."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QFont,
    QFontMetricsF,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QFileDialog, QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.guide.guide import was_done
from leakmap.desk.larger import airy, control_px, grown, larger, scaled
from leakmap.desk.pens import (
    CENTRE,
    LEFT,
    across,
    dashed_frame,
    frame,
    painting,
    when_pressed,
    width_of,
    write,
    write_lines,
)
from leakmap.desk.pressed import Pressed
from leakmap.desk.signs import paint, zone_sign
from leakmap.desk.sitting import Sitting
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, SECOND_TYPE, TITLE_TYPE, UNIT, WIDE, Sizes
from leakmap.work.recent import recent

HEADING: Final = "Start with the floor plan: a DXF, a PDF, or a scan of the paper."
PROMISE: Final = "Nothing leaves this computer. The drawing itself is never changed."
HINT: Final = "or drop a file anywhere on this sheet"
OPENING: Final = "Opening {name}…"
NAMING: Final = "Which level does this drawing show?"
_SIGN_WIDTH: Final = 420.0
_RECENT: Final = 4
_FIELD: Final = 320
_BUTTON: Final = 50
_GAP: Final = 14
_ROW: Final = (440, 30)
_HEADING: Final = (72, 50)  # from the top to the heading, as usual and where letters are large
_SMALLER: Final = (TITLE_TYPE, BODY_TYPE, SECOND_TYPE, CAPTION_TYPE)
"""Letters for a line that has no room in larger ones, px."""

_EDGE: Final = 28  # between the sheet's frame and what stands on it


class RecentRow(Pressed):
    """A job that was open before: its name and its folder."""

    def __init__(self, path: Path, parent: QWidget) -> None:
        super().__init__(parent)
        self.path = path
        self.setText(path.stem)
        self.setToolTip(str(path))
        self.setAccessibleName(f"Open {path.stem}")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """One row."""
        return QSize(_ROW[0], grown(_ROW[1]))

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint name and folder on a ruled row."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            marked = self.underMouse()
            if marked:
                painter.fillRect(room.adjusted(0, 0, 0, -1), QColor(tokens().mark))
            name = width_of(self.text(), text(BODY_TYPE))
            ink = tokens().on_mark if marked else tokens().ink
            write(painter, room.adjusted(8, 0, -8, -1), self.text(), text(BODY_TYPE), ink=ink)
            folder = room.adjusted(min(8 + name + 16, room.width() / 2), 0, -8, -1)
            quiet = tokens().on_mark if marked else tokens().ink2
            write(painter, folder, self.path.parent.name, text(CAPTION_TYPE), ink=quiet)
            across(painter, room.bottom() - 1, 0, room.width())
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)


class StartSheet(QWidget):
    """The empty sheet before a job is open."""

    heard_as: Final = QAccessible.Role.Grouping

    find_pressed = Signal()  # an old job is to be looked for
    guide_pressed = Signal()  # the first job is to be led through, step by step
    question_wanted = Signal()  # Enter was pressed while something about the drawing is asked

    def __init__(self, sitting: Sitting, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sitting = sitting
        self.sizes = WIDE
        self._hint = QRectF()
        self._scrolled = 0.0
        self._taken_y = 0.0  # where the sheet is taken to be slid
        self._as_soon_as_read = False  # Enter was pressed while the drawing is still being read
        self.choose = Button("Choose a drawing", sitting.choose_drawing, self)
        self.open = Button("Open a job", self.choose_job, self)
        self.find_old = Button("Find in old jobs", self.find_pressed.emit, self)
        self.sample = Button("Look round a sample job", sitting.look_round, self)
        self.first_job = Button("First job, step by step", self.guide_pressed.emit, self)
        self.first_job.setAccessibleDescription("six steps over the sample job, left at any time")
        self.choose.full = True
        self.open.loud = self.find_old.loud = self.sample.loud = True
        self.first_job.loud = not was_done()
        self.level = Field("Level", self)
        self.job = Field("Job", self)
        self.folder = Path()
        self.elsewhere = Button("Keep it elsewhere", self.choose_folder, self)
        self.make = Button("Make the job", self._make, self)
        self.back = Button("Back", sitting.give_up, self)
        self.make.full = True
        for widget, does in self._does().items():
            widget.setAccessibleDescription(does)
        self.rows: list[RecentRow] = []
        self.level.returnPressed.connect(self._make)
        self.job.returnPressed.connect(self._make)
        for field in (self.level, self.job):
            field.textChanged.connect(self._names_changed)
        for button in (*self._first(), self.first_job):
            button.installEventFilter(self)
        sitting.planned.connect(self.refresh)
        larger().changed.connect(self._grow)
        self.refresh()

    def _does(self) -> dict[QWidget, str]:
        """What each button and field is for."""
        return {
            self.choose: "a DXF, a PDF or a scan; the drawing itself is never changed",
            self.open: "a job file that was kept before",
            self.find_old: "zones of many jobs by site, level, grid and year",
            self.sample: "opens a copy; change anything",
            self.level: "name of the level that the drawing shows, such as B2",
            self.job: "name of the new job",
            self.elsewhere: "chooses the folder of the new job",
            self.make: "keeps the job and opens it",
            self.back: "to the first question",
        }

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the sheet out for wide or compact."""
        self.sizes = sizes
        self._lay_out()
        self.update()

    def refresh(self) -> None:
        """Show the first question, or the names of the job that is planned."""
        plan, opening = self.sitting.plan, self.sitting.opening
        self._show_plan()
        first: tuple[QWidget, ...] = (*self._first(), self.first_job)
        self.first_job.loud = not was_done()
        second: tuple[QWidget, ...] = (self.level, self.job, self.elsewhere, self.make, self.back)
        shown = second if plan is not None else () if opening else first
        for widget in shown:
            widget.show()
        self._tell()
        if not self.isHidden():
            self._take_keyboard()
        for widget in (*first, *second):  # after that, or the keyboard would go from one that goes to the next
            widget.setVisible(widget in shown)
        self._show_recent()
        self._lay_out()
        self.update()

    def _take_keyboard(self) -> None:
        """Give the keyboard to what is asked; while a job opens, to the sheet that says so."""
        if self.sitting.opening:
            self.setFocus(Qt.FocusReason.OtherFocusReason)
        elif self.sitting.plan is None:
            self.choose.setFocus(Qt.FocusReason.OtherFocusReason)
        elif not self.level.hasFocus() and not self.job.hasFocus():
            self.level.setFocus(Qt.FocusReason.OtherFocusReason)
            self.level.selectAll()

    def _tell(self) -> None:
        """Say in words what is painted on the sheet."""
        plan, opening = self.sitting.plan, self.sitting.opening
        if opening:
            name, details = OPENING.format(name=opening), ""
        elif plan is None:
            name, details = HEADING, f"{PROMISE} {HINT}"
        else:
            name, details = NAMING, f"{plan.wanted.words} The job is kept in {self.folder}"
        self.setAccessibleName(name)
        self.setAccessibleDescription(details)

    def choose_job(self) -> None:
        """Let the user choose a job to open."""
        name, _ = QFileDialog.getOpenFileName(self, "Open a job", self._last_folder(), "Jobs (*.gpkg)")
        if name:
            self.sitting.open_job(Path(name))

    def choose_folder(self) -> None:
        """Let the user choose where the planned job is kept."""
        name = QFileDialog.getExistingDirectory(self, "Keep the job in", str(self.folder))
        if name:
            self.folder = Path(name)
            self._names_changed()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep everything in the middle."""
        super().resizeEvent(event)
        self._lay_out()
        self._show_focus()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint board, sheet and words."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().board))
            painter.fillRect(self._sheet(), QColor(tokens().sheet))
            dashed_frame(painter, self._sheet())
            if self.sitting.opening:
                self._line(painter, self._top() + 72, OPENING.format(name=self.sitting.opening), self.sizes.empty_type)
            elif self.sitting.plan is None:
                self._paint_first(painter)
            else:
                self._paint_naming(painter)

    def _paint_first(self, painter: QPainter) -> None:
        y = self._top()
        painter.save()
        painter.translate(QPointF(self.width() / 2, y + 17))
        paint(painter, zone_sign(_SIGN_WIDTH))
        painter.restore()
        heading = self._heading(y)
        write_lines(painter, heading, HEADING, text(self.sizes.empty_type, strong=True))
        write_lines(painter, self._promise(heading), PROMISE, text(BODY_TYPE), tokens().ink2)
        write(painter, self._hint, HINT, text(SECOND_TYPE), ink=tokens().ink2, align=CENTRE)
        if self.rows and not self.rows[0].isHidden():
            row = self.rows[0].geometry()
            caption = QRectF(row.x() + 8, row.y() - scaled(24), row.width(), scaled(20))
            write(painter, caption, "Recent jobs", text(CAPTION_TYPE), ink=tokens().ink2, align=LEFT)

    def _paint_naming(self, painter: QPainter) -> None:
        plan = self.sitting.plan
        assert plan is not None
        self._line(painter, self._top() + airy(72), NAMING, self.sizes.empty_type, strong=True)
        self._line(painter, self._top() + airy(112), plan.wanted.words, BODY_TYPE)
        for field, caption in ((self.level, "Level, such as B2"), (self.job, "Name of the job")):
            room = QRectF(field.x(), field.y() - scaled(18) - 3, field.width(), scaled(18))
            write(painter, room, caption, text(CAPTION_TYPE), ink=tokens().ink2)
        self._line(painter, self.make.geometry().bottom() + 14, f"The job is kept in {self.folder}", SECOND_TYPE)

    def _line(self, painter: QPainter, y: float, words: str, px: float, *, strong: bool = False) -> None:
        sheet = self._sheet()
        room = QRectF(sheet.left() + UNIT, y, sheet.width() - 2 * UNIT, scaled(px) * 1.5)
        ink = tokens().ink if strong else tokens().ink2
        fonts = [text(size, strong=strong) for size in (px, *(size for size in _SMALLER if size < px))]
        fits = next((font for font in fonts if width_of(words, font) <= room.width()), fonts[-1])
        write(painter, room, words, fits, ink=ink, align=CENTRE)

    def _show_plan(self) -> None:
        """Put what is planned into the fields, once for each drawing."""
        plan = self.sitting.plan
        if plan is None:
            self._as_soon_as_read = False
            return
        for field, words in ((self.level, plan.level), (self.job, plan.name)):
            if field.text() != words:
                field.blockSignals(True)
                field.setText(words)
                field.blockSignals(False)
        self.folder = plan.folder
        self._show_ready()

    def _show_ready(self) -> None:
        plan = self.sitting.plan
        if plan is not None:
            named = bool(self.level.text().strip() and self.job.text().strip())
            self.make.setEnabled(plan.new is not None and named)
            waits = (
                "made as soon as it is read" if self._as_soon_as_read and plan.waits and not plan.asked else plan.waits
            )
            self.make.setText(waits or ("Make the job" if named else "name level and job"))
            if self._as_soon_as_read and self.make.isEnabled():
                self._as_soon_as_read = False
                QTimer.singleShot(0, self, self._make)

    def _names_changed(self) -> None:
        self._as_soon_as_read = False
        self.sitting.change_plan(level=self.level.text(), name=self.job.text(), folder=self.folder)
        self._show_ready()
        self._lay_out()
        self.update()

    def _make(self) -> None:
        if self.make.isEnabled():
            self.sitting.make_job()
        elif self.sitting.plan is not None and self.sitting.plan.asked:
            self.question_wanted.emit()
        elif self.sitting.plan is not None:
            self._as_soon_as_read = True
            self._show_ready()
            self._lay_out()

    def _show_recent(self) -> None:
        first = self.sitting.plan is None and not self.sitting.opening
        paths = [path for path in recent().jobs if path.is_file()][:_RECENT] if first else []
        if paths == [row.path for row in self.rows]:
            return
        for row in self.rows:
            row.hide()
            row.deleteLater()
        self.rows = [RecentRow(path, self) for path in paths]
        for row in self.rows:
            when_pressed(row, lambda path=row.path: self.sitting.open_job(path))  # type: ignore[misc] # the default binds each
            row.show()

    def _last_folder(self) -> str:
        return str(recent().folder or Path.home())

    def _sheet(self) -> QRectF:
        side = 44 if self.sizes.wide else 30
        return QRectF(self.rect()).adjusted(side, side, -side, -side)

    def _top(self) -> float:
        """Where the words begin, so that all stands in the middle and the recent jobs below."""
        rows = scaled(40 + 31 * len(self.rows)) if self.rows else 0.0
        rise = scaled(134) if self.sitting.plan is None else airy(180)  # without the sign above the words
        top = max(self._sheet().center().y() - rise - rows / 2, self._sheet().top() + _EDGE)
        return top - (self._scrolled if self.sitting.plan is None else 0.0)

    def _heading(self, y: float) -> QRectF:
        """Where the heading stands, in as many lines as it needs."""
        large = larger().large
        room = QRectF(self._sheet().left() + UNIT, y + _HEADING[large], self._sheet().width() - 2 * UNIT, 40)
        return self._grown(room, HEADING, text(self.sizes.empty_type, strong=True)) if large else room

    def _promise(self, heading: QRectF) -> QRectF:
        room = QRectF(heading.left(), heading.bottom(), heading.width(), BODY_TYPE * 1.5)
        return self._grown(room, PROMISE, text(BODY_TYPE)) if larger().large else room

    @staticmethod
    def _grown(room: QRectF, words: str, font: QFont) -> QRectF:
        """A room as high as words need in it."""
        flags = CENTRE | Qt.TextFlag.TextWordWrap
        high = QFontMetricsF(font).boundingRect(QRectF(room.x(), room.y(), room.width(), 9999), flags, words).height()
        return QRectF(room.x(), room.y(), room.width(), high + 4)

    def _show(self, button: QWidget) -> None:
        """Scroll until a button is in view."""
        place, sheet = button.geometry(), self._sheet()
        below = max(place.bottom() + _EDGE / 2 - sheet.bottom(), 0.0)
        self._scroll(below or min(place.top() - sheet.top() - _EDGE / 2, 0.0))

    def _show_focus(self) -> None:
        """Keep the button that has the keyboard in view."""
        focus = next((button for button in (*self._first(), self.first_job) if button.hasFocus()), None)
        if focus is not None and larger().large:
            self._show(focus)

    def _grow(self) -> None:
        """Lay the sheet out from its top, for letters of another size."""
        self._scrolled = 0.0
        self._lay_out()
        self._show_focus()
        self.update()

    def _scroll(self, by: float) -> None:
        """Move what stands on the sheet where it has no room, as with large letters."""
        bottom = max(self.first_job.geometry().bottom(), self._hint.bottom()) + self._scrolled
        most = max(bottom - self._sheet().bottom() + _EDGE / 2, 0.0)
        scrolled = min(max(self._scrolled + by, 0.0), most)
        if scrolled != self._scrolled:
            self._scrolled = scrolled
            self._lay_out()
            self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take the sheet."""
        self._taken_y = event.position().y()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Slide it with what took it, a finger too."""
        self._scroll(self._taken_y - event.position().y())
        self._taken_y = event.position().y()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Scroll, where there is more than room."""
        self._scroll(-event.angleDelta().y() / 2)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Bring a button that takes the keyboard into view."""
        if event.type() == QEvent.Type.FocusIn and isinstance(watched, QWidget):
            self._show(watched)
        return super().eventFilter(watched, event)

    def _lay_out(self) -> None:
        top = self._top()
        if self.sitting.plan is not None:
            self._lay_naming(top)
            return
        buttons = self._promise(self._heading(top)).bottom() + 2 * UNIT if larger().large else top + 152
        self._row(int(buttons), self._first(), max(_BUTTON, control_px()))
        air = 2 * UNIT if self.sizes.wide and not larger().large else UNIT
        self._lay_hint(self.sample.geometry().bottom() + air)
        for number, row in enumerate(self.rows):
            wide, high = min(grown(_ROW[0]), int(self._sheet().width()) - 2 * _EDGE), grown(_ROW[1])
            left = (self.width() - wide) // 2
            row.setGeometry(
                left, self.first_job.geometry().bottom() + air + grown(24) + number * (high + 1), wide, high
            )
            row.setVisible(row.geometry().bottom() <= self._sheet().bottom() - _EDGE)

    def _lay_hint(self, y: int) -> None:
        """Set the guide's button and the hint in one line, or under each other where letters are large."""
        words, wide = width_of(HINT, text(SECOND_TYPE)) + 2, self.first_job.sizeHint().width()
        beside = words + 2 * UNIT + wide <= self._sheet().width() - 2 * _EDGE
        x = (self.width() - wide - (words + 2 * UNIT if beside else 0)) / 2
        high = control_px()
        self.first_job.setGeometry(round(x), y if beside else y + high, wide, high)
        self._hint = QRectF(x + wide + 2 * UNIT if beside else (self.width() - words) / 2, y, words, high)

    def _lay_naming(self, top: float) -> None:
        wide = min(grown(_FIELD), int(self._sheet().width()) // 2 - _EDGE - UNIT)
        left, y = self.width() // 2 - wide - UNIT, int(top + airy(172))
        self.level.setGeometry(left, y, wide, self.level.height())
        self.job.setGeometry(left + wide + 2 * UNIT, y, wide, self.job.height())
        self._row(y + round(airy(64)), (self.make, self.elsewhere, self.back), max(_BUTTON, control_px()))

    def _first(self) -> tuple[Button, ...]:
        """The buttons of the first question."""
        return self.choose, self.open, self.find_old, self.sample

    def _row(self, y: int, buttons: tuple[Button, ...], height: int) -> None:
        """Set buttons in the middle, in as many rows as they need."""
        most = int(self._sheet().width()) - 2 * _EDGE
        row: list[tuple[Button, int]] = []
        for button in buttons:
            wide = button.sizeHint().width() + 32
            if row and sum(width + _GAP for _, width in row) + wide > most:
                self._set_row(y, row, height)
                row, y = [], y + height + _GAP
            row.append((button, wide))
        self._set_row(y, row, height)

    def _set_row(self, y: int, row: list[tuple[Button, int]], height: int) -> None:
        x = (self.width() - sum(width for _, width in row) - _GAP * (len(row) - 1)) // 2
        for button, width in row:
            button.setGeometry(x, y, width, height)
            x += width + _GAP
