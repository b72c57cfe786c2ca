"""The way along lines of the drawing to where the hand points: looked for in slices, so that the window goes on."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter
from typing import Final

from PySide6.QtCore import QTimer

from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import Choice
from leakmap.geometry.path import Point
from leakmap.model.words import Kind
from leakmap.work.follow import MOST_STEPS, Meetings, WaySearch
from leakmap.work.snap_lines import Lines

FOLLOW_KEY: Final = "W"
"""The key that follows lines of the drawing, or no more, while a joint is drawn."""

AT_ONCE_S: Final = 0.020
"""How long is looked before anything else is done, at a move or a click."""

_SLICE_S: Final = 0.010
_STEPS: Final = 20


class Following:
    """The way from one place on the drawing's lines to another, as the hand points.

    Attributes:
        way: Its points, both places included; None: there is none, or it is not found yet.

    Args:
        desk: Whose drawing is followed; it owns the timer.
        found: Is called when a search that took several slices has ended.
    """

    def __init__(self, desk: Desk, found: Callable[[], None]) -> None:
        self._desk, self._found = desk, found
        self._lines: Lines | None = None
        self._meetings: Meetings = {}
        self._ends: tuple[Point, Point] | None = None
        self._search: WaySearch | None = None
        self._left = 0
        self._timer = QTimer(desk, singleShot=True, interval=0)
        self._timer.timeout.connect(self._go_on)

    @property
    def possible(self) -> bool:
        """Whether there are lines to follow, and the next joint is no pipe collar."""
        lines = self._desk.linework
        return lines is not None and bool(len(lines.start)) and self._desk.kind is not Kind.PIPE_COLLAR

    @property
    def on(self) -> bool:
        """Whether lines are followed."""
        return self.possible and self._desk.follows

    def choice(self, take: Callable[[], None]) -> Choice:
        """One cell that switches following on and off."""
        return Choice(key=FOLLOW_KEY, words=f"{FOLLOW_KEY} follow lines", chosen=self._desk.follows, take=take)

    def sentence(self) -> str:
        """What the next click does while lines are followed."""
        if self.looking:
            return "Looking for the way along the lines."
        if self.way is not None:
            return "Click to take the way along the lines, or type how far."
        if self._search is not None:
            return "No lines lead there from the last point; a click draws a straight piece."
        return "Point at a line that leads on, and click. Enter ends the joint."

    @property
    def way(self) -> tuple[Point, ...] | None:
        """Points of the way; None: none was found."""
        return self._search.way if self._search is not None else None

    @property
    def looking(self) -> bool:
        """Whether the search goes on."""
        return self._search is not None and not self._search.ended and self._left > 0

    def look(self, start: Point, goal: Point) -> None:
        """Look for the way between two places; what is found at once is there when this returns."""
        lines = self._desk.linework
        if lines is None:
            self.forget()
            return
        if lines is not self._lines:
            self._lines, self._meetings, self._ends = lines, {}, None
        if self._ends == (start, goal):
            return
        self._ends, self._left = (start, goal), MOST_STEPS
        self._search = WaySearch(lines, start, goal, meetings=self._meetings)
        self._work(AT_ONCE_S)

    def settle(self) -> bool:
        """Look a moment longer, before a click is taken; whether the search has ended."""
        return not self.looking or self._work(AT_ONCE_S)

    def forget(self) -> None:
        """No way is asked for any more."""
        self._timer.stop()
        self._search = self._ends = None

    def close(self) -> None:
        """The tool is put away."""
        self.forget()
        self._timer.deleteLater()

    def _go_on(self) -> None:
        if self.looking and self._work(_SLICE_S):
            self._found()

    def _work(self, seconds: float) -> bool:
        """Look for so long at most; whether the search has ended. What is left goes on when the window is idle."""
        assert self._search is not None
        until = perf_counter() + seconds
        while self._left > 0 and not self._search.go_on(_STEPS) and perf_counter() < until:
            self._left -= _STEPS
        if self.looking:
            self._timer.start()
            return False
        self._timer.stop()
        return True
