"""Which sheets of a job have a plan, and the drawing that lies under it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source


def drawn_sheets(job: Job) -> Iterator[Sheet]:
    """Sheets that have a drawing or a joint, in the order of the job."""
    used = {sheet for joint in job.joints.values() for sheet in (joint.sheet, joint.head_sheet)}
    return (sheet for sheet in job.sheets.values() if sheet.source is not None or sheet.id in used)


def drawing_of(sheet: Sheet, drawings: Mapping[Source, Drawing]) -> Drawing | None:
    """The drawing of a sheet; None for a blank sheet, or where it is not at hand."""
    return drawings.get(sheet.source) if sheet.source is not None else None
