"""A page of a PDF as a drawing: lines, texts, and what is neither as a picture.

One drawing unit is one millimetre of the page as it was meant to be printed, so a plan at 1:50 has 0.05 m
a unit; origin is the lower left corner of the upright page, y up. Outlines of paths are lines, filled or not.
Curves are chords within 0.01 mm on paper (``leakmap.drawings.pdf.paths``).

Codes of the findings that a page can carry:

==================== ====== =================================================================
code                 effect when
==================== ====== =================================================================
page-scale           look   the scale of the page was not given
unit-guessed         look   dimensions on the page suggest a scale (``leakmap.drawings.unit_guess``)
unit-contradicted    look   they suggest another scale than the user gave
too-much             lost   the page draws more than can be read
bad-coordinate       lost   coordinates beyond all measure
areas-white          look   white areas, which hide what lies under them, were left out
layer-unknown        look   things on layers that have no name of their own
hidden-text          look   text that the page itself hides, as scans carry it
picture-coarser      look   the picture was kept with less detail than the page has
picture-too-large    lost   a picture of too many pixels was left out
notes-drawn          look   notes that were put onto the page are drawn
notes-left-out       lost   notes that say nothing of how they look
file-repaired        fixed  the file is damaged and was mended before it was read
==================== ====== =================================================================
"""

from __future__ import annotations

from ctypes import byref, c_int, c_uint
from dataclasses import replace
from itertools import islice
from math import hypot
from typing import Any, Final

from pypdfium2 import raw  # type: ignore[import-untyped]

from leakmap.base.collecting import collecting_later
from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect
from leakmap.base.numbers import positive
from leakmap.base.progress import UNWATCHED, Progress
from leakmap.drawings.dxf.troubles import Troubles
from leakmap.drawings.pdf.document import PdfFile
from leakmap.drawings.pdf.frame import Frame, common_box, joined, mapped_box, page_words
from leakmap.drawings.pdf.layers import FILLS, HIDDEN_TEXTS, LINES, PICTURE, TEXTS, LayerNumbers
from leakmap.drawings.pdf.letters import texts_of
from leakmap.drawings.pdf.paths import MOST_POINTS, Outlines, Window
from leakmap.drawings.pdf.rendered import USUAL_PX_PER_MM, grid_over, rendered
from leakmap.drawings.pdf.things import MOST_THINGS, NOTHING, Thing, image_px, left_out_as_giant, matrix_of, things_of
from leakmap.drawings.pdf.weight import weight_of
from leakmap.drawings.unit_guess import unit_findings
from leakmap.geometry.path import Box
from leakmap.model.drawing import Drawing, Picture, UnitHint

READER_VERSION: Final = 2
"""Grows whenever the same page may give another drawing, so that kept drawings are read again."""

MOST_TAKEN: Final = 5 * MOST_THINGS
"""Things of a page that pdfium takes in, at most: they take some 150 bytes each, as was measured."""

DRAWING: Final = "Drawing the lines"

_EVERY: Final = 512
_MM_PER_M: Final = 1000
_WHITE: Final = 250
_NOT_DRAWN: Final = frozenset({raw.FPDF_ANNOT_LINK, raw.FPDF_ANNOT_POPUP, raw.FPDF_ANNOT_WIDGET})


def read_pdf(
    data: bytes,
    *,
    page: int = 0,
    password: str | None = None,
    m_per_unit: float | None = None,
    name: str = "",
    progress: Progress = UNWATCHED,
) -> Drawing:
    """The drawing that a page of a PDF file holds; its findings say what was fixed, lost, or should be looked at.

    Args:
        data: The file.
        page: Which of its pages, 0 first.
        password: What opens the file; None for none.
        m_per_unit: Metres of one millimetre of the page, when the user knows its scale; greater than zero.
        name: Name of the file, for messages.
        progress: Watches.

    Raises:
        BadValue: The scale is not greater than zero.
        LockedDrawing: The file opens with a password only, or with another one.
        UnusableDrawing: Nothing of it could be used; one sentence says why.
        Stopped: The watcher asked to stop.
    """
    if m_per_unit is not None:
        positive(m_per_unit, "length of a drawing unit")
    with PdfFile(data, name=name, password=password) as file, collecting_later():
        index = file.checked(page)
        _refuse_what_is_too_much(file, index)
        return _Page(file, index, progress).drawing(m_per_unit)


