"""Copies of papers of an old revision, which say on every page that they are superseded.

What was issued stays as it was sealed; these are copies for whoever must look at an old paper. A PDF gets a frame and
a band of words on each page, in fonts that it holds itself and without transparency; a marked drawing gets the words
above everything, on a layer of their own. Tables for programs say it in themselves (``superseded_tables``), those that are
attached to a PDF too.
"""

from __future__ import annotations

from io import BytesIO
from typing import Final

import pikepdf
from ezdxf import bbox
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Layout, Paperspace
from reportlab.pdfgen.canvas import Canvas

from leakmap.base.days import day_words
from leakmap.base.file_names import safe_name
from leakmap.issue.marked_dxf.document import bytes_of, fixed_metadata, read_document
from leakmap.issue.marked_dxf.paper_space import FRAME
from leakmap.issue.marked_dxf.width import width_mm
from leakmap.issue.schedule_pdf.ink import INK, REPAIR, WHITE
from leakmap.issue.schedule_pdf.lettering import MM, Face, Lettering, use_faces
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.superseded_tables import superseded_csv, superseded_json, superseded_xlsx
from leakmap.model.revision import Revision

LAYER: Final = "WP-NOTE-SUPERSEDED"
_FRAME_MM: Final = 4.5
_BAND_MM: Final = 6.0
_CAP_MM: Final = 2.5
_ROOM_MM: Final = 8.0
_SHARE: Final = 0.012
"""Height of the words in a drawing, as a share of its longer side."""


def superseded_words(old: Revision, by: Revision, locale: str = "") -> str:
    """What every page of a copy says; the day as a locale writes it."""
    return f"{old.name} is superseded by {by.name} of {day_words(by.at, locale)}: do not work to this copy"


def superseded_name(name: str, old: Revision, by: Revision) -> str:
    """Name of the copy of a paper: it says which revision took its place.

    The revision stands in names of papers as a word; where it does not, both stand before the name.
    """
    said = f"{old.name} superseded by {by.name}"
    words = name.split(" ")
    if old.name not in words:
        return safe_name(f"{said} {name}")
    at = len(words) - 1 - words[::-1].index(old.name)
    return safe_name(" ".join((*words[:at], said, *words[at + 1 :])))


def superseded(name: str, content: bytes, old: Revision, by: Revision, locale: str = "") -> bytes:
    """The copy of a paper.

    Args:
        name: Name of the paper, whose ending says what it is.
        content: Its bytes as issued.
        old: The revision that it belongs to.
        by: The revision that took its place.
        locale: How its day is written.

    Raises:
        UnusableDrawing: A drawing could not be read.
    """
    words = superseded_words(old, by, locale)
    match name.lower().rpartition(".")[2]:
        case "pdf":
            return _pdf(content, old, by, words)
        case "dxf":
            return _dxf(content, name, words)
        case "csv":
            return superseded_csv(content, superseded_words(old, by))
        case "json":
            return superseded_json(content, old, by)
        case "xlsx":
            return superseded_xlsx(content, old, by, words)
    return content


def _pdf(content: bytes, old: Revision, by: Revision, words: str) -> bytes:
    use_faces()
    out = BytesIO()
    with pikepdf.open(BytesIO(content)) as pdf:
        boxes = [tuple(map(float, page.trimbox)) for page in pdf.pages]
        with pikepdf.open(BytesIO(_frames(boxes, words))) as frames:
            for page, frame in zip(pdf.pages, frames.pages, strict=True):
                page.add_overlay(frame, pikepdf.Rectangle(*map(float, page.trimbox)))
        _mark_attached(pdf, old, by)
        pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _mark_attached(pdf: pikepdf.Pdf, old: Revision, by: Revision) -> None:
    """Put marked copies in the place of attached files."""
    for name in list(pdf.attachments):
        was = pdf.attachments[name].get_file()
        content, given = superseded(name, was.read_bytes(), old, by), superseded_name(name, old, by)
        spec = pikepdf.AttachedFileSpec(
            pdf,
            content,
            filename=given,
            mime_type=was.mime_type,
            creation_date=str(was.creation_date or ""),
            mod_date=str(was.mod_date or ""),
        )
        del pdf.attachments[name]
        pdf.attachments[given] = spec


