"""Where references stand on the screen.

A label never covers another label, a group of strokes, a relief ring or another sign. It tries eight
places round its anchor, then places on a leader of up to 60 px, and else is hidden until its thing is pointed at.

Boxes are (min x, min y, max x, max y) in *level pixels*: site metres times the zoom, y up. So places do not
depend on which part of the level is in view, and moving the paper moves no label against its thing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import hypot
from typing import Final

import numpy as np

from leakmap.desk.plan.drawn import Key
from leakmap.desk.plan.taken import Taken, weight_along, weights
from leakmap.geometry.path import Box, Point
from leakmap.issue.marks.labels import HARD
from leakmap.issue.marks.primitives import Tone
from leakmap.model.drawing import FloatArray

MOST_LEADER_PX: Final = 60.0
_STANDS_OFF_PX: Final = (30.0, 20.0, 42.0, 14.0, 60.0)  # a zone's reference stands 30 px off its band
_RINGS_PX: Final = (0.0, 14.0, 28.0, 42.0, 56.0)
_OFF_OWN: Final = 3  # rings
_PLACES: Final = ((1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1))
_PAD_PX: Final = 3.0
_HALO_PX: Final = 4.0
_LEADER_GAP_PX: Final = 3.0
_RING_COST: Final = 0.8
ON_JOINT, ON_BAND, ON_SLEEVE, ON_TEXT, ON_OWN = 4.0, 5.0, 8.0, 6.0, 8.0
"""Weights of what labels avoid where they can."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A label that wants a place.

    Attributes:
        anchors: Points of the site that it may stand beside, best first.
        wide_px: Width of its words.
        high_px: Height of its words: of capitals, and of whole lines between them.
        clear_px: Distance between an anchor and the words.
        shoulder: Whether it always stands on a leader with a shoulder under the words.
        own: Boxes of the site that are its own, such as its handles once it is picked; the words rather stand beside them.
    """

    key: Key
    words: str
    anchors: tuple[Point, ...]
    wide_px: float
    high_px: float
    clear_px: float
    tone: Tone
    shoulder: bool = False
    own: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label in its place.

    Attributes:
        anchor: The point of the site that it stands beside.
        box: Of the words with their pad, pixels from the anchor, y up.
        leader: From the thing to the words, pixels from the anchor, y up; empty when it stands beside it.
    """

    wish: Wish
    anchor: Point
    box: Box
    leader: tuple[Point, ...] = ()

    def box_at(self, px_per_m: float) -> Box:
        """Its box in level pixels."""
        x, y = self.anchor[0] * px_per_m, self.anchor[1] * px_per_m
        return self.box[0] + x, self.box[1] + y, self.box[2] + x, self.box[3] + y

    def reach(self, px_per_m: float) -> Box:
        """The box of the site that its words with their halo and its leader cover, metres."""
        xs, ys = zip(self.box[:2], self.box[2:], *self.leader, strict=True)
        (x, y), k = self.anchor, px_per_m
        low, high = (min(xs) - _HALO_PX, min(ys) - _HALO_PX), (max(xs) + _HALO_PX, max(ys) + _HALO_PX)
        return x + low[0] / k, y + low[1] / k, x + high[0] / k, y + high[1] / k


@dataclass(frozen=True, slots=True)
class _Try:
    anchor: Point
    box: Box
    leader: tuple[Point, ...]
    cost: float
    turn: int


