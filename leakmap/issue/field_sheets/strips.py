"""Joints laid out as blank strips: where each begins and stops on which line of which page.

A strip is a part of a joint at a true scale. A joint longer than a line goes on along the next one, broken at a whole
metre or foot; short joints share a line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from typing import Final

from leakmap.base.measures import FOOT_M, System
from leakmap.geometry.tolerance import TIE_M
from leakmap.issue.office_paper import OFFICE_MM
from leakmap.model.chainage import printed_m, raw_m
from leakmap.model.job import Job
from leakmap.model.joint import Joint

SCALES: Final = {System.METRIC: 50, System.IMPERIAL: 48}
"""Denominators of the scales: 1:50 (ISO 5455), and 1/4 inch to a foot."""

SIDE_MM: Final = 14.0
"""Free at both ends of a page."""

HEAD_MM, FOOT_MM, LINE_MM = 34.0, 21.0, 38.0
_GAP_MM: Final = 17.0
_TITLE_MM: Final = 62.0
"""Least room of a strip, for its title."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A part of a joint on a page.

    Attributes:
        from_m: Raw chainage at its left end.
        to_m: Raw chainage at its right end.
        page: Number of the page, the first being 0.
        line: Number of the line on the page, the uppermost being 0.
        at_mm: Left end, from the left edge of the page.
        goes_on: Whether the joint goes on along another line.
        goes_back: Whether it began on another one.
    """

    joint: Joint
    from_m: float
    to_m: float
    page: int
    line: int
    at_mm: float
    goes_on: bool
    goes_back: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Paper that lies across, and the scale that strips are drawn in.

    Attributes:
        paper: A name of ``OFFICE_MM``.
        scale: Denominator.
    """

    paper: str
    scale: int

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height as it lies."""
        short, long = OFFICE_MM[self.paper]
        return long, short

    @property
    def mm_per_m(self) -> float:
        """Millimetres of paper for a metre of joint."""
        return 1000 / self.scale

    @property
    def room_mm(self) -> float:
        """Width of a line."""
        return self.size_mm[0] - 2 * SIDE_MM

    @property
    def lines(self) -> int:
        """Lines on a page."""
        return int((self.size_mm[1] - HEAD_MM - FOOT_MM) // LINE_MM)


def strips_of(job: Job, sheet: Sheet) -> tuple[Strip, ...]:
    """Every joint of a job as strips, level by level; a level begins a page."""
    found: list[Strip] = []
    page = 0
    for level in job.sheets:
        joints = [joint for joint in job.joints.values() if joint.sheet == level]
        if joints:
            found += _level(job, joints, sheet, page)
            page = found[-1].page + 1
    return tuple(found)


def _level(job: Job, joints: Iterable[Joint], sheet: Sheet, page: int) -> Iterator[Strip]:
    line, at_mm = 0, 0.0
    for joint in joints:
        parts = list(_parts(job, joint, sheet))
        for number, (from_m, to_m) in enumerate(parts):
            width = max((to_m - from_m) * sheet.mm_per_m, _TITLE_MM)
            if at_mm and at_mm + width > sheet.room_mm:
                line, at_mm = line + 1, 0.0
            yield Strip(
                joint=joint,
                from_m=from_m,
                to_m=to_m,
                page=page + line // sheet.lines,
                line=line % sheet.lines,
                at_mm=SIDE_MM + at_mm,
                goes_on=number < len(parts) - 1,
                goes_back=number > 0,
            )
            at_mm += width + _GAP_MM


def _parts(job: Job, joint: Joint, sheet: Sheet) -> Iterator[tuple[float, float]]:
    """Raw chainages of the parts of a joint, each no longer than a line."""
    whole = Decimal(1) if job.units.metric else FOOT_M
    most_m = sheet.room_mm / sheet.mm_per_m
    from_m = 0.0
    while joint.length_m - from_m > most_m + TIE_M:
        reach = printed_m(joint, from_m + most_m)
        to_m = raw_m(joint, (reach / whole).to_integral_value(rounding=ROUND_FLOOR) * whole)
        yield from_m, to_m
        from_m = to_m
    yield from_m, joint.length_m
