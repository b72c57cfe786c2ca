"""Drawings with grid bubbles, made of plain lines and texts in drawing units."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from math import cos, hypot, pi, radians, sin

import numpy as np

from leakmap.geometry.path import Point
from leakmap.model.drawing import Drawing, Layer, LayerState, Strokes, Text, UnitHint

RADIUS = 400.0
LETTERS = dict(zip("ABCDEF", (0, 6000, 12000, 19200, 25200, 31200), strict=True))
NUMBERS = dict(zip("123456", (21600, 17400, 13200, 8400, 4200, 0), strict=True))


@dataclass(slots=True)
class Board:
    """A drawing board.

    Attributes:
        turn_deg: Turn of all that is drawn from now on, about the drawing's zero.
        mirrored: Whether x is turned over before that.
        move: Shift after that.
        skew: How much x grows with y before all that, so that upright lines lean.
    """

    turn_deg: float = 0.0
    mirrored: bool = False
    move: Point = (0.0, 0.0)
    skew: float = 0.0
    lines: list[list[Point]] = field(default_factory=list)
    layers: list[int] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)

    def at(self, point: Point) -> Point:
        """Where a point comes to lie."""
        x = (-1.0 if self.mirrored else 1.0) * (point[0] + self.skew * point[1])
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        return self.move[0] + c * x - s * point[1], self.move[1] + s * x + c * point[1]

    def line(self, *points: Point, layer: int = 0) -> None:
        """A polyline."""
        self.lines.append([self.at(point) for point in points])
        self.layers.append(layer)

    def dashes(self, start: Point, end: Point, *, on: float, off: float) -> None:
        """A line as dashes, each one by itself."""
        length = hypot(end[0] - start[0], end[1] - start[1])
        dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        at = 0.0
        while at < length:
            to = min(at + on, length)
            self.line((start[0] + at * dx, start[1] + at * dy), (start[0] + to * dx, start[1] + to * dy))
            at = to + off

    def circle(self, middle: Point, radius: float = RADIUS, *, chords: int = 32, layer: int = 0) -> None:
        """A circle of chords; its shape is kept whatever the skew."""
        x, y = self.at(middle)
        turns = [2 * pi * n / chords for n in range(chords)]
        ring = [(x + radius * cos(t), y + radius * sin(t)) for t in turns]
        self.lines.append([*ring, ring[0]])
        self.layers.append(layer)

    def text(self, words: str, at: Point, height: float = 350.0, *, across: float = 0.5, up: float = 0.5) -> None:
        """A text."""
        self.texts.append(
            Text(at=self.at(at), height=height, turn_deg=self.turn_deg, across=across, up=up, words=words, layer=0)
        )

    def bubble(self, name: str, at: Point, *, off: Point = (0.0, 0.0), radius: float = RADIUS) -> None:
        """A circle with a name, which may stand off its middle."""
        self.circle(at, radius)
        self.text(name, (at[0] + off[0], at[1] + off[1]), height=0.9 * radius)

    def drawing(self, *, origin: Point = (0.0, 0.0), states: Iterable[LayerState] = (LayerState.ON,)) -> Drawing:
        """All of it, on layers of these states."""
        xy = np.array([point for line in self.lines for point in line], dtype=np.float64).reshape(-1, 2)
        starts = np.cumsum([0, *map(len, self.lines)]).astype(np.int32)
        strokes = Strokes(xy, starts, np.array(self.layers, dtype=np.int32))
        layers = tuple(Layer(f"L{number}", state) for number, state in enumerate(states))
        return Drawing(origin, layers, strokes, tuple(self.texts), UnitHint(0.001, "for the test"), None)


def draw_grid(
    board: Board,
    letters: dict[str, float] = LETTERS,
    numbers: dict[str, float] = NUMBERS,
    *,
    both_ends: bool = False,
    at: Point = (0.0, 0.0),
    dash: tuple[float, float] | None = None,
) -> None:
    """Axes with a bubble at the upper and the left end, or at both ends."""
    x, y = at
    right, top = max(letters.values(), default=0.0), max(numbers.values(), default=0.0)
    axes = [(name, (x + to, y - 1200), (x + to, y + top + 1600)) for name, to in letters.items()]
    axes += [(name, (x + right + 1200, y + to), (x - 1600, y + to)) for name, to in numbers.items()]
    for name, start, end in axes:
        if dash is None:
            board.line(start, end)
        else:
            board.dashes(end, start, on=dash[0], off=dash[1])
        length = hypot(end[0] - start[0], end[1] - start[1])
        way = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        board.bubble(name, (end[0] + RADIUS * way[0], end[1] + RADIUS * way[1]))
        if both_ends:
            board.bubble(name, (start[0] - RADIUS * way[0], start[1] - RADIUS * way[1]))


def bays_m(places: Iterable[float]) -> list[float]:
    """Differences of places in millimetres, in metres, without their sign."""
    return [abs(b - a) / 1000 for a, b in pairwise(places)]
