"""Photos of the picked leak under the rows of the ledger: small, in the order in which they were added.

Arrows go from one to the next, Enter or a double click opens one in the program that the system has for it, Delete
removes it; Ctrl-Z brings it back.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRect, QRectF, QSize, Qt, QUrl
from PySide6.QtGui import QAccessible, QColor, QDesktopServices, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from leakmap.base.errors import LeakmapError
from leakmap.desk.button import Button
from leakmap.desk.copies import Copies
from leakmap.desk.faces import text
from leakmap.desk.larger import airy, control_px, grown, larger
from leakmap.desk.pens import across, draw_paper, frame, painting, write, write_fitting
from leakmap.desk.photos_in import picked_leak
from leakmap.desk.picture_list import PictureList, Place, as_large_as, picture_of, thing_of
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.things import Stage
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, UNIT
from leakmap.model.leak import Leak, Photo
from leakmap.work.edits.leaks import remove_photo
from leakmap.work.photos import small_key

_CELL: Final = QSize(124, 92)
_CAPTION: Final = 18
_LEAST_PICTURE: Final = 12
_NONE: Final = "no small picture"


class PhotoCell(QStyledItemDelegate):
    """Paints a photo: its small picture, and its name under it."""

    high_px = 0  # what there is room for

    def sizeHint(self, option: QStyleOptionViewItem, index: Place) -> QSize:  # noqa: N802, ARG002 - Qt's name; all are alike
        """All cells are alike."""
        return QSize(_CELL.width(), self.high_px)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Place) -> None:
        """Paint the cell."""
        room = QRectF(option.rect).adjusted(4, 4, -4, -4)
        photo, picture = thing_of(index), picture_of(index)
        assert isinstance(photo, Photo)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(room, QColor(tokens().mark))
            frame(painter, room, tokens().ink, 1.4)  # without colour, too
        ink = tokens().on_mark if option.state & QStyle.StateFlag.State_Selected else tokens().ink
        words = QRectF(room.left() + 4, room.bottom() - grown(_CAPTION), room.width() - 8, grown(_CAPTION))
        write(painter, words, photo.name, text(CAPTION_TYPE), ink=ink)
        place = QRectF(room.left() + 4, room.top() + 4, room.width() - 8, words.top() - room.top() - 6)
        if place.height() < _LEAST_PICTURE:
            pass  # its name has to do
        elif picture is None:
            frame(painter, place, tokens().rule)
            if place.height() >= grown(_CAPTION):
                write_fitting(painter, place, _NONE, [text(CAPTION_TYPE)], ink=ink)
        else:
            draw_paper(painter, as_large_as(place, picture), picture)
        if option.state & QStyle.StateFlag.State_HasFocus:
            frame(painter, room, tokens().focus, 3.0)
        painter.restore()


class PhotoList(PictureList):
    """The cells, beside each other."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(PhotoCell, parent)
        self.setWrapping(False)
        self.setHorizontalScrollMode(PhotoList.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    @property
    def cells(self) -> PhotoCell:
        """What paints the cells."""
        cells = self.itemDelegate()
        assert isinstance(cells, PhotoCell)
        return cells


class LeakPhotos(QWidget):
    """The photos of the picked leak, in stage Leaks.

    Attributes:
        list: Their cells.
        look: The button that opens one.
        remove: The button that removes one.
    """

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self._leak: Leak | None = None
        self._copies = Copies()
        self.list = PhotoList(self)
        self.look = Button("Open", self._open, self)
        self.remove = Button("Remove", self._remove, self)
        self.look.setAccessibleDescription("opens the photo in another program")
        self.remove.setAccessibleDescription("removes the photo; undo brings it back")
        self.list.itemDoubleClicked.connect(lambda _item: self._open())
        self.list.setAccessibleDescription("arrows choose a photo, Enter opens it, Delete removes it")
        for signal in (desk.changed, desk.opened, desk.stage_changed, desk.picked_changed):
            signal.connect(self.refresh)
        larger().changed.connect(self._lay_out)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.hide()
        self.refresh()

    def refresh(self, _rows: object = None) -> None:
        """Show the photos of the leak that is picked now, or nothing."""
        leak = picked_leak(self.desk) if self.desk.stage is Stage.LEAKS and self.desk.open_job is not None else None
        leak = leak if leak is not None and leak.photos else None
        before, self._leak = self._leak, leak
        if leak is None:
            self.list.clear()
        elif before is None or (before.id, before.photos) != (leak.id, leak.photos):
            self._fill(leak)
        self.setVisible(leak is not None)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter opens, Delete removes; what is neither goes to the window."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._open()
        elif event.key() == Qt.Key.Key_Delete:
            self._remove()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep heading, buttons and cells in their places."""
        super().resizeEvent(event)
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the heading, ruled off above."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().sheet))
            across(painter, 0, 0, self.width(), tokens().rule_strong)
            if self._leak is not None and not self._in_a_line:
                room = QRectF(MARGIN, UNIT / 2, self.look.x() - MARGIN - UNIT, control_px())
                write(painter, room, f"Photos of {self._leak.ref}", text(BODY_TYPE, strong=True))

    def _fill(self, leak: Leak) -> None:
        row = max(self.list.currentRow(), 0)
        self.list.clear()
        for number, photo in enumerate(leak.photos, start=1):
            words = f"{photo.name}, photo {number} of {len(leak.photos)}"
            self.list.add(words, photo, self._small(photo)).setToolTip(photo.name)
        self.list.setCurrentRow(min(row, len(leak.photos) - 1))
        self.list.setAccessibleName(f"Photos of {leak.ref}")

    def _small(self, photo: Photo) -> bytes | None:
        """Its small picture; None where none is kept."""
        assert self.desk.open_job is not None
        try:
            return self.desk.open_job.file.parsed(small_key(photo))
        except LeakmapError:
            return None

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """High enough for whole cells."""
        return QSize(0, self._over_px() + _CELL.height() + grown(_CAPTION) + 2 * UNIT)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Pictures give way to the rows where letters leave little room; their names stay."""
        return QSize(0, control_px() + 2 * UNIT)

    def fit(self, px: int) -> None:
        """Take so much height at most, but what one line of names and buttons needs."""
        self.setFixedHeight(max(min(px, self.sizeHint().height()), self.minimumSizeHint().height()))

    @property
    def _in_a_line(self) -> bool:
        """Whether the cells stand beside the buttons, because rows need the room under them."""
        return self.height() < self._over_px() + grown(_CAPTION) + 2 * UNIT

    @staticmethod
    def _over_px() -> int:
        """Height of the heading and the buttons."""
        return round(airy(UNIT)) + control_px()

    def _lay_out(self) -> None:
        self.updateGeometry()
        x = self.width() - MARGIN
        for button in (self.remove, self.look):
            x -= button.sizeHint().width()
            button.setGeometry(QRect(x, UNIT // 2, button.sizeHint().width(), control_px()))
            x -= UNIT
        if self._in_a_line:
            self.list.cells.high_px = control_px()
            self.list.setGeometry(MARGIN - 4, UNIT // 2, x - MARGIN, control_px() + UNIT)
            self.list.scheduleDelayedItemsLayout()
            return
        most = _CELL.height() + grown(_CAPTION)
        self.list.cells.high_px = min(most, max(self.height() - self._over_px() - 2 * UNIT, grown(_CAPTION) + UNIT))
        room = self.list.cells.high_px + 2 * UNIT
        self.list.setGeometry(MARGIN - 4, control_px() + UNIT, self.width() - MARGIN, room)
        self.list.scheduleDelayedItemsLayout()

    @property
    def _current(self) -> Photo | None:
        row = self.list.currentRow()
        return self._leak.photos[row] if self._leak is not None and row >= 0 else None

    def _remove(self) -> None:
        open_job, leak, photo = self.desk.open_job, self._leak, self._current
        if open_job is not None and leak is not None and photo is not None and self.desk.may_change():
            self.desk.attempt(lambda: self.desk.do(remove_photo(open_job.job, leak=leak.id, sha256=photo.sha256)))

    def _open(self) -> None:
        self.desk.attempt(self._open_copy)

    def _open_copy(self) -> None:
        open_job, photo = self.desk.open_job, self._current
        if open_job is None or photo is None:
            return
        path = self._copies.put(photo.name, open_job.file.blob(photo.sha256), photo.sha256)
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
            self.desk.said.emit(f"No program here opens {photo.name}; a copy lies in {path.parent}.")
