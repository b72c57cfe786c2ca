"""The marked drawing: our marks inside the drawing that was loaded, one file for each source drawing.

The drawing's own geometry stays as it is. A sheet without a drawing that can be marked (a blank
sheet, a scan, a PDF, a file that cannot be read) gets a new file in metres of the site plane, in which
the lines and texts that were read of its drawing are drawn anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Final
from uuid import UUID

import ezdxf.document
from ezdxf import zoom

from leakmap.base.errors import UnusableDrawing
from leakmap.base.file_names import safe_name
from leakmap.base.findings import Effect, Finding
from leakmap.geometry.boxes import box_round, corners_of, meet
from leakmap.geometry.path import Box, Point
from leakmap.geometry.placement import Placement
from leakmap.issue.drawn_sheets import drawing_of
from leakmap.issue.heading import Heading
from leakmap.issue.marked_dxf.document import (
    DAMAGE,
    EMPTY_LAYOUT,
    as_text,
    bytes_of,
    encoding_of,
    fixed_metadata,
    new_document,
    read_document,
)
from leakmap.issue.marked_dxf.facts import FactBook
from leakmap.issue.marked_dxf.free_name import free_name
from leakmap.issue.marked_dxf.layers import DISCIPLINE, add_layers, free_discipline, layer_name
from leakmap.issue.marked_dxf.level import levelled
from leakmap.issue.marked_dxf.on_paper import EMPTY_BOX, paper_for, plan_box
from leakmap.issue.marked_dxf.paint import Painter
from leakmap.issue.marked_dxf.paper_space import SheetOnPaper, add_layouts
from leakmap.issue.marked_dxf.plane import Plane
from leakmap.issue.marked_dxf.plots import Plot, joint_points, plots
from leakmap.issue.marked_dxf.record import KEPT_MOST, Record, marks_in, put_record
from leakmap.issue.marked_dxf.sheet_marks import BESIDE_MM, SheetWriter
from leakmap.issue.marked_dxf.surroundings import Surroundings, of_drawing, of_file
from leakmap.issue.marked_dxf.tags import add_blocks
from leakmap.issue.marked_dxf.text import looks_alike_only
from leakmap.issue.marked_dxf.underlay import draw_under
from leakmap.issue.marked_dxf.written_again import rewritten, told
from leakmap.issue.marks.primitives import What
from leakmap.issue.plan_set.paper import Paper
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.sheet import Sheet, Source
from leakmap.repair.results import Repairs

_UNDER: Final = "UNDER"
_PICTURES: Final = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedDrawings:
    """The files that were written.

    Attributes:
        files: File name to bytes.
        findings: What a person should know: what could not be written as it was typed or drawn.
    """

    files: Mapping[str, bytes]
    findings: tuple[Finding, ...]


def marked_dxf(
    job: Job,
    repairs: Repairs,
    *,
    sources: Mapping[str, bytes],
    heading: Heading,
    drawings: Mapping[Source, Drawing] | None = None,
    scales: Mapping[UUID, float] | None = None,
    discipline: str = DISCIPLINE,
    frozen: str = "",
) -> MarkedDrawings:
    """The marked drawings of a job.

    Args:
        job: The job.
        repairs: Its work-out.
        sources: Bytes of the source drawings by their SHA-256.
        heading: What every paper says of itself.
        drawings: The same drawings as the reader gave them, by their source: what they show sets the plot
            scale and the place of the notes. One that is missing is worked out from its file, which is slower.
        scales: Plot scale (100 for 1:100) by sheet; a sheet that is not named gets the largest at which its layout
            shows it whole.
        discipline: First part of the names of our layers.
        frozen: The job as issued, as canonical text: each drawing keeps it as its record; empty: no record.

    Raises:
        BadValue: The discipline holds a character that no drawing takes in a name.
    """
    layer_name(discipline, "TEXT")
    setting = _Setting(job, repairs, heading, sources, drawings or {}, scales or {}, discipline, frozen)
    files: dict[str, bytes] = {}
    findings: list[Finding] = []
    with fixed_metadata():
        for plot in plots(job):
            for made in _write(plot, setting):
                files[free_name(made.name.removesuffix(".dxf"), files, ".dxf")] = made.data
                findings += made.findings
    return MarkedDrawings(files=files, findings=(*findings, *_look_alikes(job)))


@dataclass(frozen=True, slots=True)
class _Setting:
    """What every file is written with."""

    job: Job
    repairs: Repairs
    heading: Heading
    sources: Mapping[str, bytes]
    drawings: Mapping[Source, Drawing]
    scales: Mapping[UUID, float]
    discipline: str
    frozen: str


@dataclass(frozen=True, slots=True)
class _File:
    """A file that was written."""

    name: str
    data: bytes
    findings: tuple[Finding, ...]


def _write(plot: Plot, setting: _Setting) -> list[_File]:
    """The file of a plot; where its drawing cannot be marked, a new file for each sheet."""
    source = plot.sheets[0].source
    lost: tuple[Finding, ...] = ()
    if source is not None and _is_paper(setting.sources.get(source.sha256, b"")):
        lost = _pictures_left_out(plot.sheets, setting)
    elif source is not None:
        try:
            return [_inside(plot, setting, _bytes_of_source(source, setting.sources))]
        except UnusableDrawing as error:
            lost = (_not_marked(plot.sheets, setting, error.message),)
    names = [sheet.name for sheet in plot.sheets]
    fresh = [_new_file(sheet, setting) for sheet in plot.sheets]
    return [
        replace(made, findings=(*lost, *made.findings)) if name == names[0] else made
        for name, made in zip(names, fresh, strict=True)
    ]


def _bytes_of_source(source: Source, sources: Mapping[str, bytes]) -> bytes:
    data = sources.get(source.sha256)
    if data is None:
        raise UnusableDrawing(f"The drawing {source.name} is not in the job.", where=source.name)
    return data


def _is_paper(data: bytes) -> bool:
    """Whether a file is a PDF or a picture, in which no marks can be drawn."""
    return b"%PDF-" in data[:1024] or data.startswith(_PICTURES)


def _pictures_left_out(sheets: tuple[Sheet, ...], setting: _Setting) -> tuple[Finding, ...]:
    names = [sheet.name for sheet in sheets if _has_pictures(drawing_of(sheet, setting.drawings))]
    if not names:
        return ()
    text = (
        f"The marks of {', '.join(names)} are in a new file, in metres, without the picture under them;"
        " the plan in the repair schedule shows both."
    )
    return (Finding("picture-left-out", ", ".join(names), text),)


def _has_pictures(drawing: Drawing | None) -> bool:
    return drawing is not None and bool(drawing.pictures)


def _not_marked(sheets: tuple[Sheet, ...], setting: _Setting, why: str) -> Finding:
    names = ", ".join(sheet.name for sheet in sheets)
    known = all(sheet.source in setting.drawings for sheet in sheets)
    under = "over its lines drawn anew" if known else "without the drawing"
    text = f"{why} The marks of {names} are in a new file, in metres, {under}."
    return Finding("drawing-not-marked", names, text, Effect.LOST)


def _inside(plot: Plot, setting: _Setting, data: bytes) -> _File:
    """The source drawing with the marks of its sheets; repaired first where it cannot be written as it is."""
    source = plot.sheets[0].source
    assert source is not None
    for repair in (False, True):
        doc, read = read_document(data, source.name, repair=repair)
        found = [*read, *_overlaid(plot)]
        found += _mark(doc, plot.sheets, setting, inside=source.sha256)
        try:
            written = bytes_of(doc)
        except AssertionError:  # the library refuses to write some flaws of a damaged drawing
            continue
        found += _written_again(data, written, source.name)
        return _File(_file_name(source.name, plot.number, setting), written, tuple(found))
    raise UnusableDrawing(f"{source.name} holds flaws that cannot be written again.", where=source.name)


def _written_again(data: bytes, written: bytes, name: str) -> tuple[Finding, ...]:
    """What became of the drawing's own entities; nothing where its tags are too broken to be compared, which is told."""
    try:
        return told(rewritten(as_text(data), written, encoding=encoding_of(data)), name)
    except DAMAGE:
        return ()


