"""The find box in the stage line: typed words find places of the job and what can be done.

Places are gathered in slices when the box is entered, and again after a deed; with thousands of leaks the window goes
on meanwhile, and the list fills when they are there.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QWidget

from leakmap.desk.faces import text
from leakmap.desk.field import Field
from leakmap.desk.pens import RIGHT, painting, width_of, write
from leakmap.desk.slices import Slices
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE
from leakmap.model.drawing import Drawing
from leakmap.work.aloud import aloud

if TYPE_CHECKING:
    from uuid import UUID

    from leakmap.desk.find.listing import FindList
    from leakmap.desk.find.rows import Doings, Row
    from leakmap.desk.window import MainWindow
    from leakmap.work.find.places import Places

NAME: Final = "Find or do"
SHORT: Final = "Find"
KEY: Final = "Ctrl K"
HINT: Final = "Type a reference such as Z-07, a place such as C4, or a word such as scale."
_AROUND: Final = 14  # of the field's margins and the line that Qt leaves beside letters


class FindBox(Field):
    """The line to type in; it belongs to the stage line, its list to the window and comes when it is first asked for."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(NAME, window)
        self._window, self._desk = window, window.desk
        self.setPlaceholderText(NAME)
        self.setAccessibleDescription(HINT)
        self._places: Places | None = None
        self._of: tuple[object, ...] = ()
        self._slices: Slices | None = None
        self._before: QObject | None = None
        self.textEdited.connect(lambda _words: self._look())
        self._desk.opened.connect(self._forget)
        self._desk.changed.connect(lambda _rows: self._changed())

    @cached_property
    def list(self) -> FindList:
        """What was found."""
        from leakmap.desk.find.listing import FindList  # noqa: PLC0415 - late

        found = FindList(self._window)
        found.chosen.connect(self._take)
        found.left.connect(self.leave)
        found.back.connect(self._type_on)
        return found

    @cached_property
    def _doings(self) -> Doings:
        from leakmap.desk.find.rows import Doings  # noqa: PLC0415 - late

        return Doings()

    @property
    def panes(self) -> tuple[QWidget, ...]:
        """The list, where it was asked for before."""
        return (self.list,) if "list" in vars(self) else ()

    @property
    def _listed(self) -> bool:
        """Whether the list is seen."""
        return any(pane.isVisible() for pane in self.panes)

    def take_keyboard(self) -> None:
        """Take the keyboard, as Ctrl K does."""
        self.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.selectAll()

    def leave(self) -> None:
        """Close the list, forget what was typed, and give the keyboard back."""
        self.close_list()
        self.clear()
        self._window.give_keyboard_back()

    def close_list(self) -> None:
        """Close the list."""
        self.list.hide()
        self._drop_slices()

    def lie_again(self) -> None:
        """Lay a list that is seen where it has room now."""
        if self._listed:
            self._lie()

    def _lie(self) -> None:
        """Lay the list where it has room: over the foot, but not over what a glove types with."""
        window = self._window
        under = self.mapTo(window, QPoint(0, 0)).y()
        top = max(window.stage_line.height(), under + self.height())
        low = window.glove_row.y() if window.glove_row.isVisible() else window.height()
        self.lie_right(QRect(0, top, window.width(), low - top))

    def lie_right(self, room: QRect) -> None:
        """Lay the list under the box, at the right of a room of the window."""
        from leakmap.desk.find.listing import wide_px  # noqa: PLC0415 - late

        high = min(self.list.wanted_height, room.height())
        wide = wide_px()
        self.list.setGeometry(room.right() + 1 - wide, room.top(), wide, high)

    # Events ---------------------------------------------------------------------------------------

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Open the list."""
        super().focusInEvent(event)
        self._look()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Close the list, unless the keyboard goes into it."""
        super().focusOutEvent(event)
        if event.reason() is not Qt.FocusReason.ActiveWindowFocusReason and QApplication.focusWidget() is not self.list:
            self.close_list()

    def event(self, event: QEvent) -> bool:
        """Keep keys that step through the list; Tab enters it."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and self._stepped(event):
            return True
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Say in as many words as there is room for what it is for; a tip says all of them."""
        super().resizeEvent(event)
        room = self.width() - 2 * _AROUND
        fits = width_of(NAME, self.font()) <= room
        self.setPlaceholderText(NAME if fits else SHORT)
        self.setToolTip("" if fits else f"{NAME}  {KEY}")

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the line, and its key while nothing stands in it."""
        super().paintEvent(event)
        room = QRectF(self.rect()).adjusted(12, 0, -12, 0)
        if not self.text() and room.width() > width_of(NAME, self.font()) + width_of(KEY, text(CAPTION_TYPE)) + 12:
            with painting(self) as painter:
                write(painter, room, KEY, text(CAPTION_TYPE), ink=tokens().ink3, align=RIGHT)

    def _stepped(self, event: QKeyEvent) -> bool:
        key = event.key()
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.list.step(1 if key == Qt.Key.Key_Down else -1)
            self._say()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.list.take()
        elif key == Qt.Key.Key_Escape:
            self.leave()
        elif key == Qt.Key.Key_Tab and self.list.isVisible() and self.list.current is not None:
            self.list.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            return False
        return True

    # What is found --------------------------------------------------------------------------------

    def _look(self) -> None:
        """Find what is typed, and show it."""
        from leakmap.desk.find.rows import rows_for  # noqa: PLC0415 - late

        self._gather()
        self.list.show_rows(rows_for(self._window, self.text(), self._places, self._doings))
        self._lie()
        self.list.show()
        self.list.raise_()
        self._say()

    def _say(self) -> None:
        """Say the current row to who cannot see it."""
        row, rows = self.list.current, self.list.hits.rows
        if row is not None:
            self.setAccessibleDescription(aloud(f"{row.said}, {self.list.place}"))
        else:
            self.setAccessibleDescription(rows[0].title if rows and self.text() else HINT)

    def _take(self, row: Row) -> None:
        self.leave()
        if row.go is not None:
            self._desk.attempt(row.go)

    def _type_on(self, words: str) -> None:
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self.insert(words)
        self._look()

    # Places ---------------------------------------------------------------------------------------

    def _gather(self) -> None:
        """Gather the places of the job, unless those that are there are of the very same job."""
        from leakmap.work.find.places import gathering, size_of  # noqa: PLC0415 - late

        job, repairs = self._desk.job, self._desk.repairs
        if job is None or repairs is None:
            self._forget()
            return
        drawings = self._drawings()
        of = (job, repairs, *drawings.values())
        if len(of) == len(self._of) and all(a is b for a, b in zip(of, self._of, strict=True)):
            return
        self._drop_slices()
        self._of = of
        self._slices = slices = Slices(
            "Looking", size_of(job, repairs, drawings), gathering(job, repairs, drawings), self
        )
        slices.finished.connect(self._gathered)

    def _gathered(self, places: Places) -> None:
        self._slices, self._places = None, places
        if self._listed:
            self._look()

    def _drawings(self) -> dict[UUID, Drawing]:
        """Drawings of the levels that are at hand."""
        open_job, job = self._desk.open_job, self._desk.job
        if open_job is None or job is None:
            return {}
        held = ((sheet.id, open_job.held.at_hand(sheet.source)) for sheet in job.sheets.values() if sheet.source)
        return {key: drawing for key, drawing in held if drawing is not None}

    def _changed(self) -> None:
        if self._listed:
            self._look()

    def _forget(self) -> None:
        self._drop_slices()
        self._places, self._of = None, ()

    def _drop_slices(self) -> None:
        if self._slices is not None:
            self._slices.close()
            self._slices, self._of = None, ()
