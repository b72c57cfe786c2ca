"""Where labels go: beside their thing in one of eight places, else on a leader farther away.

No label is put over another label, a group of strokes or a sign as long as any place is left; joint
lines, bands and texts of the drawing are avoided where that costs nothing. Boxes are
(min x, min y, max x, max y) in metres of the site plane.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import chain, pairwise
from math import ceil, floor, hypot
from typing import Final, TypeAlias

from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.primitives import Label, Line, Pen, Tone, on_site

WidthOf: TypeAlias = Callable[[str, float], float]
"""Width in mm on paper of words with a cap height in mm."""

HARD: Final = 1000.0
"""Weight of what a label must not cover."""

_OUTSIDE: Final = 100_000.0
_PIECE_MM: Final = 3.0
_CELL_MM: Final = 8.0
_MOST_CELLS: Final = 400  # what covers more stands in no cell but in a list of its own
_RINGS_MM: Final = (0.0, 2.5, 5.0, 8.0, 12.0, 16.0, 22.0, 30.0)
_PLACES: Final = ((1, 1), (1, -1), (-1, 1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1))
_SHOULDER_MM: Final = 0.8
LEADER_WIDTH_MM: Final = 0.25


def width_guess_mm(words: str, cap_mm: float) -> float:
    """Width of words in a semi-condensed face, for renderers without font metrics: 0.72 cap heights a character."""
    return 0.72 * cap_mm * len(words)


@dataclass(slots=True)
class Occupied:
    """What stands on the plan already, by weight, in a grid of cells.

    Attributes:
        scale: Plot scale.
        within: Box that labels stay in; None: anywhere.
    """

    scale: float
    within: Box | None = None
    _cells: dict[tuple[int, int], list[tuple[Box, float]]] = field(default_factory=lambda: defaultdict(list))
    _large: list[tuple[Box, float]] = field(default_factory=list)

    def add(self, box: Box, weight: float) -> None:
        """Take a box."""
        if self._count(box) > _MOST_CELLS:
            self._large.append((box, weight))
            return
        for cell in self._cells_of(box):
            self._cells[cell].append((box, weight))

    def add_line(self, points: Iterable[Point], weight: float, half_m: float = 0.0) -> None:
        """Take a line, each piece widened by ``half_m``; slanting pieces are cut short, since boxes lie level."""
        step = on_site(_PIECE_MM, self.scale)
        for (x0, y0), (x1, y1) in pairwise(points):
            slants = min(abs(x1 - x0), abs(y1 - y0)) > step / 10
            count = max(ceil(hypot(x1 - x0, y1 - y0) / step), 1) if slants else 1
            stops = [(x0 + (x1 - x0) * k / count, y0 + (y1 - y0) * k / count) for k in range(count + 1)]
            for a, b in pairwise(stops):
                self.add(_round(a, b, half_m), weight)

    def cost(self, box: Box) -> float:
        """Weight of all that a box would cover."""
        return sum(weight for _, weight in self._met(box)) + self._outside(box)

    def _met(self, box: Box) -> set[tuple[Box, float]]:
        x0, y0, x1, y1 = box
        if self._count(box) > _MOST_CELLS:
            near = chain.from_iterable(self._cells.values())
        else:
            near = chain.from_iterable(self._cells.get(cell, ()) for cell in self._cells_of(box))
        return {
            (other, weight)
            for other, weight in chain(near, self._large)
            if other[0] < x1 and x0 < other[2] and other[1] < y1 and y0 < other[3]
        }

    def cost_of_line(self, points: Iterable[Point]) -> float:
        """Weight of all that a leader would cross, each thing once."""
        step = on_site(_PIECE_MM / 2, self.scale)
        found: set[tuple[Box, float]] = set()
        for (x0, y0), (x1, y1) in pairwise(points):
            count = max(ceil(hypot(x1 - x0, y1 - y0) / step), 1)
            stops = [(x0 + (x1 - x0) * k / count, y0 + (y1 - y0) * k / count) for k in range(count + 1)]
            found.update(item for a, b in pairwise(stops) for item in self._met(_round(a, b, 0.0)))
        return sum(weight for _, weight in found)

    def _outside(self, box: Box) -> float:
        if self.within is None:
            return 0.0
        x0, y0, x1, y1 = self.within
        return 0.0 if box[0] >= x0 and box[1] >= y0 and box[2] <= x1 and box[3] <= y1 else _OUTSIDE

    def _count(self, box: Box) -> float:
        """About how many cells a box covers."""
        size = on_site(_CELL_MM, self.scale)
        return ((box[2] - box[0]) / size + 1) * ((box[3] - box[1]) / size + 1)

    def _cells_of(self, box: Box) -> Iterator[tuple[int, int]]:
        size = on_site(_CELL_MM, self.scale)
        for column in range(floor(box[0] / size), floor(box[2] / size) + 1):
            for row in range(floor(box[1] / size), floor(box[3] / size) + 1):
                yield column, row


def _round(a: Point, b: Point, half: float) -> Box:
    return min(a[0], b[0]) - half, min(a[1], b[1]) - half, max(a[0], b[0]) + half, max(a[1], b[1]) + half


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A label that wants a place.

    Attributes:
        anchors: Points that it may stand beside or point at, best first.
        clear_mm: Distance on paper between an anchor and the words.
        shoulder: Whether it always stands on a leader with a shoulder under the words.
        needed: Whether it must stand on the plan even where no place is left that covers nothing.
    """

    words: str
    anchors: tuple[Point, ...]
    cap_mm: float
    clear_mm: float
    tone: Tone
    shoulder: bool = False
    needed: bool = True