def _overlaid(plot: Plot) -> tuple[Finding, ...]:
    if not plot.number:
        return ()
    names = ", ".join(sheet.name for sheet in plot.sheets)
    text = f"Another sheet has the same place in the drawing of {names}; its marks are in a file of their own."
    return (Finding("own-file", names, text),)


def _new_file(sheet: Sheet, setting: _Setting) -> _File:
    """A new drawing in metres of the site plane with the marks of one sheet."""
    blank = replace(sheet, placement=Placement())
    job = replace(setting.job, sheets={**setting.job.sheets, sheet.id: blank})
    doc = new_document()
    drawing = drawing_of(sheet, setting.drawings)
    if drawing is not None:
        draw_under(doc, sheet, drawing, _UNDER)
    found = _mark(doc, (blank,), replace(setting, job=job, drawings={}))
    doc.layouts.delete(EMPTY_LAYOUT)
    zoom.extents(doc.modelspace(), factor=1.05)
    return _File(_file_name(sheet.name, 0, setting), bytes_of(doc), tuple(found))


def _mark(
    doc: ezdxf.document.Drawing, sheets: tuple[Sheet, ...], setting: _Setting, *, inside: str = ""
) -> list[Finding]:
    """Put the marks and notes of sheets, and the record, into a drawing: ``inside`` is its hash, empty for a new file."""
    discipline = free_discipline(doc, setting.discipline)
    around = _surroundings(doc, sheets[0], setting)
    laid = [_laid(sheet, setting, around.shown if len(sheets) == 1 else None) for sheet in sheets]
    unit = laid[0].plane.unit
    add_layers(doc, discipline, unit)
    add_blocks(doc, discipline)
    right, top = _corner(setting.job, sheets, around.shown)
    tagged: set[tuple[What, str]] = set()
    for each in laid:
        plane = replace(each.plane, whole=unit)
        painter = Painter(space=doc.modelspace(), plane=plane, discipline=discipline)
        writer = _writer(each.sheet, painter, setting, tagged)
        words = writer.write(_placed_boxes(around.texts, plane.placement))
        seen = _around(each.plan, [words] if words else [], around.texts)
        right = max(right, seen[2])
        notes = writer.write_beside((right + BESIDE_MM * plane.unit, top))
        right = notes.box[2]
        on_paper = SheetOnPaper(
            job=setting.job,
            sheet=each.sheet,
            heading=setting.heading,
            number=list(setting.job.sheets).index(each.sheet.id) + 1,
            paper=each.paper,
            plane=plane,
            plan=each.plan,
            seen=seen,
            notes=notes,
        )
        add_layouts(doc, discipline, on_paper)
    found: list[Finding] = []
    if setting.frozen:
        kept, found = _kept(sheets[0], setting)
        put_record(doc, _record(doc, discipline, inside, kept, setting))
    if discipline == setting.discipline:
        return found
    text = f"The drawing already has names that begin with {setting.discipline}-; ours begin with {discipline}-."
    return [*found, Finding("layers-renamed", discipline, text)]


