"""What the pointer is caught on, asked at every move: the places are gathered once for each job and level."""

from __future__ import annotations

from typing import Final
from uuid import UUID

from leakmap.base.errors import LeakmapError
from leakmap.desk.aside import Aside
from leakmap.desk.state import Desk
from leakmap.desk.tools.tool import Tool
from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet
from leakmap.work.snap import Catch, DrawingPlaces, SnapPlaces, drawing_places, snap, snap_on_ray, snap_places

AT_ONCE: Final = 20_000
"""Points of a drawing whose places are gathered between two frames."""


class Catching:
    """Catches the pointer on what the kept job holds, not on what a drag shows."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._of: tuple[Job, UUID] | None = None
        self._places: SnapPlaces | None = None
        self._sheet: Sheet | None = None
        self._drawn: DrawingPlaces | None = None

    def catch(self, at: Point, radius_m: float, tool: Tool, *, shift: bool = False) -> Catch | None:
        """What a place of the site is caught on within a radius; with Shift, on the ray that the tool keeps to."""
        open_job, level = self.desk.open_job, self.desk.level
        if open_job is None or level is None:
            return None
        own = tool.own_catching()
        if own is not None:
            return own(at, radius_m)
        job = open_job.job
        if self._of is None or self._of[0] is not job or self._of[1] != level:
            self._places = snap_places(job, level, self._drawing_places(job.sheets[level]))
            self._of = (job, level)
        self.desk.linework = self._drawn.lines if self._drawn is not None else None
        assert self._places is not None
        ray = tool.ray(at) if shift else None
        if ray is not None:
            return snap_on_ray(self._places, at, ray, radius_m=radius_m, aim=tool.aim())
        return snap(self._places, at, radius_m=radius_m, aim=tool.aim(), staffs=self.desk.staffs)

    def _drawing_places(self, sheet: Sheet) -> DrawingPlaces | None:
        """Places of a sheet's drawing; they are kept until its placement or its layers change."""
        if self._sheet != sheet:
            self._sheet, self._drawn = sheet, None
            assert self.desk.open_job is not None
            try:
                drawing = self.desk.open_job.drawing(sheet.id)
            except LeakmapError:
                return None  # the plan says so where it shows the drawing
            if drawing is not None:
                self._gather(drawing, sheet)
        return self._drawn

    def _gather(self, drawing: Drawing, sheet: Sheet) -> None:
        """Gather the places of a drawing: of a small one at once, of a large one aside; until then it catches nothing."""
        if len(drawing.strokes.xy) <= AT_ONCE:
            self._drawn = drawing_places(drawing, sheet)
            return

        def take(places: object) -> None:
            assert isinstance(places, DrawingPlaces)
            if self._sheet is sheet:
                self._drawn, self._of = places, None

        Aside(lambda: drawing_places(drawing, sheet), self.desk).finished.connect(take)
