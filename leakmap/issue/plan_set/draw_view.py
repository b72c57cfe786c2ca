"""A view on its page: drawing, grid, marks, tapes, match lines and frames of details, each on its layer."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from math import hypot
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from leakmap.geometry.path import Box, Point
from leakmap.issue.heading import Heading
from leakmap.issue.layers import Layer, on_layer
from leakmap.issue.marks.labels import HARD
from leakmap.issue.marks.plan import Marks
from leakmap.issue.marks.primitives import Coat, Label, Mark, What
from leakmap.issue.plan_set.signs_used import CROSS_MM, TAPE_DASH_MM, TAPE_MM, draw_cross
from leakmap.issue.plan_set.tiles import meet
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View
from leakmap.issue.schedule_pdf.backdrop import draw_strokes, draw_texts
from leakmap.issue.schedule_pdf.ink import DRAWN, INK, INK2, REPAIR, WHITE, Colour, Ink, set_words
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.pictures import draw_pictures
from leakmap.issue.schedule_pdf.plan_page import bar_mm, draw_scale_bar, warnings_at
from leakmap.model.grid import line_of

_LAYERS: Final = {What.LEAK: Layer.LEAKS, What.ZONE: Layer.ZONES, What.RELIEF: Layer.ZONES, What.CUT: Layer.ZONES}
_BUBBLE_MM: Final = 3.0
_NAME_MM: Final = 1.3
_MATCH_DASH_MM: Final = (9.0, 2.0, 2.0, 2.0)
_AXIS_DASH_MM: Final = (8.0, 1.5, 1.0, 1.5)


def draw_view(canvas: Canvas, sheet: PlanSheet, view: View, sheets: Sheets, heading: Heading) -> Marks:
    """Draw a view with all that belongs into its rectangle; gives its marks."""
    level, onto = view.level, view.onto
    pen = PenBox(canvas, level.lettering)
    notes = _Notes(sheet, view, sheets, heading)
    marks = view.marks([(view.on_site(box), HARD) for box in notes.boxes()])
    ink = Ink(canvas, onto, level.lettering)
    canvas.saveState()
    _clip(canvas, view.field_mm)
    with on_layer(canvas, Layer.ZONES):
        ink.draw(item for mark in marks if mark.coat is Coat.TINT for item in mark.primitives)
    if level.drawing is not None:
        with on_layer(canvas, Layer.DRAWING):
            draw_pictures(canvas, level.sheet, level.drawing, onto)
            draw_strokes(canvas, level.sheet, level.drawing, onto, within=view.seen)
            texts = [text for text, box in level.texts if meet(box, view.seen)]
            draw_texts(canvas, texts, onto, level.lettering)
    with on_layer(canvas, Layer.GRID):
        notes.draw_axes(pen)
    if sheet.kind is not Kind.GENERAL:
        with on_layer(canvas, Layer.SETTING_OUT):
            notes.draw_tapes(pen)
    for layer, group in groupby((mark for mark in marks if mark.coat is not Coat.TINT), _layer_of):
        with on_layer(canvas, layer):
            ink.draw(item for mark in group for item in mark.primitives)
    canvas.restoreState()
    if sheet.kind is not Kind.GENERAL:
        with on_layer(canvas, Layer.SETTING_OUT):
            notes.draw_points(pen)
    notes.draw_lines(pen)
    _link(canvas, view, marks)
    return marks


def _layer_of(mark: Mark) -> Layer:
    return _LAYERS.get(mark.what, Layer.JOINTS)


def _clip(canvas: Canvas, box_mm: Box) -> None:
    left, bottom, right, top = (edge * MM for edge in box_mm)
    path = canvas.beginPath()
    path.rect(left, bottom, right - left, top - bottom)
    canvas.clipPath(path, stroke=0, fill=0)


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
            x, y = view.onto(label.at)
            k = view.onto.k
            box = (x - MM, y - MM, x + label.width_m * k + MM, y + label.cap_height_m * k + MM)
            canvas.linkAbsolute("", row_key(mark.ref, view), Rect=box, Border="[0 0 0]")


class _Notes:
    """What stands on a view besides marks and drawing, and the room that it takes on the page."""

    def __init__(self, sheet: PlanSheet, view: View, sheets: Sheets, heading: Heading) -> None:
        self.sheet, self.view, self.sheets = sheet, view, sheets
        plan = view.detail is None
        self.warnings = warnings_at(view.field_mm, view.level.sheet, heading) if plan else []
        self.frames = list(self._frames()) if plan and sheet.kind is not Kind.GENERAL else []
        self.parts = list(self._parts()) if sheet.kind is Kind.GENERAL else []
        self.matches = list(self._matches())
        self.axes = list(self._axes())
        self.points = list(self._points())

    def boxes(self) -> Iterator[Box]:
        """Boxes on the page, mm, that labels keep off."""
        bar = self._bar()
        yield from [bar] if bar is not None else []
        yield from (box for _, box in self.warnings)
        yield from (_word_box(at, words) for _, words, at in (*self.frames, *self.parts))
        yield from (_round_line(ends) for ends, _ in self.matches)
        for ends, _ in self.axes:
            yield from (_round_point(end, _BUBBLE_MM) for end in self._bubbles(ends))
        if self.sheet.kind is not Kind.GENERAL:
            for name, at, words in self.points:
                yield _round_point(at, CROSS_MM)
                yield (*words, words[0] + _NAME_MM * len(name), words[1] + 1.8)

    def _frames(self) -> Iterator[tuple[Box, str, Point]]:
        for detail in self.sheets.details_in(self.view):
            box = self.view.on_page(detail.box)
            yield box, f"{detail.letter}, sheet {self.sheets.details[detail.letter]}", (box[0], box[3] + 1.0)

    def _parts(self) -> Iterator[tuple[Box, str, Point]]:
        for each in self.sheets.of(self.view.level):
            if each.tile is not None:
                box = self.view.on_page(each.tile.box)
                yield box, f"sheet {each.number}", (box[0] + 1.5, box[3] - 4.5)

    def _matches(self) -> Iterator[tuple[tuple[Point, Point], int]]:
        """Ends of each match line on the page, and the sheet beyond it."""
        tile, part = self.sheet.tile, self.sheet.part
        if tile is None:
            return
        left, bottom, right, top = self.view.field_mm
        for side, number in self.sheet.neighbours.items():
            if side in {"left", "right"}:
                x = self.view.on_page((part.across_m[tile.column - (side == "left")], 0, 0, 0))[0]
                yield ((x, bottom), (x, top)), number
            else:
                y = self.view.on_page((0, part.down_m[tile.row - (side == "upper")], 0, 0))[1]
                yield ((left, y), (right, y)), number

    def _axes(self) -> Iterator[tuple[tuple[Point, ...], str]]:
        """Where each axis of the grid enters and leaves the view, on the page, and its name."""
        grid = self.view.level.job.grid
        if grid is None:
            return
        inset = _BUBBLE_MM + 1.5
        left, bottom, right, top = self.view.field_mm
        box = (left + inset, bottom + inset, right - inset, top - inset)
        for axes in (grid.letters, grid.numbers):
            for axis in axes.each:
                (x, y), (dx, dy) = line_of(grid, axes, axis)
                on = self.view.on_page((x, y, 0, 0))[:2]
                ends = _cut(on, (dx, dy), box)
                if ends is not None:
                    yield ends, axis.name

    def _points(self) -> Iterator[tuple[str, Point, Point]]:
        """Points to tape from: name, place on the page, and where the name begins."""
        found = self.view.level.set_out
        left, bottom, right, top = self.view.field_mm
        zones = [self.view.on_page(box) for box in self.view.level.zones.values() if meet(box, self.view.seen)]
        taken: list[Box] = []
        for number in found.used if found is not None else ():
            assert found is not None
            known = found.known[number]
            x, y = self.view.on_page((*known.at, 0, 0))[:2]
            if left + 2 <= x <= right - 6 and bottom + 2 <= y <= top - 4:
                name = known.name if known.name.startswith("P") else ""
                places = [_name_box((x, y), name, *sides) for sides in ((1, 1), (-1, 1), (1, -1), (-1, -1))]
                costs = [sum(meet(box, other) for other in (*zones, *taken, *taken)) for box in places]
                box = places[costs.index(min(costs))]
                taken += [box, _round_point((x, y), CROSS_MM / 2)]
                yield name, (x, y), box[:2]

    def _bubbles(self, ends: tuple[Point, ...]) -> list[Point]:
        """Where the name of an axis stands: at both ends but those that the scale bar or a warning takes."""
        taken = [box for box in (self._bar(), *(box for _, box in self.warnings)) if box is not None]
        wanted = ends[:1] if self.view.detail is not None else ends
        return [end for end in wanted if not any(meet(box, _round_point(end, _BUBBLE_MM)) for box in taken)]

    def _bar(self) -> Box | None:
        if self.view.detail is not None:
            return None
        left, bottom, _, _ = self.view.field_mm
        return left, bottom, left + 20 + bar_mm(self.view.scale, self.view.level.job.units), bottom + 10

    def draw_axes(self, pen: PenBox) -> None:
        """Axes thin and dash-dotted, their names in circles at both ends, or at one on a detail."""
        for ends, name in self.axes:
            _dashed(pen, ends[0], ends[1], _AXIS_DASH_MM, width=0.18, ink=DRAWN)
            for x, y in self._bubbles(ends):
                pen.canvas.setFillColorRGB(*WHITE)
                pen.canvas.setStrokeColorRGB(*INK2)
                pen.canvas.setLineWidth(0.25 * MM)
                pen.canvas.circle(x * MM, y * MM, _BUBBLE_MM * MM, stroke=1, fill=1)
                pen.words(name, x, y - 1.25, cap=2.5, across=0.5, ink=INK2)

    def draw_tapes(self, pen: PenBox) -> None:
        """Tapes as thin dashed lines under the marks."""
        found = self.view.level.set_out
        if found is None:
            return
        for end in found.ends:
            if end.tapes is None:
                continue
            for number in (end.tapes.first, end.tapes.second):
                a, b = self.view.onto(found.known[number].at), self.view.onto(end.place)
                box = (*map(min, zip(a, b, strict=True)), *map(max, zip(a, b, strict=True)))
                if meet((box[0] / MM, box[1] / MM, box[2] / MM, box[3] / MM), self.view.field_mm):
                    _dashed(pen, (a[0] / MM, a[1] / MM), (b[0] / MM, b[1] / MM), TAPE_DASH_MM, width=TAPE_MM)

    def draw_points(self, pen: PenBox) -> None:
        """Points to tape from: a cross with a number; what the plan names already gets the cross alone."""
        for name, (x, y), words in self.points:
            draw_cross(pen, x, y)
            pen.words(name, *words, cap=1.8, ink=INK2)

    def draw_lines(self, pen: PenBox) -> None:
        """Frames of details, outlines of parts, match lines, scale bar and warnings."""
        view = self.view
        left, bottom, right, top = view.field_mm
        for box, words, at in (*self.frames, *self.parts):
            x0, y0, x1, y1 = max(box[0], left), max(box[1], bottom), min(box[2], right), min(box[3], top)
            if x0 < x1 and y0 < y1:
                pen.box(x0, y0, x1, y1, width=0.25)
                _with_paper(pen, words, at)
        for (start, end), number in self.matches:
            _dashed(pen, start, end, _MATCH_DASH_MM, width=0.7, ink=INK)
            words = f"match line, see sheet {number}"
            upright = start[0] == end[0]
            x, y = (start[0] - 1.2, end[1] - 32.0) if upright else (end[0] - 32.0, start[1] + 1.2)
            set_words(
                pen.canvas,
                pen.lettering,
                words,
                at=(x * MM, y * MM),
                face=Face.BOLD,
                cap=2.5 * MM,
                across=0.5,
                turn_deg=90.0 if upright else 0.0,
            )
        if view.detail is None:
            draw_scale_bar(pen, view.field_mm, view.scale, view.level.job.units)
        else:
            pen.box(*view.field_mm, width=0.35)
            pen.words(f"Detail {view.detail.letter}", left, bottom - 6.0, cap=3.5, face=Face.BOLD)
            pen.words(f"1:{view.scale}", left + 25, bottom - 6.0, cap=2.5)
        for words, box in self.warnings:
            pen.words(words, box[0], box[1] + 1.0, cap=3.5, face=Face.BOLD, ink=REPAIR)


def _word_box(at: Point, words: str) -> Box:
    return at[0] - 0.5, at[1] - 0.5, at[0] + 2.0 * len(words), at[1] + 3.5


def _name_box(at: Point, name: str, right: int, up: int) -> Box:
    """Where the name of a point may stand: to its right or left, above or below."""
    width = _NAME_MM * len(name)
    x = at[0] + 0.9 if right > 0 else at[0] - 0.9 - width
    y = at[1] + 0.7 if up > 0 else at[1] - 0.7 - 1.8
    return x, y, x + width, y + 1.8


def _round_point(at: Point, radius: float) -> Box:
    return at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius


def _round_line(ends: tuple[Point, Point]) -> Box:
    (x0, y0), (x1, y1) = ends
    return x0 - 4.5, y0 - 1.0, x1 + 1.0, y1 + 4.5


def _with_paper(pen: PenBox, words: str, at: Point) -> None:
    """Words on a patch of paper."""
    width = pen.lettering.width_mm(words, 2.5)
    pen.box(at[0], at[1] - 0.6, at[0] + width + 1.0, at[1] + 3.2, ink=None, fill=WHITE)
    pen.words(words, at[0] + 0.4, at[1], cap=2.5, face=Face.BOLD)


def _dashed(
    pen: PenBox, start: Point, end: Point, dash_mm: tuple[float, ...], *, width: float, ink: Colour = INK2
) -> None:
    if hypot(end[0] - start[0], end[1] - start[1]) == 0:
        return
    pen.canvas.saveState()
    pen.canvas.setDash([each * MM for each in dash_mm])
    pen.rule(*start, *end, width=width, ink=ink)
    pen.canvas.restoreState()


def _cut(at: Point, way: Point, box: Box) -> tuple[Point, Point] | None:
    """Where a straight line without ends enters and leaves a box; None where it passes it by."""
    low, high = -1e9, 1e9
    for axis in (0, 1):
        if abs(way[axis]) < 1e-12:
            if not box[axis] <= at[axis] <= box[axis + 2]:
                return None
            continue
        first, second = ((box[axis + side] - at[axis]) / way[axis] for side in (0, 2))
        low, high = max(low, min(first, second)), min(high, max(first, second))
    if low >= high:
        return None
    return (at[0] + way[0] * high, at[1] + way[1] * high), (at[0] + way[0] * low, at[1] + way[1] * low)
