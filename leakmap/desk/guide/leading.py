"""The guide in a window: its bar, its line, and how it is begun with the sample or with the job that is open."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, QTimer
from PySide6.QtWidgets import QWidget

from leakmap.desk.guide.bar import GuideBar
from leakmap.desk.guide.guide import Guide
from leakmap.desk.guide.leader import Leader, Spot, route
from leakmap.desk.tools.table import actions_of

if TYPE_CHECKING:
    from leakmap.desk.window import MainWindow


_BESIDE: Final = 4
"""How far the line keeps from the edge of a pane, where the frame of the keyboard may be."""

_TO_FRAME: Final = 5


class Leading(QObject):
    """The guide of one window.

    Attributes:
        guide: Which step it is at.
        bar: What it says, above the foot.
        leader: The line to what it means.
    """

    guide: Guide
    bar: GuideBar

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self.guide = Guide(window.desk)
        self.bar = GuideBar(self.guide, window)
        self.leader = Leader(self._meant, window)
        self._soon = QTimer(self, singleShot=True, interval=0)
        self._soon.timeout.connect(self.leader.refresh)
        desk = window.desk
        for signal in (self.guide.changed, desk.changed, desk.picked_changed, desk.settings_changed):
            signal.connect(self._look_soon)
        for signal in (desk.tool_changed, desk.level_changed, desk.declared_changed):
            signal.connect(self._look_soon)
        for pane in (window, self.bar, window.strip):
            pane.installEventFilter(self)

    def begin(self) -> None:
        """Lead through the job that is open, else through a copy of the sample."""
        if self._window.desk.open_job is not None:
            self.guide.start()
        else:
            self._window.sitting.look_round(then=self.guide.start)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Lead anew where panes were laid out anew."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.LayoutRequest):
            self._look_soon()
        return super().eventFilter(watched, event)

    def _look_soon(self, _what: object = None) -> None:
        if self.guide.leads or self.leader.isVisible():
            self._soon.start()  # once every pane has laid itself out

    def _meant(self) -> tuple[tuple[Spot, ...], QRect] | None:
        """The line to what the step means now: its stage, then its button, then the sentence for the next click."""
        step, window = self.guide.step, self._window
        if step is None or not self.bar.isVisible():
            return None
        at = self.guide.at_press
        if at == 0:
            cell = window.stage_line.cells[step.stage - 1]
            thing = self._place(cell, cell.rect().adjusted(6, 6, -6, -6))
        else:
            found = self._in_strip(step.tool, in_hand=at > 1)
            if found is None:
                return None
            thing = found
        strip = self._place(window.strip, window.strip.rect())
        rule = float(strip.top() + _BESIDE if at == 0 else strip.bottom() - _BESIDE)
        bar = QRectF(self._place(self.bar, self.bar.rect()))
        return route(bar, QRectF(thing).adjusted(0, 0, 0, _TO_FRAME), rule), thing

    def _in_strip(self, tool: str, *, in_hand: bool) -> QRect | None:
        strip = self._window.strip
        if in_hand:
            return self._place(strip, strip.sentence_room())
        actions = actions_of(self._window.desk.stage)
        number = next((k for k, action in enumerate(actions) if action.key == tool), None)
        if number is None:
            return None
        button = strip.buttons[number]
        return self._place(button, button.rect())

    def _place(self, widget: QWidget, room: QRect) -> QRect:
        """A room of a widget in pixels of the window."""
        return QRect(widget.mapTo(self._window, QPoint(0, 0)) + room.topLeft(), room.size())
