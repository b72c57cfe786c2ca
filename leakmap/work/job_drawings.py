"""Drawings of a job: kept in its file as bytes and as read, so that they open at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import PurePath

from leakmap.base.errors import UnusableDrawing
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.kinds import FileKind, kind_of
from leakmap.drawings.opening import AS_IT_IS, READERS, read_drawing
from leakmap.drawings.packed import packed, unpacked
from leakmap.geometry.placement import Placement
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import TAKEN_PAGE_M, TAKEN_PIXEL_M, Reading, Source
from leakmap.records.blobs import ParsedKey
from leakmap.records.job_file import JobFile
from leakmap.work.edits.edit import Edit
from leakmap.work.edits.sheets import add_sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class NewDrawing:
    """A drawing that is brought into a job.

    Attributes:
        source: Its file, as a sheet names it.
        content: The bytes of the file.
        drawing: The file as read.
        kept: The same, packed as the job file keeps it; None where nobody has packed it yet.
    """

    source: Source
    content: bytes
    drawing: Drawing
    kept: bytes | None = None

    @property
    def parsed(self) -> Mapping[ParsedKey, bytes]:
        """What the job file keeps of the drawing as read."""
        return {parsed_key(self.source): packed(self.drawing) if self.kept is None else self.kept}


@dataclass(frozen=True, slots=True, kw_only=True)
class JobDrawings:
    """Every drawing of a job: what marks are drawn into by the SHA-256 of the file, drawings as read by their source."""

    sources: Mapping[str, bytes]
    drawings: Mapping[Source, Drawing]


def brought_in(
    name: str,
    content: bytes,
    *,
    m_per_unit: float | None = None,
    reading: Reading = AS_IT_IS,
    password: str | None = None,
    progress: Progress = UNWATCHED,
) -> NewDrawing:
    """A drawing file read for a job.

    Args:
        name: Name of the file; folders are left out.
        content: Its bytes.
        m_per_unit: Metres of one drawing unit, when the user knows it.
        reading: Which part of the file is read, and how.
        password: What opens the file; None for none. It is kept nowhere.
        progress: Watches.

    Raises:
        UnusableDrawing: Nothing of it could be used.
        Stopped: The watcher asked to stop.
    """
    plain = PurePath(name).name
    drawing = read_drawing(plain, content, m_per_unit=m_per_unit, reading=reading, password=password, progress=progress)
    source = source_of(
        plain,
        sha256(content).hexdigest(),
        drawing,
        m_per_unit=m_per_unit,
        reading=reading,
        on_paper=kind_of(content) is FileKind.PDF,
    )
    return NewDrawing(source=source, content=content, drawing=drawing)


def source_of(
    name: str,
    digest: str,
    drawing: Drawing,
    *,
    m_per_unit: float | None = None,
    reading: Reading = AS_IT_IS,
    on_paper: bool = False,
) -> Source:
    """The source of a sheet that shows a drawing.

    Args:
        name: Name of the file, without folders.
        digest: SHA-256 of the file.
        drawing: The file as read.
        m_per_unit: Metres of one drawing unit that the user gave.
        reading: Which part of the file was read, and how.
        on_paper: Whether it is a page of a PDF.
    """
    pixel = _pixel(drawing)
    return Source(name=name, sha256=digest, unit=m_per_unit, pixel=pixel, on_paper=on_paper, reading=reading)


def _pixel(drawing: Drawing) -> float | None:
    """Drawing units of one pixel of a drawing that has no lines."""
    if len(drawing.strokes) or not drawing.pictures:
        return None
    return max((picture.box[2] - picture.box[0]) / picture.size_px[0] for picture in drawing.pictures)


def parsed_key(source: Source) -> ParsedKey:
    """What a drawing as read is kept under."""
    return ParsedKey(source_sha256=source.sha256, reader=READERS, options=f"unit {source.unit!r}, {source.reading!r}")


def drawings_of(file: JobFile, job: Job, *, progress: Progress = UNWATCHED) -> JobDrawings:
    """Every drawing that the sheets of a job show; what is not kept as read is read again.

    Raises:
        UnusableJobFile: A drawing is missing from the file, or damaged.
        UnusableDrawing: A drawing cannot be read any more.
        Stopped: The watcher asked to stop.
    """
    sources = {sheet.source for sheet in job.sheets.values() if sheet.source is not None}
    return JobDrawings(
        sources={source.sha256: markable(source, file.blob(source.sha256)) for source in sources},
        drawings={source: as_read(file, source, progress=progress) for source in sources},
    )


def markable(source: Source, content: bytes) -> bytes:
    """The file that a sheet's marks are drawn into: for a DWG the DXF that it was read as.

    Raises:
        UnusableDrawing: A DWG cannot be turned into DXF any more.
    """
    if kind_of(content) is not FileKind.DWG:
        return content
    from leakmap.drawings.dwg.read import converted  # noqa: PLC0415 - few drawings are DWG

    return converted(content, name=source.name).dxf


def as_read(file: JobFile, source: Source, *, progress: Progress = UNWATCHED) -> Drawing:
    """A drawing of a job file as read; what is not kept so is read again from its bytes.

    Raises:
        UnusableJobFile: It is missing from the file, or damaged.
        UnusableDrawing: It cannot be read any more.
        Stopped: The watcher asked to stop.
    """
    drawing = kept_as_read(file, source)
    if drawing is not None:
        return drawing
    content = file.blob(source.sha256)
    return read_drawing(source.name, content, m_per_unit=source.unit, reading=source.reading, progress=progress)


def kept_as_read(file: JobFile, source: Source) -> Drawing | None:
    """A drawing of a job file that is kept as read; None where it must be read again from its bytes.

    Raises:
        UnusableJobFile: What is kept cannot be had.
    """
    kept = file.parsed(parsed_key(source))
    if kept is None:
        return None
    try:
        return unpacked(kept)
    except UnusableDrawing:  # damaged, or of another version: the source is there
        return None


def sheet_added(job: Job, new: NewDrawing, *, name: str, floor_level_m: float | None = None) -> Edit:
    """The deed that adds a sheet with a drawing; its site plane is the drawing's own plane in metres.

    The unit that the user gave counts, else the reader's hint; where neither is known, one is taken so that there is
    something to look at, and that is said. What is a picture gets one scale each way.

    Raises:
        EditRefused: The name is empty or in use.
    """
    m_per_unit = new.source.unit or new.drawing.unit.m_per_unit
    taken, words = _taken(new.source)
    scale = m_per_unit or taken
    edit = add_sheet(
        job,
        name=name,
        source=new.source,
        placement=Placement(x_m_per_unit=scale, y_m_per_unit=scale),
        floor_level_m=floor_level_m,
        each_way=new.source.pixel is not None,
    )
    if m_per_unit is not None:
        return edit
    sentence = f"{words.format(name=new.source.name)} until a known length says more."
    return replace(edit, said=(*edit.said, sentence))


def _taken(source: Source) -> tuple[float, str]:
    """Metres that one unit of a drawing is taken for where nobody says, and the words for that."""
    if source.on_paper:
        return TAKEN_PAGE_M, "The scale of {name} is not known; 1:100 is taken"
    if source.pixel is not None:
        return TAKEN_PIXEL_M, "The scale of {name} is not known; one pixel is taken for 13 mm"
    return 1.0, "The unit of {name} is not known; 1 unit is taken for 1 m"
