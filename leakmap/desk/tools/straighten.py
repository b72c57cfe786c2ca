"""Straighten a drawing by two points of one grid line, or turn it by quarters; reached from Set scale (S)."""

from __future__ import annotations

from math import dist

from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import ByClicks
from leakmap.desk.tools.tool import Choice, Overlay, OverlayLine, Pointer
from leakmap.desk.tools.ways import STRAIGHTEN, scale_ways, sheet_on_plan
from leakmap.geometry.path import Point
from leakmap.work.catch import Aim
from leakmap.work.edits.paper import quarter_turned, straighten

_LEAST_PX = 24.0


class Straighten(ByClicks):
    """Straighten: two clicks on one line that is level or upright; Q turns by a quarter."""

    name = "Set scale"
    key = "S"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.start: Point | None = None

    def sentence(self) -> str:
        """What the next click does."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None:
            return "This level has no drawing."
        if self.start is None:
            return f"Click one end of a line of {sheet.name} that should lie level or upright, such as a grid line."
        return "Click the other end of that line, as far away as you can; the drawing turns until it lies straight."

    def choices(self) -> tuple[Choice, ...]:
        """What else Set scale does, and a turn by a quarter."""
        ways = scale_ways(self.desk, STRAIGHTEN)
        return (*ways, Choice(key="Q", words="Q quarter turn", take=self._turn)) if ways else ()

    def overlay(self) -> Overlay:
        """The line from its first point to the hand."""
        if self.start is None or self.pointer is None or self.start == self.pointer.at:
            return Overlay()
        return Overlay(lines=(OverlayLine(points=(self.start, self.pointer.at)),))

    def aim(self) -> Aim:
        """The line is one of the drawing."""
        return Aim(drawing_only=True)

    @property
    def begun(self) -> bool:
        """Whether the line ends at the hand."""
        return self.start is not None

    def pressed(self, pointer: Pointer) -> None:
        """Take the first point, or turn the drawing by the second."""
        self.pointer = pointer
        sheet = sheet_on_plan(self.desk)
        if sheet is None:
            return
        if self.start is None:
            self.start = pointer.at
        elif dist(self.start, pointer.at) < _LEAST_PX * pointer.m_per_px:
            self.hint("Those two points are too near each other; click the far end of the same line.")
        else:
            start, end = (sheet.placement.to_drawing(point) for point in (self.start, pointer.at))
            self.start = None
            self.keep(lambda: straighten(self.kept, sheet=sheet.id, start=start, end=end))
        self.refresh()

    def typed(self, text: str) -> bool:
        """Q turns the drawing by a quarter to the left."""
        if text.upper() != "Q":
            return False
        self._turn()
        return True

    def _turn(self) -> None:
        sheet = sheet_on_plan(self.desk)
        if sheet is not None:
            self.start = None
            self.keep(lambda: quarter_turned(self.kept, sheet=sheet.id))
            self.refresh()

    @property
    def half_done(self) -> bool:
        """Whether the first point is clicked."""
        return self.start is not None

    def escaped(self) -> bool:
        """Take back the first point."""
        if self.start is None:
            return False
        self.start = None
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.start = None
        super().let_go()
