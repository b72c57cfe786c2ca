"""A view on its page: drawing, grid, marks, tapes, match lines and frames of details, each on its layer."""

from __future__ import annotations

from itertools import groupby
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.geometry.boxes import meet
from leakmap.geometry.path import Point
from leakmap.issue.layers import Layer, on_layer
from leakmap.issue.marks.plan import ALL, Marks
from leakmap.issue.marks.primitives import Coat, Label, Mark, What
from leakmap.issue.plan_set.laid_out import LaidOut
from leakmap.issue.plan_set.notes import BUBBLE_MM, LINE_MM, Notes
from leakmap.issue.plan_set.signs_used import TAPE_DASH_MM, TAPE_MM, draw_cross
from leakmap.issue.plan_set.tapes import tape_lines
from leakmap.issue.plan_set.views import Kind, PlanSheet, View
from leakmap.issue.schedule_pdf.backdrop import draw_strokes, draw_texts
from leakmap.issue.schedule_pdf.ink import DRAWN, INK, INK2, WHITE, Colour, Ink, set_words
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.pictures import draw_pictures
from leakmap.issue.schedule_pdf.plan_page import clip_to, draw_scale_bar, draw_warnings, layer_of

_ON_PARTS: Final = "All references stand on the parts; the table of setting-out gives the sheet of each zone."
_MATCH_DASH_MM: Final = (9.0, 2.0, 2.0, 2.0)
_AXIS_DASH_MM: Final = (8.0, 1.5, 1.0, 1.5)


def draw_view(canvas: Canvas, sheet: PlanSheet, view: View, done: LaidOut) -> Marks:
    """Draw a view with all that belongs into its rectangle; gives its marks."""
    level, onto = view.level, view.onto
    pen = PenBox(canvas, level.lettering)
    notes, marks = done.of(sheet, view)
    ink = Ink(canvas, onto, level.lettering)
    canvas.saveState()
    clip_to(canvas, view.field_mm)
    with on_layer(canvas, Layer.ZONES):
        ink.draw(item for mark in marks if mark.coat is Coat.TINT for item in mark.primitives)
    if level.drawing is not None:
        with on_layer(canvas, Layer.DRAWING):
            draw_pictures(canvas, level.sheet, level.drawing, onto)
            draw_strokes(canvas, level.sheet, level.drawing, onto, within=view.seen)
            texts = [text for text, box in level.texts if meet(box, view.seen)]
            draw_texts(canvas, texts, onto, level.lettering)
    with on_layer(canvas, Layer.GRID):
        _draw_axes(pen, notes)
    if sheet.kind is not Kind.GENERAL:
        with on_layer(canvas, Layer.SETTING_OUT):
            _draw_tapes(pen, view)
    for layer, group in groupby((mark for mark in marks if mark.coat is not Coat.TINT), _layer_of):
        with on_layer(canvas, layer):
            ink.draw(item for mark in group for item in mark.primitives)
    canvas.restoreState()
    with on_layer(canvas, Layer.SETTING_OUT):
        for x, y in notes.points:
            draw_cross(pen, x, y)
    _draw_lines(pen, notes)
    _draw_foot(pen, notes)
    _link(canvas, view, marks)
    return marks


def _layer_of(mark: Mark) -> Layer:
    return Layer.SETTING_OUT if mark.what is What.POINT else layer_of(mark)


def row_key(ref: str, view: View) -> str:
    """Where a zone's row stands in the table of its level, as links name it."""
    return f"row-{ref}-{view.level.sheet.id}"


def _link(canvas: Canvas, view: View, marks: Marks) -> None:
    """From each zone's reference on the plan to its row."""
    for mark in marks:
        if mark.what is not What.ZONE or mark.coat is not Coat.LABEL:
            continue
        for label in mark.primitives:
            assert isinstance(label, Label)
            (x, y), k = view.onto(label.at), view.onto.k
            box = (x - MM, y - MM, x + label.width_m * k + MM, y + label.cap_height_m * k + MM)
            canvas.linkAbsolute("", row_key(mark.ref, view), Rect=box, Border="[0 0 0]")


