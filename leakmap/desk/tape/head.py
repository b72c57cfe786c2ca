"""The head of the tape: which joint lies there, and buttons to the one before and after."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QWidget

from leakmap.base.trade_words import in_trade_words
from leakmap.desk.faces import text
from leakmap.desk.larger import control_px, scaled
from leakmap.desk.pens import RIGHT, down, fitting, frame, painting, when_pressed, width_of, write, write_fitting
from leakmap.desk.pressed import Pressed
from leakmap.desk.state import Desk
from leakmap.desk.stepping import step_by_key
from leakmap.desk.theme import tokens
from leakmap.desk.tokens import BODY_TYPE, CAPTION_TYPE, MARGIN, SECOND_TYPE, UNIT, WIDE, Sizes
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.printed import chainage_m
from leakmap.model.words import Kind

_NAME_TYPE: Final = 26.0
_LOW: Final = 0.93
"""Below this share of the usual height the length stands beside the name."""


class StepButton(Pressed):
    """An arrow to the joint before or after."""

    def __init__(self, press: Callable[[], object], parent: QWidget, *, back: bool) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self._back = back
        words, key = ("Previous joint", "[") if back else ("Next joint", "]")
        self.setAccessibleName(words)
        self.setToolTip(f"{words}  {key}")
        self.setAccessibleDescription(f"lays it on the tape, key {key}")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        when_pressed(self, press)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the cell and its arrow."""
        with painting(self) as painter:
            room = QRectF(self.rect())
            painter.fillRect(room, QColor(tokens().sheet))
            lit = self.underMouse() and self.isEnabled()
            frame(painter, room, tokens().ink if lit else tokens().edge)
            pen = QPen(QColor(tokens().ink if self.isEnabled() else tokens().ink3), 2.2)
            pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
            painter.setPen(pen)
            x, y, out = room.center().x(), room.center().y(), 4.0 if self._back else -4.0
            painter.drawPolyline(QPolygonF([QPointF(x + out, y - 7), QPointF(x - out, y), QPointF(x + out, y + 7)]))
            if self.hasFocus():
                frame(painter, room, tokens().focus, 3.0)


class TapeHead(QWidget):
    """Name, kind and length of the joint on the tape."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.sizes = WIDE
        self.before = StepButton(lambda: step_by_key(desk, "["), self, back=True)
        self.after = StepButton(lambda: step_by_key(desk, "]"), self, back=False)
        self.refresh()

    def set_sizes(self, sizes: Sizes) -> None:
        """Take the measures of a layout."""
        self.sizes = sizes
        self.setFixedWidth(sizes.tape_head)
        self._place()
        self._tip()

    def refresh(self) -> None:
        """Show the joint that lies there now."""
        job = self.desk.job
        for button in (self.before, self.after):
            button.setEnabled(job is not None and bool(job.joints))
        self._tip()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep the buttons at the foot."""
        super().resizeEvent(event)
        self._place()
        self._tip()

    def _place(self) -> None:
        side = control_px()
        top = self.height() - side - 10
        for number, button in enumerate((self.before, self.after)):
            button.setGeometry(MARGIN + number * (side + UNIT), top, side, side)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the words."""
        with painting(self) as painter:
            painter.fillRect(self.rect(), QColor(tokens().panel))
            down(painter, self.width() - 1, 0, self.height())
            job, joint = self._joint()
            if job is None or joint is None:
                room = QRectF(MARGIN, 12, self.width() - MARGIN, scaled(22))
                write(painter, room, "Tape", text(SECOND_TYPE), ink=tokens().ink2)
            else:
                self._paint_joint(painter, job, joint)

    def _paint_joint(self, painter: QPainter, job: Job, joint: Joint) -> None:
        """Name, kind, length, start value, one under the other; in a low pane the length beside the name."""
        length = job.units.with_unit(joint.length_m)
        if self._low:
            room = QRectF(MARGIN, 8, self._wide, scaled(30))
            write(painter, room, length, text(self.sizes.foot_type, strong=True), align=RIGHT)
        for room, words, fonts, ink in self._lines(job, joint):
            write_fitting(painter, room, words, fonts, ink)

    @property
    def _low(self) -> bool:
        """Whether the pane is too low for a line of the length."""
        return self.height() < self.sizes.tape * _LOW

    @property
    def _wide(self) -> float:
        """Width of the lines."""
        return self.width() - MARGIN - 2.0

    def _lines(self, job: Job, joint: Joint) -> Iterator[tuple[QRectF, str, tuple[QFont, ...], str]]:
        """What stands under each other: its room, the words, letters that may set it, the largest first, and its ink."""
        small, foot = text(CAPTION_TYPE), text(self.sizes.foot_type, strong=True)
        length = job.units.with_unit(joint.length_m)
        wide = self._wide - (width_of(length, foot) + UNIT if self._low else 0.0)
        name = tuple(text(px, strong=True) for px in (_NAME_TYPE, BODY_TYPE, CAPTION_TYPE))
        lines = [
            (joint.ref, name, tokens().ink, 35.0, wide),
            (kind_words(job, joint), (text(SECOND_TYPE), small), tokens().ink2, 20.0, self._wide),
        ]
        if not self._low:
            lines.append((length, (foot, small), tokens().ink, 20.0, self._wide))
            if joint.start_m:
                start = f"from {job.units.shown(chainage_m(job, joint, 0.0))}"
                lines.append((start, (small,), tokens().ink2, 18.0, self._wide))
        top = 5.0 if self._low else 12.0
        for words, fonts, ink, high, across in lines:
            yield QRectF(MARGIN, top, across, scaled(high)), words, fonts, ink
            top += scaled(high)

    def _tip(self) -> None:
        """Say in a tip what has no room."""
        job, joint = self._joint()
        lines = () if job is None or joint is None else self._lines(job, joint)
        self.setToolTip("\n".join(words for room, words, fonts, _ in lines if fitting(room, words, fonts) is None))

    def _joint(self) -> tuple[Job | None, Joint | None]:
        """The joint that lies there, and its job."""
        job, key = self.desk.job, self.desk.on_tape
        return job, job.joints.get(key) if job is not None and key is not None else None


def kind_words(job: Job, joint: Joint) -> str:
    """What sort of joint it is, in a few words of the trade.

    >>> from uuid import UUID
    >>> from leakmap.model.words import Face
    >>> job, facts = Job(id=UUID(int=1), name="Pit"), dict(ref="V-01", sheet=UUID(int=2), face=Face.WALL, point=(0.0, 0.0))
    >>> kind_words(job, Joint(id=UUID(int=3), kind=Kind.CONSTRUCTION, rise_m=3.0, **facts))
    'Vertical, construction'
    >>> kind_words(job, Joint(id=UUID(int=3), kind=Kind.PIPE_COLLAR, diameter_m=0.3, **facts))
    'Pipe collar'
    """
    words = f"Vertical, {joint.kind}" if joint.vertical else joint.kind.capitalize()
    alone = joint.vertical or joint.kind in {Kind.CRACK, Kind.PIPE_COLLAR}
    return in_trade_words(job.units, words if alone else f"{words} joint")
