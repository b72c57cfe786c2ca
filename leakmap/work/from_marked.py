"""A job from a marked drawing: its record gives the job as issued, the file without our marks its drawing.

What others changed on our layers since is told and not taken: the record wins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import PurePath
from uuid import UUID, uuid4

from leakmap.base.counted import many
from leakmap.base.errors import UnusableDrawing, UnusableJobFile
from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source
from leakmap.records.frozen import job_of_frozen
from leakmap.work.job_drawings import NewDrawing, brought_in

_NAMED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class FromMarked:
    """A job read back out of a marked drawing.

    Attributes:
        job: The job as issued, under a name and an id of its own; without its revisions, whose papers are not here.
        drawings: The drawing without our marks, once for each way that sheets read it; none where it had none.
        origin: Which revision of which job it is.
        findings: What others changed on the drawing, and what is not in it.
    """

    job: Job
    drawings: tuple[NewDrawing, ...]
    origin: str
    findings: tuple[Finding, ...]


def job_from_marked(
    name: str,
    content: bytes,
    *,
    job_name: str = "",
    new_id: Callable[[], UUID] = uuid4,
    progress: Progress = UNWATCHED,
) -> FromMarked:
    """The job of a marked drawing.

    Args:
        name: Name of the file; folders are left out.
        content: Its bytes.
        job_name: Name of the job that is made; empty: as it was.
        new_id: Gives it its id.
        progress: Watches.

    Raises:
        UnusableDrawing: It is no drawing, holds no record, or one that is damaged or newer than this program.
        Stopped: The watcher asked to stop.
    """
    from leakmap.issue.marked_dxf.unmarked import unmarked  # noqa: PLC0415 - a large library, which few calls need

    plain = PurePath(name).name
    progress.report(f"Reading the record of {plain}", 0, None)
    apart = unmarked(content, plain)
    try:
        issued = job_of_frozen(apart.record.frozen)
    except UnusableJobFile as error:
        raise UnusableDrawing(
            f"{plain}: {error.message}", hint="Take it as a drawing (--drawing).", where=plain
        ) from error
    kept: dict[Source, NewDrawing] = {}
    sheets: dict[UUID, Sheet] = {}
    for key, sheet in issued.sheets.items():
        source = sheet.source
        if source is not None and source.sha256 == apart.record.source:
            if source not in kept:
                kept[source] = _drawing(source, apart.drawing, progress)
            sheets[key] = replace(sheet, source=kept[source].source)
        else:
            sheets[key] = replace(sheet, source=None)
    origin = f"{apart.record.revision} of {apart.record.job_name}"
    job = replace(issued, id=new_id(), name=job_name or issued.name, sheets=sheets, revisions={})
    findings = (*_changed(plain, apart.changed), *_missing(issued, sheets, plain))
    return FromMarked(job=job, drawings=tuple(kept.values()), origin=origin, findings=findings)


def _drawing(source: Source, content: bytes, progress: Progress) -> NewDrawing:
    """The drawing without our marks, read as the issued job read it; its letters need no code page any more."""
    name = source.name if source.name.lower().endswith(".dxf") else f"{source.name.rsplit('.', 1)[0]}.dxf"
    reading = replace(source.reading, codepage="")
    return brought_in(name, content, m_per_unit=source.unit, reading=reading, progress=progress)


def _changed(name: str, changed: tuple[str, ...]) -> Iterator[Finding]:
    if changed:
        more = f" and {len(changed) - _NAMED} more" if len(changed) > _NAMED else ""
        text = (
            f"Marks in {name} were changed by hand since it was issued: {', '.join(changed[:_NAMED])}{more}."
            " They are taken as they were issued; mark here what was meant."
        )
        yield Finding("marks-changed", name, text)


def _missing(issued: Job, sheets: dict[UUID, Sheet], name: str) -> Iterator[Finding]:
    """The finding that other levels had drawings which this file does not hold."""
    gone = [sheet.name for key, sheet in issued.sheets.items() if sheet.source and sheets[key].source is None]
    if gone:
        text = f"{name} does not hold {many(len(gone), 'drawing')}, of {', '.join(gone)}; joints and leaks there lie on a blank sheet until their drawing is given to that level."
        yield Finding("drawing-not-here", ", ".join(gone), text, Effect.LOST)
