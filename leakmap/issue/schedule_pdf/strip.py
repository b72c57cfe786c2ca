"""A line of a zone's strip on paper: names, filling order, leaks, the band, chainages, and the slot in long section.

Everything stands at its chainage, true to the strip's scale; depths are 1:5. What would cover its neighbour goes a row
further, so that no name is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import shapely
from reportlab.platypus import Flowable

from leakmap.geometry.path import Path
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.leaks import leak_path, sleeve, strokes
from leakmap.issue.marks.lines import joint_lines
from leakmap.issue.marks.plan import blind_lines, cut_bars
from leakmap.issue.marks.primitives import Coat, Primitive
from leakmap.issue.marks.signs import relief_sign
from leakmap.issue.marks.zones import ShownPiece, band_marks
from leakmap.issue.schedule_pdf.ink import INK, INK2, PANEL, WHITE, Colour, Ink, Onto, colour
from leakmap.issue.schedule_pdf.lettering import MM, Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.strip_lines import StripLine, stacked
from leakmap.issue.schedule_pdf.styles import WIDTH_MM, Setting
from leakmap.issue.schedule_pdf.words import at
from leakmap.model.job import Job
from leakmap.repair.results import Why

LABELS_MM: Final = 27.0
"""Room for captions left of the strip."""

MARGIN_MM: Final = 4.0
"""What the joint goes on with beyond each end of a line."""

ROOM_MM: Final = WIDTH_MM - LABELS_MM - 2 * MARGIN_MM
DEPTH_SCALE: Final = 5

_CAP: Final = 1.8
_TEXT_ROW: Final = 3.4
_CIRCLE_ROW: Final = 5.0
_CIRCLE: Final = 2.1
_BAND_HALF: Final = 2.8
_WORDS_APART: Final = 1.6
_PLUG: Final[Colour] = colour("#C3C8CA")
_BETWEEN: Final = 2.0
_STEM_MM: Final = 1.4
"""What the stem of a relief point stands out of the band."""

_STOPS: Final = {"blind": "stops at blind stretch", "cut": "kept apart here"}


@dataclass(frozen=True, slots=True)
class _Word:
    """Words that stand at a place of the strip.

    Attributes:
        x: Where they begin, mm.
        at: What they stand for.
    """

    words: str
    x: float
    width: float
    at: float
    face: Face = Face.BODY


class StripFlowable(Flowable):  # type: ignore[misc] # the library has no types
    """One line of a strip.

    Args:
        setting: Sets its words.
        job: The job.
        line: What it shows.
        scale: Denominator.
    """

    def __init__(self, setting: Setting, job: Job, line: StripLine, scale: int) -> None:
        super().__init__()
        self.setting, self.job, self.line, self.scale = setting, job, line, scale
        self.names = self._rows([*self._bubble_words(), *self._met_words()])
        self.leaks = self._rows(self._leak_words())
        self.chainages = self._rows(self._chainage_words())
        self.depths = self._rows(self._depth_words())
        spans = [self._circle_span(low, high) for low, high, _ in line.steps]
        self.order = list(zip(line.steps, stacked(spans), strict=True))

    @property
    def height_mm(self) -> float:
        """Height of all of it."""
        circles = 1 + max((row for _, row in self.order), default=0)
        rows = sum(_count(rows) for rows in (self.names, self.leaks, self.chainages, self.depths)) * _TEXT_ROW
        return rows + circles * _CIRCLE_ROW + self._stem_mm + 2 * _BAND_HALF + self._deepest_mm + _BETWEEN + 2.4

    @property
    def _stem_mm(self) -> float:
        return _STEM_MM if self.line.reliefs else 0.0

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """As wide as the page."""
        return width, self.height_mm * MM

    def _x(self, chainage_m: float) -> float:
        return LABELS_MM + MARGIN_MM + (chainage_m - self.line.from_m) * 1000 / self.scale

    def _word(self, words: str, at_m: float, across: float = 0.5, face: Face = Face.BODY) -> _Word:
        """Words at a chainage, kept inside the page."""
        width = self.setting.lettering.width(words, face, _CAP * MM / 0.7) / MM
        x = self._x(at_m)
        start = min(max(x - across * width, LABELS_MM), WIDTH_MM - width)
        return _Word(words, start, width, x, face)

    @staticmethod
    def _rows(words: Sequence[_Word]) -> list[tuple[_Word, int]]:
        inside = sorted(words, key=lambda word: word.x)
        return list(zip(inside, stacked([(word.x, word.x + word.width) for word in inside], _WORDS_APART), strict=True))

    def _bubble_words(self) -> list[_Word]:
        return [self._word(f"axis {each.name}", each.at_m, 0.0, Face.BOLD) for each in self.line.bubbles]

    def _met_words(self) -> list[_Word]:
        return [
            self._word(
                f"{each.other.ref} at {at(self.job, each.other.id, each.own_m)}{'' if each.in_zone else ', not opened'}",
                each.at_m,
                0.0,
            )
            for each in self.line.met
        ]

    def _leak_words(self) -> list[_Word]:
        found = []
        for wet in self.line.row.leaks:
            spans = [(max(a, self.line.from_m), min(b, self.line.to_m)) for a, b in wet.spans]
            seen = [span for span in spans if span[0] <= span[1]]
            if seen:
                ends = f"{self._at(wet.leak.from_m)}–{self._at(wet.leak.to_m)}"
                spot = self._at(wet.leak.from_m)
                where = spot if wet.leak.from_m == wet.leak.to_m else ends
                words = f"{wet.leak.ref} {wet.leak.wetness.word} {where}"
                found.append(self._word(words, seen[0][0], 0.0))
        return found

    def _at(self, raw: float) -> str:
        return at(self.job, self.line.joint.id, raw)

    def _chainage_words(self) -> list[_Word]:
        line = self.line
        places = sorted({line.from_m, line.to_m, *(end for low, high, _ in line.opened for end in (low, high))})
        apart = [place for k, place in enumerate(places) if not k or place - places[k - 1] > 1e-3]
        words = [self._word(self._at(place), place) for place in apart]
        if not line.first:
            words.append(self._word("goes on from above", line.from_m, 0.0))
        if not line.last:
            words.append(self._word("goes on below", line.to_m, 1.0))
        words += [
            self._word(_STOPS.get(end.why, f"stops at {end.why}"), end.at_m, float(end.up))
            for end in line.ends
            if end.why != "overrun"
        ]
        words += [self._word("kept apart", cut, 0.5) for cut in line.row.cuts if self._is_inside(cut)]
        words += [
            self._word(f"blind: {each.what}", max(each.from_m, line.from_m), 0.0)
            for each in line.row.blind
            if each.from_m < line.to_m and each.to_m > line.from_m
        ]
        return words

    def _is_inside(self, at_m: float) -> bool:
        return self.line.from_m + 1e-3 < at_m < self.line.to_m - 1e-3

    def _depth_words(self) -> list[_Word]:
        units = self.job.units
        words = [
            self._word(
                f"{units.depth(row.depth_mm)} {'plug + dry-pack' if row.plugged else 'dry-pack'}", (low + high) / 2
            )
            for low, high, row in self.line.opened
        ]
        words += [
            self._word(f"relief point {self._at(each.at_m)}: {units.depth(each.depth_mm)}", each.at_m, face=Face.BOLD)
            for each in self.line.reliefs
        ]
        return words

    @property
    def _deepest_mm(self) -> float:
        depths = [float(row.depth_mm) for *_, row in self.line.opened]
        return max([*depths, *(float(each.depth_mm) for each in self.line.reliefs)], default=0.0) / DEPTH_SCALE

    def _circle_span(self, low: float, high: float) -> tuple[float, float]:
        middle = (self._x(low) + self._x(high)) / 2
        return min(self._x(low), middle - _CIRCLE - 0.2), max(self._x(high), middle + _CIRCLE + 0.2)

    def draw(self) -> None:
        """Draw it from the top down."""
        pen = PenBox(self.canv, self.setting.lettering)
        y = self.height_mm - 1.2
        band_top = y - (_count(self.names) + _count(self.leaks)) * _TEXT_ROW
        band_top -= self._stem_mm
        band_top -= (1 + max((row for _, row in self.order), default=0)) * _CIRCLE_ROW
        y = self._draw_words(pen, self.names, y, "Crosses", band_top)
        y = self._draw_order(pen, y)
        y = self._draw_words(pen, self.leaks, y, "Leaks", band_top) - self._stem_mm
        joint = self.line.joint
        pen.words(joint.ref, 0, y - _BAND_HALF + 0.2, cap=2.2, face=Face.BOLD)
        level = f"{self.job.sheet_of(joint).name}, {'vertical' if joint.vertical else joint.face.value}"
        pen.words(level, 0, y - _BAND_HALF - 3.0, cap=_CAP, ink=INK2, room=LABELS_MM - 2)
        self._draw_band(y - _BAND_HALF)
        y -= 2 * _BAND_HALF + 0.8
        y = self._draw_words(pen, self.chainages, y, "", None)
        self._draw_section(pen, y)
        y -= self._deepest_mm + 0.6
        self._draw_words(pen, self.depths, y, self.setting.units.heading("Depth mm"), None)

    def _draw_words(
        self, pen: PenBox, rows: list[tuple[_Word, int]], y: float, caption: str, down_to: float | None
    ) -> float:
        if rows and caption:
            pen.words(caption, 0, y - _CAP - 0.6, cap=_CAP, ink=INK2)
        for word, row in rows:
            base = y - row * _TEXT_ROW - _CAP - 0.6
            if down_to is not None:
                pen.rule(word.at, base - 0.5, word.at, down_to, width=0.13, ink=INK2)
                pen.box(word.x + 0.4, base - 0.5, word.x + word.width + 0.9, base + _CAP + 0.5, ink=None, fill=WHITE)
            pen.words(word.words, word.x + (0.6 if down_to is not None else 0.0), base, cap=_CAP, face=word.face)
        return y - _count(rows) * _TEXT_ROW

    def _draw_order(self, pen: PenBox, y: float) -> float:
        if self.order:
            pen.words("Fill in order", 0, y - 3.2, cap=_CAP, ink=INK2)
        for (low, high, step), row in self.order:
            middle_y = y - row * _CIRCLE_ROW - _CIRCLE_ROW / 2
            x0, x1 = self._x(low), self._x(high)
            if high > low:
                self._draw_arrow(pen, x0, x1, middle_y, (low + high) / 2)
            closed_last = step.from_m == step.to_m
            fill, words_ink = (INK, WHITE) if closed_last else (WHITE, INK)
            pen.canvas.setFillColorRGB(*fill)
            pen.canvas.setStrokeColorRGB(*INK)
            pen.canvas.setLineWidth(0.25 * MM)
            pen.canvas.circle((x0 + x1) / 2 * MM, middle_y * MM, _CIRCLE * MM, stroke=1, fill=1)
            pen.words(
                str(step.step), (x0 + x1) / 2, middle_y - _CAP / 2, cap=_CAP, face=Face.BOLD, across=0.5, ink=words_ink
            )
        return y - (1 + max((row for _, row in self.order), default=0)) * _CIRCLE_ROW

    def _draw_arrow(self, pen: PenBox, x0: float, x1: float, y: float, middle_m: float) -> None:
        """A line along a step, with a head on the side that leads to the relief point."""
        pen.rule(x0 + 0.3, y, x1 - 0.3, y, width=0.25, ink=INK)
        goal = self._goal()
        if goal is None:
            return
        tip, back = (x1 - 0.3, -1.6) if goal > middle_m else (x0 + 0.3, 1.6)
        path = pen.canvas.beginPath()
        path.moveTo(tip * MM, y * MM)
        path.lineTo((tip + back) * MM, (y + 0.7) * MM)
        path.lineTo((tip + back) * MM, (y - 0.7) * MM)
        path.close()
        pen.canvas.setFillColorRGB(*INK)
        pen.canvas.drawPath(path, stroke=0, fill=1)

    def _goal(self) -> float | None:
        """Chainage that filling runs to: the relief point, or the way to it where it lies on another joint."""
        own = [relief.at_m for _, relief in self.line.row.reliefs]
        ways = [each.at_m for each in self.line.met if each.in_zone]
        return own[0] if own else ways[0] if self.line.zone.relief and ways else None

    def _draw_band(self, y: float) -> None:
        line, scale = self.line, self.scale
        beyond = (MARGIN_MM - 1) * scale / 1000
        shift = line.from_m - beyond
        course = Course(Path(((0.0, 0.0), (line.to_m - line.from_m + 2 * beyond, 0.0))))
        onto = Onto((beyond, 0.0), 1000 / scale * MM, ((LABELS_MM + MARGIN_MM) * MM, y * MM))
        half = _BAND_HALF * scale / 1000
        shown = [
            ShownPiece(replace(each, from_m=each.from_m - shift, to_m=each.to_m - shift), course, half)
            for each in line.pieces
            if each.to_m > each.from_m
        ]
        opened = [each for each in shown if each.piece.why is not Why.BLIND]
        marks = []
        for run in _runs(opened):
            outline = shapely.box(run[0].piece.from_m, -half, run[-1].piece.to_m, half)
            parts = [(each, shapely.box(each.piece.from_m, -half, each.piece.to_m, half)) for each in run]
            marks += band_marks("", outline, run, scale, provisional=line.zone.provisional, parts=parts)
        leaks = [
            (leak_path(course, max(a, line.from_m) - shift, min(b, line.to_m) - shift, scale), wet.leak.wetness)
            for wet in line.row.leaks
            for a, b in wet.spans
            if max(a, line.from_m) <= min(b, line.to_m)
        ]
        reliefs = [(each.at_m - shift, 0.0) for each in line.reliefs]
        items: list[Primitive] = [item for coat in (Coat.TINT, Coat.BAND) for mark in marks if mark.coat is coat
                                  for item in mark.primitives]  # fmt: skip
        items += [item for path, wetness in leaks for item in sleeve(path, wetness, scale, reliefs)]
        items += joint_lines(line.joint.kind, course, scale)
        items += [item for path, wetness in leaks for item in strokes(path, wetness, scale, reliefs)]
        for each in shown:
            if each.piece.why is Why.BLIND:
                items += blind_lines(course, each.piece.from_m, each.piece.to_m, scale)
        items += [item for cut in line.row.cuts if line.from_m - 1e-3 <= cut <= line.to_m + 1e-3
                  for item in cut_bars(course, cut - shift, half * 1.25)]  # fmt: skip
        items += [item for place in reliefs for item in relief_sign(place, (0.0, 1.0), scale)]
        Ink(self.canv, onto, self.setting.lettering).draw(items)

    def _draw_section(self, pen: PenBox, top: float) -> None:
        """The slot along the joint: dry-pack light over plug dark, relief points to their depth."""
        share = self.job.rules.plug_share
        surface = (LABELS_MM + 1, WIDTH_MM - 1) if not self.line.opened else None
        low, high = surface or (self._x(self.line.from_m) - 3, self._x(self.line.to_m) + 3)
        for from_m, to_m, row in self.line.opened:
            x0, x1, deep = self._x(from_m), self._x(to_m), float(row.depth_mm) / DEPTH_SCALE
            pen.box(x0, top - deep, x1, top, ink=None, fill=PANEL)
            if row.plugged:
                pen.box(x0, top - deep, x1, top - deep * (1 - share), ink=None, fill=_PLUG)
            pen.box(x0, top - deep, x1, top, width=0.18)
        half = self.job.rules.slot_width_m * 500 / self.scale
        for relief in self.line.reliefs:
            x, deep = self._x(relief.at_m), float(relief.depth_mm) / DEPTH_SCALE
            slot = max((float(row.depth_mm) for a, b, row in self.line.opened if a <= relief.at_m <= b), default=0.0)
            pen.box(x - half, top - deep, x + half, top - slot / DEPTH_SCALE, width=0.25, fill=_PLUG)
        pen.rule(low, top, high, top, width=0.35)


def _count(rows: list[tuple[_Word, int]]) -> int:
    return 1 + max((row for _, row in rows), default=-1)


def _runs(shown: Sequence[ShownPiece]) -> list[list[ShownPiece]]:
    runs: list[list[ShownPiece]] = []
    for each in shown:
        if runs and each.piece.from_m <= runs[-1][-1].piece.to_m + 1e-3:
            runs[-1].append(each)
        else:
            runs.append([each])
    return runs
