"""The levels strip: a small upright cut through the building, one box a level, highest on top.

It shows the ground (level 0 of the job's datum), the water level and how many leaks each level has.
Boxes are not to scale; ground and water stand where they belong between the slabs.
"""

from __future__ import annotations

from collections import Counter
from operator import attrgetter
from typing import Final
from uuid import UUID

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from leakmap.base.counted import many
from leakmap.base.differing import Tally, counting
from leakmap.desk.faces import text
from leakmap.desk.larger import scaled
from leakmap.desk.levels_look import GROUND_WORDS, SMALL, draw_box, draw_ground, draw_key, draw_water
from leakmap.desk.pens import CENTRE, dashed_frame, down, frame, painting, width_of, write, write_lines
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE, WIDE, Sizes
from leakmap.desk.water_cell import WaterCell
from leakmap.model.job import Job
from leakmap.model.leak import Leak
from leakmap.model.sheet import Sheet
from leakmap.work.aloud import aloud

_BOX: Final = (118, 138)  # a level, and the current one
_BOX_WIDE: Final = (62.0, 64.0)  # compact and wide: room for hundreds of feet, inches and eighths
_SIGN: Final = 13.0  # half of the sign of the water, and air
_MOST_LARGE: Final = 4
_KEY_ROOM: Final = 560
_KEY_STEPS: Final[dict[int, int]] = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
_GROUND_OVER: Final = 14  # of the ground over a slab that lies at its level
_TITLE: Final = 34
_FIRST: Final = 106.0  # top of the highest box, where letters are no larger than usual
_BELOW: Final = 8


def top_down(job: Job) -> tuple[Sheet, ...]:
    """The levels, highest first; those without a known slab level keep their order at the end."""
    known = [sheet for sheet in job.sheets.values() if sheet.floor_level_m is not None]
    unknown = [sheet for sheet in job.sheets.values() if sheet.floor_level_m is None]
    return (*sorted(known, key=lambda sheet: -(sheet.floor_level_m or 0.0)), *unknown)


def neighbour(job: Job, level: UUID | None, steps: int) -> UUID | None:
    """The level so many below another one (above: negative); None past the end."""
    order = [sheet.id for sheet in top_down(job)]
    if level not in order:
        return order[0] if order else None
    place = order.index(level) + steps
    return order[place] if 0 <= place < len(order) else None


