"""A line of a zone's strip on paper: names, leaks, the band, chainages, and the slot in long section with its order.

Everything stands at its chainage, true to the strip's scale; depths are 1:10. What would cover its neighbour goes a row
further, so that no name is left out. What holds for the whole line stands at its left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import Final

from leakmap.issue.schedule_pdf.ink import INK, INK2, PANEL, WHITE, Colour, colour
from leakmap.issue.schedule_pdf.lettering import Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.strip_band import BAND_HALF_MM, draw_band
from leakmap.issue.schedule_pdf.strip_lines import StripLine, Taken, stacked
from leakmap.issue.schedule_pdf.strip_words import CAP, LABELS_MM, REF_CAP, StripWords, Word
from leakmap.issue.schedule_pdf.styles import Setting
from leakmap.model.job import Job
from leakmap.repair.results import FillStep, Relief

DEPTH_SCALE: Final = 10

_ROW: Final = 3.2
_LABEL_ROW: Final = 3.1
_CIRCLE: Final = 1.75
_WORDS_APART: Final = 1.6
_PLUG: Final[Colour] = colour("#C3C8CA")
_TOP: Final = 0.8
_MOST_ROWS: Final = 8
"""Rows that names and figures of one sort may take; a line with more says how many are left out."""

_RELIEF_STEM: Final = 1.4
"""What the stem of a relief point stands out of the band."""


_Placed = list[tuple[Word, int]]


class StripDrawing:
    """One line of a strip, as high as what it shows.

    Args:
        setting: Sets its words.
        job: The job.
        line: What it shows.
        scale: Denominator.
        width_mm: Room with labels and margins.
        junctions: Chainages where branches hang from it.
    """

    def __init__(
        self, setting: Setting, job: Job, line: StripLine, *, scale: int, width_mm: float, junctions: Sequence[float]
    ) -> None:
        self.job, self.line, self.scale, self.width_mm = job, line, scale, width_mm
        hung = [*junctions, *([line.stem.own_m] if line.stem is not None else [])]
        self.words = words = StripWords(setting, job, line, scale=scale, width_mm=width_mm, junctions=hung)
        self.stems: list[float] = []
        """Where stems of branches cross it, mm; words there stand on white."""
        self.left_out = 0
        """How many names and figures found no room."""
        self.names = self._rows([*words.bubbles(), *words.met()])
        self.leaks = self._rows(words.leaks())
        self.chainages = self._stacked(words.chainages())
        self.steps = [(low, high, step) for low, high, step in line.steps if step.from_m != step.to_m]
        self._lay_under()
        self.labels = [*words.labels(), *([f"{self.left_out} more, no room"] if self.left_out else [])]

    def x(self, chainage_m: float) -> float:
        """Where a chainage lies, mm from the left."""
        return self.words.x(chainage_m)

    @property
    def height_mm(self) -> float:
        """Height of all of it."""
        labels = _TOP + len(self.labels) * _LABEL_ROW + 0.4
        return max(self._section_top + max(self._slot_mm + self._under * _ROW + 0.4, self._closed_mm) + 0.4, labels)

    @property
    def band_mm(self) -> float:
        """How far the joint lies under the upper edge."""
        stem = _RELIEF_STEM if self.line.reliefs else 0.0
        return _TOP + (_count(self.names) + _count(self.leaks)) * _ROW + stem + BAND_HALF_MM

    @property
    def _section_top(self) -> float:
        return self.band_mm + BAND_HALF_MM + 0.4 + _count(self.chainages) * _ROW

    @cached_property
    def _slot_mm(self) -> float:
        return max((float(row.depth_mm) for *_, row in self.line.opened), default=0.0) / DEPTH_SCALE

    @cached_property
    def _closed_mm(self) -> float:
        """How far circles of relief points reach under the surface."""
        deepest = max((float(each.depth_mm) for each in self.line.reliefs), default=0.0)
        return deepest / DEPTH_SCALE + 2 * _CIRCLE + 0.2 if deepest else 0.0

    def _lay_under(self) -> None:
        """Rows under the slot: circles of relief points, circles that have no room in the slot, words."""
        closed = [(self.x(each.at_m) - _CIRCLE, self.x(each.at_m) + _CIRCLE) for each in self.line.reliefs]
        deep_rows = max(int((self._closed_mm - self._slot_mm) / _ROW) + 1, 0) if closed else 0
        taken = Taken(_WORDS_APART, [closed] * deep_rows)
        middles = [(self.x(low) + self.x(high)) / 2 for low, high, _ in self.steps]
        circles = [(middle - _CIRCLE - 0.2, middle + _CIRCLE + 0.2) for middle in middles]
        self.circles = [
            (step, middle, taken.row([span])[0] if row else None)
            for (_, _, step), middle, span, row in zip(self.steps, middles, circles, stacked(circles), strict=True)
        ]
        self.depths: _Placed = []
        words = self.words.depths()
        free = [word for word in words if not any(word.x < high and low < word.x + word.width for low, high in closed)]
        for word in (*free, *self.words.reliefs(), *(word for word in words if word not in free)):
            starts = [x for x in self._beside(word, closed) if LABELS_MM <= x <= self.width_mm - word.width]
            row, chosen = taken.row([(x, x + word.width) for x in starts])
            if row < _MOST_ROWS:
                self.depths.append((replace(word, x=starts[chosen]), row))
        self.left_out += len(words) + len(self.line.reliefs) - len(self.depths)
        low = [row for *_, row in self.circles if row is not None]
        self._under = 1 + max([*low, *(row for _, row in self.depths)], default=-1)

    @staticmethod
    def _beside(word: Word, closed: Sequence[tuple[float, float]]) -> list[float]:
        """Where words may start: at their own place, else right or left of the relief points that are near."""
        starts = [start for low, high in closed for start in (high + _WORDS_APART, low - word.width - _WORDS_APART)]
        near = (start for start in starts if abs(start - word.x) <= word.width + 2 * _CIRCLE + _WORDS_APART)
        return [word.x, *sorted(near, key=lambda start: abs(start - word.x))]

    def _rows(self, words: Sequence[Word]) -> _Placed:
        return self._stacked(sorted(words, key=lambda word: word.x))

    def _stacked(self, words: Sequence[Word]) -> _Placed:
        rows = stacked([(word.x, word.x + word.width) for word in words], _WORDS_APART)
        placed = [(word, row) for word, row in zip(words, rows, strict=True) if row < _MOST_ROWS]
        self.left_out += len(words) - len(placed)
        return placed

    def draw(self, pen: PenBox, top: float) -> None:
        """Draw it from a height of the card down, mm."""
        self._draw_labels(pen, top)
        y, band = top - _TOP, top - self.band_mm
        over = band + BAND_HALF_MM
        y = self._draw_words(pen, self.names, y, over)
        self._draw_words(pen, self.leaks, y, over)
        draw_band(pen, self.line, self.scale, (self.x(self.line.from_m), band))
        self._draw_words(pen, self.chainages, band - BAND_HALF_MM - 0.4, None)
        section = top - self._section_top
        self._draw_section(pen, section)
        self._draw_order(pen, section)
        self._draw_leaders(pen, section - self._slot_mm)
        self._draw_words(pen, self.depths, section - self._slot_mm - 0.4, None)

    def _draw_labels(self, pen: PenBox, top: float) -> None:
        y = top - _TOP - 2.4
        for number, words in enumerate(self.labels):
            pen.words(
                words,
                0,
                y,
                cap=CAP if number else REF_CAP,
                face=Face.BODY if number else Face.BOLD,
                ink=INK if number != 1 else INK2,
                room=LABELS_MM,
            )
            y -= _LABEL_ROW

    def _draw_words(self, pen: PenBox, rows: _Placed, y: float, down_to: float | None) -> float:
        """Rows of words from a height down, each with a line to what it names where ``down_to`` says how far."""
        for word, row in rows:
            base = y - row * _ROW - CAP - 0.7
            if down_to is not None:
                pen.rule(word.at, base - 0.5, word.at, down_to, width=0.13, ink=INK2)
            crossed = any(word.x - 0.5 < x < word.x + word.width + 0.5 for x in self.stems)
            if down_to is not None or crossed:
                pen.box(word.x - 0.2, base - 0.5, word.x + word.width + 0.9, base + CAP + 0.5, ink=None, fill=WHITE)
            pen.words(word.words, word.x + (0.6 if down_to is not None else 0.0), base, cap=CAP, face=word.face)
        return y - _count(rows) * _ROW

    def _draw_leaders(self, pen: PenBox, slot_y: float) -> None:
        """From lengths and depths that found room farther down to their stretches; other words there stand on white."""
        reliefs = [self.x(each.at_m) for each in self.line.reliefs]
        for word, row in self.depths:
            if row and word.face is Face.BODY and not any(abs(word.at - x) < _CIRCLE for x in reliefs):
                to = min(max(word.at, word.x + 1.0), word.x + word.width - 1.0)
                pen.rule(word.at, slot_y, to, slot_y - 0.4 - row * _ROW - 0.6, width=0.13, ink=INK2)
                self.stems.append(word.at)

    def _draw_section(self, pen: PenBox, top: float) -> None:
        """The slot along the joint: dry-pack light over plug dark, relief points to their depth."""
        share, line = self.job.rules.plug_share, self.line
        for from_m, to_m, row in line.opened:
            x0, x1, deep = self.x(from_m), self.x(to_m), float(row.depth_mm) / DEPTH_SCALE
            pen.box(x0, top - deep, x1, top, ink=None, fill=PANEL)
            if row.plugged:
                pen.box(x0, top - deep, x1, top - deep * (1 - share), ink=None, fill=_PLUG)
            pen.box(x0, top - deep, x1, top, width=0.18)
        half = max(self.job.rules.slot_width_m * 500 / self.scale, 0.3)
        for relief in line.reliefs:
            x, deep = self.x(relief.at_m), float(relief.depth_mm) / DEPTH_SCALE
            pen.box(x - half, top - deep, x + half, top - self._slot_at(relief), width=0.25, fill=_PLUG)
        pen.rule(self.x(line.from_m) - 3, top, self.x(line.to_m) + 3, top, width=0.35)

    def _slot_at(self, relief: Relief) -> float:
        depths = (float(row.depth_mm) for a, b, row in self.line.opened if a <= relief.at_m <= b)
        return max(depths, default=0.0) / DEPTH_SCALE

    def _draw_order(self, pen: PenBox, top: float) -> None:
        """Numbered steps in the slot; the relief point is closed last, under it."""
        usual = min((float(row.depth_mm) for *_, row in self.line.opened), default=0.0) / DEPTH_SCALE
        middle_y = top - usual / 2
        for low, high, _ in self.steps:
            self._draw_arrow(pen, self.x(low), self.x(high), middle_y, (low + high) / 2)
        for step, middle, row in self.circles:
            y = middle_y if row is None else top - self._slot_mm - 0.4 - row * _ROW - _ROW / 2
            if row is not None:
                pen.rule(middle, middle_y, middle, y, width=0.18, ink=INK2)
            self._circle(pen, step, middle, y, (WHITE, INK))
        for _, _, step in self.line.steps:
            relief = self._closed_by(step)
            if relief is not None:
                y = top - float(relief.depth_mm) / DEPTH_SCALE - _CIRCLE - 0.2
                self._circle(pen, step, self.x(relief.at_m), y, (INK, WHITE))

    def _closed_by(self, step: FillStep) -> Relief | None:
        if step.from_m != step.to_m:
            return None
        return min(self.line.reliefs, key=lambda each: abs(each.at_m - float(step.from_m)), default=None)

    def _circle(self, pen: PenBox, step: FillStep, x: float, y: float, inks: tuple[Colour, Colour]) -> None:
        pen.disc(x, y, _CIRCLE, width=0.25, fill=inks[0])
        pen.words(str(step.step), x, y - CAP / 2, cap=CAP, face=Face.BOLD, across=0.5, ink=inks[1])

    def _draw_arrow(self, pen: PenBox, x0: float, x1: float, y: float, middle_m: float) -> None:
        """A line along a step, with a head on the side that leads to the relief point."""
        pen.rule(x0 + 0.3, y, x1 - 0.3, y, width=0.25, ink=INK)
        goal = self._goal()
        if goal is None or x1 - x0 < 2 * _CIRCLE + 3.0:
            return
        tip, back = (x1 - 0.3, -1.6) if goal > middle_m else (x0 + 0.3, 1.6)
        pen.triangle((tip, y), (tip + back, y + 0.7), (tip + back, y - 0.7))

    def _goal(self) -> float | None:
        """Chainage that filling runs to: the relief point, or the way to it where it lies on another joint."""
        own = [relief.at_m for _, relief in self.line.row.reliefs]
        ways = [each.at_m for each in self.line.met if each.in_zone]
        return own[0] if own else ways[0] if self.line.zone.relief and ways else None


def _count(rows: _Placed) -> int:
    return 1 + max((row for _, row in rows), default=-1)
