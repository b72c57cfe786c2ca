"""Hold points: what is looked at and signed, zone by zone, before the work goes on.

Every zone has the same cells at the same places, so that a page is read down a column; the cell of a point that a zone
does not need says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from leakmap.base.counted import many
from leakmap.issue.schedule_pdf.ink import INK, INK2
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.model.job import Job
from leakmap.repair.results import Zone

CELL_MM: Final = (17.8, 8.6)
"""Width and height of a cell: words, a box to tick, and room for initials and a date."""

_BOX_MM: Final = 3.2


@dataclass(frozen=True, slots=True)
class Point:
    """A hold point.

    Attributes:
        words: What stands in its cell.
        meaning: What is looked at, whole.
        missing: Why the zone does not need it; empty where it does.
    """

    words: str
    meaning: str
    missing: str = ""


def points_of(job: Job, zone: Zone) -> tuple[Point, ...]:
    """The ten points in the order of the work; that an engineer answers a hold stands beside the hold."""
    wet, filling = any(row.plugged for row in zone.rows), job.materials.filling.value
    days = many(job.rules.cure_days, "day")
    return (
        Point("Marked, agreed", "marked wet and agreed"),
        Point("Services cleared", "services and tendons located and cleared"),
        Point("Size measured", "slot measured, width and depth"),
        Point("Saturated", "saturated, surface dry"),
        Point("Water stopped", "water stopped and watched", "" if wet else "no water to stop"),
        Point("Relief closed", "relief point closed, last of all", "" if zone.relief else "no relief point"),
        Point(f"Coat 1, {filling.rpartition(' ')[2]}", f"coat 1 brushed and {filling} in while it is tacky"),
        Point("Coat 2", "coat 2 brushed over slot and margins"),
        Point(f"Cured {days}", f"kept moist for {days}"),
        Point("Dry at full head", "dry when the water stands as high as before"),
    )


ASKED: Final = Point("Engineer asked", "the engineer asked, the answer obeyed")


def cells_height_mm(count: int, columns: int) -> float:
    """Height of the cells of so many points."""
    return -(-count // columns) * CELL_MM[1]


def draw_cells(pen: PenBox, points: Sequence[Point], left: float, top: float, columns: int) -> None:
    """Draw cells row by row from an upper left corner, mm."""
    wide, high = CELL_MM
    for number, point in enumerate(points):
        row, column = divmod(number, columns)
        x, y = left + column * wide, top - (row + 1) * high
        pen.box(x, y, x + wide, y + high, width=0.18, ink=INK2)
        said, ink = (point.missing, INK2) if point.missing else (point.words, INK)
        pen.words(said, x + 0.6, y + high - 2.7, cap=1.8, room=wide - 0.9, ink=ink)
        if not point.missing:
            pen.box(x + 0.8, y + 1.2, x + 0.8 + _BOX_MM, y + 1.2 + _BOX_MM, width=0.35)