def _kept(sheet: Sheet, setting: _Setting) -> tuple[bytes, list[Finding]]:
    """The file that a sheet shows, for the record; nothing where it is not the very file, as of a DWG that was converted."""
    data = b"" if sheet.source is None else setting.sources.get(sheet.source.sha256, b"")
    if not data or sheet.source is None or sha256(data).hexdigest() != sheet.source.sha256:
        return b"", []
    if len(data) <= KEPT_MOST:
        return data, []
    text = (
        f"{sheet.source.name} is too large to be kept whole in its marked drawing; a job that is made from that"
        " has the drawing as it was written again."
    )
    return b"", [Finding("drawing-not-kept", sheet.name, text)]


def _record(doc: ezdxf.document.Drawing, discipline: str, inside: str, kept: bytes, setting: _Setting) -> Record:
    return Record(
        discipline=discipline,
        job_name=setting.job.name,
        revision=setting.heading.revision,
        source=inside,
        frozen=setting.frozen,
        marks=marks_in(doc, discipline),
        drawing=kept,
    )


@dataclass(frozen=True, slots=True)
class _Laid:
    """A sheet on its paper: box round its plan, drawing units, and its level plane at its plot scale."""

    sheet: Sheet
    plan: Box
    paper: Paper
    plane: Plane


