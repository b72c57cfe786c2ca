"""What plain records draw, in bulk: the lines and arcs that their values say, and which of them are to be trusted.

A record with any value that the library would mend, refuse or take for something else is left to the library.
The numbers come out as the library and the drawing of its entities make them, bit for bit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Final

import numpy as np
import numpy.typing as npt
from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHT_VALUES
from ezdxf.lldxf.validator import is_transparency

from leakmap.drawings.dxf.fast_records import HANDLE, Indices, Records
from leakmap.drawings.dxf.fast_shapes import LAYER, LINETYPE, OWNER, POLYLINE, UPWARD, Shape
from leakmap.model.drawing import FloatArray

BoolArray = npt.NDArray[np.bool_]

_HANDLE: Final = re.compile(rb"[1-9A-F][0-9A-F]*")
_LAYER: Final = re.compile(rb"[^<>/\\\":;?*|=`']+")
_CLOSED: Final = 1
_RADIANS: Final = math.pi / 180


def _number(value: bytes) -> bool:
    return math.isfinite(float(value))


def _whole(among: Callable[[int], bool]) -> Callable[[bytes], bool]:
    return lambda value: among(int(value))


_RULES: Final[dict[int, Callable[[bytes], object]]] = {
    HANDLE: _HANDLE.fullmatch,
    OWNER: _HANDLE.fullmatch,
    LAYER: _LAYER.fullmatch,
    LINETYPE: bytes.isascii,
    38: _number,
    39: _number,
    43: _number,
    48: _number,
    60: _whole(lambda hidden: not hidden),
    62: _whole(lambda colour: 0 <= colour <= 256),
    67: _whole(lambda paper: not paper),
    70: _whole(lambda _: True),
    90: _whole(lambda _: True),
    370: _whole(VALID_DXF_LINEWEIGHT_VALUES.__contains__),
    420: _whole(lambda _: True),
    440: _whole(is_transparency),
}


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """What k plain records draw; each a polyline or an arc.

    Attributes:
        records: ``(k,)``, their numbers.
        places: ``(k, 2)``, a place of each.
        xyz: ``(n, 3)``, points of all polylines in a row.
        counts: ``(k,)``, how many points each polyline has; 0 for an arc.
        arcs: ``(a, 11)``, the arcs as a pen takes them.
    """

    records: Indices
    places: FloatArray
    xyz: FloatArray
    counts: Indices
    arcs: FloatArray


def pieces_of(records: Records, which: Indices, shape: Shape) -> Pieces:
    """What records of one shape draw, those left out that are not to be trusted.

    Raises:
        ValueError: A value that should be a number is none.
    """
    heads = records.heads[which]
    sound = np.ones(len(which), dtype=np.bool_)
    for place, name in shape.parts:
        sound &= _judged(records.values(heads + place), name.__eq__)
    for code, place in shape.places.items():
        if code in _RULES:
            sound &= _judged(records.values(heads + place), _RULES[code])
    for place in shape.widths:
        sound &= _judged(records.values(heads + place), _number)
    if UPWARD in shape.places:
        sound &= (_points(records, heads, [shape.places[UPWARD]])[:, 0] == (0, 0, 1)).all(axis=1)
    drawn = _polylines if shape.kind == POLYLINE else _lines if shape.kind == b"LINE" else _arcs
    return drawn(records, which, shape, sound)


def joined(all_pieces: list[Pieces]) -> Pieces:
    """Pieces of several shapes, in the order of the file."""
    records = np.concatenate([pieces.records for pieces in all_pieces])
    counts = np.concatenate([pieces.counts for pieces in all_pieces])
    xyz = np.concatenate([pieces.xyz for pieces in all_pieces])
    order = np.argsort(records)
    firsts = (np.cumsum(counts) - counts)[order]
    counts = counts[order]
    rows = np.arange(len(xyz)) + np.repeat(firsts - (np.cumsum(counts) - counts), counts)
    arcs = np.concatenate([pieces.arcs for pieces in all_pieces])
    drawers = np.concatenate([pieces.records[pieces.counts == 0] for pieces in all_pieces])
    places = np.concatenate([pieces.places for pieces in all_pieces])
    return Pieces(records[order], places[order], xyz[rows], counts, arcs[np.argsort(drawers)])


def without(pieces: Pieces, left_out: BoolArray) -> Pieces:
    """Pieces without those of some records."""
    if not left_out.any():
        return pieces
    kept = ~left_out
    points, arcs = np.repeat(kept, pieces.counts), kept[pieces.counts == 0]
    return Pieces(pieces.records[kept], pieces.places[kept], pieces.xyz[points], pieces.counts[kept], pieces.arcs[arcs])


def _judged(values: tuple[bytes, ...], rule: Callable[[bytes], object]) -> BoolArray:
    """Whether each value is as it should be; each different one is looked at once."""
    bad = frozenset(_failing(frozenset(values), rule))
    if not bad:
        return np.ones(len(values), dtype=np.bool_)
    return np.fromiter((value not in bad for value in values), np.bool_, len(values))


def _failing(values: frozenset[bytes], rule: Callable[[bytes], object]) -> Iterator[bytes]:
    for value in values:
        try:
            if not rule(value):
                yield value
        except (ValueError, OverflowError):  # no number
            yield value


def _numbers(records: Records, pairs: Indices) -> FloatArray:
    flat = pairs.ravel()
    return np.fromiter(map(float, records.values(flat)), np.float64, len(flat)).reshape(pairs.shape)


def _points(records: Records, heads: Indices, places: list[int], size: int = 3) -> FloatArray:
    """Points ``(n, k, size)`` of n records whose x are at k places."""
    offsets = np.fromiter(chain.from_iterable(range(place, place + size) for place in places), np.int64)
    return _numbers(records, heads[:, None] + offsets).reshape(len(heads), len(places), size)


def _lines(records: Records, which: Indices, shape: Shape, sound: BoolArray) -> Pieces:
    ends = _points(records, records.heads[which], [shape.places[10], shape.places[11]])
    sound &= np.isfinite(ends).all(axis=(1, 2))
    ends, which = ends[sound], which[sound]
    return Pieces(which, ends[:, 0, :2], ends.reshape(-1, 3), np.full(len(which), 2), np.empty((0, 11)))


def _arcs(records: Records, which: Indices, shape: Shape, sound: BoolArray) -> Pieces:
    heads, places = records.heads[which], shape.places
    centre = _points(records, heads, [places[10]])[:, 0]
    radius = _numbers(records, heads + places[40])
    turned = shape.kind == b"ARC"
    turn = _numbers(records, heads[:, None] + (places[50], places[51])) if turned else np.empty((len(heads), 0))
    sound &= np.isfinite(np.column_stack((centre, radius, turn))).all(axis=1)
    along = radius[sound, None] * (1.0, 0.0, 0.0)
    upward = radius[sound, None] * (0.0, 1.0, 0.0)
    start = turn[sound, 0] * _RADIANS if turned else np.zeros(len(along))
    sweep = _sweep(start, turn[sound, 1] * _RADIANS) if turned else np.full(len(along), math.tau)
    arcs = np.column_stack((centre[sound], along, upward, start, sweep))
    return Pieces(which[sound], centre[sound, :2], np.empty((0, 3)), np.zeros(len(arcs), dtype=np.int64), arcs)


def _polylines(records: Records, which: Indices, shape: Shape, sound: BoolArray) -> Pieces:
    heads, places, size = records.heads[which], shape.places, len(shape.vertices)
    flat = _points(records, heads, list(shape.vertices), 2)
    sound &= np.isfinite(flat).all(axis=(1, 2))
    for place in shape.bulges:
        sound &= _numbers(records, heads + place) == 0  # a bow is left to the library
    heads, flat = heads[sound], flat[sound]
    height = _numbers(records, heads + places[38]) if 38 in places else np.zeros(len(heads))
    xyz = np.concatenate((flat, np.repeat(height, size).reshape(-1, size, 1)), axis=2)
    flags = np.fromiter(map(int, records.values(heads + places[70])), np.int64, len(heads))
    counts = size + (flags & _CLOSED)
    points = np.concatenate((xyz, xyz[:, :1]), axis=1)[np.arange(size + 1) < counts[:, None]]
    return Pieces(which[sound], flat[:, 0], points, counts, np.empty((0, 11)))


def _sweep(start: FloatArray, end: FloatArray) -> FloatArray:
    """How far arcs run counter-clockwise, as the drawing of a single arc has it."""
    sweep = np.mod(end - start, math.tau)
    return np.where((sweep > 1e-9) & (sweep < math.tau - 1e-9), sweep, math.tau)
