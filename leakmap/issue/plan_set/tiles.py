"""Which paper and scale a level is drawn at, and how it is parted where it fits on no sheet.

The scale is the largest of ISO 5455 at which the level fits on the largest sheet. Where coat bands would be too
narrow to be drawn true to scale, the smallest scale at which they are wide enough is taken instead, and what is marked
is drawn in parts that overlap: by as much as the largest thing that must be seen whole, so that every such thing lies
whole on a part, and by 20 mm at least (ours). A thing larger than a quarter of a part is seen whole on the general
plan alone, which then comes first. More than 60 parts help nobody (ours): the scale is made smaller until fewer do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from math import ceil
from typing import Final

from leakmap.geometry.boxes import size_of
from leakmap.geometry.path import Box
from leakmap.issue.marks.zones import LEAST_BAND_MM
from leakmap.issue.plan_set.paper import Paper, allowed, ways
from leakmap.issue.schedule_pdf.paper import iso_scales, scales_up_to

LEAST_OVERLAP_MM: Final = 20.0
_MOST_SHARE: Final = 0.25
_MOST_PARTS: Final = 60
_SPARE_MM: Final = 12.0
"""What may be taken of the free strips round the plan, so that no two parts show nearly the same."""


@dataclass(frozen=True, slots=True)
class Tile:
    """A part of a level.

    Attributes:
        column: From the left, 0 first.
        row: From the top, 0 first.
        box: What is seen whole on it, metres of the site plane.
    """

    column: int
    row: int
    box: Box


@dataclass(frozen=True, slots=True)
class Parting:
    """How a level is put on paper.

    Attributes:
        paper: Of the sheet, or of each part.
        scale: Denominator of the scale of the parts: 100 for 1:100.
        tiles: The parts, row by row from the top; one where the level fits on a sheet.
        general: Paper and scale of the general plan; None where one sheet shows everything.
        across_m: Where match lines stand: site x between each column and the next.
        down_m: Site y between each row and the next.
    """

    paper: Paper
    scale: int
    tiles: tuple[Tile, ...]
    general: tuple[Paper, int] | None = None
    across_m: tuple[float, ...] = ()
    down_m: tuple[float, ...] = ()

    def cell(self, tile: Tile) -> Box:
        """What is looked for on a part: its box, as far as the match lines to its neighbours."""
        x0, y0, x1, y1 = tile.box
        if tile.column > 0:
            x0 = self.across_m[tile.column - 1]
        if tile.column < len(self.across_m):
            x1 = self.across_m[tile.column]
        if tile.row > 0:
            y1 = self.down_m[tile.row - 1]
        if tile.row < len(self.down_m):
            y0 = self.down_m[tile.row]
        return x0, y0, x1, y1


def fits(paper: Paper, scale: float, size_m: tuple[float, float]) -> bool:
    """Whether something is seen whole on a sheet, labels round it included."""
    return all(each * 1000 / scale <= room + 1e-9 for each, room in zip(size_m, paper.room_mm, strict=True))


def whole_on(size_m: tuple[float, float], largest: str) -> tuple[Paper, int]:
    """The sheet on which something is seen whole: the largest scale on the largest sheet, then the smallest that takes it.

    Args:
        size_m: Its width and height.
        largest: Name of the largest sheet that the office prints.
    """
    sheets = allowed(largest)
    widest = ways(*list(sheets.items())[-1])
    scale = next(scale for scale in iso_scales() if any(fits(paper, scale, size_m) for paper in widest))
    papers = (paper for name, sides in sheets.items() for paper in ways(name, sides))
    return next(paper for paper in papers if fits(paper, scale, size_m)), scale


def parting(level: Box, marked: Box | None, whole: Sequence[Box], *, largest: str, band_m: float) -> Parting:
    """How a level is put on paper.

    Args:
        level: Box round all that the level shows, metres, with an extent both ways.
        marked: Box round its joints; None where it has none, so that no parts are needed.
        whole: Boxes of what must be seen whole: zones and leaks.
        largest: Name of the largest sheet that the office prints.
        band_m: Width of a coat band.
    """
    smallest, scale = whole_on(size_of(level), largest)
    widest = ways(*list(allowed(largest).items())[-1])
    legible = [each for each in scales_up_to(scale) if band_m * 1000 / each >= LEAST_BAND_MM]
    if marked is not None and legible:
        for each in scales_up_to(scale):
            if legible[-1] <= each < scale:
                best = min(
                    (_Cut(marked, whole, paper, each) for paper in widest),
                    key=lambda cut: (cut.count, cut.paper.height_mm),
                )
                if best.count <= _MOST_PARTS:
                    return best.parting((smallest, scale))
    return Parting(smallest, scale, (Tile(0, 0, level),))


class _Cut:
    """A level cut into parts on one paper at one scale."""

    def __init__(self, marked: Box, whole: Iterable[Box], paper: Paper, scale: int) -> None:
        self.paper, self.scale, self.marked = paper, scale, marked
        self.room = [each * scale / 1000 for each in paper.room_mm]
        sizes = [size_of(box) for box in whole]
        self.overlap, self.counts = [], []
        for axis in (0, 1):
            most = _MOST_SHARE * self.room[axis]
            overlap = max([size[axis] for size in sizes if size[axis] <= most], default=0.0)
            self.overlap.append(max(overlap, LEAST_OVERLAP_MM * scale / 1000))
            length = marked[axis + 2] - marked[axis]
            if self.room[axis] < length <= self.room[axis] + _SPARE_MM * scale / 1000:
                self.room[axis] = length
            self.counts.append(_count(length, self.room[axis], self.overlap[axis]))

    @property
    def count(self) -> int:
        """Number of parts."""
        return self.counts[0] * self.counts[1]

    def parting(self, general: tuple[Paper, int]) -> Parting:
        """The parts, with the general plan before them."""
        starts = [
            _starts(self.marked[axis], self.marked[axis + 2], self.room[axis], self.counts[axis]) for axis in (0, 1)
        ]
        (wide, high), columns, rows = self.room, starts[0], list(reversed(starts[1]))
        tiles = tuple(
            Tile(column, row, (x, y, x + wide, y + high))
            for (row, y), (column, x) in product(enumerate(rows), enumerate(columns))
        )
        across = tuple((x + wide + following) / 2 for x, following in pairwise(columns))
        down = tuple((y + following + high) / 2 for y, following in pairwise(rows))
        return Parting(self.paper, self.scale, tiles, general, across, down)


def _count(length: float, room: float, overlap: float) -> int:
    """How many parts cover a length: as few as overlap enough."""
    return 1 if length <= room else max(ceil((length - overlap) / (room - overlap) - 1e-9), 2)


def _starts(low: float, high: float, room: float, count: int) -> list[float]:
    """Where parts begin along one axis, spread evenly; one alone lies in the middle."""
    if count == 1:
        return [(low + high - room) / 2]
    return [low + (high - low - room) * step / (count - 1) for step in range(count)]
