"""The guide's strip of paper above the foot: the step, two sentences, what to press, and the way on or out.

It takes room of its own, so that it covers nothing. Along its upper edge runs a rule in as many parts as there are
steps: full for what was really done, open for what was passed, blue for the one in hand.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QAccessible, QColor, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.desk.button import Button
from leakmap.desk.faces import text
from leakmap.desk.guide.guide import Guide
from leakmap.desk.larger import control_px, larger, scaled
from leakmap.desk.pens import CENTRE, across, frame, painting, width_of, write
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, UNIT
from leakmap.work.first_job import first_job

_RULE: Final = 5.0
_NUMBER: Final = 56.0
_KEY: Final = 25.0
_WRAPPED: Final = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap


class GuideBar(QWidget):
    """What the guide says.

    Attributes:
        go_on: The button that passes the step.
        leave: The button that ends the guide.
    """

    heard_as: Final = QAccessible.Role.Grouping

    height_changed = Signal()  # it takes other room, or none
    left = Signal()  # it goes, and the keyboard was in it
    told = Signal(str)  # it says something else, for who cannot see it

    def __init__(self, guide: Guide, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.guide = guide
        self.go_on = Button("Next", guide.go_on, self)
        self.leave = Button("Leave", guide.leave, self)
        self.go_on.setAccessibleDescription("the step is also done by doing it")
        self.leave.setAccessibleDescription("it goes on there another time")
        self.title, self.words = "", ""
        self.keys: tuple[str, ...] = ()
        guide.changed.connect(self.refresh)
        guide.desk.settings_changed.connect(self.refresh)
        larger().changed.connect(self.refresh)
        self.hide()

    def refresh(self) -> None:
        """Show the step that the guide is at; nothing while it does not lead."""
        job = self.guide.desk.job
        step = self.guide.step
        told = self.guide.leads and job is not None
        if step is not None and job is not None:
            self.title, self.words, self.keys = step.title, step.said(job), step.pressed(job)
        else:
            self.title, self.words, self.keys = first_job().end_title, first_job().end_words, ()
        if not told and any(button.hasFocus() for button in (self.go_on, self.leave)):
            self.left.emit()
        self.go_on.setVisible(step is not None)
        self.leave.setText("Leave" if step is not None else "Close")
        self.go_on.setAccessibleName(f"Next: pass the step {self.title}")
        self.leave.setAccessibleName(f"{self.leave.text()} the guide")
        self.setAccessibleName("First job, step by step")
        said = self.said() if told else ""
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)
            self.told.emit(said or "The guide is left.")
        self._lay_out()
        if told is self.isHidden():
            self.setVisible(told)
            self.height_changed.emit()
        self.update()

    def said(self) -> str:
        """All that it says, for a screen reader."""
        number, count = self.guide.number or 0, len(self.guide.steps)
        where = f"Step {number + 1} of {count}" if self.guide.step is not None else f"All {count} steps"
        press = f" Press: {', then '.join(self.keys)}." if self.keys else ""
        return f"{where}: {self.title}. {self.words}{press}"

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Esc leaves."""
        if event.key() == Qt.Key.Key_Escape:
            self.guide.leave()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Break the words anew."""
        super().resizeEvent(event)
        self._lay_out()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint paper, rule, number, title, keys and words."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().sheet))
            across(painter, 0, 0, self.width(), tokens().rule_strong)
            self._paint_rule(painter)
            number, count = self.guide.number or 0, len(self.guide.steps)
            top = _RULE + UNIT
            if self._numbered and self.guide.step is not None:
                cell = QRectF(MARGIN, top - scaled(4), scaled(_NUMBER) - UNIT, scaled(32))
                write(painter, cell, str(number + 1), text(26, strong=True))
                below = QRectF(MARGIN, top + scaled(28), cell.width(), scaled(18))
                write(painter, below, f"of {count}", text(CAPTION_TYPE), ink=tokens().ink2)
            left = self._left
            title = QRectF(left, top, width_of(self.title, text(BODY_TYPE + 1, strong=True)) + 4, scaled(_KEY))
            write(painter, title, self.title, text(BODY_TYPE + 1, strong=True))
            self._paint_keys(painter, title.right() + MARGIN, top)
            painter.setFont(text(BODY_TYPE))
            painter.setPen(QColor(tokens().ink2))
            painter.drawText(self._words_room(), _WRAPPED, self.words)

    def _paint_rule(self, painter: QPainter) -> None:
        count, gap = len(self.guide.steps), 3.0
        wide = self.width() / count
        for step in range(count):
            part = QRectF(step * wide + gap / 2, 1.0, wide - gap, _RULE)
            if step == self.guide.number:
                painter.fillRect(part, QColor(tokens().focus))
            elif step in self.guide.done:
                painter.fillRect(part, QColor(tokens().ink))
            elif self.guide.number is not None and step < self.guide.number:
                frame(painter, part, tokens().ink)
            else:
                painter.fillRect(part.adjusted(0, 2, 0, -2), QColor(tokens().rule))

    def _paint_keys(self, painter: QPainter, x: float, y: float) -> None:
        """What is pressed, box by box; the next one in the blue of the hand, and those behind quiet."""
        for number, (box, key) in enumerate(zip(self._boxes(x, y), self.keys, strict=True)):
            now = number == self.guide.at_press
            behind = number < self.guide.at_press
            ink = tokens().ink3 if behind else tokens().ink
            frame(painter, box, tokens().focus if now else tokens().edge, 2.4 if now else 1.0)
            write(painter, box, key, text(CAPTION_TYPE, strong=True), ink=ink, align=CENTRE)

    def _boxes(self, x: float, y: float) -> list[QRectF]:
        """A box for each key, in the next line where one has no room."""
        boxes, high = [], scaled(_KEY)
        limit = self._right
        if x + self._key_px(self.keys[0] if self.keys else "") > limit:
            x, y = self._left, y + high + UNIT / 2
        for key in self.keys:
            wide = self._key_px(key)
            if x + wide > limit and x > self._left:
                x, y = self._left, y + high + UNIT / 2
            boxes.append(QRectF(x, y, wide, high))
            x += wide + UNIT / 2
        return boxes

    @staticmethod
    def _key_px(key: str) -> float:
        return max(scaled(_KEY + 1), width_of(key, text(CAPTION_TYPE, strong=True)) + 14)

    @property
    def _numbered(self) -> bool:
        """Whether there is room for the number; the rule above tells it too."""
        return self.width() >= scaled(560)

    @property
    def _left(self) -> float:
        return MARGIN + (scaled(_NUMBER) if self._numbered else 0.0)

    @property
    def _right(self) -> float:
        """Where the words end: at the buttons."""
        return min(button.x() for button in self._buttons()) - 2.0 * UNIT

    def _buttons(self) -> list[Button]:
        return [button for button in (self.go_on, self.leave) if not button.isHidden()]

    def _words_room(self) -> QRectF:
        top = _RULE + UNIT
        title = self._left + width_of(self.title, text(BODY_TYPE + 1, strong=True)) + 4
        boxes = self._boxes(title + MARGIN, top)
        bottom = max((box.bottom() for box in boxes), default=top + scaled(_KEY))
        width = self._right - self._left
        flat = QRect(0, 0, max(int(width), 1), 9999)
        high = QFontMetricsF(text(BODY_TYPE)).boundingRect(QRectF(flat), _WRAPPED, self.words).height()
        return QRectF(self._left, bottom + UNIT / 2, width, high + 2)

    def _lay_out(self) -> None:
        """Set the buttons at the right, one over the other where letters are large, and take the height of the words."""
        buttons = self._buttons()
        stacked = self.width() < scaled(800)
        x, y = float(self.width() - MARGIN), _RULE + UNIT
        for button in reversed(buttons):
            wide = button.sizeHint().width()
            if stacked:
                wide = max(each.sizeHint().width() for each in buttons)
                row = buttons.index(button)
                at = y + row * (control_px() + UNIT)
                button.setGeometry(int(self.width() - MARGIN - wide), int(at), wide, control_px())
            else:
                x -= wide
                button.setGeometry(int(x), int(y), wide, control_px())
                x -= UNIT
        lowest = max((button.geometry().bottom() + 1 for button in buttons), default=0)
        high = round(max(self._words_room().bottom(), lowest) + UNIT)
        if high != self.height():
            self.setFixedHeight(high)
            if self.isVisible():
                self.height_changed.emit()
