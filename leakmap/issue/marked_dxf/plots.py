"""Which sheets go into one marked file: those of one drawing together, as long as no two lie over each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from leakmap.geometry.boxes import box_round, meet
from leakmap.geometry.path import Point
from leakmap.model.job import Job
from leakmap.model.joint import plan_path
from leakmap.model.sheet import Sheet


@dataclass(frozen=True, slots=True)
class Plot:
    """Sheets that go into one file.

    Attributes:
        sheets: In the order of the job; all of one source, or one alone.
        number: 0, or 1, 2 … where one source needs several files.
    """

    sheets: tuple[Sheet, ...]
    number: int


def plots(job: Job) -> Iterator[Plot]:
    """Sheets by file: those of one source together, as long as no two lie over each other."""
    groups: dict[str, list[Sheet]] = {}
    for sheet in job.sheets.values():
        groups.setdefault(sheet.source.sha256 if sheet.source else str(sheet.id), []).append(sheet)
    for sheets in groups.values():
        layers: list[list[Sheet]] = []
        for sheet in sheets:
            room = next((held for held in layers if not any(_over(job, sheet, other) for other in held)), None)
            if room is None:
                layers.append([sheet])
            else:
                room.append(sheet)
        for number, held in enumerate(layers):
            yield Plot(tuple(held), number)


def _over(job: Job, sheet: Sheet, other: Sheet) -> bool:
    """Whether the joints of two sheets of one drawing lie over each other in it."""
    one, two = (box_round(joint_points(job, held)) for held in (sheet, other))
    return one is not None and two is not None and meet(one, two)


def joint_points(job: Job, sheet: Sheet) -> Iterator[Point]:
    """Drawing points of the joints of a sheet."""
    for joint in job.joints.values():
        if sheet.id in {joint.sheet, joint.head_sheet}:
            path = plan_path(joint)
            points = path.points if path is not None else (joint.point,)
            yield from (sheet.placement.to_drawing(point) for point in points if point is not None)