def _refuse_what_is_too_much(file: PdfFile, index: int) -> None:
    facts = file.page_facts(index)
    weight = None if facts is None else weight_of(facts)
    if weight is not None and (weight.things > MOST_TAKEN or not weight.whole):
        at_least = "" if weight.whole else "more than "
        text = (
            f"Page {index + 1} of {file.name} draws {at_least}{weight.things:,} things, more than leakmap takes;"
            " export it again with fewer layers."
        )
        raise UnusableDrawing(text, where=file.name)


class _Page:
    """A page while it is read.

    Args:
        file: The open file.
        index: Place of the page.
        progress: Watches.
    """

    def __init__(self, file: PdfFile, index: int, progress: Progress) -> None:
        self._file, self._index, self._progress = file, index, progress
        self._troubles = Troubles()
        if file.mended:
            text = "The file is damaged; what could be made out of it was read. Compare it with the original."
            self._troubles.note("file-repaired", text, effect=Effect.FIXED)
        self._page = self._opened()
        self._frame: Frame = file.frame(self._page, index)
        self._layers = LayerNumbers(file)
        self._outlines = Outlines()
        self._text_layers: dict[int, int] = {}
        self._picture_boxes: list[tuple[Box, float]] = []

    def drawing(self, m_per_unit: float | None) -> Drawing:
        """All of it."""
        self._sort()
        strokes, lost = self._outlines.strokes(self._frame.size_mm)
        text = "Lines left out, as their coordinates are no places or they have no length: {n}."
        self._troubles.note("bad-coordinate", text, count=lost)
        texts, more = texts_of(self._page, self._frame.matrix, lambda address: self._text_layers.get(address, -1))
        texts = tuple(found for found in texts if _on_page(found.at, self._frame.size_mm))
        self._troubles.note(
            "too-much", "The page has more letters than leakmap reads; the rest is missing.", count=more
        )
        picture = self._picture()
        if not len(strokes) and not texts and picture is None:
            text = f"Page {self._index + 1} of {self._file.name} is empty; choose another page."
            raise UnusableDrawing(text, where=self._file.name)
        hint = self._hint(m_per_unit)
        drawing = Drawing(
            origin=(0.0, 0.0),
            layers=self._layers.layers,
            strokes=strokes,
            texts=texts,
            unit=hint,
            shown=(0.0, 0.0, *self._frame.size_mm),
            findings=self._troubles.findings(),
            pictures=() if picture is None else (picture,),
        )
        return replace(drawing, findings=(*drawing.findings, *unit_findings(drawing, page=True)))

    def _opened(self) -> Any:  # noqa: ANN401 - pypdfium2 has no types
        """The page with the notes that were put onto it drawn as parts of it."""
        page = self._file.page(self._index)
        notes, bare = _notes_on(page)
        text = "Notes on the page without a look of their own, which are not drawn: {n}."
        self._troubles.note("notes-left-out", text, count=bare)
        if not notes or raw.FPDFPage_Flatten(page.raw, raw.FLAT_NORMALDISPLAY) != raw.FLATTEN_SUCCESS:
            return page
        self._troubles.note(
            "notes-drawn", "Notes put onto the page are drawn as parts of it: {n}.", effect=Effect.LOOK, count=notes
        )
        page.close()
        return self._file.page(self._index)

    def _sort(self) -> None:
        """Make lines of paths, mark texts, and find what is to be rendered."""
        for done, thing in enumerate(things_of(self._page, self._frame)):
            if done % _EVERY == 0:
                self._progress.report(DRAWING, done, None)
            if done >= MOST_THINGS or len(self._outlines) > MOST_POINTS:
                text = f"The page draws too much; its first {done:,} things were read, and the rest is missing."
                self._troubles.note("too-much", text)
                return
            if thing.kind == raw.FPDF_PAGEOBJ_PATH:
                self._take_path(thing)
            elif thing.kind == raw.FPDF_PAGEOBJ_TEXT:
                self._take_text(thing)
            elif thing.window != NOTHING:
                self._take_picture(thing)

    def _take_path(self, thing: Thing) -> None:
        layer = self._path_layer(thing.object)
        if layer is None or thing.window == NOTHING:
            return
        matrix = joined(matrix_of(thing.object), thing.matrix)
        window = Window(thing.window, thing.outlines)
        self._outlines.take(thing.object, matrix, window=window, layer=self._layer(thing, layer))

    def _path_layer(self, path: Any) -> str | None:  # noqa: ANN401 - a pointer of pdfium
        """What a path is; None for one that cannot be seen."""
        filled, stroked = c_int(), c_int()
        raw.FPDFPath_GetDrawMode(path, filled, stroked)
        if stroked.value:
            return LINES
        if not filled.value:
            return None
        red, green, blue, alpha = (c_uint() for _ in range(4))
        raw.FPDFPageObj_GetFillColor(path, byref(red), byref(green), byref(blue), byref(alpha))
        if min(red.value, green.value, blue.value) >= _WHITE:
            text = "White areas, which hide what lies under them in print, were left out: {n}."
            self._troubles.note("areas-white", text, effect=Effect.LOOK)
            return None
        return FILLS if alpha.value else None

    def _take_text(self, thing: Thing) -> None:
        hidden = raw.FPDFTextObj_GetTextRenderMode(thing.object) == raw.FPDF_TEXTRENDERMODE_INVISIBLE
        text = "Pieces of text that the page hides, as scans carry them, are on a hidden layer: {n}."
        self._troubles.note("hidden-text", text, effect=Effect.LOOK, count=hidden)
        if thing.window != NOTHING:
            self._text_layers[thing.address] = self._layer(thing, HIDDEN_TEXTS if hidden else TEXTS)

    def _take_picture(self, thing: Thing) -> None:
        if thing.kind != raw.FPDF_PAGEOBJ_IMAGE:
            self._picture_boxes.append((thing.window, USUAL_PX_PER_MM))
            return
        width, height = image_px(thing)
        if left_out_as_giant(thing):
            text = f"A picture of {width:,} x {height:,} pixels was left out; export the page with smaller pictures."
            self._troubles.note("picture-too-large", text)
            return
        a, b, c, d, e, f = joined(matrix_of(thing.object), thing.matrix)
        box = common_box(mapped_box((0.0, 0.0, 1.0, 1.0), (a, b, c, d, e, f)), thing.window)
        if box is not None:
            detail = max(width / (hypot(a, b) or 1.0), height / (hypot(c, d) or 1.0))
            self._picture_boxes.append((box, detail))

    def _layer(self, thing: Thing, usual: str) -> int:
        if thing.content == "":
            text = "Things on layers without a name of their own, put where they belong by their kind: {n}."
            self._troubles.note("layer-unknown", text, effect=Effect.LOOK)
        return self._layers.number(thing.content or usual)

    def _picture(self) -> Picture | None:
        """What is neither line nor text."""
        if not self._picture_boxes:
            return None
        boxes = [box for box, _ in self._picture_boxes]
        around = (
            min(box[0] for box in boxes),
            min(box[1] for box in boxes),
            max(box[2] for box in boxes),
            max(box[3] for box in boxes),
        )
        for thing in islice(things_of(self._page, self._frame), MOST_THINGS):
            if thing.kind in {raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_TEXT}:
                raw.FPDFPageObj_SetIsActive(thing.object, False)
        _, detail = max(self._picture_boxes, key=lambda found: _area(found[0]))
        grid = grid_over(self._frame.size_mm, around, detail)
        picture = rendered(self._page, grid, self._layers.number(PICTURE), self._progress)
        kept = grid.page_px[0] / self._frame.size_mm[0]
        if picture is not None and kept < 0.9 * detail:
            text = f"The picture was kept with {kept * 25.4:.0f} dots per inch; the page has {detail * 25.4:.0f}."
            self._troubles.note("picture-coarser", text, effect=Effect.LOOK)
        return picture

    def _hint(self, m_per_unit: float | None) -> UnitHint:
        words = page_words(self._frame.size_mm)
        if m_per_unit is not None:
            return UnitHint(m_per_unit, f"the user says 1:{m_per_unit * _MM_PER_M:g}")
        text = f"This is a page of {words}; give the scale that it was drawn at, and check it against known lengths."
        self._troubles.note("page-scale", text, effect=Effect.LOOK)
        return UnitHint(None, f"a page, {words}; its scale must be given")


def _notes_on(page: Any) -> tuple[int, int]:  # noqa: ANN401 - pypdfium2 has no types
    """Number of notes on a page with and without a look of their own; links and fields of forms left out."""
    drawn = bare = 0
    for index in range(min(raw.FPDFPage_GetAnnotCount(page.raw), 10_000)):
        note = raw.FPDFPage_GetAnnot(page.raw, index)
        if not note:
            continue
        if raw.FPDFAnnot_GetSubtype(note) not in _NOT_DRAWN:
            looks = bool(raw.FPDFAnnot_HasKey(note, b"AP"))
            drawn, bare = drawn + looks, bare + (not looks)
        raw.FPDFPage_CloseAnnot(note)
    return drawn, bare


def _on_page(at: tuple[float, float], size_mm: tuple[float, float]) -> bool:
    return 0 <= at[0] <= size_mm[0] and 0 <= at[1] <= size_mm[1]


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])
