"""Where labels go: beside their thing in one of eight places, else on a leader farther away.

No label is put over another label, a group of strokes or a sign as long as any place is left; joint
lines, bands and texts of the drawing are avoided where that costs nothing. Boxes are
(min x, min y, max x, max y) in metres of the site plane.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import ceil, floor, hypot, inf
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.primitives import Label, Line, Pen, Tone, on_site

WidthOf: TypeAlias = Callable[[str, float], float]
"""Width in mm on paper of words with a cap height in mm."""

Boxes: TypeAlias = npt.NDArray[np.float64]

HARD: Final = 1000.0
"""Weight of what a label must not cover."""

_OUTSIDE: Final = 100_000.0
_PIECE_MM: Final = 3.0
_CELL_MM: Final = 8.0
_MOST_CELLS: Final = 400  # what covers more stands in no cell but in a list of its own
_ROOM: Final = 256  # boxes that there is room for at first
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
    _cells: dict[tuple[int, int], list[int]] = field(default_factory=lambda: defaultdict(list))
    _large: list[int] = field(default_factory=list)
    _known: dict[tuple[Box, float], int] = field(default_factory=dict)
    _rows: Boxes = field(default_factory=lambda: np.empty((_ROOM, 5)))

    def add(self, box: Box, weight: float) -> None:
        """Take a box; one that stands there already with the same weight counts once."""
        if (box, weight) in self._known:
            return
        number = self._known[box, weight] = len(self._known)
        if number == len(self._rows):
            self._rows = np.concatenate((self._rows, np.empty_like(self._rows)))
        self._rows[number] = (*box, weight)
        if self._count(box) > _MOST_CELLS:
            self._large.append(number)
        else:
            for cell in self._cells_of(box):
                self._cells[cell].append(number)

    def add_line(self, points: Iterable[Point], weight: float, half_m: float = 0.0) -> None:
        """Take a line, each piece widened by ``half_m``; slanting pieces are cut short, since boxes lie level."""
        step = on_site(_PIECE_MM, self.scale)
        for (x0, y0), (x1, y1) in pairwise(points):
            slants = min(abs(x1 - x0), abs(y1 - y0)) > step / 10
            count = max(ceil(hypot(x1 - x0, y1 - y0) / step), 1) if slants else 1
            stops = [(x0 + (x1 - x0) * k / count, y0 + (y1 - y0) * k / count) for k in range(count + 1)]
            for a, b in pairwise(stops):
                self.add(_round(a, b, half_m), weight)

    def costs(self, boxes: Boxes) -> Boxes:
        """Weight of all that each of some boxes would cover, each thing once.

        Args:
            boxes: (n, 4), min x, min y, max x, max y.
        """
        there = self._near((*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)))
        total = _covers(boxes, there) @ there[:, 4]
        if self.within is not None:
            x0, y0, x1, y1 = self.within
            inside = (boxes[:, 0] >= x0) & (boxes[:, 1] >= y0) & (boxes[:, 2] <= x1) & (boxes[:, 3] <= y1)
            total = total + np.where(inside, 0.0, _OUTSIDE)
        return np.asarray(total)

    def cost(self, box: Box) -> float:
        """Weight of all that a box would cover."""
        return float(self.costs(np.array([box]))[0])

    def cost_of_line(self, points: Sequence[Point]) -> float:
        """Weight of all that a leader would cross, each thing once."""
        step = on_site(_PIECE_MM / 2, self.scale)
        parts = []
        for (x0, y0), (x1, y1) in pairwise(points):
            share = np.linspace(0.0, 1.0, max(ceil(hypot(x1 - x0, y1 - y0) / step), 1) + 1)
            x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
            low, high = np.minimum(x[:-1], x[1:]), np.maximum(x[:-1], x[1:])
            parts.append(np.stack((low, np.minimum(y[:-1], y[1:]), high, np.maximum(y[:-1], y[1:])), axis=1))
        if not parts:
            return 0.0
        boxes = np.concatenate(parts)
        there = self._near((*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)))
        return float(_covers(boxes, there).any(axis=0) @ there[:, 4])

    def _near(self, box: Box) -> Boxes:
        """What may lie in a box: (n, 5), boxes with their weights."""
        if self._count(box) > _MOST_CELLS:
            return self._rows[: len(self._known)]
        near = {number for cell in self._cells_of(box) for number in self._cells.get(cell, ())}
        return self._rows[[*sorted(near), *self._large]]

    def _count(self, box: Box) -> float:
        """About how many cells a box covers."""
        size = on_site(_CELL_MM, self.scale)
        return ((box[2] - box[0]) / size + 1) * ((box[3] - box[1]) / size + 1)

    def _cells_of(self, box: Box) -> Iterator[tuple[int, int]]:
        size = on_site(_CELL_MM, self.scale)
        for column in range(floor(box[0] / size), floor(box[2] / size) + 1):
            for row in range(floor(box[1] / size), floor(box[3] / size) + 1):
                yield column, row


def _covers(boxes: Boxes, there: Boxes) -> npt.NDArray[np.bool_]:
    """Which of some boxes share area with which of what stands there: (boxes, there)."""
    left, low, right, high = (there[:, side] for side in range(4))
    x0, y0, x1, y1 = (boxes[:, side, None] for side in range(4))
    return np.asarray((left < x1) & (x0 < right) & (low < y1) & (y0 < high))


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
        best = _cheaper(best, list(_places(wanted, occupied.scale, width, ring, rank * 0.8)), occupied)
    assert best is not None
    return best


def _cheaper(best: _Place | None, places: Sequence[_Place], occupied: Occupied) -> _Place | None:
    """The best of some places, the first of equal ones, where it is better than what there is.

    A place is looked at more closely, for what its leader crosses, only while those that cost less are not better.
    """
    found: tuple[float, int] | None = None
    most = inf if best is None else best.cost
    boxes = np.array([place.box for place in places])
    costs = np.array([place.cost for place in places]) + occupied.costs(boxes)
    for index in np.argsort(costs, kind="stable").tolist():
        cost = float(costs[index])
        if cost >= most or (found is not None and cost > found[0]):
            break
        cost += 0.3 * occupied.cost_of_line(places[index].leader[:2])
        if cost < most and (found is None or (cost, index) < found):
            found = cost, index
    return best if found is None else replace(places[found[1]], cost=found[0])


def _places(wanted: Wanted, scale: float, width: float, ring_mm: float, base: float) -> Iterator[_Place]:
    """Places on a ring, each with what it costs by itself; what it would cover comes on top."""
    pad = on_site(wanted.cap_mm * 0.3, scale)
    half_width, half_height = width / 2 + pad, on_site(wanted.cap_mm / 2, scale) + pad
    clear = on_site(wanted.clear_mm + ring_mm, scale)
    for turn, anchor in enumerate(wanted.anchors):
        for order, (dx, dy) in enumerate(_PLACES):
            away = clear / hypot(dx, dy)
            x, y = anchor[0] + dx * (away + half_width), anchor[1] + dy * (away + half_height)
            box = (x - half_width, y - half_height, x + half_width, y + half_height)
            leader = _leader(wanted, anchor, box, scale) if wanted.shoulder or ring_mm else ()
            yield _Place(box, leader, base + 0.04 * order + 0.3 * turn)


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
