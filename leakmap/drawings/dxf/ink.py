"""Ink: what a block or a layout draws, gathered once and placed as often as it is inserted.

Ink keeps three dimensions and its own coordinates. What lies on layer 0 of a block takes the layer
of the insert; until the insert is known its layer is ``INHERIT``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from leakmap.drawings.dxf.curves import Chords, swept
from leakmap.drawings.dxf.endless import NO_ENDLESS, EndlessLines, endless_lines, joined
from leakmap.model.drawing import FloatArray, IntArray

INHERIT: Final = -1
"""Layer of what takes the layer of its insert."""

_SHEET: Final = 50_000
"""Points or arcs that are gathered one by one before they are put away as an array."""

Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Lettering:
    """A text before its drawing is flat.

    Attributes:
        at: Insertion point.
        along: Direction of its line, of length 1 in the text's own block.
        rise: Direction up the letters, as long as the letters are high.
        across: 0 left, 0.5 middle, 1 right.
        up: 0 baseline, 0.5 middle, 1 top.
        words: What it says.
        layer: Number of its layer, or ``INHERIT``.
    """

    at: Vector
    along: Vector
    rise: Vector
    across: float
    up: float
    words: str
    layer: int


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """Lines and texts of a block or a layout.

    Attributes:
        xyz: ``(n, 3)`` points of all polylines in a row.
        counts: ``(m,)`` how many points each polyline has.
        layer: ``(m,)`` number of the layer of each, or ``INHERIT``.
        letterings: Texts.
        endless: Lines without ends.
    """

    xyz: FloatArray
    counts: IntArray
    layer: IntArray
    letterings: tuple[Lettering, ...]
    endless: EndlessLines = NO_ENDLESS

    @property
    def points(self) -> int:
        """Points that its lines take when they are drawn."""
        return len(self.xyz) + 2 * len(self.endless)


@dataclass(slots=True)
class _Placings:
    ink: Ink
    layer: int
    whole: bool
    matrices: list[FloatArray]
    steps: list[FloatArray]


class Pen:
    """Gathers ink.

    Attributes:
        tolerance: Greatest distance between a chord and its curve, in the pen's own units.
        chords: What its curves may still have, which all pens of a drawing share.
    """

    def __init__(self, tolerance: float, chords: Chords | None = None) -> None:
        self.tolerance = tolerance
        self.chords = chords or Chords()
        self._points: list[Vector] = []
        self._counts: list[int] = []
        self._layers: list[int] = []
        self._sheets: list[tuple[FloatArray, IntArray, IntArray]] = []
        self._arc_sheets: list[tuple[FloatArray, IntArray]] = []
        self._arcs: list[tuple[Sequence[float], int]] = []
        self._letterings: list[Lettering] = []
        self._endless: list[tuple[Vector, Vector, bool, int]] = []
        self._placings: dict[tuple[int, int, bool], _Placings] = {}

    def line(self, points: Sequence[Vector], layer: int) -> None:
        """Draw a polyline through points."""
        self._points.extend(points)
        self._counts.append(len(points))
        self._layers.append(layer)
        if len(self._points) > _SHEET:
            self._put_lines_away()

    def array(self, points: FloatArray, layer: int) -> None:
        """Draw a polyline through the rows ``(k, 3)`` of an array."""
        if len(points) > _SHEET:
            self.lines(points, np.array([len(points)], dtype=np.int32), np.array([layer], dtype=np.int32))
        else:
            self.line(list(map(tuple, points.tolist())), layer)

    def lines(self, xyz: FloatArray, counts: IntArray, layers: IntArray) -> None:
        """Draw many polylines: points ``(n, 3)`` of all in a row, how many points each has, and its layer."""
        self._put_lines_away()
        self._sheets.append((xyz, counts, layers))

    def arcs(self, table: FloatArray, layers: IntArray) -> None:
        """Draw many arcs, each with a layer: rows ``(a, 11)`` of centre, u, v and turn, see ``arc``."""
        self._put_arcs_away()
        self._arc_sheets.append((table, layers))

    def arc(self, centre: Vector, u: Vector, v: Vector, turn: tuple[float, float], layer: int) -> None:
        """Draw ``centre + cos t · u + sin t · v``; ``turn`` is where t starts and how far it runs, radians."""
        self._arcs.append(((*centre, *u, *v, *turn), layer))
        if len(self._arcs) > _SHEET:
            self._put_arcs_away()

    def endless(self, at: Vector, way: Vector, layer: int, *, both: bool) -> None:
        """Draw a line without an end from a place, one way or both."""
        self._endless.append((at, way, both, layer))

    def letter(self, lettering: Lettering) -> None:
        """Write a text."""
        self._letterings.append(lettering)

    def place(self, ink: Ink, place: tuple[FloatArray, FloatArray], layer: int, *, whole: bool) -> None:
        """Place the ink of a block, once or in rows and columns.

        Args:
            ink: What the block draws.
            place: A matrix 4 x 4 for row vectors, ``p @ m[:3, :3] + m[3, :3]``, and ``(k, 3)`` how far each copy
                lies from where it puts the block.
            layer: Layer of the insert; may be ``INHERIT`` inside a block.
            whole: Whether all of it goes to that layer, as under a frozen one.
        """
        placings = self._placings.setdefault((id(ink), layer, whole), _Placings(ink, layer, whole, [], []))
        matrix, steps = place
        placings.matrices.append(matrix)
        placings.steps.append(steps)

    def ink(self) -> Ink:
        """All that was drawn: lines, then arcs, then what was placed, each in the order in which it came."""
        self._put_lines_away()
        self._put_arcs_away()
        endless = [endless_lines(self._endless)]
        parts = [*self._sheets, *self._curved()]
        for placings in self._placings.values():
            parts.append(_placed(placings))
            self._letterings += _placed_letterings(placings)
            endless.append(_placed_endless(placings))
        return Ink(
            np.concatenate([xyz for xyz, _, _ in parts]),
            np.concatenate([counts for _, counts, _ in parts]),
            np.concatenate([layer for _, _, layer in parts]),
            tuple(self._letterings),
            joined(endless),
        )

    def _put_lines_away(self) -> None:
        """Turn the lines drawn so far into arrays, a sheet at a time, so that no single step takes long."""
        self._sheets.append(
            (
                np.array(self._points, dtype=np.float64).reshape(-1, 3),
                np.array(self._counts, dtype=np.int32),
                np.array(self._layers, dtype=np.int32),
            )
        )
        self._points, self._counts, self._layers = [], [], []

    def _put_arcs_away(self) -> None:
        """The same with arcs, which stay arcs."""
        table = np.array([numbers for numbers, _ in self._arcs], dtype=np.float64).reshape(-1, 11)
        self._arc_sheets.append((table, np.array([layer for _, layer in self._arcs], dtype=np.int32)))
        self._arcs = []

    def _curved(self) -> Iterator[tuple[FloatArray, IntArray, IntArray]]:
        """The arcs as chords, so many at a time that no single step takes long."""
        table = np.concatenate([table for table, _ in self._arc_sheets])
        layers = np.concatenate([layers for _, layers in self._arc_sheets])
        for first in range(0, len(table), _SHEET):
            centre, u, v, start, sweep = np.split(table[first : first + _SHEET], (3, 6, 9, 10), axis=1)
            turn = start[:, 0], sweep[:, 0]
            xyz, counts = swept(centre, u, v, *turn, tolerance=self.tolerance, chords=self.chords)
            yield xyz, counts, layers[first : first + _SHEET]


def _placed(placings: _Placings) -> tuple[FloatArray, IntArray, IntArray]:
    """Points, counts and layers of a block at all its places."""
    xyz = _at_places(placings.ink.xyz, placings)
    return (
        xyz.reshape(-1, 3),
        np.tile(placings.ink.counts, len(xyz)),
        _layers_at(placings.ink.layer, placings, len(xyz)),
    )


def _placed_endless(placings: _Placings) -> EndlessLines:
    """Endless lines of a block at all its places."""
    lines = placings.ink.endless
    at = _at_places(lines.at, placings)
    way = _at_places(lines.way, placings, moved=False)
    layer = _layers_at(lines.layer, placings, len(at))
    return EndlessLines(at.reshape(-1, 3), way.reshape(-1, 3), np.tile(lines.both, len(at)), layer)


def _at_places(xyz: FloatArray, placings: _Placings, *, moved: bool = True) -> FloatArray:
    """Points of a block at all its t places, ``(t, n, 3)``; or ways, which turn and stretch but do not move."""
    many = np.array(list(map(len, placings.steps)))
    matrices = np.array(placings.matrices, dtype=np.float64).reshape(-1, 4, 4)
    if not moved:
        return np.repeat(xyz[None] @ matrices[:, :3, :3], many, axis=0)
    placed: FloatArray = np.repeat(xyz[None] @ matrices[:, :3, :3] + matrices[:, 3:, :3], many, axis=0)
    placed += np.concatenate(placings.steps)[:, None]
    return placed


def _layers_at(layer: IntArray, placings: _Placings, times: int) -> IntArray:
    """Layers of a block's content at so many places."""
    own = np.where((layer == INHERIT) | placings.whole, np.int32(placings.layer), layer)
    return np.tile(own, times).astype(np.int32)


def _placed_letterings(placings: _Placings) -> Iterable[Lettering]:
    for matrix, steps in zip(placings.matrices, placings.steps, strict=True):
        for text in placings.ink.letterings:
            at, along, rise = np.array((text.at, text.along, text.rise)) @ matrix[:3, :3]
            layer = placings.layer if placings.whole or text.layer == INHERIT else text.layer
            first = replace(text, along=_vector(along), rise=_vector(rise), layer=layer)
            yield from (replace(first, at=_vector(place)) for place in at + matrix[3, :3] + steps)


def _vector(row: FloatArray) -> Vector:
    x, y, z = row.tolist()
    return x, y, z
