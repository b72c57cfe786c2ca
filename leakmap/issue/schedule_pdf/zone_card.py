"""A zone's card: what is done, its strip to scale, what must be known of it, and its hold points to sign.

Where the strip is short the cells to sign stand beside it, else under it. A card that is higher than a page goes on on
the next one.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate
from typing import Final

from reportlab.platypus import Flowable, Paragraph

from leakmap.issue.schedule_pdf.furniture import WIDTH_MM
from leakmap.issue.schedule_pdf.hold_points import ASKED, CELL_MM, Point, cells_height_mm, draw_cells
from leakmap.issue.schedule_pdf.ink import INK, INK2, PANEL, REPAIR
from leakmap.issue.schedule_pdf.lettering import MM, NO_BREAK, Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.issue.schedule_pdf.strip import StripDrawing
from leakmap.issue.schedule_pdf.strip_lines import StripLine, ZoneStrip
from leakmap.issue.schedule_pdf.strip_words import LABELS_MM, LEFT_MM, RIGHT_MM
from leakmap.issue.schedule_pdf.styles import LOUD, NOTE, Setting
from leakmap.issue.schedule_pdf.words import head_words, said, zone_from_grid
from leakmap.issue.schedule_pdf.zone_notes import notes_of
from leakmap.model.job import Job

COLUMNS: Final = 5
BESIDE_MM: Final = WIDTH_MM - COLUMNS * CELL_MM[0]
"""Room for a strip with cells beside it."""

ROOMS_MM: Final = tuple(wide - LABELS_MM - LEFT_MM - RIGHT_MM for wide in (BESIDE_MM, WIDTH_MM))
"""Longest lines of a strip with cells beside it and under it."""

_HEAD_MM: Final = 4.6
_GAP_MM: Final = 1.2
_DOT_MM: Final = 0.8
_WHOLE_MM: Final = 110.0
"""Cards up to this height are kept on one page."""

_TEXT_MM: Final = 40.0
"""Most height of what is asked, and of notes."""


class ZoneCard(Flowable):  # type: ignore[misc] # the library has no types
    """A card.

    Args:
        setting: Sets its words.
        job: The job.
        strip: The zone's strip.
        points: Its hold points; empty where there is nothing to sign.
        plan: Where the plan of its first level stands in the paper; empty where there is none.
        lines: Numbers of the lines of the strip that it shows; None: all of them.
    """

    def __init__(
        self,
        setting: Setting,
        job: Job,
        strip: ZoneStrip,
        *,
        points: tuple[Point, ...],
        plan: str = "",
        lines: range | None = None,
    ) -> None:
        super().__init__()
        self.setting, self.job, self.strip, self.points, self.plan = setting, job, strip, points, plan
        self.numbers = range(len(strip.lines)) if lines is None else lines
        self.beside = strip.room_mm == ROOMS_MM[0]
        self.first, self.last = self.numbers.start == 0, self.numbers.stop == len(strip.lines)
        self.drawings = [self._drawing(number) for number in self.numbers]
        self.holds = self._holds() if self.first else []
        self.notes = self._notes() if self.last else []

    def _drawing(self, number: int) -> StripDrawing:
        wide = BESIDE_MM if self.beside else WIDTH_MM
        line = self._alone(self.strip.lines[number])
        hung = [each.stem.at_m for each in map(self._alone, self._shown) if each.stem and each.stem.line == number]
        return StripDrawing(
            self.setting,
            self.job,
            line,
            scale=self.strip.scale,
            width_mm=wide - (3.0 if self.beside else 0.0),
            junctions=hung,
        )

    @property
    def _shown(self) -> tuple[StripLine, ...]:
        return self.strip.lines[self.numbers.start : self.numbers.stop]

    def _alone(self, line: StripLine) -> StripLine:
        """A line without its stem, where the line that it hangs from stands on another page."""
        return replace(line, stem=None) if line.stem is not None and line.stem.line not in self.numbers else line

    def _holds(self) -> list[Paragraph]:
        words = "\n".join(hold.replace(" m ", f"{NO_BREAK}m ") for hold in self.strip.zone.holds)
        return [self.setting.fitted(words, LOUD, self._hold_room, _TEXT_MM * MM)] if words else []

    def _notes(self) -> list[Paragraph]:
        parts = [] if self._grid_has_room else [("From grid", zone_from_grid(self.job, self.strip.zone))]
        parts += list(notes_of(self.job, self.strip.zone))
        found = [self.setting.fitted_parts(parts, NOTE, WIDTH_MM * MM, _TEXT_MM * MM)] if parts else []
        why = self.strip.zone.why_provisional
        words = why if self.points else f"Not for work, so there is nothing to sign. {why}"
        return [*found, self.setting.fitted(words, LOUD, WIDTH_MM * MM, _TEXT_MM * MM)] if words else found

    @property
    def _grid_has_room(self) -> bool:
        grid = zone_from_grid(self.job, self.strip.zone)
        width = self.setting.lettering.width
        size = 1.8 * MM / 0.7
        return 16 + (width(self._said, Face.BODY, size) + width(grid, Face.BODY, size)) / MM + 22 <= WIDTH_MM

    @property
    def _said(self) -> str:
        zone, units = self.strip.zone, self.job.units
        words = self.setting.trade(f"{zone.method.value}, {said(units, zone.length_m)}")
        head = "" if zone.head_kpa is None else f", head of water {head_words(units, zone.head_kpa)}"
        provisional = ", provisional" if zone.provisional else ""
        goes_on = "" if self.first else ", goes on from the page before"
        return words[0].upper() + words[1:] + provisional + head + goes_on

    @property
    def _holds_mm(self) -> float:
        high = sum(float(each.wrap(self._hold_room, 10_000)[1]) / MM for each in self.holds)
        return max(high + 1.0, CELL_MM[1] + 1.2 if self.points else 0.0) if self.holds else 0.0

    @property
    def _hold_room(self) -> float:
        return (WIDTH_MM - (CELL_MM[0] + 3 if self.points else 0)) * MM

    @property
    def _cells_mm(self) -> float:
        """Height of the cells to sign; none where the card goes on."""
        columns = COLUMNS if self.beside else 2 * COLUMNS
        return cells_height_mm(len(self.points), columns) if self.last else 0.0

    @property
    def _notes_mm(self) -> float:
        return sum(float(each.wrap(WIDTH_MM * MM, 10_000)[1]) / MM + 0.6 for each in self.notes)

    @property
    def height_mm(self) -> float:
        """Height of all of it."""
        strips = sum(each.height_mm for each in self.drawings)
        body = max(strips, self._cells_mm) if self.beside else strips + self._cells_mm
        return _HEAD_MM + self._holds_mm + body + self._notes_mm + _GAP_MM

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """As wide as the column."""
        return width, self.height_mm * MM

    def split(self, _width: float, height: float) -> list[Flowable]:
        """The lines that fit, and a card with the rest; nothing where not even the first fits, or it is kept whole."""
        start, stop = self.numbers.start, self.numbers.stop
        if self.height_mm <= _WHOLE_MM:
            return []
        for middle in range(stop - 1, start, -1):
            first = self._part(range(start, middle))
            if first.height_mm * MM <= height:
                return [first, self._part(range(middle, stop))]
        return []

    def _part(self, lines: range) -> ZoneCard:
        return ZoneCard(self.setting, self.job, self.strip, points=self.points, plan=self.plan, lines=lines)

    def draw(self) -> None:
        """Draw it from the top down, and set the place that others lead to."""
        pen, y = PenBox(self.canv, self.setting.lettering), self.height_mm
        self._draw_head(pen, y - _HEAD_MM)
        y -= _HEAD_MM
        y = self._draw_holds(pen, y)
        body = y
        self._draw_stems(pen, y)
        for drawing in self.drawings:
            drawing.draw(pen, y)
            y -= drawing.height_mm
        self._draw_dots(pen, body)
        if self.last and self.points:
            at = (BESIDE_MM, body, COLUMNS) if self.beside else (0.0, y, 2 * COLUMNS)
            draw_cells(pen, self.points, *at)
        if self.beside:
            y = min(y, body - self._cells_mm)
        else:
            y -= self._cells_mm
        for note in self.notes:
            y -= float(note.wrap(WIDTH_MM * MM, 10_000)[1]) / MM + 0.6
            note.drawOn(self.canv, 0, y * MM)

    def _draw_head(self, pen: PenBox, y: float) -> None:
        zone = self.strip.zone
        pen.box(0, y + 0.2, WIDTH_MM, y + _HEAD_MM, ink=None, fill=PANEL)
        pen.rule(0, y + _HEAD_MM, WIDTH_MM, y + _HEAD_MM, width=0.25)
        pen.words(zone.ref, 0.8, y + 1.3, cap=2.4, face=Face.BOLD)
        pen.words(self._said, 16.0, y + 1.5, cap=1.8, room=WIDTH_MM - 30, ink=REPAIR if zone.provisional else INK)
        pen.words(f"1:{self.strip.scale}", WIDTH_MM - 1, y + 1.5, cap=1.8, ink=INK2, across=1)
        if self._grid_has_room:
            grid = zone_from_grid(self.job, zone)
            pen.words(f"grid {grid}" if grid else "", WIDTH_MM - 12, y + 1.5, cap=1.8, across=1)
        _, page_y = self.canv.absolutePosition(0, 0)
        if self.first:
            key, top = f"zone-{zone.ref}", page_y + (self.height_mm + 4) * MM
            self.canv.bookmarkPage(key, fit="XYZ", left=0, top=top)
            self.canv.addOutlineEntry(zone.ref, key, 1, closed=True)
        if self.plan:
            self.canv.linkRect("", self.plan, (0, y * MM, 15 * MM, (y + _HEAD_MM) * MM), relative=1)

    def _draw_holds(self, pen: PenBox, y: float) -> float:
        top = y
        for hold in self.holds:
            high = float(hold.wrap(self._hold_room, 10_000)[1])
            y -= high / MM
            hold.drawOn(self.canv, 0, (y - 0.4) * MM)
        if self.holds and self.points:
            draw_cells(pen, [ASKED], WIDTH_MM - CELL_MM[0], top - 0.4, 1)
        return top - self._holds_mm

    @property
    def _tops(self) -> list[float]:
        """How far each line lies under the first, mm."""
        return [0.0, *accumulate(each.height_mm for each in self.drawings)]

    def _stems(self) -> list[tuple[int, int, float, float]]:
        """Branches of the card: the line that each hangs from, its own, and the junction on both, mm."""
        found = []
        for own, drawing in enumerate(self.drawings):
            if (stem := drawing.line.stem) is not None:
                parent = stem.line - self.numbers.start
                found.append((parent, own, self.drawings[parent].x(stem.at_m), drawing.x(stem.own_m)))
        return found

    def _draw_stems(self, pen: PenBox, top: float) -> None:
        """Lines from junctions down to their branches; one that cannot hang straight turns above its branch."""
        for parent, own, x0, x1 in self._stems():
            start = top - self._tops[parent] - self.drawings[parent].band_mm
            end = top - self._tops[own] - self.drawings[own].band_mm
            turn = top - self._tops[own] - 0.3
            pen.rule(x0, start, x0, turn, width=0.5)
            pen.rule(x0, turn, x1, turn, width=0.5)
            pen.rule(x1, turn, x1, end, width=0.5)
            for number in range(parent, own + 1):
                self.drawings[number].stems.append(x1 if number == own else x0)

    def _draw_dots(self, pen: PenBox, top: float) -> None:
        for parent, own, x0, x1 in self._stems():
            for number, x in ((parent, x0), (own, x1)):
                pen.disc(x, top - self._tops[number] - self.drawings[number].band_mm, _DOT_MM)