class Levels(QWidget):
    """The cut through the building; a click changes the level.

    Attributes:
        water: The cell that says the water level and asks for it.
    """

    heard_as: Final = QAccessible.Role.Grouping

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.sizes = WIDE
        self._scrolled = 0.0
        self._counted: Tally[Leak, UUID, int] = counting(attrgetter("joint"))
        self.water = WaterCell(desk, self)
        self.setAccessibleName("Levels")
        self.setAccessibleDescription(self._told())
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        for signal in (desk.opened, desk.changed, desk.level_changed):
            signal.connect(self.refresh)
        self.set_sizes(WIDE)

    def set_sizes(self, sizes: Sizes) -> None:
        """Lay the strip out for wide or compact."""
        self.sizes = sizes
        self.setFixedWidth(sizes.levels)
        self._tip()
        self._scroll(0.0)

    def refresh(self) -> None:
        """Read everything anew from the desk."""
        self.water.refresh()
        self._scroll(0.0)
        self._reveal()
        self.setAccessibleDescription(self._told())
        self._tip()
        self.update()

    def _tip(self) -> None:
        """Say in a tip the names of levels that are longer than their boxes."""
        job = self.desk.job
        names = [] if job is None else [sheet.name for sheet in top_down(job)]
        room = self._box_px() - 4
        self.setToolTip("\n".join(name for name in names if width_of(name, text(15, strong=True)) > room))

    def _leaks_on(self, job: Job) -> Counter[UUID]:
        """Number of leaks on each level."""
        found: Counter[UUID] = Counter()
        for joint, leaks in self._counted.of(job.leaks).items():
            found[job.joints[joint].sheet] += leaks
        return found

    def _told(self) -> str:
        """Which level is shown, and what is known of it."""
        job, level = self.desk.job, self.desk.level
        if job is None or level is None:
            return "no levels yet"
        sheet, order = job.sheets[level], [each.id for each in top_down(job)]
        leaks = self._leaks_on(job)[level]
        high = "" if sheet.floor_level_m is None else f", slab at {job.units.level(sheet.floor_level_m)}"
        place = f"{order.index(level) + 1} of {len(order)} from the top"
        return aloud(f"{sheet.name}{high}, {many(leaks, 'leak') if leaks else 'no leaks'}, {place}")

    def _reveal(self) -> None:
        """Scroll so that the box of the level on the plan is seen whole."""
        box = self.boxes().get(self.desk.level) if self.desk.level is not None else None
        if box is not None:
            spare = self.height() - scaled(_TITLE) - box.height()
            under = max(min(self._under(), spare), 0.0)  # the box comes before the water where room is scarce
            below, above = box.bottom() + under - self.height(), scaled(_TITLE) - box.top()
            up = min(self._first() - box.top(), -below)
            self._scroll(below if below > 0 else -up if above > 0 else 0.0)

    def boxes(self) -> dict[UUID, QRectF]:
        """Where the box of each level stands."""
        job = self.desk.job
        if job is None:
            return {}
        order = top_down(job)
        width = self._box_px()
        left, y = (self.width() - 1 - width) / 2, self._first() - self._scrolled
        found = {}
        for sheet in order:
            height = self._height(sheet, len(order))
            found[sheet.id] = QRectF(left, y, width, height)
            y += height
        return found

    def _box_px(self) -> float:
        """Width of the boxes."""
        return scaled(_BOX_WIDE[self.sizes.wide])

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """As wide as the layout says."""
        return QSize(self.sizes.levels, 400)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Go to the level that was clicked."""
        for level, box in self.boxes().items():
            if box.contains(event.position()):
                self.desk.show_level(level)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Up and down go to the level above and below; F2 asks for the name and the slab of the one that is shown."""
        job, level, step = self.desk.job, self.desk.level, _KEY_STEPS.get(event.key())
        if job is None or level is None:
            super().keyPressEvent(event)
        elif step is not None:
            self.desk.show_level(neighbour(job, level, step) or level)
        elif event.key() == Qt.Key.Key_F2:
            from leakmap.desk.tools.level_facts import ask_level  # noqa: PLC0415 - late

            ask_level(self.desk, level)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show that the keyboard is here."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """The keyboard is elsewhere."""
        super().focusOutEvent(event)
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Scroll, where there are more levels than room."""
        self._scroll(-event.angleDelta().y() / 2)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep within what there is to scroll."""
        super().resizeEvent(event)
        self._scroll(0.0)
        self._reveal()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the cut."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            job, boxes = self.desk.job, self.boxes()
            if job is None or not boxes:
                self._paint_empty(painter)
            else:
                self._paint_cut(painter, job, boxes)
            across_top = QRectF(0, 0, self.width(), scaled(_TITLE))
            painter.fillRect(across_top, QColor(tokens().panel))
            write(painter, across_top, "Levels", text(CAPTION_TYPE), ink=tokens().ink2, align=CENTRE)
            down(painter, self.width() - 1, 0, self.height(), tokens().rule_strong)
            if self.hasFocus():
                frame(painter, QRectF(self.rect()).adjusted(0, 0, -1, 0), tokens().focus, 3.0)

    def _paint_empty(self, painter: QPainter) -> None:
        room = QRectF((self.width() - 65) / 2, 60, 64, 110)
        dashed_frame(painter, room)
        write_lines(painter, room, "no\nlevels\nyet", text(CAPTION_TYPE), tokens().ink2)

    def _paint_cut(self, painter: QPainter, job: Job, boxes: dict[UUID, QRectF]) -> None:
        counts = self._leaks_on(job)
        for key, box in boxes.items():
            draw_box(painter, job.sheets[key], box, job.units, leaks=counts[key], current=key == self.desk.level)
        ground = self._y_of(job, boxes, 0.0)
        if ground is not None:
            y = ground - _GROUND_OVER if ground == self._top(boxes) else ground
            draw_ground(painter, y, self.width(), job.units, below=scaled(_TITLE))
        water = self._y_of(job, boxes, job.water.level_m) if job.water is not None else None
        if water is not None:
            draw_water(painter, water, min(next(iter(boxes.values())).right(), self.width() - _SIGN))
        if self.height() >= scaled(_KEY_ROOM):
            draw_key(painter, self.water.geometry().bottom() + 10, (self.width(), self.height()), job.units)

    def _first(self) -> float:
        """Top of the highest box: room for the ground's words above it, with less air where letters are large."""
        return max(scaled(_TITLE + GROUND_WORDS) + _GROUND_OVER + 6.0, _FIRST)

    def _height(self, sheet: Sheet, levels: int) -> float:
        if levels > _MOST_LARGE:
            return scaled(SMALL)
        room = (self.height() - self._first() - self._under()) / max(levels, 1)
        return max(min(scaled(_BOX[sheet.id == self.desk.level]), room), scaled(SMALL))

    def _under(self) -> float:
        """Room below the lowest box: for the water."""
        return _BELOW + self.water.whole_px + 4

    def _scroll(self, by: float) -> None:
        boxes = self.boxes().values()
        bottom = max((box.bottom() for box in boxes), default=0.0) + self._scrolled
        most = max(bottom + self._under() - self.height(), 0.0)
        self._scrolled = min(max(self._scrolled + by, 0.0), most)
        top = round(bottom - self._scrolled) + _BELOW
        self.water.setVisible(bool(boxes) and self.water.take_room(self.height() - top))
        self.water.setGeometry(0, top, self.width() - 1, self.water.sizeHint().height())
        self.update()

    def _top(self, boxes: dict[UUID, QRectF]) -> float:
        return min(box.top() for box in boxes.values())

    def _y_of(self, job: Job, boxes: dict[UUID, QRectF], level_m: float) -> float | None:
        """Where a level stands in the cut; at the nearest edge when it lies outside; None when no slab is known."""
        spans = [
            (sheet.floor_level_m, sheet.floor_level_m + sheet.storey_height_m, boxes[sheet.id])
            for sheet in top_down(job)
            if sheet.floor_level_m is not None
        ]
        if not spans:
            return None
        for low_m, high_m, box in spans:
            if level_m > high_m:
                return box.top()
            if level_m >= low_m:
                return box.bottom() - box.height() * (level_m - low_m) / (high_m - low_m)
        return spans[-1][2].bottom()