def _laid(sheet: Sheet, setting: _Setting, shown: Box | None) -> _Laid:
    plan = plan_box(setting.job, sheet, shown)
    paper, scale = paper_for(setting.job, sheet, plan, setting.scales.get(sheet.id))
    level = replace(sheet.placement, turn_deg=0.0, at_m=(0.0, 0.0))
    return _Laid(sheet, plan, paper, Plane(placement=level, scale=scale, whole=1.0))


def _surroundings(doc: ezdxf.document.Drawing, sheet: Sheet, setting: _Setting) -> Surroundings:
    drawing = drawing_of(sheet, setting.drawings)
    return of_file(doc) if drawing is None else of_drawing(drawing)


def _corner(job: Job, sheets: tuple[Sheet, ...], shown: Box | None) -> Point:
    """Upper right corner, drawing units, of what the drawing shows and of all joints in it."""
    points = [point for sheet in sheets for point in joint_points(job, sheet)]
    _, _, right, top = box_round([*points, *(corners_of(shown) if shown else ())]) or EMPTY_BOX
    return right, top


def _around(plan: Box, words: Iterable[Box], texts: Iterable[Box]) -> Box:
    """Box round a plan, our words, and the drawing's texts that begin on the plan, drawing units."""
    boxes = (plan, *words, *(text for text in texts if meet(text, plan)))
    return box_round(corner for box in boxes for corner in corners_of(box)) or plan


def _writer(sheet: Sheet, painter: Painter, setting: _Setting, tagged: set[tuple[What, str]]) -> SheetWriter:
    job, repairs, _ = levelled(setting.job, setting.repairs, sheet.id)
    return SheetWriter(
        job=job,
        repairs=repairs,
        book=FactBook(setting.job, setting.repairs, sheet, setting.heading.revision),
        heading=setting.heading,
        painter=painter,
        tagged=tagged,
    )


def _placed_boxes(boxes: Iterable[Box], placement: Placement) -> Iterator[Box]:
    """Boxes of the drawing in its level plane."""
    for box in boxes:
        (x0, y0), (x1, y1) = (placement.to_site(corner) for corner in corners_of(box))
        yield x0, y0, x1, y1


def _file_name(source: str, number: int, setting: _Setting) -> str:
    """Name of a marked drawing: job, revision, source, and a number where one source needs several files."""
    stem = source.rsplit(".", 1)[0] if source.lower().endswith((".dxf", ".dwg", ".pdf")) else source
    more = f" {number + 1}" if number else ""
    parts = (setting.job.name, setting.heading.revision, f"marked plan {stem}{more}")
    return " ".join(safe_name(part) for part in parts) + ".dxf"


def _look_alikes(job: Job) -> Iterator[Finding]:
    """What people typed that a drawing cannot hold as it was typed."""
    for where, text in _typed(job):
        if looks_alike_only(text):
            sentence = f"{where} holds signs that drawings read as symbols (%% or \\U+); look-alikes stand in."
            yield Finding("look-alike", where, sentence, Effect.FIXED)


def _typed(job: Job) -> Iterator[tuple[str, str]]:
    yield "The name of the job", job.name
    for sheet in job.sheets.values():
        yield f"The name of sheet {sheet.name}", sheet.name
    for joint in job.joints.values():
        yield joint.ref, joint.ref
        for blind in joint.blind:
            yield joint.ref, blind.what
            yield joint.ref, blind.cleared_by
    for leak in job.leaks.values():
        yield leak.ref, leak.ref
        yield leak.ref, leak.note