@dataclass(frozen=True, slots=True)
class _Place:
    box: Box
    leader: tuple[Point, ...]
    cost: float


def placed(wanted: Wanted, occupied: Occupied, width_of: WidthOf) -> Label | None:
    """The label in the best place that is left; the place is taken in ``occupied``.

    None where it is not needed and every place would cover a label, a sign or a group of strokes.
    """
    scale = occupied.scale
    width = on_site(width_of(wanted.words, wanted.cap_mm), scale)
    best = _best(wanted, occupied, width)
    if best.cost >= HARD and not wanted.needed:
        return None
    pad = on_site(wanted.cap_mm * 0.3, scale)
    occupied.add(best.box, HARD)
    if best.leader:
        occupied.add_line(best.leader, HARD / 4)
    return Label(
        words=wanted.words,
        at=(best.box[0] + pad, best.box[1] + pad),
        cap_height_m=on_site(wanted.cap_mm, scale),
        width_m=width,
        tone=wanted.tone,
        leader=best.leader,
    )


def _best(wanted: Wanted, occupied: Occupied, width: float) -> _Place:
    best: _Place | None = None
    for rank, ring in enumerate(_RINGS_MM):
        if best is not None and best.cost <= rank * 0.8:
            break
        for place in _places(wanted, occupied, width, ring, rank * 0.8):
            if best is not None and place.cost >= best.cost:
                continue
            cost = place.cost + 0.3 * occupied.cost_of_line(place.leader[:2])
            if best is None or cost < best.cost:
                best = replace(place, cost=cost)
    assert best is not None
    return best


def _places(wanted: Wanted, occupied: Occupied, width: float, ring_mm: float, base: float) -> Iterator[_Place]:
    scale = occupied.scale
    pad = on_site(wanted.cap_mm * 0.3, scale)
    half_width, half_height = width / 2 + pad, on_site(wanted.cap_mm / 2, scale) + pad
    clear = on_site(wanted.clear_mm + ring_mm, scale)
    for turn, anchor in enumerate(wanted.anchors):
        for order, (dx, dy) in enumerate(_PLACES):
            away = clear / hypot(dx, dy)
            x, y = anchor[0] + dx * (away + half_width), anchor[1] + dy * (away + half_height)
            box = (x - half_width, y - half_height, x + half_width, y + half_height)
            leader = _leader(wanted, anchor, box, scale) if wanted.shoulder or ring_mm else ()
            yield _Place(box, leader, base + 0.04 * order + 0.3 * turn + occupied.cost(box))


def _leader(wanted: Wanted, anchor: Point, box: Box, scale: float) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    if not wanted.shoulder:
        return anchor, (min(max(anchor[0], x0), x1), min(max(anchor[1], y0), y1))
    low = y0 - on_site(_SHOULDER_MM - 0.5, scale)
    near, far = (x0, x1) if anchor[0] <= (x0 + x1) / 2 else (x1, x0)
    return anchor, (near, low), (far, low)


def leader_line(label: Label) -> Line | None:
    """The leader of a label as a line; None where it has none."""
    if not label.leader:
        return None
    return Line(points=label.leader, pen=Pen(label.tone, LEADER_WIDTH_MM))
