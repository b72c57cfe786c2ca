"""Draws a blank strip: ruler, axes, bends, joints that meet it, hidden stretches, and room to write in."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from leakmap.base.trade_words import in_trade_words
from leakmap.issue.field_sheets.strips import HEAD_MM, LINE_MM, SIDE_MM, Sheet, Strip
from leakmap.issue.schedule_pdf.ink import INK2
from leakmap.issue.schedule_pdf.lettering import Face
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.model.job import Job
from leakmap.model.printed import chainage_m
from leakmap.repair.chainages import spans_of
from leakmap.repair.tape_layout import TapeLayout
from leakmap.repair.tape_ticks import Rank, Tick, ticks

CAP_MM: Final = 1.8
_TITLE_CAP_MM: Final = 2.4
_AXIS_MM: Final = 9.0
_RULE_MM: Final = 18.4
_ROOM_MM: Final = (25.4, 34.9)
"""Below the top of its line: axes, the ruler, and the box to write in."""

_TICK_MM: Final = {Rank.FINE: 1.0, Rank.HALF: 1.7, Rank.WHOLE: 2.4}
_PX_PER_MM: Final = 2.0
"""Ticks are as near as on a screen that shows half a millimetre as a pixel."""

_NUMBER_MM: Final = 9.0
_PILL_MM: Final = 4.8
_HATCH_MM: Final = 2.5


class StripPen:
    """Draws strips on a page.

    Args:
        pen: Draws on the page, in millimetres.
        job: The job.
        sheet: The paper.
    """

    def __init__(self, pen: PenBox, job: Job, sheet: Sheet) -> None:
        self.pen, self.job, self.sheet = pen, job, sheet

    def draw(self, strip: Strip, layout: TapeLayout) -> None:
        """Draw a strip.

        Args:
            strip: The strip.
            layout: Its joint laid out, with the joints that meet it.
        """
        top = self.sheet.size_mm[1] - HEAD_MM - strip.line * LINE_MM
        self._title(strip, top)
        self._room(strip, layout, top)
        self._ruler(strip, top)
        self._axes(strip, layout, top)
        self._below(strip, layout, top)
        self._breaks(strip, top)

    def _x(self, strip: Strip, at_m: float) -> float:
        return strip.at_mm + (at_m - strip.from_m) * self.sheet.mm_per_m

    def _title(self, strip: Strip, top: float) -> None:
        joint, units = strip.joint, self.job.units
        sort = in_trade_words(units, joint.kind)
        lies = "vertical, foot at the left" if joint.vertical else in_trade_words(units, joint.face)
        length = units.printed(joint.length_m)
        more = ", closed: its end is its start" if joint.closed else ""
        on = ", goes on" if strip.goes_back else ""
        y = top - 3.2
        self.pen.words(joint.ref, strip.at_mm, y, cap=_TITLE_CAP_MM, face=Face.BOLD, room=30)
        width = self.pen.lettering.width_mm(joint.ref, _TITLE_CAP_MM)
        after = strip.at_mm + min(width, 30) + 2.5
        room = max(self._x(strip, strip.to_m), strip.at_mm + 62) - after
        self.pen.words(f"{sort}, {lies}, {length}{more}{on}", after, y, cap=CAP_MM, room=room)

    def _room(self, strip: Strip, layout: TapeLayout, top: float) -> None:
        """The box to write in, with faint lines at what is numbered, and hatched where the joint is hidden."""
        high, low = top - _ROOM_MM[0], top - _ROOM_MM[1]
        left, right = self._x(strip, strip.from_m), self._x(strip, strip.to_m)
        for tick in self._ticks(strip):
            if tick.rank is Rank.WHOLE:
                x = self._x(strip, tick.at_m)
                self.pen.rule(x, low, x, high, width=0.13, ink=INK2)
        for blind in layout.row.blind:
            for from_m, to_m in spans_of(strip.joint, blind.from_m, blind.to_m):
                a, b = self._x(strip, max(from_m, strip.from_m)), self._x(strip, min(to_m, strip.to_m))
                if b > a:
                    self._hidden(a, b, low, high, f"hidden: {blind.what}")
        self.pen.box(left, low, right, high, width=0.25)

    def _hidden(self, a: float, b: float, low: float, high: float, words: str) -> None:
        x = a
        while x < b:
            to = min(x + (high - low) / 2, b)
            self.pen.rule(x, low, to, low + (to - x) * 2, width=0.18)
            x += _HATCH_MM
        self.pen.rule(a, low, a, high, width=0.25)
        self.pen.rule(b, low, b, high, width=0.25)
        self.pen.words(words, a, high + 1.0, cap=CAP_MM, room=max(b - a, 14))

    def _ticks(self, strip: Strip) -> Iterator[Tick]:
        return ticks(
            strip.joint, strip.from_m, strip.to_m, self.sheet.mm_per_m * _PX_PER_MM, self.job.units,
            number_px=_NUMBER_MM * _PX_PER_MM,
        )  # fmt: skip

    def _ruler(self, strip: Strip, top: float) -> None:
        y = top - _RULE_MM
        self.pen.rule(self._x(strip, strip.from_m), y, self._x(strip, strip.to_m), y, width=0.7)
        for tick in self._ticks(strip):
            x = self._x(strip, tick.at_m)
            self.pen.rule(x, y, x, y + _TICK_MM[tick.rank], width=0.35 if tick.rank is Rank.WHOLE else 0.18)
            if tick.number:
                self.pen.words(tick.number, x, y + 3.2, cap=CAP_MM, across=0.5)

    def _axes(self, strip: Strip, layout: TapeLayout, top: float) -> None:
        """Axes of the grid in bubbles; names that would lie on each other share one."""
        y, rule = top - _AXIS_MM, top - _RULE_MM
        for names, places in self._bubbles(strip, layout):
            for x in places:
                self.pen.rule(x, rule + 5.6, x, y - _PILL_MM / 2, width=0.25)
                self.pen.rule(x, rule, x, rule + 2.8, width=0.7)
            width = max(self.pen.lettering.width_mm(names, CAP_MM) + 2.4, _PILL_MM)
            x = sum(places) / len(places)
            self.pen.pill(x - width / 2, y - _PILL_MM / 2, x + width / 2, y + _PILL_MM / 2)
            self.pen.words(names, x, y - CAP_MM / 2, cap=CAP_MM, face=Face.BOLD, across=0.5)

    def _bubbles(self, strip: Strip, layout: TapeLayout) -> Iterator[tuple[str, list[float]]]:
        names: list[str] = []
        places: list[float] = []
        for bubble in layout.bubbles:
            if not strip.from_m <= bubble.at_m <= strip.to_m:
                continue
            x = self._x(strip, bubble.at_m)
            if places and x - places[-1] > _PILL_MM + 4 + 1.5 * len(" / ".join(names)):
                yield " / ".join(names), places
                names, places = [], []
            names, places = [*names, bubble.name], [*places, x]
        if places:
            yield " / ".join(names), places

    def _below(self, strip: Strip, layout: TapeLayout, top: float) -> None:
        """Bends as corners, and joints that meet it as stubs with their names, where these have room."""
        y, free = top - _RULE_MM, -1.0
        for at_m in layout.bends:
            if strip.from_m <= at_m <= strip.to_m:
                x = self._x(strip, at_m)
                self.pen.rule(x - 1.2, y - 2.2, x, y - 0.4, width=0.25)
                self.pen.rule(x, y - 0.4, x + 1.2, y - 2.2, width=0.25)
        for branch in layout.branches:
            if not strip.from_m <= branch.at_m <= strip.to_m:
                continue
            x = self._x(strip, branch.at_m)
            self.pen.rule(x, y, x, y - 3.0, width=0.5)
            words = f"{branch.joint.ref} {self._at(strip, branch.at_m)}"
            width = self.pen.lettering.width_mm(words, CAP_MM)
            left = x + 0.8 if x + 0.8 + width <= self.sheet.size_mm[0] - SIDE_MM else x - 0.8 - width
            if left > free:
                self.pen.words(words, left, y - 5.0, cap=CAP_MM)
                free = left + width + 2.0

    def _at(self, strip: Strip, at_m: float) -> str:
        return self.job.units.shown(chainage_m(self.job, strip.joint, at_m))

    def _breaks(self, strip: Strip, top: float) -> None:
        """A zigzag where the joint is broken, else a bar at its end."""
        y = top - _RULE_MM
        for x, broken in ((self._x(strip, strip.from_m), strip.goes_back), (self._x(strip, strip.to_m), strip.goes_on)):
            if broken:
                corners = ((0.0, 3.0), (1.2, 1.0), (-1.2, -1.0), (0.0, -3.0))
                for (dx, dy), (ex, ey) in pairwise(corners):
                    self.pen.rule(x + dx, y + dy, x + ex, y + ey, width=0.35)
            else:
                self.pen.rule(x, y - 1.5, x, y + 3.0, width=0.7)
