"""A hand with a mouse and a keyboard on a plan: what it does reaches the tool in hand as real events."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from leakmap.desk.plan.camera import Camera
from leakmap.desk.plan.view import PlanView
from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import Tool
from leakmap.geometry.path import Point
from tests.helpers.mouse import move_mouse

PX_PER_M = 40.0
"""One pixel is 25 mm: places at multiples of that are hit exactly."""

_LEFT = Qt.MouseButton.LeftButton
_SHIFT = Qt.KeyboardModifier.ShiftModifier
_NONE = Qt.KeyboardModifier.NoModifier


class PlanHand:
    """A hand on a plan of its own.

    Args:
        bot: Sends the events.
        desk: The desk.
        centre: What lies in the middle of the plan.
        px_per_m: Pixels of a metre.
    """

    def __init__(self, bot: QtBot, desk: Desk, *, centre: Point = (10.0, 0.0), px_per_m: float = PX_PER_M) -> None:
        self.bot, self.desk = bot, desk
        self.plan = PlanView(desk)
        bot.addWidget(self.plan)
        self.plan.resize(1000, 500)
        self.plan.show()
        bot.waitExposed(self.plan)
        self.plan.look(Camera(px_per_m=px_per_m, centre=centre, field=self.plan.camera.field))

    def take(self, tool: type[Tool] | None) -> None:
        """Take a tool in hand, or put it away."""
        self.desk.take_tool(None if tool is None else tool(self.desk))

    @property
    def tool(self) -> Tool:
        """The tool in hand."""
        assert self.desk.tool is not None
        return self.desk.tool

    def pixel(self, place: Point) -> QPoint:
        """The pixel of a place."""
        x, y = self.plan.camera.to_screen(place)
        return QPoint(round(x), round(y))

    def move(self, place: Point) -> None:
        """Move the mouse there."""
        move_mouse(self.plan, self.pixel(place))

    def click(self, place: Point, *, shift: bool = False) -> None:
        """Move there and click."""
        self.move(place)
        self.bot.mouseClick(self.plan, _LEFT, _SHIFT if shift else _NONE, self.pixel(place))

    def drag(self, start: Point, stop: Point) -> None:
        """Press, move half-way, move on and let go."""
        self.move(start)
        self.bot.mousePress(self.plan, _LEFT, pos=self.pixel(start))
        self.move(((start[0] + stop[0]) / 2, (start[1] + stop[1]) / 2))
        self.move(stop)
        self.bot.mouseRelease(self.plan, _LEFT, pos=self.pixel(stop))

    def type(self, words: str) -> None:
        """Type characters."""
        self.bot.keyClicks(self.plan, words)

    def press(self, key: Qt.Key, *, ctrl: bool = False) -> None:
        """Press a key."""
        self.bot.keyClick(self.plan, key, Qt.KeyboardModifier.ControlModifier if ctrl else _NONE)

    def enter(self, *, ctrl: bool = False) -> None:
        """Press Enter."""
        self.press(Qt.Key.Key_Return, ctrl=ctrl)

    def escape(self) -> None:
        """Press Esc."""
        self.press(Qt.Key.Key_Escape)

    def delete(self) -> None:
        """Press Delete."""
        self.press(Qt.Key.Key_Delete)

    def tab(self) -> None:
        """Press Tab."""
        self.press(Qt.Key.Key_Tab)
