"""A hand with a mouse and a keyboard on a tape: what it does reaches the tool in hand as real events."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from leakmap.desk.state import Desk
from leakmap.desk.tape.lanes import FIELD_PX
from leakmap.desk.tape.pane import TapePane
from leakmap.desk.tape.shown import Shown
from leakmap.desk.tokens import WIDE
from tests.helpers.mouse import move_mouse

_LEFT = Qt.MouseButton.LeftButton
_NONE = Qt.KeyboardModifier.NoModifier


class TapeHand:
    """A hand on a tape of its own, on which a metre has ``px_per_m`` pixels for a joint of ``length_m``.

    Args:
        bot: Sends the events.
        desk: The desk.
        length_m: Length of the joint that is laid out.
        px_per_m: Pixels for a metre of it.
    """

    def __init__(self, bot: QtBot, desk: Desk, length_m: float, px_per_m: float = 100.0) -> None:
        self.bot, self.desk = bot, desk
        self.pane = TapePane(desk)
        self.view = self.pane.view
        bot.addWidget(self.pane)
        self.pane.resize(round(WIDE.tape_head + 2 * FIELD_PX + length_m * px_per_m), WIDE.tape)
        self.pane.show()
        bot.waitExposed(self.pane)

    @property
    def shown(self) -> Shown:
        """Where everything stands."""
        shown = self.view.shown
        assert shown is not None
        return shown

    def pixel(self, at_m: float, y: float) -> QPoint:
        """The pixel of a chainage at a height."""
        return QPoint(round(self.shown.reel.x(at_m)), round(y))

    def move(self, at_m: float, y: float) -> None:
        """Move the mouse there."""
        move_mouse(self.view, self.pixel(at_m, y))

    def click(self, at_m: float, y: float) -> None:
        """Move there and click."""
        self.move(at_m, y)
        self.bot.mouseClick(self.view, _LEFT, pos=self.pixel(at_m, y))

    def drag(self, start_m: float, stop_m: float, y: float, *, stop_y: float | None = None) -> None:
        """Press, move half-way, move on and let go."""
        self.press(start_m, y)
        self.move((start_m + stop_m) / 2, y)
        self.move(stop_m, y if stop_y is None else stop_y)
        self.bot.mouseRelease(self.view, _LEFT, pos=self.pixel(stop_m, y if stop_y is None else stop_y))

    def press(self, at_m: float, y: float) -> None:
        """Move there and press."""
        self.move(at_m, y)
        self.bot.mousePress(self.view, _LEFT, pos=self.pixel(at_m, y))

    def release(self, at_m: float, y: float) -> None:
        """Let go there."""
        self.bot.mouseRelease(self.view, _LEFT, pos=self.pixel(at_m, y))

    def wheel(self, at_m: float, notches: int) -> None:
        """Turn the wheel over a chainage."""
        at = QPointF(self.pixel(at_m, self.shown.lanes.leak))
        turn = QWheelEvent(
            at, self.view.mapToGlobal(at), QPoint(), QPoint(0, 120 * notches), Qt.MouseButton.NoButton, _NONE,
            Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(self.view, turn)

    def key(self, key: Qt.Key, *, shift: bool = False) -> None:
        """Press a key and let it go."""
        self.bot.keyClick(self.view, key, Qt.KeyboardModifier.ShiftModifier if shift else _NONE)

    def type(self, words: str) -> None:
        """Type characters."""
        self.bot.keyClicks(self.view, words)
