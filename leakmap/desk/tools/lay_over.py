"""Lay a level over another: one place that both show is clicked on each, and the first level moves."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.tool import Grip, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.printed import metres
from leakmap.model.sheet import Sheet
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, sheet_of
from leakmap.work.edits.scales import place_sheet


class LayOver(Gesture):
    """Lay over: reached from New level (N)."""

    name = "New level"
    key = "N"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.moving: UUID | None = None
        self.start: Point | None = None
        self.over: UUID | None = None
        self.target: Point | None = None

    def sentence(self) -> str:
        """What the next click does."""
        moving, here = self._name(self.moving), self._name(self.desk.level)
        if self.start is None:
            return f"Click a place on {here} that another level shows too, such as a grid crossing."
        if self.target is not None:
            return f"Press Enter: {moving} moves so that both places lie on each other."
        if self.desk.level == self.moving:
            return f"Page Up or Page Down goes to the level that {moving} lies over."
        return f"Click the same place on {here}."

    def aim(self) -> Aim:
        """The grid is that of all levels, so it says nothing of how they lie; drawings and joints do."""
        sheet = self.kept.sheets.get(self.desk.level) if self.desk.level is not None else None
        return Aim(drawing_only=sheet is not None and sheet.source is not None)

    def overlay(self) -> Overlay:
        """Both places, and the way from one to the other."""
        places = [place for place in (self.start, self.target) if place is not None]
        lines = (OverlayLine(points=tuple(places)),) if len(set(places)) > 1 else ()
        return Overlay(lines=lines, grips=tuple(OverlayGrip(at=place, grip=Grip.JUNCTION) for place in places))

    def pressed(self, pointer: Pointer) -> None:
        """Take the place on the level that moves, then on the other."""
        level = self.desk.level
        if self.start is None or level == self.moving:
            self.moving, self.start, self.target = level, pointer.at, None
            self._show_other()
        else:
            self.over, self.target = level, pointer.at
        self.refresh()

    def entered(self, *, both: bool = False) -> bool:  # noqa: ARG002 - Ctrl means nothing more here
        """Move the level."""
        if self.target is None or self.moving is None:
            return self.start is not None
        moving = self.moving
        if self.keep(self._deed) is not None:
            self._forget()
            self.desk.show_level(moving)
        self.refresh()
        return True

    def escaped(self) -> bool:
        """Step back place by place."""
        if self.target is not None:
            self.target = None
        elif self.start is not None and self.moving is not None:
            moving = self.moving
            self._forget()
            self.desk.show_level(moving)
        else:
            return False
        self.refresh()
        return True

    def dropped(self) -> None:
        """Nothing half-done stays."""
        self._forget()
        super().dropped()

    def let_go(self) -> None:
        """Going to the other level is a step of this tool, so nothing is forgotten then."""

    def _forget(self) -> None:
        self.moving = self.over = self.start = self.target = None

    def _show_other(self) -> None:
        """Go to the other level where there is only one."""
        others = [key for key in self.kept.sheets if key != self.moving]
        if len(others) == 1:
            self.desk.show_level(others[0])

    def _name(self, key: UUID | None) -> str:
        sheet: Sheet | None = self.kept.sheets.get(key) if key is not None else None
        return sheet.name if sheet is not None else "the level"

    def _deed(self) -> Edit:
        assert self.moving is not None
        assert self.start is not None
        assert self.target is not None
        return laid_over(
            self.kept, sheet=self.moving, by=(self.target[0] - self.start[0], self.target[1] - self.start[1])
        )


def laid_over(job: Job, *, sheet: UUID, by: Point) -> Edit:
    """The edit that moves a level, with what is drawn on it, over the site plane."""
    old = sheet_of(job, sheet)
    at = old.placement.at_m
    edit = place_sheet(job, sheet=sheet, placement=replace(old.placement, at_m=(at[0] + by[0], at[1] + by[1])))
    said = f"{old.name} moved by {metres(by[0])} across and {metres(by[1])} up."
    return replace(edit, words=f"lay {old.name} over another level", said=(*edit.said, said))
