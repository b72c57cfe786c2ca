"""The sample job as a file: read from its drawings, and made for the demo and for whoever looks round."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from leakmap.base.findings import Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.base.resources import resource
from leakmap.records.job_file import create_job_file
from leakmap.work.job_drawings import NewDrawing, brought_in
from leakmap.work.sample_job import DRAWINGS, sample_job


def make_sample_file(
    path: Path, *, user: str, at: datetime, replace: bool = False, progress: Progress = UNWATCHED
) -> tuple[Finding, ...]:
    """Make the sample's job file; what was noticed in its drawings.

    Args:
        path: The file to make.
        user: Who makes it.
        at: When.
        replace: Whether a file of that name makes way.
        progress: Watches.

    Raises:
        UnusableFile: It could not be written.
        Stopped: The watcher asked to stop.
    """
    drawings = {sheet: _read(name, progress) for sheet, name in DRAWINGS.items()}
    create_job_file(
        path,
        sample_job(sources={sheet: drawing.source for sheet, drawing in drawings.items()}),
        user=user,
        at=at,
        sources=[drawing.content for drawing in drawings.values()],
        parsed={key: kept for drawing in drawings.values() for key, kept in drawing.parsed.items()},
        replace=replace,
    )
    return tuple(finding for drawing in drawings.values() for finding in drawing.drawing.findings)


def _read(name: str, progress: Progress) -> NewDrawing:
    return brought_in(name, resource("sample_plans", name).read_bytes(), progress=progress)
