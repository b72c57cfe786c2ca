"""A sheet's marked plan on a page of its own size: drawing, marks, scale bar, key, title block, frame."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.base.measures import FOOT_M, System, Units
from leakmap.geometry.path import Box
from leakmap.issue.heading import Heading
from leakmap.issue.layers import Layer, on_layer
from leakmap.issue.marks.labels import HARD
from leakmap.issue.marks.plan import marks_on, unplaced_leaks
from leakmap.issue.marks.primitives import Coat, Label, Mark, What
from leakmap.issue.schedule_pdf.backdrop import draw_strokes, draw_texts, shown_box, text_box, texts_of
from leakmap.issue.schedule_pdf.furniture import PageCounts
from leakmap.issue.schedule_pdf.ink import INK, INK2, REPAIR, WHITE, Colour, Ink, Onto, onto_middle
from leakmap.issue.schedule_pdf.key import draw_key
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.paper import TITLE_HEIGHT_MM, Layout, layout_for, smallest_sheet, taken_sheet
from leakmap.issue.schedule_pdf.pen_box import PaperPen, PenBox
from leakmap.issue.schedule_pdf.pictures import draw_pictures
from leakmap.model.drawing import Drawing
from leakmap.model.job import Job
from leakmap.model.joint import plan_box
from leakmap.model.sheet import Sheet, scale_is_checked
from leakmap.repair.results import Repairs

_LEAST_M: Final = 1.0
_BAR_MM: Final = 100.0
_BAR_M: Final = {System.METRIC: 1.0, System.IMPERIAL: float(FOOT_M)}
_BAR_SIGN: Final = {System.METRIC: " m", System.IMPERIAL: " ft"}
_WARNING_MM: Final = 3.5
_FRAME_WIDTH_MM: Final = 0.7
_LAYERS: Final = {What.LEAK: Layer.LEAKS, What.ZONE: Layer.ZONES, What.RELIEF: Layer.ZONES, What.CUT: Layer.ZONES}
_CELLS_MM: Final = {"Scale": 34.0, "Revision": 25.0, "Date": 27.0, "Sheet": 26.0}


@dataclass(frozen=True, slots=True)
class PlanPage:
    """What one plan page shows.

    Attributes:
        drawing: None for a blank sheet, or where the drawing is not at hand.
        box: What is shown, on the site plane.
        layout: Paper and scale.
    """

    sheet: Sheet
    drawing: Drawing | None
    box: Box
    layout: Layout

    @property
    def onto(self) -> Onto:
        """Placement on the page: what is shown lies in the middle of the field."""
        return onto_middle(self.box, self.layout.field_mm, self.layout.scale)

    @property
    def scale_words(self) -> str:
        """The scale as papers give it: 1:100 on A2."""
        return f"1:{self.layout.scale} on {self.layout.sheet}"


def plan_page(job: Job, sheet: Sheet, drawing: Drawing | None) -> PlanPage:
    """The page for a sheet: all of its drawing and of its joints, at the scale and on the paper of the rules.

    Where it shows neither, as when its drawing is not at hand, it is as small as can be.
    """
    boxes = [plan_box(joint) for joint in job.joints.values() if sheet.id in {joint.sheet, joint.head_sheet}]
    drawn = shown_box(sheet, drawing) if drawing is not None else None
    boxes += [drawn] if drawn is not None else []
    box, largest = _round(boxes), job.rules.largest_paper
    largest = taken_sheet(largest) if boxes else smallest_sheet(largest)
    return PlanPage(sheet, drawing, box, layout_for(box[2] - box[0], box[3] - box[1], largest))


def _round(boxes: Iterable[Box]) -> Box:
    """Box round boxes, 1 m wide and high at least; round the origin when there is none."""
    columns = list(zip(*boxes, strict=True)) or [(0.0,)] * 4
    x0, y0, x1, y1 = min(columns[0]), min(columns[1]), max(columns[2]), max(columns[3])
    wide, high = max(x1 - x0, _LEAST_M) / 2, max(y1 - y0, _LEAST_M) / 2
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    return x - wide, y - high, x + wide, y + high


def draw_plan(
    canvas: Canvas, page: PlanPage, *, job: Job, repairs: Repairs, heading: Heading, counts: PageCounts
) -> list[str]:
    """Draw the whole page; gives the references of leaks that found no place on it."""
    lettering, onto, layout = counts.lettering, page.onto, page.layout
    texts = texts_of(page.sheet, page.drawing) if page.drawing is not None else []
    field = site_box(layout.field_mm, onto, 1.0)
    bar = site_box(bar_box(layout, job.units), onto, -2.0)
    warnings = warning_lines(layout.field_mm, page.sheet, heading)
    marks = marks_on(
        job,
        repairs,
        page.sheet.id,
        scale=layout.scale,
        width_of=lettering.width_mm,
        within=field,
        all_named=False,
        avoid=[
            (bar, HARD),
            *((site_box(box, onto, 0.0), HARD) for _, box in warnings),
            *((text_box(text, lettering), 2.0) for text in texts),
        ],
    )
    ink = Ink(canvas, onto, lettering)
    canvas.saveState()
    clip_to(canvas, layout.field_mm)
    with on_layer(canvas, Layer.ZONES):
        ink.draw(item for mark in marks if mark.coat is Coat.TINT for item in mark.primitives)
    if page.drawing is not None:
        with on_layer(canvas, Layer.DRAWING):
            draw_pictures(canvas, page.sheet, page.drawing, onto)
            draw_strokes(canvas, page.sheet, page.drawing, onto)
            draw_texts(canvas, texts, onto, lettering)
    for layer, group in groupby((mark for mark in marks if mark.coat is not Coat.TINT), layer_of):
        with on_layer(canvas, layer):
            ink.draw(item for mark in group for item in mark.primitives)
    canvas.restoreState()
    link_zones(canvas, marks, onto)
    pen = PenBox(canvas, lettering)
    draw_scale_bar(pen, layout.field_mm, layout.scale, job.units)
    draw_warnings(pen, warnings)
    _, _, right, top = layout.field_mm
    draw_key(canvas, lettering, right, top, units=job.units)
    draw_frame(pen, layout)
    draw_title_block(canvas, pen, page, heading, counts)
    return unplaced_leaks(job, page.sheet.id, marks)


def layer_of(mark: Mark) -> Layer:
    """The layer of a plan that a mark lies on."""
    return _LAYERS.get(mark.what, Layer.JOINTS)


def link_zones(canvas: Canvas, marks: Sequence[Mark], onto: Onto) -> None:
    """Let the reference of a zone on a plan lead to its row."""
    for mark in marks:
        for label in mark.primitives if mark.what is What.ZONE else ():
            if isinstance(label, Label):
                (x, y), width, high = onto(label.at), label.width_m * onto.k, label.cap_height_m * onto.k
                canvas.linkRect("", f"zone-{mark.ref}", (x - 2, y - 2, x + width + 2, y + high + 2))


def warning_lines(field_mm: Box, sheet: Sheet, heading: Heading) -> list[tuple[str, Box]]:
    """What must not be overlooked on a plan, with its place at the upper left of the field, in mm."""
    words = []
    if not scale_is_checked(sheet):
        words.append("Scale not checked: not for work")
    if heading.not_for_work:
        words.append("Provisional: not for work")
    left, _, _, top = field_mm
    return [
        (line, (left + 5, top - 8 - 7 * index, left + 5 + _WARNING_MM * 0.75 * len(line), top - 3 - 7 * index))
        for index, line in enumerate(words)
    ]


def draw_warnings(pen: PaperPen, warnings: Iterable[tuple[str, Box]]) -> None:
    """Set the warnings at their places."""
    for words, box in warnings:
        pen.words(words, box[0], box[1] + 1.0, cap=_WARNING_MM, face=Face.BOLD, ink=REPAIR)


def clip_to(canvas: Canvas, field_mm: Box) -> None:
    """Draw nothing outside a field of the page until the state is put back."""
    left, bottom, right, top = (edge * MM for edge in field_mm)
    path = canvas.beginPath()
    path.rect(left, bottom, right - left, top - bottom)
    canvas.clipPath(path, stroke=0, fill=0)


def site_box(box_mm: Box, onto: Onto, inset_mm: float) -> Box:
    """A box of the page on the site plane, smaller by an inset on each side."""
    left, bottom, right, top = box_mm
    x0, y0 = ((left + inset_mm) * MM - onto.at[0]) / onto.k, ((bottom + inset_mm) * MM - onto.at[1]) / onto.k
    x1, y1 = ((right - inset_mm) * MM - onto.at[0]) / onto.k, ((top - inset_mm) * MM - onto.at[1]) / onto.k
    return x0 + onto.origin[0], y0 + onto.origin[1], x1 + onto.origin[0], y1 + onto.origin[1]


def bar_length(scale: int, units: Units = Units.METRIC) -> float:
    """Length of the scale bar in metres or feet: the longest 1, 2 or 5 times a power of ten of at most 100 mm on paper."""
    most = _BAR_MM * scale / 1000 / _BAR_M[units.system]
    return max(
        figure * 10.0**power
        for power in range(-3, 7)
        for figure in (1, 2, 5)
        if figure * 10.0**power <= most * 1.000001
    )


def bar_mm(scale: int, units: Units) -> float:
    """Length of the scale bar on paper."""
    return bar_length(scale, units) * _BAR_M[units.system] * 1000 / scale


def bar_box(layout: Layout, units: Units) -> Box:
    """Box of the scale bar on the page, in mm."""
    left, bottom, _, _ = layout.field_mm
    return left + 4, bottom + 3, left + 4 + bar_mm(layout.scale, units) + 9, bottom + 9


def draw_scale_bar(pen: PaperPen, field_mm: Box, scale: int, units: Units) -> None:
    """A bar of five parts with metres or feet, at the lower left of a field of the page."""
    length = bar_length(scale, units)
    x, y = field_mm[0] + 5, field_mm[1] + 3.5
    part = bar_mm(scale, units) / 5
    for index in range(5):
        fill = INK if index % 2 == 0 else WHITE
        pen.box(x + index * part, y, x + (index + 1) * part, y + 1.2, width=0.18, fill=fill)
    for index in range(6):
        unit = _BAR_SIGN[units.system] if index == 5 else ""
        number = units.plain(length * index / 5)
        pen.words(number, x + index * part, y + 2.4, cap=1.8, across=0.5)
        if unit:
            pen.words(unit, x + index * part + len(number) * 0.8, y + 2.4, cap=1.8)


def draw_frame(pen: PenBox, layout: Layout) -> None:
    """The frame, with rules to the key and to the title block."""
    left, bottom, right, top = layout.frame_mm
    _, title_top, key_left, _ = layout.field_mm
    pen.box(left, bottom, right, top, width=_FRAME_WIDTH_MM)
    pen.rule(left, title_top, right, title_top, width=0.35)
    pen.rule(key_left, title_top, key_left, top, width=0.35)


def draw_title_block(
    canvas: Canvas,
    pen: PenBox,
    page: PlanPage,
    heading: Heading,
    counts: PageCounts,
    *,
    drawn: str = "Leak repair",
    note: str = "Marked plan of the repair schedule",
) -> None:
    """A row of cells along the foot of the frame: caption, value, and a line that says more."""
    left, bottom, right, _ = page.layout.frame_mm
    free = right - left - sum(_CELLS_MM.values())
    checked = scale_is_checked(page.sheet)
    purpose = "not for work" if heading.not_for_work else heading.purpose_words
    scale_note = "scale checked" if checked else "not checked: not for work"
    cells: list[tuple[str, float, str, str, Colour]] = [
        ("Job", free * 0.46, heading.job_name, f"to {heading.to_whom}" if heading.to_whom else "", INK2),
        ("Drawing", free * 0.54, f"{drawn}, level {page.sheet.name}", note, INK2),
        ("Scale", _CELLS_MM["Scale"], page.scale_words, scale_note, INK2 if checked else REPAIR),
        ("Revision", _CELLS_MM["Revision"], heading.revision, purpose, REPAIR if heading.not_for_work else INK2),
        ("Date", _CELLS_MM["Date"], heading.day, f"by {heading.by}" if heading.by else "", INK2),
        ("Sheet", _CELLS_MM["Sheet"], "", page.sheet.source.name if page.sheet.source else "blank sheet", INK2),
    ]
    x = left
    for caption, width, value, more, tone in cells:
        if x > left:
            pen.rule(x, bottom, x, bottom + TITLE_HEIGHT_MM, width=0.25)
        room = width - 4.0
        pen.words(caption, x + 2, bottom + TITLE_HEIGHT_MM - 4.2, cap=1.8, ink=INK2, room=room)
        pen.words(value, x + 2, bottom + 7.0, cap=2.5, face=Face.BOLD, room=room)
        pen.words(more, x + 2, bottom + 2.5, cap=1.8, ink=tone, room=room)
        x += width
    counts.place(canvas, right - _CELLS_MM["Sheet"] + 2, bottom + 7.0, cap_mm=2.5, face=Face.BOLD)
