"""What stands on a view besides drawing and marks: where each piece of it lies on the page, in mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from leakmap.geometry.boxes import meet
from leakmap.geometry.path import Box, Point
from leakmap.issue.heading import Heading
from leakmap.issue.plan_set.signs_used import CROSS_MM
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View
from leakmap.issue.schedule_pdf.plan_page import bar_mm, warning_lines
from leakmap.model.grid import line_of

BUBBLE_MM: Final = 3.0
"""Radius of the circle that holds the name of an axis."""

_NAME_MM: Final = 1.3
_SIDES: Final = ((1, 1), (-1, 1), (1, -1), (-1, -1))
_AWAY_MM: Final = (0.8, 2.4, 4.0)


class Notes:
    """Frames of details, outlines of parts, match lines, axes, points to tape from, scale bar and warnings.

    Args:
        sheet: The sheet.
        view: One of its views.
        sheets: All of the set.
        heading: What the paper says of itself.
    """

    def __init__(self, sheet: PlanSheet, view: View, sheets: Sheets, heading: Heading) -> None:
        self.sheet, self.view, self.sheets = sheet, view, sheets
        plan, general = view.detail is None, sheet.kind is Kind.GENERAL
        self.warnings = warning_lines(view.field_mm, view.level.sheet, heading) if plan else []
        self.frames = list(self._frames()) if plan and not general else []
        self.parts = list(self._parts()) if general else []
        self.matches = list(self._matches())
        self.axes = [(self._bubbles(ends), ends, name) for ends, name in self._axes()]
        self.points = [] if general else list(self._points())

    def boxes(self) -> Iterator[Box]:
        """Boxes on the page that labels keep off."""
        bar = self._bar()
        yield from [bar] if bar is not None else []
        yield from (box for _, box in self.warnings)
        yield from (_word_box(at, words) for _, words, at in (*self.frames, *self.parts))
        yield from (_round_line(ends) for ends, _ in self.matches)
        for bubbles, _, _ in self.axes:
            yield from (_round_point(end, BUBBLE_MM) for end in bubbles)
        for name, at, words in self.points:
            yield _round_point(at, CROSS_MM)
            yield (*words, words[0] + _NAME_MM * len(name), words[1] + 1.8)

    def _frames(self) -> Iterator[tuple[Box, str, Point]]:
        """Frame, words and their place of each detail that the view shows."""
        for detail in self.sheets.details_in(self.view):
            box = self.view.on_page(detail.box)
            yield box, f"{detail.letter}, sheet {self.sheets.details[detail.letter]}", (box[0], box[3] + 1.0)

    def _parts(self) -> Iterator[tuple[Box, str, Point]]:
        for each in self.sheets.of(self.view.level):
            if each.tile is not None:
                box = self.view.on_page(each.tile.box)
                yield box, f"sheet {each.number}", (box[0] + 1.5, box[3] - 4.5)

    def _matches(self) -> Iterator[tuple[tuple[Point, Point], int]]:
        """Ends of each match line, and the sheet beyond it."""
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
        """Where each axis of the grid enters and leaves the view, and its name."""
        grid = self.view.level.job.grid
        if grid is None:
            return
        inset = BUBBLE_MM + 1.5
        left, bottom, right, top = self.view.field_mm
        box = (left + inset, bottom + inset, right - inset, top - inset)
        for axes in (grid.letters, grid.numbers):
            for axis in axes.each:
                (x, y), way = line_of(grid, axes, axis)
                ends = _cut(self.view.on_page((x, y, 0, 0))[:2], way, box)
                if ends is not None:
                    yield ends, axis.name

    def _bubbles(self, ends: tuple[Point, ...]) -> list[Point]:
        """Where the name of an axis stands: at both ends but those that the scale bar or a warning takes."""
        taken = [box for box in (self._bar(), *(box for _, box in self.warnings)) if box is not None]
        wanted = ends[:1] if self.view.detail is not None else ends
        return [end for end in wanted if not any(meet(box, _round_point(end, BUBBLE_MM)) for box in taken)]

    def _bar(self) -> Box | None:
        if self.view.detail is not None:
            return None
        left, bottom, _, _ = self.view.field_mm
        return left, bottom, left + 20 + bar_mm(self.view.scale, self.view.level.job.units), bottom + 10

    def _points(self) -> Iterator[tuple[str, Point, Point]]:
        """Points to tape from: name, place, and where the name begins; what the plan names already gets no other."""
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
                places = [_name_box((x, y), name, *sides, away) for away in _AWAY_MM for sides in _SIDES]
                costs = [sum(meet(box, other) for other in (*zones, *taken, *taken)) for box in places]
                box = places[costs.index(min(costs))]
                taken += [box, _round_point((x, y), CROSS_MM / 2)]
                yield name, (x, y), box[:2]


def _word_box(at: Point, words: str) -> Box:
    return at[0] - 0.5, at[1] - 0.5, at[0] + 2.0 * len(words), at[1] + 3.5


def _name_box(at: Point, name: str, right: int, up: int, away: float) -> Box:
    """Where the name of a point may stand: to its right or left, above or below."""
    width = _NAME_MM * len(name)
    x = at[0] + away if right > 0 else at[0] - away - width
    y = at[1] + away if up > 0 else at[1] - away - 1.8
    return x, y, x + width, y + 1.8


def _round_point(at: Point, radius: float) -> Box:
    return at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius


def _round_line(ends: tuple[Point, Point]) -> Box:
    """A match line and its words beside it."""
    (x0, y0), (x1, y1) = ends
    return x0 - 4.5, y0 - 1.0, x1 + 1.0, y1 + 4.5


def _cut(at: Point, way: Point, box: Box) -> tuple[Point, Point] | None:
    """Where a straight line without ends leaves and enters a box; None where it passes it by.

    >>> _cut((1.0, 5.0), (0.0, 1.0), (0.0, 0.0, 4.0, 3.0)), _cut((9.0, 0.0), (0.0, 1.0), (0.0, 0.0, 4.0, 3.0))
    (((1.0, 3.0), (1.0, 0.0)), None)
    """
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
