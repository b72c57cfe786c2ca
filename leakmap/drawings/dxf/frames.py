"""Frames of what a drawing only holds a place for: pictures, pages, parts of other programs, blank covers.

A picture is a file beside the drawing, which is not read: its frame shows where it lies, and a finding names it.
A blank cover hides what lies beneath it. Here nothing is hidden, as a line that is taken away cannot be asked for
again: a finding says that there are covers, and their frames are drawn unless the file hides those.
"""

# ruff: noqa: ANN401 - the attributes of ezdxf's entities are untyped

from __future__ import annotations

from typing import Any, Final

from ezdxf.document import Drawing as Document

from leakmap.base.findings import Effect
from leakmap.drawings.dxf.blocks import Reading
from leakmap.drawings.dxf.ink import Pen
from leakmap.drawings.dxf.troubles import handle_of

_PAGES: Final = {"PDFUNDERLAY": "Pages of a PDF", "DWFUNDERLAY": "Plots", "DGNUNDERLAY": "Drawings"}
_HIDDEN: Final = 0


def draw_picture(image: Any, layer: int, pen: Pen, reading: Reading) -> None:
    """Draw the frame of a picture and name its file."""
    _draw_ring(image.boundary_path_wcs(), layer, pen)
    name = _file_name(image.image_def, reading)
    _note_outside(f"Pictures kept outside the drawing, {name}, of which only the frame is drawn", image, reading)


def draw_page(underlay: Any, _layer: int, _pen: Pen, reading: Reading) -> None:
    """Name the file of a page, plot or drawing; how large that is, only the file itself says."""
    name = _file_name(underlay.get_underlay_def(), reading)
    _note_outside(f"{_PAGES[underlay.dxftype()]} kept outside the drawing, {name}, left out", underlay, reading)


def draw_foreign_part(part: Any, layer: int, pen: Pen, reading: Reading) -> None:
    """Draw the frame of an OLE2FRAME, which only the program that made it can show."""
    box = part.bbox()
    if box.has_data:
        _draw_ring(box.rect_vertices(), layer, pen)
    text = "Parts of other programs (OLE2FRAME), of which at most the frame is drawn: {n}."
    reading.troubles.note("not-drawn", text, where=handle_of(part))


def draw_cover(cover: Any, layer: int, pen: Pen, reading: Reading) -> None:
    """Draw the frame of a WIPEOUT, unless the file hides the frames of covers."""
    if _covers_framed(cover.doc):
        _draw_ring(cover.boundary_path_wcs(), layer, pen)
    text = (
        "Blank covers, which in the file hide what lies beneath them and here do not: {n}; lines that are missing on a"
        " print may show."
    )
    reading.troubles.note("cover", text, where=handle_of(cover), effect=Effect.LOOK)


def _draw_ring(corners: Any, layer: int, pen: Pen) -> None:
    points = [(corner.x, corner.y, getattr(corner, "z", 0.0)) for corner in corners]
    if len(points) > 1:
        pen.line(points if points[0] == points[-1] else [*points, points[0]], layer)


def _covers_framed(document: Document) -> bool:
    """Whether frames of covers show; newer files say so by a named value, older ones by an object; else they do."""
    named: Any = document.rootdict.get("AcDbVariableDictionary")
    value = named.get("WIPEOUTFRAME") if named is not None else None
    if value is not None:
        return bool(value.dxf.get("value", "1") != str(_HIDDEN))
    old: Any = document.rootdict.get("ACAD_WIPEOUT_VARS")
    return old is None or bool(old.dxf.get("frame", 1) != _HIDDEN)


def _file_name(definition: Any, reading: Reading) -> str:
    name = "" if definition is None else str(definition.dxf.get("filename", ""))
    return reading.wording.plain(name, what="names of files").replace("{", "(").replace("}", ")") or "without a name"


def _note_outside(what: str, entity: Any, reading: Reading) -> None:
    text = f"{what}: {{n}}; bring that file in as a sheet of its own if it is needed."
    reading.troubles.note("outside-file", text, where=handle_of(entity))
