"""The cell under the levels that says how high the water outside stands, since when and from whom; a click asks for it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFocusEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.faces import text
from leakmap.desk.keyboard import framed
from leakmap.desk.larger import grown
from leakmap.desk.levels_look import draw_water
from leakmap.desk.pens import CENTRE, across, frame, painting, when_pressed, width_of, write
from leakmap.desk.pressed import Pressed
from leakmap.desk.state import Desk
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import CAPTION_TYPE
from leakmap.work.aloud import aloud

_LINE: Final = 17
_MOST: Final = 3  # lines
_SIGN_PX: Final = 14.0
_PAD: Final = 4


class WaterCell(Pressed):
    """Ground water: its level, and the day on which that was seen."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self._by_key = False
        self._lines: tuple[str, ...] = ()
        self._most = _MOST
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        when_pressed(self, self._ask)
        self.setAccessibleDescription("asks for its level, day and source")
        self.refresh()

    def refresh(self) -> None:
        """Read the water level from the job."""
        job = self._desk.job
        water = job.water if job is not None else None
        if job is None or water is None:
            self._lines, said = ("not known",), "not known"
        else:
            day = (job.units.day(water.seen),) if water.seen is not None else ()
            self._lines = (job.units.level(water.level_m), *day)
            said = ", ".join(part for part in (*self._lines, water.source) if part)
        self.setAccessibleName(aloud(f"Ground water {said}"))
        self.setToolTip(f"Ground water: {said}. Press to type it.")
        self.update()

    def _ask(self) -> None:
        from leakmap.desk.tools.level_facts import ask_water  # noqa: PLC0415 - late

        ask_water(self._desk)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A line for the name, the level and the day, as far as they have room."""
        return QSize(78, self._most * grown(_LINE) + 2 * _PAD)

    @property
    def whole_px(self) -> int:
        """Height of all lines, px."""
        return _MOST * grown(_LINE) + 2 * _PAD

    def take_room(self, px: float) -> bool:
        """Take so much height: lines that have no room are left out, at last all but the level; whether that has room."""
        self._most = max(min(int((px - 2 * _PAD) // grown(_LINE)), _MOST), 0)
        self.update()
        return self._most > 0

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 - Qt's name
        """Show the focus where keys brought it."""
        self._by_key = framed(event.reason(), before=self._by_key)
        super().focusInEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the lines; they are underlined where they can be typed."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            font = text(CAPTION_TYPE)
            alone = self._most == 1
            lines = self._lines[:1] if alone else ("Ground water", *self._lines)[: self._most]
            for at, words in enumerate(lines):
                value = words == self._lines[0]
                line = QRectF(0, _PAD + at * grown(_LINE), room.width(), grown(_LINE))
                write(painter, line, words, font, ink=tokens().ink if value else tokens().ink2, align=CENTRE)
                if value:
                    half = min(width_of(words, font), room.width()) / 2
                    ink = tokens().ink if self.underMouse() else tokens().edge
                    across(painter, line.bottom() - 1, line.center().x() - half, line.center().x() + half, ink)
                if alone:
                    draw_water(painter, line.center().y() + _SIGN_PX / 2, line.center().x() - half - _SIGN_PX)
            if self.hasFocus() and self._by_key:
                frame(painter, room, tokens().focus, 3.0)