def _draw_axes(pen: PenBox, notes: Notes) -> None:
    """Axes thin and dash-dotted, their names in circles."""
    for bubbles, ends, name in notes.axes:
        _dashed(pen, ends[0], ends[1], _AXIS_DASH_MM, width=0.18, ink=DRAWN)
        for x, y in bubbles:
            pen.canvas.setFillColorRGB(*WHITE)
            pen.canvas.setStrokeColorRGB(*INK2)
            pen.canvas.setLineWidth(0.25 * MM)
            pen.canvas.circle(x * MM, y * MM, BUBBLE_MM * MM, stroke=1, fill=1)
            pen.words(name, x, y - 1.25, cap=2.5, across=0.5, ink=INK2)


def _draw_tapes(pen: PenBox, view: View) -> None:
    """Tapes as thin dashed lines under the marks."""
    for line in tape_lines(view):
        start, end = (view.on_page((*at, 0, 0))[:2] for at in line)
        _dashed(pen, start, end, TAPE_DASH_MM, width=TAPE_MM)


def _draw_lines(pen: PenBox, notes: Notes) -> None:
    """Frames of details, outlines of parts, and match lines with their words."""
    left, bottom, right, top = notes.view.field_mm
    for framed in (*notes.frames, *notes.parts):
        x0, y0, x1, y1 = framed.box
        x0, y0, x1, y1 = max(x0, left), max(y0, bottom), min(x1, right), min(y1, top)
        if x0 < x1 and y0 < y1:
            pen.box(x0, y0, x1, y1, width=0.25)
            for down, line in enumerate(framed.lines):
                _with_paper(pen, line, (framed.at[0], framed.at[1] - down * LINE_MM))
    for match in notes.matches:
        _dashed(pen, *match.ends, _MATCH_DASH_MM, width=0.7, ink=INK)
        pen.box(*match.words_mm, ink=None, fill=WHITE)
        set_words(
            pen.canvas,
            pen.lettering,
            match.words,
            at=(match.at[0] * MM, match.at[1] * MM),
            face=Face.BOLD,
            cap=2.5 * MM,
            turn_deg=90.0 if match.upright else 0.0,
        )


def _draw_foot(pen: PenBox, notes: Notes) -> None:
    """Scale bar and warnings of a plan; frame, letter and scale of a detail."""
    view = notes.view
    left, bottom, _, _ = view.field_mm
    if view.detail is not None:
        pen.box(*view.field_mm, width=0.35)
        pen.words(f"Detail {view.detail.letter}", left, bottom - 6.0, cap=3.5, face=Face.BOLD)
        pen.words(f"1:{view.scale}", left + 25, bottom - 6.0, cap=2.5)
        return
    assert notes.bar is not None
    for box in (notes.bar, *(box for _, box in notes.warnings)):
        pen.box(box[0] + 0.5, box[1] + 0.5, *box[2:], ink=None, fill=WHITE)
    draw_scale_bar(pen, view.field_mm, view.scale, view.level.job.units)
    draw_warnings(pen, notes.warnings)
    if view.named is not ALL:
        pen.words(_ON_PARTS, left + 5.0, bottom + 12.0, cap=2.5)


def _with_paper(pen: PenBox, words: str, at: Point) -> None:
    """Words on a patch of paper."""
    width = pen.lettering.width_mm(words, 2.5)
    pen.box(at[0], at[1] - 0.6, at[0] + width + 1.0, at[1] + 3.2, ink=None, fill=WHITE)
    pen.words(words, at[0] + 0.4, at[1], cap=2.5, face=Face.BOLD)


def _dashed(
    pen: PenBox, start: Point, end: Point, dash_mm: tuple[float, ...], *, width: float, ink: Colour = INK2
) -> None:
    """A dashed rule; none where it has no length."""
    if start == end:
        return
    pen.canvas.saveState()
    pen.canvas.setDash([each * MM for each in dash_mm])
    pen.rule(*start, *end, width=width, ink=ink)
    pen.canvas.restoreState()
