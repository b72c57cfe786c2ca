"""Joints from a layer: loose lines and polylines of one layer chained into paths.

Terms: a *bit* is one polyline of the drawing, in metres of the site plane. Ends *meet* that lie within
the drawing tolerance δ. Where exactly two ends meet, the chain goes on; where three or more meet, or
one is alone, chains end. Ends that meet are brought to one point, the mean of them all. A chain whose
two ends meet is a closed path. A bit that meets another at its inside is left as it is.

So that curves drawn as many short lines do not shrink to a point, bits are chained twice: first where
their ends are the same point (``SAME_M``), then, what is too short being left out, within δ.

Order: paths go from left to right, then upwards; a path starts at its end that is farther left, then
lower; a closed path starts at its corner farthest left, then lowest, and runs counter-clockwise.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Final

import numpy as np
import shapely

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.geometry.path import Path, Point, path_of
from leakmap.geometry.placement import Placement
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, MICRON_M
from leakmap.model.drawing import Drawing

SHORTEST_M: Final = 0.010
"""Chains shorter than this are no joints."""

SAME_M: Final = 0.0001
"""Points closer than this are one point: the last digits of a file, or of a turned block."""


@dataclass(frozen=True, slots=True)
class _Chain:
    """Places in a row, by number; a closed one repeats its first place at the end."""

    places: tuple[int, ...]
    closed: bool
    through: frozenset[int] = frozenset()


def joints_from_layer(
    drawing: Drawing,
    placement: Placement,
    layer_name: str,
    *,
    tolerance_m: float = DRAWING_TOLERANCE_M,
    shortest_m: float = SHORTEST_M,
) -> tuple[tuple[Path, ...], tuple[Finding, ...]]:
    """Paths in metres of the site plane, chained from the lines of a layer.

    Args:
        drawing: The drawing.
        placement: Where it lies in the site plane, for absolute drawing units.
        layer_name: Name of the layer; compared exactly first, then without regard to capitals.
        tolerance_m: How far apart ends may lie that meet.
        shortest_m: Chains shorter than this are left out.

    Returns:
        The paths, and findings with the codes ``drawn-twice`` and ``too-short``.

    Raises:
        UnusableDrawing: There are no lines on such a layer; the sentence names the layers that have lines.
    """
    lines = [_placed(drawing, placement, index) for index in _strokes_of(drawing, layer_name)]
    places, points = _numbered(lines)
    bits, twice = _once(places)
    exact, short = _chained_exactly(bits, points, tolerance_m, shortest_m)
    chained = list(_chained_nearly(exact, points, tolerance_m))
    paths = [_ordered(corners, closed=closed) for corners, closed in chained if len(corners) > 1]
    spots = [points[place] for place in short] + [corners[0] for corners, _ in chained if len(corners) == 1]
    paths.sort(key=lambda path: [_key(point) for point in path.points])
    return tuple(paths), _findings(layer_name, [points[place] for place in twice], spots, shortest_m)


def _strokes_of(drawing: Drawing, name: str) -> list[int]:
    """Numbers of the polylines on a layer."""
    drawn = set(drawing.strokes.layer.tolist())
    with_lines = [index for index in range(len(drawing.layers)) if index in drawn]
    exact = {index for index in with_lines if drawing.layers[index].name == name}
    alike = {index for index in with_lines if drawing.layers[index].name.casefold() == name.casefold()}
    wanted = exact or alike
    if not wanted:
        names = ", ".join(sorted(drawing.layers[index].name for index in with_lines))
        text = f"The drawing has no lines on a layer {name}; layers with lines are: {names or 'none'}."
        raise UnusableDrawing(text, where=name)
    return [index for index, layer in enumerate(drawing.strokes.layer.tolist()) if layer in wanted]


def _placed(drawing: Drawing, placement: Placement, index: int) -> list[Point]:
    x0, y0 = drawing.origin
    return [placement.to_site((x0 + x, y0 + y)) for x, y in drawing.strokes.polyline(index).tolist()]


def _numbered(lines: list[list[Point]]) -> tuple[list[list[int]], list[Point]]:
    """Lines as numbers of places, and the places; points that are the same have one number."""
    every = [point for line in lines for point in line]
    owner = _gathered(every, SAME_M)
    numbers = iter(owner)
    return [[next(numbers) for _ in line] for line in lines], every


def _gathered(points: Sequence[Point], reach: float) -> list[int]:
    """For each point the first of those that it hangs together with, step by step within a reach."""
    owner = list(range(len(points)))

    def first(index: int) -> int:
        while owner[index] != index:
            owner[index] = owner[owner[index]]
            index = owner[index]
        return index

    spots = shapely.points(np.array(points, dtype=np.float64).reshape(-1, 2))
    tree = shapely.STRtree(spots)
    for a, b in tree.query(spots, predicate="dwithin", distance=reach).T.tolist():
        if a < b:
            low, high = sorted((first(a), first(b)))
            owner[high] = low
    return [first(index) for index in range(len(points))]


def _once(lines: list[list[int]]) -> tuple[list[tuple[int, ...]], list[int]]:
    """Bits in which no straight piece comes twice, and a place of each piece that did."""
    seen: set[tuple[int, int]] = set()
    bits: list[tuple[int, ...]] = []
    twice: list[int] = []
    for line in lines:
        bit = [line[0]]
        for a, b in pairwise(line):
            if a == b:
                continue
            if (min(a, b), max(a, b)) in seen:
                twice.append(a)
                bits.append(tuple(bit))
                bit = [b]
            else:
                seen.add((min(a, b), max(a, b)))
                bit.append(b)
        bits.append(tuple(bit))
    return [bit for bit in bits if len(bit) > 1], twice


def _chained_exactly(
    bits: list[tuple[int, ...]], points: list[Point], tolerance_m: float, shortest_m: float
) -> tuple[list[_Chain], list[int]]:
    """Bits chained where their ends are one place, without short ones; and a place of each short one.

    Where an end of another chain comes close to such a place, three ends meet: there chains end after all.
    """
    stops: frozenset[int] = frozenset()
    while True:
        chains = _chained(bits, {}, stops)
        long = [chain for chain in chains if _length(chain, points) >= shortest_m]
        found = _met_by_others(long, points, tolerance_m)
        if found <= stops:
            return long, [chain.places[0] for chain in chains if _length(chain, points) < shortest_m]
        stops |= found


def _met_by_others(chains: list[_Chain], points: list[Point], tolerance_m: float) -> frozenset[int]:
    """Places inside chains that an end comes close to which does not meet an end of the same chain."""
    ends = [end for chain in chains if not chain.closed for end in (chain.places[0], chain.places[-1])]
    inside = [(chain, place) for chain in chains for place in chain.through]
    if not ends or not inside:
        return frozenset()
    tree = shapely.STRtree(shapely.points([points[end] for end in ends]))
    spots = shapely.points([points[place] for _, place in inside])
    found = set()
    for spot, near in tree.query(spots, predicate="dwithin", distance=tolerance_m + MICRON_M).T.tolist():
        chain, place = inside[spot]
        tips = () if chain.closed else (chain.places[0], chain.places[-1])
        if all(_apart(points[tip], points[ends[near]]) > tolerance_m + MICRON_M for tip in tips):
            found.add(place)
    return frozenset(found)


def _chained_nearly(
    chains: list[_Chain], points: list[Point], tolerance_m: float
) -> Iterator[tuple[list[Point], bool]]:
    """Corners of chains that are chained where their ends meet within the tolerance, and whether closed."""
    for chain in chains:
        if chain.closed:
            yield [points[place] for place in chain.places[:-1]], True
    bits = [chain.places for chain in chains if not chain.closed]
    ends = sorted({place for bit in bits for place in (bit[0], bit[-1])}, key=lambda place: points[place])
    owner = _gathered([points[end] for end in ends], tolerance_m + MICRON_M)
    node = {end: ends[first] for end, first in zip(ends, owner, strict=True)}
    spots = _middles(bits, node, points)
    for chain in _chained(bits, node, frozenset()):
        corners = [spots[node[place]] if place in node else points[place] for place in chain.places]
        different = [corners[0], *(b for a, b in pairwise(corners) if a != b)]
        closed = chain.closed and len(different) > 3
        yield (different[:-1] if closed else different), closed


def _middles(bits: list[tuple[int, ...]], node: dict[int, int], points: list[Point]) -> dict[int, Point]:
    """The mean of all ends that meet at each node."""
    meeting: dict[int, list[Point]] = defaultdict(list)
    for place in sorted(place for bit in bits for place in (bit[0], bit[-1])):
        meeting[node[place]].append(points[place])
    return {at: _mean(ends) for at, ends in meeting.items()}


def _mean(ends: list[Point]) -> Point:
    if len(set(ends)) == 1:
        return ends[0]
    return sum(x for x, _ in ends) / len(ends), sum(y for _, y in ends) / len(ends)


def _chained(bits: Iterable[tuple[int, ...]], node: dict[int, int], stops: frozenset[int]) -> list[_Chain]:
    """Bits chained through nodes where exactly two ends meet.

    Args:
        bits: Places of each.
        node: What place counts as; one that is missing counts as itself.
        stops: Nodes at which chains end all the same.
    """
    left = dict(enumerate(bits))
    ends: dict[int, list[int]] = defaultdict(list)
    for number, bit in left.items():
        for place in (bit[0], bit[-1]):
            ends[node.get(place, place)].append(number)
    chains = []
    while left:
        number, bit = next(iter(left.items()))
        del left[number]
        through: set[int] = set()
        for _ in range(2):  # grow at the end, turn round, grow at the other end
            bit = _grown(bit, left, ends, node=node, stops=stops, through=through)[::-1]
        closed = node.get(bit[0], bit[0]) == node.get(bit[-1], bit[-1]) and len(bit) > 3
        chains.append(_Chain(bit, closed, frozenset(through)))
    return chains


def _grown(
    bit: tuple[int, ...],
    left: dict[int, tuple[int, ...]],
    ends: dict[int, list[int]],
    *,
    node: dict[int, int],
    stops: frozenset[int],
    through: set[int],
) -> tuple[int, ...]:
    """A bit with all that follows at its end; what follows is taken out of ``left``."""
    while True:
        at = node.get(bit[-1], bit[-1])
        following = [number for number in ends[at] if number in left]
        if len(ends[at]) != 2 or at in stops or not following:
            return bit
        other = left.pop(following[0])
        if node.get(other[0], other[0]) != at:
            other = other[::-1]
        through.add(bit[-1])
        bit += other[1:] if other[0] == bit[-1] else other


def _ordered(corners: Sequence[Point], *, closed: bool) -> Path:
    """The path, from its first end or corner in reading order; a closed one counter-clockwise."""
    if not closed:
        return path_of(min(corners, corners[::-1], key=lambda points: [_key(point) for point in points]))
    doubled_area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*corners, corners[0])))
    ring = list(corners) if doubled_area >= 0 else list(corners)[::-1]
    first = min(range(len(ring)), key=lambda index: _key(ring[index]))
    return path_of(ring[first:] + ring[:first], closed=True)


def _key(point: Point) -> tuple[float, float, float, float]:
    """Order of points: to the millimetre first, so that the last digits of a file decide nothing."""
    return round(point[0], 3), round(point[1], 3), *point


def _length(chain: _Chain, points: list[Point]) -> float:
    return sum(_apart(points[a], points[b]) for a, b in pairwise(chain.places))


def _apart(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def _findings(layer: str, twice: list[Point], short: list[Point], shortest_m: float) -> tuple[Finding, ...]:
    found = []
    if twice:
        text = f"Straight pieces on layer {layer} that are drawn twice, taken once: {len(twice)}, first near {_spot(twice)}."
        found.append(Finding("drawn-twice", layer, text, Effect.FIXED))
    if short:
        limit = f"{shortest_m * 1000:g} mm"
        text = f"Lines on layer {layer} shorter than {limit}, left out: {len(short)}, first near {_spot(short)}."
        found.append(Finding("too-short", layer, text, Effect.LOST))
    return tuple(found)


def _spot(points: list[Point]) -> str:
    x, y = min(points, key=_key)
    return f"{x:.2f}, {y:.2f} m"
