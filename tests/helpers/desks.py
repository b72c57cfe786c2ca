"""A desk with a job on it for tests of tools, and a hand that points, clicks, drags and types as the plan tells it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from leakmap.desk.state import Desk
from leakmap.desk.things import Stage
from leakmap.desk.tools.tool import Pointer, Tool
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.records.job_file import create_job_file
from leakmap.work.open_job import Hand, opened
from leakmap.work.snap import snap, snap_places

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
M_PER_PX = 0.01
SNAP_PX = 14.0


@contextmanager
def desk_with(job: Job, folder: Path, stage: Stage, sources: tuple[bytes, ...] = ()) -> Iterator[Desk]:
    """A desk on which a job lies, open for change, in a stage."""
    path = folder / "job.gpkg"
    create_job_file(path, job, user="ann", at=AT, sources=sources)
    open_job = opened(path, Hand(user="ann", host="site", clock=lambda: AT))
    desk = Desk()
    desk.put(open_job)
    desk.go_to(stage)
    try:
        yield desk
    finally:
        desk.put(None)
        open_job.close()


class Fingers:
    """A hand on the plan: it catches as the plan does and calls the tool in hand.

    Args:
        desk: The desk.
        m_per_px: Metres of one pixel.
    """

    def __init__(self, desk: Desk, *, m_per_px: float = M_PER_PX) -> None:
        self.desk, self.m_per_px = desk, m_per_px

    @property
    def tool(self) -> Tool:
        """The tool in hand."""
        assert self.desk.tool is not None
        return self.desk.tool

    def at(self, place: Point, *, shift: bool = False, double: bool = False) -> Pointer:
        """The pointer over a place."""
        assert self.desk.open_job is not None
        assert self.desk.level is not None
        places = snap_places(self.desk.open_job.job, self.desk.level)
        catch = snap(places, place, radius_m=SNAP_PX * self.m_per_px, aim=self.tool.aim())
        where = catch.at if catch is not None else place
        return Pointer(at=where, raw=place, catch=catch, m_per_px=self.m_per_px, shift=shift, double=double)

    def move(self, place: Point, *, shift: bool = False) -> None:
        """Move there with no button down."""
        self.tool.moved(self.at(place, shift=shift))

    def click(self, place: Point, *, shift: bool = False) -> None:
        """Move there and click."""
        self.move(place, shift=shift)
        pointer = self.at(place, shift=shift)
        self.tool.pressed(pointer)
        self.tool.released(pointer)

    def drag(self, start: Point, stop: Point) -> None:
        """Press, move half-way, move on and let go."""
        self.tool.pressed(self.at(start))
        half = ((start[0] + stop[0]) / 2, (start[1] + stop[1]) / 2)
        self.tool.dragged(self.at(half))
        self.tool.dragged(self.at(stop))
        self.tool.released(self.at(stop))

    def type(self, text: str) -> None:
        """Type characters; each must be used."""
        for letter in text:
            assert self.tool.typed(letter), f"{letter} was not used"
