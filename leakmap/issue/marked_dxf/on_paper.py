"""What the plan of a sheet shows, and the paper and plot scale that take it."""

from __future__ import annotations

from typing import Final

from leakmap.geometry.boxes import box_round, corners_of, size_of
from leakmap.geometry.path import Box
from leakmap.issue.marked_dxf.plots import joint_points
from leakmap.issue.plan_set.paper import Paper, allowed, ways
from leakmap.issue.plan_set.tiles import fits, whole_on
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet

EMPTY_BOX: Final[Box] = (0.0, 0.0, 10.0, 10.0)
"""What is shown where nothing is, drawing units."""

_LEAST_M: Final = 1.0
_ROLL: Final = Paper("roll", 1000.0, 1000.0)
_LEAST_MM: Final = (420.0, 297.0)


def plan_box(job: Job, sheet: Sheet, shown: Box | None) -> Box:
    """Box, drawing units, round the joints of a sheet and what its drawing shows, or the part of it that was taken."""
    crop = sheet.source.reading.crop if sheet.source is not None else None
    seen = crop if crop is not None and shown is not None else shown
    points = [*joint_points(job, sheet), *(corners_of(seen) if seen is not None else ())]
    return box_round(points) or EMPTY_BOX


def paper_for(job: Job, sheet: Sheet, plan: Box, scale: float | None = None) -> tuple[Paper, float]:
    """The paper of a sheet's layout and its plot scale.

    Args:
        job: The job, whose rules say the largest paper.
        sheet: The sheet.
        plan: Box round its plan, drawing units.
        scale: A plot scale that is asked for: the smallest paper at that scale, a roll of just that size where none
            is large enough; None: the largest scale at which the plan is seen whole, as in the plan set.
    """
    wide, high = size_of(plan)
    size_m = (
        max(wide * sheet.placement.x_m_per_unit, _LEAST_M),
        max(high * sheet.placement.y_m_per_unit, _LEAST_M),
    )
    if scale is None:
        return whole_on(size_m, job.rules.largest_paper)
    papers = (paper for name, sides in allowed(job.rules.largest_paper).items() for paper in ways(name, sides))
    return next((paper for paper in papers if fits(paper, scale, size_m)), None) or _roll(size_m, scale), scale


def _roll(size_m: tuple[float, float], scale: float) -> Paper:
    """Paper of just the size that is needed, wide enough for its title block."""
    wide, high = (each * 1000 / scale for each in size_m)
    beside, over = _ROLL.width_mm - _ROLL.room_mm[0], _ROLL.height_mm - _ROLL.room_mm[1]
    return Paper(_ROLL.name, max(wide + beside, _LEAST_MM[0]), max(high + over, _LEAST_MM[1]))
