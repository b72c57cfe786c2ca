"""Lay the photo of a sheet flat by its four corners; reached from Set scale (S).

The file is read again apart with the corners; the sheet shows it when that is done, as one step to undo.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final, cast

from leakmap.base.errors import BadValue
from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import ByClicks
from leakmap.desk.tools.tool import Choice, Grip, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.desk.tools.ways import LAY_FLAT, is_scan, scale_ways, sheet_on_plan
from leakmap.geometry.path import Point
from leakmap.model.sheet import Corners, Sheet
from leakmap.work.catch import NOTHING, Aim
from leakmap.work.photo_corners import corners_in_order

_CORNERS: Final = 4
_NAMES: Final = ("first", "second", "third", "last")


class LayFlat(ByClicks):
    """Lay flat: four clicks on the corners of the sheet, going round it."""

    name = "Set scale"
    key = "S"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.corners: list[Point] = []

    def sentence(self) -> str:
        """What the next click does."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None or not is_scan(sheet):
            return "Only the photo of a sheet can be laid flat; this level has none."
        if _is_flat(sheet):
            return f"{sheet.name} is laid flat already. Enter shows the photo as it was taken; then pick other corners."
        if len(self.corners) == _CORNERS:
            return "Press Enter to lay the sheet flat by these corners; Backspace takes the last one back."
        which = _NAMES[len(self.corners)]
        return f"Click the {which} corner of the sheet, or of the frame printed on it, going round it."

    def choices(self) -> tuple[Choice, ...]:
        """What else Set scale does."""
        return scale_ways(self.desk, LAY_FLAT)

    def overlay(self) -> Overlay:
        """The corners, and the way round them to the hand."""
        points = [*self.corners]
        if self.pointer is not None and 0 < len(points) < _CORNERS:
            points.append(self.pointer.at)
        grips = tuple(OverlayGrip(at=at, grip=Grip.BEND) for at in self.corners)
        if len(set(points)) < 2:
            return Overlay(grips=grips)
        line = OverlayLine(points=tuple(points), closed=len(points) == _CORNERS)
        return Overlay(lines=(line,), grips=grips)

    def aim(self) -> Aim:
        """A photo has nothing that catches."""
        return NOTHING

    @property
    def begun(self) -> bool:
        """Whether the way round the corners goes to the hand."""
        return bool(self.corners)

    def pressed(self, pointer: Pointer) -> None:
        """Take a corner."""
        self.pointer = pointer
        sheet = sheet_on_plan(self.desk)
        if sheet is None or not is_scan(sheet) or _is_flat(sheet) or len(self.corners) == _CORNERS:
            return
        self.corners.append(pointer.at)
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Ask for the file to be read with these corners, or as it was taken."""
        sheet = sheet_on_plan(self.desk)
        if sheet is None or sheet.source is None or not is_scan(sheet):
            return False
        if _is_flat(sheet):
            self.desk.reading_asked.emit(sheet.id, replace(sheet.source.reading, corners=None), False)
            return True
        if len(self.corners) < _CORNERS:
            return False
        try:
            picked = cast("Corners", tuple(map(sheet.placement.to_drawing, self.corners)))
            corners = corners_in_order(picked)
        except BadValue as problem:
            self.hint(str(problem))
        else:
            self.desk.reading_asked.emit(sheet.id, replace(sheet.source.reading, corners=corners, crop=None), False)
        self.corners = []
        self.refresh()
        return True

    @property
    def half_done(self) -> bool:
        """Whether a corner is clicked."""
        return bool(self.corners)

    def escaped(self) -> bool:
        """Take back the last corner."""
        if not self.corners:
            return False
        self.corners.pop()
        self.refresh()
        return True

    def let_go(self) -> None:
        """Nothing half-done stays."""
        self.corners = []
        super().let_go()


def _is_flat(sheet: Sheet) -> bool:
    return sheet.source is not None and sheet.source.reading.corners is not None