def _frames(boxes: list[tuple[float, ...]], words: str) -> bytes:
    """A page for each box: a double frame along its edge, and the words in a band at head and foot."""
    out, lettering = BytesIO(), Lettering()
    canvas = Canvas(out, invariant=1, pageCompression=0, initialFontName=Face.BODY.value)
    for left, bottom, right, top in boxes:
        wide, high = (right - left) / MM, (top - bottom) / MM
        canvas.setPageSize((right - left, top - bottom))
        pen = PenBox(canvas, lettering)
        for inset, width in ((_FRAME_MM, 1.0), (_FRAME_MM - 1.8, 0.35)):
            pen.box(inset, inset, wide - inset, high - inset, width=width, ink=REPAIR)
        half = lettering.width(words, Face.BOLD, _CAP_MM * MM / 0.7) / MM / 2 + _ROOM_MM
        half = min(half, wide / 2 - _ROOM_MM)
        for middle in (_FRAME_MM, high - _FRAME_MM):
            low = min(max(middle - _BAND_MM / 2, 1.0), high - _BAND_MM - 1.0)
            pen.box(wide / 2 - half, low, wide / 2 + half, low + _BAND_MM, width=0.5, ink=INK, fill=WHITE)
            pen.words(
                words, wide / 2, low + (_BAND_MM - _CAP_MM) / 2, cap=_CAP_MM, face=Face.BOLD, ink=REPAIR, across=0.5
            )
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _dxf(content: bytes, name: str, words: str) -> bytes:
    with fixed_metadata():
        doc, _ = read_document(content, name)
        doc.layers.add(LAYER, color=1)
        for layout in doc.layouts:
            if _is_sheet_of_ours(layout):
                _over_frame(layout, words)
                continue
            box = bbox.extents(layout, fast=True)
            low, high = (box.extmin, box.extmax) if box.has_data else ((0.0, 0.0), (1.0, 1.0))
            height = max(high[0] - low[0], high[1] - low[1], 1e-6) * _SHARE
            for y in (high[1] + height, low[1] - 2 * height):
                text = layout.add_text(words, height=height, dxfattribs={"layer": LAYER})
                text.set_placement((low[0], y), align=TextEntityAlignment.LEFT)
        return bytes_of(doc)


def _is_sheet_of_ours(layout: Layout) -> bool:
    """Whether a layout is one that a marked drawing brings: the sheet ends at its frame."""
    return isinstance(layout, Paperspace) and any(view.dxf.layer.endswith(FRAME) for view in layout.query("VIEWPORT"))


def _over_frame(layout: Layout, words: str) -> None:
    """The words at head and foot of a sheet, over its frame as in a PDF, on a patch of paper."""
    wide, high = layout.dxf.paper_width, layout.dxf.paper_height
    half = min(width_mm(words, _CAP_MM) / 2 + _ROOM_MM, wide / 2 - _ROOM_MM)
    for middle in (_FRAME_MM + 1.5, high - _FRAME_MM - 1.5):
        low, top = middle - _BAND_MM / 2, middle + _BAND_MM / 2
        corners = [(wide / 2 - half, low), (wide / 2 + half, low), (wide / 2 + half, top), (wide / 2 - half, top)]
        layout.add_wipeout(corners).dxf.layer = LAYER  # the library puts it on layer 0, whatever it is told
        text = layout.add_text(words, height=_CAP_MM, dxfattribs={"layer": LAYER})
        text.set_placement((wide / 2, middle - _CAP_MM / 2), align=TextEntityAlignment.CENTER)
