"""A job from its marked drawings: their record gives the job as issued and the file of each drawing, byte for byte.

What others changed since, on our layers or on the drawing, is told and not taken: the record wins. A file that holds
no drawing of its own (one too large, or a DWG, of which only what it was turned into is marked) gives the drawing
without our marks instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import PurePath
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

import numpy as np

from leakmap.base.counted import many
from leakmap.base.errors import UnusableDrawing, UnusableJobFile
from leakmap.base.findings import Effect, Finding
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source
from leakmap.records.frozen import job_of_frozen
from leakmap.work.job_drawings import NewDrawing, brought_in

if TYPE_CHECKING:
    from leakmap.issue.marked_dxf.unmarked import Unmarked

_NAMED = 8
_DECIMALS = 6
"""Decimals of a drawing unit to which lines are the same: programs write them with 15 digits or more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FromMarked:
    """A job read back out of a marked drawing.

    Attributes:
        job: The job as issued, under a name and an id of its own; without its revisions, whose papers are not here.
        drawings: The drawings that were found, once for each way that sheets read them.
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
    others: Mapping[str, bytes] | None = None,
    job_name: str = "",
    new_id: Callable[[], UUID] = uuid4,
    progress: Progress = UNWATCHED,
) -> FromMarked:
    """The job of a marked drawing.

    Args:
        name: Name of the file; folders are left out.
        content: Its bytes.
        others: Other marked drawings of the same issue by name, which hold the drawings of other levels.
        job_name: Name of the job that is made; empty: as it was.
        new_id: Gives it its id.
        progress: Watches.

    Raises:
        UnusableDrawing: One is no drawing, holds no record, or one that is damaged or newer than this program, or they
            are not of one issue.
        Stopped: The watcher asked to stop.
    """
    parts = [_part(PurePath(each).name, data, progress) for each, data in {name: content, **(others or {})}.items()]
    first = parts[0]
    for part in parts[1:]:
        if part.apart.record.frozen != first.apart.record.frozen:
            raise UnusableDrawing(
                f"{part.name} is {part.origin}, {first.name} is {first.origin} or of another state of it.",
                hint="Give marked drawings of one issue.",
                where=part.name,
            )
    try:
        issued = job_of_frozen(first.apart.record.frozen)
    except UnusableJobFile as error:
        raise UnusableDrawing(
            f"{first.name}: {error.message}", hint="Take it as a drawing (--drawing).", where=first.name
        ) from error
    found = _Found(parts, progress)
    sheets = {key: found.sheet(sheet) for key, sheet in issued.sheets.items()}
    leaks = {key: replace(leak, photos=()) if leak.photos else leak for key, leak in issued.leaks.items()}
    job = replace(issued, id=new_id(), name=job_name or issued.name, sheets=sheets, leaks=leaks, revisions={})
    changed = (finding for part in parts for finding in _changed(part.name, part.apart.changed))
    findings = (*changed, *found.findings, *_missing(issued, sheets, first.name), *_no_photos(issued, first.name))
    return FromMarked(job=job, drawings=tuple(found.drawings.values()), origin=first.origin, findings=findings)


@dataclass(frozen=True, slots=True)
class _Part:
    """A marked drawing taken apart, and the name of its file."""

    name: str
    apart: Unmarked

    @property
    def origin(self) -> str:
        """Which revision of which job it is."""
        return f"{self.apart.record.revision} of {self.apart.record.job_name}"


def _part(name: str, content: bytes, progress: Progress) -> _Part:
    from leakmap.issue.marked_dxf.unmarked import unmarked  # noqa: PLC0415 - a large library, which few calls need

    progress.report(f"Reading the record of {name}", 0, None)
    return _Part(name, unmarked(content, name))


class _Found:
    """Drawings of sheets in marked drawings, each read once for each way that sheets read it.

    Attributes:
        drawings: What was found, by the source that the issued job names.
        findings: What is not as it was issued.
    """

    def __init__(self, parts: Sequence[_Part], progress: Progress) -> None:
        self._parts, self._progress = parts, progress
        self._kept = {
            sha256(part.apart.record.drawing).hexdigest(): part for part in parts if part.apart.record.drawing
        }
        self.drawings: dict[Source, NewDrawing] = {}
        self.findings: list[Finding] = []

    def sheet(self, sheet: Sheet) -> Sheet:
        """The sheet with the drawing that was found for it, or blank."""
        source = sheet.source
        if source is None:
            return sheet
        if source not in self.drawings:
            found = self._as_kept(source) or self._as_written(source)
            if found is None:
                return replace(sheet, source=None)
            self.drawings[source] = found
        return replace(sheet, source=self.drawings[source].source)

    def _as_kept(self, source: Source) -> NewDrawing | None:
        """The very file, read as the issued job read it; None where it is not here, or is locked."""
        part = self._kept.get(source.sha256)
        if part is None:
            return None
        try:
            found = self._brought_in(source, part.apart.record.drawing)
        except UnusableDrawing:
            return None
        self.findings += self._plan_changed(part, source, found.drawing)
        return replace(found, source=source)

    def _as_written(self, source: Source) -> NewDrawing | None:
        """The drawing without our marks; its letters need no code page any more."""
        part = next((part for part in self._parts if part.apart.record.source == source.sha256), None)
        if part is None:
            return None
        text = f"{part.name} does not hold {source.name} itself; its drawing is taken as it was written there."
        self.findings.append(Finding("drawing-written-again", source.name, text, Effect.FIXED))
        return self._brought_in(_as_dxf(source), part.apart.drawing)

    def _plan_changed(self, part: _Part, source: Source, issued: Drawing) -> Iterator[Finding]:
        if part.apart.record.source != source.sha256:
            return
        try:
            shown = self._brought_in(_as_dxf(source), part.apart.drawing).drawing
            count = lines_changed(issued, shown)
        except UnusableDrawing:
            count = len(issued.strokes)
        if count:
            text = (
                f"The plan in {part.name} was changed since it was issued: {many(count, 'line')} of it."
                " It is taken as it was issued; put the changed drawing under the joints where that is meant (leakmap redraw)."
            )
            yield Finding("plan-changed", part.name, text)

    def _brought_in(self, source: Source, content: bytes) -> NewDrawing:
        return brought_in(source.name, content, m_per_unit=source.unit, reading=source.reading, progress=self._progress)


def _as_dxf(source: Source) -> Source:
    """The source of a drawing that was written again as DXF."""
    name = source.name if source.name.lower().endswith(".dxf") else f"{source.name.rsplit('.', 1)[0]}.dxf"
    return replace(source, name=name, reading=replace(source.reading, codepage=""))


def lines_changed(one: Drawing, other: Drawing) -> int:
    """How many lines of a drawing another does not have, or has besides: the larger number of the two."""
    first, second = _lines(one), _lines(other)
    return max((first - second).total(), (second - first).total())


def _lines(drawing: Drawing) -> Counter[bytes]:
    strokes = drawing.strokes
    xy = np.round(strokes.xy + np.asarray(drawing.origin), _DECIMALS) + 0.0
    starts = strokes.starts.tolist()
    return Counter(xy[starts[at] : starts[at + 1]].tobytes() for at in range(len(strokes)))


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
        text = f"{name} does not hold {many(len(gone), 'drawing')}, of {', '.join(gone)}; joints and leaks there lie on a blank sheet. Give the marked drawing of that level with it, or later the drawing itself."
        yield Finding("drawing-not-here", ", ".join(gone), text, Effect.LOST)


def _no_photos(issued: Job, name: str) -> Iterator[Finding]:
    """The finding that leaks had photos, which stay in the job file that they were added to."""
    with_photos = [leak.ref for leak in issued.leaks.values() if leak.photos]
    if with_photos:
        text = f"{name} does not hold the photos of {', '.join(with_photos[:_NAMED])}; they stay in the job file that it came from."
        yield Finding("photos-not-here", name, text, Effect.LOST)