class Board:
    """What stands on a level at one zoom, and the labels that find a place on it.

    Args:
        px_per_m: The zoom.
        inside: Box round the joints, metres: labels rather stand inside it, where the rooms are.
    """

    def __init__(self, px_per_m: float, inside: Box | None = None) -> None:
        self.px_per_m = px_per_m
        self._inside = self._px(inside) if inside is not None else None
        self._taken = Taken()

    def take(self, box: Box, *, weight: float = HARD) -> None:
        """Take a box of the site; of the full weight, no label will cover it."""
        self._taken.add(self._px(box), weight)

    def stay_within(self, box: Box) -> None:
        """Let no label cross the edge of a box of the site."""
        x0, y0, x1, y1 = box
        wide, high = x1 - x0, y1 - y0
        for beyond in (
            (x0 - wide, y0 - high, x0, y1 + high),
            (x1, y0 - high, x1 + wide, y1 + high),
            (x0, y0 - high, x1, y0),
            (x0, y1, x1, y1 + high),
        ):
            self.take(beyond)

    def take_line(self, points: Iterable[Point], weight: float, half_m: float) -> None:
        """Let labels avoid a line of the site where they can."""
        k = self.px_per_m
        self._taken.add_line(((x * k, y * k) for x, y in points), weight, half_m * k)

    def place(self, wishes: Iterable[Wish]) -> Iterator[tuple[Wish, Placed | None]]:
        """Place labels one by one, first come first served; None for one that stays hidden."""
        for wish in wishes:
            best = self._best(wish)
            if best is None:
                yield wish, None
                continue
            self._taken.add(best.box, HARD)
            self._taken.add_line(best.leader, HARD / 4)
            yield wish, self._placed(wish, best)

    def at_any_cost(self, wish: Wish) -> Placed:
        """A place for a label that is pointed at: the one beside it that covers least. It is not taken.

        One with boxes of its own may stand a little off, so that they are seen with it.
        """
        near = self._all_near(wish)
        rings = enumerate(_RINGS_PX[:_OFF_OWN] if wish.own else (0.0,))
        tries = [one for rank, away in rings for one in self._tries(wish, away, rank * _RING_COST, near)]
        return self._placed(wish, min(tries, key=lambda one: one.cost))

    def _placed(self, wish: Wish, best: _Try) -> Placed:
        x, y = best.anchor
        x0, y0, x1, y1 = best.box
        leader = tuple((px - x, py - y) for px, py in best.leader)
        k = self.px_per_m
        return Placed(wish=wish, anchor=(x / k, y / k), box=(x0 - x, y0 - y, x1 - x, y1 - y), leader=leader)

    def _best(self, wish: Wish) -> _Try | None:
        best: _Try | None = None
        near = self._all_near(wish)
        for rank, away in enumerate(_STANDS_OFF_PX if wish.shoulder else _RINGS_PX):
            base = rank * _RING_COST
            if best is not None and best.cost <= base:
                break
            tries = [one for one in self._tries(wish, away, base, near) if one.cost < HARD]
            for one in sorted(tries, key=lambda entry: entry.cost):
                if best is not None and one.cost >= best.cost:
                    break
                crossed = weight_along(one.leader, near[one.turn])
                if crossed < HARD and (best is None or one.cost + 0.3 * crossed < best.cost):
                    best = replace(one, cost=one.cost + 0.3 * crossed)
        return best

    def _all_near(self, wish: Wish) -> list[FloatArray]:
        """What stands where a label may come to stand, for each of its anchors: boxes and weights ``(n, 5)``."""
        wide, high = wish.wide_px + 2 * _PAD_PX, wish.high_px + 2 * _PAD_PX
        away = wish.clear_px + (max(_STANDS_OFF_PX) if wish.shoulder else max(_RINGS_PX))
        own = np.array([(*self._px(box), ON_OWN) for box in wish.own]).reshape(-1, 5)
        found = []
        for site in wish.anchors:
            x, y = site[0] * self.px_per_m, site[1] * self.px_per_m
            taken = self._taken.near((x - away - wide, y - away - high, x + away + wide, y + away + high))
            found.append(np.vstack((taken, own)))
        return found

    def _tries(self, wish: Wish, away: float, base: float, near: list[FloatArray]) -> list[_Try]:
        half_wide, half_high = wish.wide_px / 2 + _PAD_PX, wish.high_px / 2 + _PAD_PX
        clear = wish.clear_px + away
        found = []
        for turn, (site, taken) in enumerate(zip(wish.anchors, near, strict=True)):
            anchor = (site[0] * self.px_per_m, site[1] * self.px_per_m)
            boxes = [_box(anchor, place, clear, half_wide, half_high) for place in _PLACES]
            for order, (box, covered) in enumerate(zip(boxes, weights(boxes, taken), strict=True)):
                leader = _leader(wish, anchor, box) if wish.shoulder or away else ()
                cost = base + 0.04 * order + 0.2 * turn + covered + self._outside(box)
                found.append(_Try(anchor, box, leader, cost, turn))
        return found

    def _outside(self, box: Box) -> float:
        if self._inside is None:
            return 0.0
        x0, y0, x1, y1 = self._inside
        return 0.0 if box[0] >= x0 and box[1] >= y0 and box[2] <= x1 and box[3] <= y1 else 2.0

    def _px(self, box: Box) -> Box:
        k = self.px_per_m
        return box[0] * k, box[1] * k, box[2] * k, box[3] * k


def _box(anchor: Point, place: tuple[int, int], clear: float, half_wide: float, half_high: float) -> Box:
    """The box of words that stand clear of an anchor on one of its sides or corners."""
    dx, dy = place
    off = clear / hypot(dx, dy)
    x, y = anchor[0] + dx * (off + half_wide), anchor[1] + dy * (off + half_high)
    return x - half_wide, y - half_high, x + half_wide, y + half_high


def _leader(wish: Wish, anchor: Point, box: Box) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    if wish.shoulder:
        near, far = (x0, x1) if anchor[0] <= (x0 + x1) / 2 else (x1, x0)
        return anchor, (near, y0), (far, y0)
    end = (min(max(anchor[0], x0), x1), min(max(anchor[1], y0), y1))
    length = hypot(end[0] - anchor[0], end[1] - anchor[1])
    start = min((wish.clear_px + _LEADER_GAP_PX) / length, 1.0) if length else 0.0
    return (anchor[0] + start * (end[0] - anchor[0]), anchor[1] + start * (end[1] - anchor[1])), end


def kept(placed: Mapping[Key, Placed], wishes: Iterable[Wish]) -> dict[Key, Placed]:
    """Labels that stay where they are while something is dragged: those whose thing still has these words."""
    words = {wish.key: wish for wish in wishes}
    return {key: label for key, label in placed.items() if key in words and words[key].words == label.wish.words}
