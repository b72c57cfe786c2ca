"""What the arrow keys do on a surface: nudge what is picked, else move a cross that draws in the pointer's stead.

A nudge is shown while its key is held and kept when the key is let go: one gesture, one undo. The cross
belongs to the tool in hand; it goes as soon as the mouse moves.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt

from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import Tool
from leakmap.geometry.path import Point

ARROWS: Final = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
CROSS_REACH_M: Final = 0.075
"""How near a place must be to catch the cross: about half a step slantwise, so that steps stay what they are and
every place can be reached by them."""

_DECIMALS: Final = 9


class Arrows:
    """The arrow keys of one surface.

    Attributes:
        cross: Where the cross stands, metres of the site plane; None while the mouse points.
        fine: Whether its last step was a fine one: then it is caught on nothing.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.cross: Point | None = None
        self.fine = False
        self._nudging: Tool | None = None
        self._total: Point = (0.0, 0.0)

    def nudged(self, tool: Tool, key: Qt.Key, *, shift: bool) -> bool:
        """Nudge what a tool has picked; whether it has anything."""
        return self.nudged_by(tool, *_steps(key, self.desk.units.nudges_m[shift]))

    def nudged_by(self, tool: Tool, across: float, up: float) -> bool:
        """Nudge what a tool has picked by metres; whether it has anything."""
        total = _moved(self._total if self._nudging is tool else (0.0, 0.0), (across, up))
        if tool.nudging(*total):
            self._nudging, self._total = tool, total
            return True
        return tool.nudged(across, up)

    def settle(self) -> None:
        """The key was let go: keep what it showed, if the job is still there."""
        tool, self._nudging = self._nudging, None
        if tool is not None and self.desk.open_job is not None:
            tool.nudged(*self._total)

    def give_up(self) -> bool:
        """Put back what is being nudged; whether anything was."""
        tool, self._nudging = self._nudging, None
        if tool is not None:
            self.desk.show(None)
        return tool is not None

    def step(self, key: Qt.Key, start: Point, *, shift: bool, ctrl: bool) -> Point:
        """Move the cross; gives where it stands now.

        Args:
            key: The arrow.
            start: Where it stands if it stood nowhere.
            shift: Whether the step is a long one.
            ctrl: Whether it is a fine one.
        """
        units = self.desk.units
        step_m = units.nudges_m[0] if ctrl else units.strides_m[shift]
        self.cross = _moved(self.cross or start, _steps(key, step_m))
        self.fine = ctrl
        return self.cross


def _steps(key: Qt.Key, step_m: float) -> Point:
    across, up = ARROWS[key]
    return across * step_m, up * step_m


def _moved(point: Point, by: Point) -> Point:
    return round(point[0] + by[0], _DECIMALS), round(point[1] + by[1], _DECIMALS)
