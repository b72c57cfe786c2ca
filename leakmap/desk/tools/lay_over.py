"""Lay a level over another: one place that both show is clicked on each, and the first level moves."""

from __future__ import annotations

from dataclasses import replace
from typing import Final
from uuid import UUID

import numpy as np

from leakmap.base.errors import LeakmapError
from leakmap.desk.state import Desk
from leakmap.desk.tools.handles import Gesture
from leakmap.desk.tools.tool import Grip, Overlay, OverlayGrip, OverlayLine, Pointer
from leakmap.drawings.shown import stroke_boxes
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import plan_path
from leakmap.model.printed import metres
from leakmap.model.sheet import Sheet
from leakmap.work.catch import Aim
from leakmap.work.edits.edit import Edit, sheet_of
from leakmap.work.edits.scales import place_sheet
from leakmap.work.snap_drawing import placed_xy

MOST_LINES: Final = 300
"""How many lines of a drawing follow the hand (ours)."""


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
        self.pointer: Pointer | None = None
        self._outline: tuple[tuple[Point, ...], ...] = ()

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
        """The level that moves, in blue over the other one, as it would lie."""
        if self.start is None:
            return Overlay()
        if self.desk.level == self.moving:
            return Overlay(grips=(OverlayGrip(at=self.start, grip=Grip.JUNCTION),))
        at = self.target or (self.pointer.at if self.pointer is not None else self.start)
        by = (at[0] - self.start[0], at[1] - self.start[1])
        lines = tuple(OverlayLine(points=tuple((x + by[0], y + by[1]) for x, y in line)) for line in self._outline)
        return Overlay(lines=lines, grips=(OverlayGrip(at=at, grip=Grip.JUNCTION),))

    def moved(self, pointer: Pointer) -> None:
        """Move the level with the hand."""
        self.pointer = pointer
        if self.start is not None and self.target is None:
            self.refresh()

    def pressed(self, pointer: Pointer) -> None:
        """Take the place on the level that moves, then on the other."""
        level, self.pointer = self.desk.level, pointer
        if level is None:
            return
        if self.start is None or level == self.moving:
            self.moving, self.start, self.target = level, pointer.at, None
            self._outline = outline(self.desk, level)
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
        self._outline = ()

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


def outline(desk: Desk, level: UUID) -> tuple[tuple[Point, ...], ...]:
    """The joints of a level and the largest lines of its drawing, so many as can follow the hand."""
    assert desk.open_job is not None
    job = desk.open_job.job
    paths = (plan_path(joint) for joint in job.joints.values() if joint.sheet == level)
    courses = tuple(path.corners for path in paths if path is not None)
    try:
        drawing = desk.open_job.drawing(level)
    except LeakmapError:
        return courses  # the plan says so where it shows the drawing
    if drawing is None or not len(drawing.strokes):
        return courses
    boxes = stroke_boxes(drawing.strokes)
    sizes = np.hypot(boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1])
    placement = job.sheets[level].placement
    largest = np.argsort(-sizes, kind="stable")[:MOST_LINES]
    lines = (placed_xy(drawing.strokes.polyline(int(number)), drawing.origin, placement) for number in largest)
    return (*courses, *(tuple((x, y) for x, y in line.tolist()) for line in lines))


def laid_over(job: Job, *, sheet: UUID, by: Point) -> Edit:
    """The edit that moves a level, with what is drawn on it, over the site plane."""
    old = sheet_of(job, sheet)
    at = old.placement.at_m
    edit = place_sheet(job, sheet=sheet, placement=replace(old.placement, at_m=(at[0] + by[0], at[1] + by[1])))
    said = f"{old.name} moved by {metres(by[0])} across and {metres(by[1])} up."
    return replace(edit, words=f"lay {old.name} over another level", said=(*edit.said, said))
