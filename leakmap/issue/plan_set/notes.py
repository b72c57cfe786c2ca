"""What stands on a view besides drawing and marks: where each piece of it lies on the page, in mm."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from math import hypot
from typing import Final

from leakmap.geometry.boxes import meet, widened
from leakmap.geometry.path import Box, Point
from leakmap.issue.heading import Heading
from leakmap.issue.plan_set.signs_used import CROSS_MM
from leakmap.issue.plan_set.views import Kind, PlanSheet, Sheets, View
from leakmap.issue.schedule_pdf.plan_page import bar_mm, warning_lines
from leakmap.model.grid import line_of

BUBBLE_MM: Final = 3.0
"""Radius of the circle that holds the name of an axis."""

LINE_MM: Final = 4.2
"""From line to line of what a frame says."""

MATCH_MM: Final = 33.0
"""Length of the words beside a match line."""

_MOST_FRAMES, _MOST_LINES = 12, 4
_ROOM_MM: Final = 35.0
"""A part that is narrower on a general plan lists no zones."""


@dataclass(frozen=True, slots=True)
class Framed:
    """A frame on a plan, and what it says.

    Attributes:
        box: The frame on the page, mm.
        lines: Its words.
        at: Where the first line begins.
    """

    box: Box
    lines: tuple[str, ...]
    at: Point

    @property
    def sides(self) -> tuple[tuple[Point, Point], ...]:
        """Its four sides, each from its lower or left end."""
        x0, y0, x1, y1 = self.box
        corners = (x0, y0), (x1, y0), (x0, y1), (x1, y1)
        return tuple((corners[a], corners[b]) for a, b in ((0, 1), (2, 3), (0, 2), (1, 3)))

    @property
    def words_mm(self) -> Box:
        """Box on the page round its words."""
        wide, (x, y) = max(map(len, self.lines)), self.at
        return x - 0.5, y - 0.5 - (len(self.lines) - 1) * LINE_MM, x + 2.0 * wide, y + 3.5


@dataclass(frozen=True, slots=True)
class Match:
    """A match line, the sheet beyond it, and where its words begin; beside an upright one they run upwards."""

    ends: tuple[Point, Point]
    number: int
    at: Point

    @property
    def words(self) -> str:
        """What stands beside it."""
        return f"match line, see sheet {self.number}"

    @property
    def upright(self) -> bool:
        """Whether it runs up the page."""
        return self.ends[0][0] == self.ends[1][0]

    @property
    def words_mm(self) -> Box:
        """Box on the page round its words."""
        x, y = self.at
        return (x - 3.0, y - 0.5, x + 0.5, y + MATCH_MM) if self.upright else (x - 0.5, y - 0.5, x + MATCH_MM, y + 3.0)


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
        self.warnings = _side_by_side(warning_lines(view.field_mm, view.level.sheet, heading), view) if plan else []
        self.frames = list(self._frames()) if plan else []
        self.parts = list(self._parts()) if general else []
        self.bar = self._bar()
        self.matches = list(self._matches())
        self.axes = [(self._bubbles(ends), ends, name) for ends, name in self._axes()]
        self.points = [] if general else list(self._points())
        self.names = {} if general else self._names()

    def boxes(self) -> Iterator[Box]:
        """Boxes on the page that labels keep off."""
        yield from [self.bar] if self.bar is not None else []
        yield from (box for _, box in self.warnings)
        yield from (framed.words_mm for framed in (*self.frames, *self.parts))
        yield from (_round_line(ends) for framed in self.frames for ends in framed.sides)
        yield from (_round_line(match.ends) for match in self.matches)
        yield from (match.words_mm for match in self.matches)
        for bubbles, _, _ in self.axes:
            yield from (_round_point(end, BUBBLE_MM) for end in bubbles)
        for at in self.points:
            yield _round_point(at, CROSS_MM)

    def _frames(self) -> Iterator[Framed]:
        """The details that the view shows; where a general plan would show many, its parts do."""
        details = list(self.sheets.details_in(self.view))
        if self.sheet.kind is Kind.GENERAL and len(details) > _MOST_FRAMES:
            return
        taken = [self.view.on_page(detail.box) for detail in details]
        for detail in details:
            box = self.view.on_page(detail.box)
            words = f"{detail.letter}, sheet {self.sheets.details[detail.letter]}"
            corners = product((box[3] + 1.0, box[1] - 3.7), (box[0], box[2] - 2.0 * len(words)))
            places = [Framed(box, (words,), (x, y)) for y, x in corners]
            costs = [sum(meet(each.words_mm, other) for other in taken) for each in places]
            best = places[costs.index(min(costs))]
            taken.append(best.words_mm)
            yield best

    def _parts(self) -> Iterator[Framed]:
        """The parts with the numbers of their sheets, and the zones that are shown whole there."""
        for each in self.sheets.of(self.view.level):
            if each.tile is None:
                continue
            box = self.view.on_page(each.part.cell(each.tile))
            room = box[2] - box[0] - 4.0
            refs = [ref for (ref, _), (home, _) in self.sheets.homes.items() if home is each]
            words = f"sheet {each.number}"
            if self.view.level.lettering.width_mm(words, 2.5) > room:
                words = str(each.number)
            elif refs and room > _ROOM_MM:
                words += f": {', '.join(ranges(refs))}"
            lines = _lines(words, lambda line: self.view.level.lettering.width_mm(line, 2.5) <= room)  # noqa: B023 - called at once
            marked = [self.view.on_page(zone) for zone in self.view.level.zones.values()]
            free = range(max(int((box[3] - box[1]) / 2 - LINE_MM * len(lines)), 1))
            tries = [Framed(box, lines, (box[0] + 1.5, box[3] - 4.5 - down)) for down in free[::2]]
            yield min(tries, key=lambda framed: sum(meet(framed.words_mm, zone) for zone in marked))

    def _matches(self) -> Iterator[Match]:
        """Each match line, its words where they cover least of what is marked."""
        marked = [*self.view.level.zones.values(), *self.view.level.leaks.values()]
        zones = [widened(self.view.on_page(box), 1.0) for box in marked if meet(box, self.view.seen)]
        others = [box for box in (self.bar, *(box for _, box in self.warnings)) if box is not None]
        for ends, number in self._match_lines():
            (x0, y0), (x1, y1) = ends
            upright, free = x0 == x1, range(int(hypot(x1 - x0, y1 - y0) - MATCH_MM - 6) // 6)
            tries = [
                Match(ends, number, (x0 - 1.2, y1 - MATCH_MM - 6 * n) if upright else (x1 - MATCH_MM - 6 * n, y0 + 1.2))
                for n in free or (0,)
            ]
            yield min(tries, key=lambda match: sum(meet(match.words_mm, box) for box in (*zones, *others, *others)))

    def _match_lines(self) -> Iterator[tuple[tuple[Point, Point], int]]:
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
        taken = [box for box in (self.bar, *(box for _, box in self.warnings)) if box is not None]
        wanted = ends[:1] if self.view.detail is not None else ends
        return [end for end in wanted if not any(meet(box, _round_point(end, BUBBLE_MM)) for box in taken)]

    def _bar(self) -> Box | None:
        """Box round the scale bar; a detail has none."""
        if self.view.detail is not None:
            return None
        left, bottom, _, _ = self.view.field_mm
        return left, bottom, left + 20 + bar_mm(self.view.scale, self.view.level.job.units), bottom + 10

    def _points(self) -> Iterator[Point]:
        """Places of the points to tape from."""
        found = self.view.level.set_out
        for number in found.used if found is not None else ():
            assert found is not None
            x, y = self.view.on_page((*found.known[number].at, 0, 0))[:2]
            if self._holds((x, y)):
                yield x, y

    def _names(self) -> dict[str, Point]:
        """Site positions of the points to tape from by name; what the plan names already gets no other name."""
        found = self.view.level.set_out
        named = [found.known[number] for number in found.used] if found is not None else []
        here = (known for known in named if self._holds(self.view.on_page((*known.at, 0, 0))[:2]))
        return {known.name: known.at for known in here if known.name.startswith("P")}

    def _holds(self, at: Point) -> bool:
        left, bottom, right, top = self.view.field_mm
        return left + 2 <= at[0] <= right - 6 and bottom + 2 <= at[1] <= top - 4


def ranges(refs: Iterable[str]) -> list[str]:
    """References in few words: those whose numbers follow each other from the first to the last.

    >>> ranges(["Z-01", "Z-02", "Z-03", "Z-07", "Z-09", "Z-10"])
    ['Z-01–Z-03', 'Z-07', 'Z-09', 'Z-10']
    """
    runs: list[list[str]] = []
    for ref in sorted(refs, key=_number):
        if runs and _number(ref) == _number(runs[-1][-1]) + 1:
            runs[-1].append(ref)
        else:
            runs.append([ref])
    return [word for run in runs for word in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else run)]


def _number(ref: str) -> int:
    return int(ref.rpartition("-")[2])


def _lines(words: str, fits: Callable[[str], bool]) -> tuple[str, ...]:
    """Words in lines that fit; what is more than a few lines is left out with an ellipsis."""
    lines = [""]
    for word in words.split(" "):
        longer = f"{lines[-1]} {word}".lstrip()
        if not lines[-1] or fits(longer):
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) > _MOST_LINES:
        lines = [*lines[: _MOST_LINES - 1], f"{lines[_MOST_LINES - 1].rstrip(',')} …"]
    return tuple(lines)


def _round_point(at: Point, radius: float) -> Box:
    return at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius


def _round_line(ends: tuple[Point, Point]) -> Box:
    (x0, y0), (x1, y1) = ends
    return x0 - 1.0, y0 - 1.0, x1 + 1.0, y1 + 1.0


def _side_by_side(warnings: list[tuple[str, Box]], view: View) -> list[tuple[str, Box]]:
    """Warnings in one line over the plan, where the field is so wide; else as given, one below the other."""
    right, found = view.field_mm[0] + 5.0, []
    for words, (x0, y0, x1, y1) in warnings:
        wide, rise = x1 - x0, warnings[0][1][1] - y0
        found.append((words, (right, y0 + rise, right + wide, y1 + rise)))
        right += wide + 6.0
    return found if right < view.field_mm[2] else warnings


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
