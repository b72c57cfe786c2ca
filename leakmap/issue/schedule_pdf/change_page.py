"""A level's plan of what changed since an earlier revision: drawing, changes, scale bar, key, title block, frame."""

from __future__ import annotations

from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Path, Point
from leakmap.issue.heading import Heading
from leakmap.issue.marks.changes import change_look, change_marks
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.labels import HARD
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.primitives import PAPER_SCALE
from leakmap.issue.schedule_pdf.backdrop import draw_strokes, draw_texts, text_box, texts_of
from leakmap.issue.schedule_pdf.furniture import PageCounts
from leakmap.issue.schedule_pdf.ink import Ink, Onto
from leakmap.issue.schedule_pdf.key import FROM_MM, TO_MM, WORDS_MM
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.pictures import draw_pictures
from leakmap.issue.schedule_pdf.plan_page import (
    PlanPage,
    bar_box,
    clip_to,
    draw_frame,
    draw_scale_bar,
    draw_title_block,
    draw_warnings,
    site_box,
    warning_lines,
)
from leakmap.model.words import Kind
from leakmap.repair.compared import Change
from leakmap.repair.sides import Differences

_KEY: Final = (
    (Change.ADDED, False, "new zone"),
    (Change.LONGER, False, "zone longer"),
    (Change.SHORTER, False, "zone shorter"),
    (Change.GONE, False, "zone gone"),
    (Change.KEPT, True, "slot cut otherwise"),
    (Change.KEPT, False, "as before"),
)
_PITCH_MM: Final = 9.0
_HALF_MM: Final = 1.9


def draw_changes(canvas: Canvas, page: PlanPage, *, found: Differences, heading: Heading, counts: PageCounts) -> None:
    """Draw the whole page."""
    lettering, onto, layout, units = counts.lettering, page.onto, page.layout, found.new.job.units
    texts = texts_of(page.sheet, page.drawing) if page.drawing is not None else []
    warnings = warning_lines(layout.field_mm, page.sheet, heading)
    marks = change_marks(
        found,
        page.sheet.id,
        scale=layout.scale,
        width_of=lettering.width_mm,
        within=site_box(layout.field_mm, onto, 1.0),
        avoid=[
            (site_box(bar_box(layout, units), onto, -2.0), HARD),
            *((site_box(box, onto, 0.0), HARD) for _, box in warnings),
            *((text_box(text, lettering), 2.0) for text in texts),
        ],
    )
    canvas.saveState()
    clip_to(canvas, layout.field_mm)
    if page.drawing is not None:
        draw_pictures(canvas, page.sheet, page.drawing, onto)
        draw_strokes(canvas, page.sheet, page.drawing, onto)
        draw_texts(canvas, texts, onto, lettering)
    Ink(canvas, onto, lettering).draw(item for mark in marks for item in mark.primitives)
    canvas.restoreState()
    pen = PenBox(canvas, lettering)
    draw_scale_bar(pen, layout.field_mm, layout.scale, units)
    draw_warnings(pen, warnings)
    _, _, right, top = layout.field_mm
    _draw_key(canvas, pen, (right, top), found)
    draw_frame(pen, layout)
    drawn, note = f"Changes since {found.old.name}", "No new work is read off this page: the marked plan shows that"
    draw_title_block(canvas, pen, page, heading, counts, drawn=drawn, note=note)


def _draw_key(canvas: Canvas, pen: PenBox, corner_mm: Point, found: Differences) -> None:
    (left_mm, top_mm), units = corner_mm, found.new.job.units
    pen.words("KEY", left_mm + FROM_MM, top_mm - 7.0, cap=2.5, face=Face.BOLD)
    pen.words(f"changes since {found.old.name}", left_mm + FROM_MM, top_mm - 12.0, cap=1.8)
    course = Course(Path(((FROM_MM, 0.0), (TO_MM, 0.0))))
    y = top_mm - 20.0
    for change, otherwise, words in _KEY:
        ink = Ink(canvas, Onto((0.0, 0.0), MM, (left_mm * MM, y * MM)), pen.lettering)
        ends = (0.5, TO_MM - FROM_MM - 0.5)
        ink.draw(change_look(course, ends, _HALF_MM, change, PAPER_SCALE, otherwise=otherwise))
        ink.draw(joint_lines(Kind.CONSTRUCTION, course, PAPER_SCALE))
        pen.words(in_trade_words(units, words), left_mm + WORDS_MM, y - 0.9, cap=1.8)
        y -= _PITCH_MM
