"""Shapes of plain records: what kind a record is, and its codes in order, decide whether it is read in bulk.

Plain is a line, circle, arc or light polyline in which every code is known, comes once and where it belongs.
A shape is judged once for all records that have it; the values are judged afterwards, record by record.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from leakmap.drawings.dxf.fast_records import HANDLE, SUBCLASS

OWNER: Final = 330
LAYER: Final = 8
LINETYPE: Final = 6
UPWARD: Final = 210

POLYLINE: Final = b"LWPOLYLINE"

_BASE: Final = frozenset({HANDLE, OWNER})
_COMMON: Final = frozenset({LAYER, LINETYPE, 48, 60, 62, 67, 370, 420, 440})
_OLD: Final = frozenset({HANDLE, LAYER, LINETYPE, 62})
_PARTS: Final = {
    b"LINE": (b"AcDbEntity", b"AcDbLine"),
    b"CIRCLE": (b"AcDbEntity", b"AcDbCircle"),
    b"ARC": (b"AcDbEntity", b"AcDbCircle", b"AcDbArc"),
    POLYLINE: (b"AcDbEntity", b"AcDbPolyline"),
}
_NEEDED: Final = {
    b"LINE": frozenset({LAYER, 10, 11}),
    b"CIRCLE": frozenset({LAYER, 10, 40}),
    b"ARC": frozenset({LAYER, 10, 40, 50, 51}),
    POLYLINE: frozenset({LAYER, 70, 90}),
}
_ALLOWED: Final = {kind: needed | {39, UPWARD} for kind, needed in _NEEDED.items()} | {
    POLYLINE: frozenset({38, 39, 43, 70, 90, UPWARD})
}
_POINTS: Final = frozenset({10, 11, UPWARD})
_X, _Y, _BULGE, _FROM, _TO = 10, 20, 42, 40, 41

PLAIN: Final = frozenset(_PARTS)
"""Kinds that may be plain."""


@dataclass(frozen=True, slots=True)
class Shape:
    """Where the values of a plain record are, in pairs from its head.

    Attributes:
        kind: Its kind.
        places: Where each code is; of a point its x, which y and z follow.
        parts: Where the names of its parts are, and what they must be.
        vertices: Where the x of each vertex of a polyline is, which y follows.
        bulges: Where a polyline has bulges.
        widths: Where a polyline has widths.
    """

    kind: bytes
    places: dict[int, int]
    parts: tuple[tuple[int, bytes], ...]
    vertices: tuple[int, ...] = ()
    bulges: tuple[int, ...] = ()
    widths: tuple[int, ...] = ()


def shape_of(kind: bytes, codes: tuple[int, ...], *, old: bool) -> Shape | None:
    """The shape of records with these codes in this order; None where they are not plain.

    Args:
        kind: Kind of the records, one of ``PLAIN``.
        codes: All codes, of which the first is 0.
        old: Whether the file is too old to name the parts of a record.

    >>> shape_of(b"LINE", (0, 8, 10, 20, 30, 11, 21, 31), old=True).places
    {8: 1, 10: 2, 11: 5}
    >>> shape_of(b"LINE", (0, 8, 10, 20, 11, 21), old=True) is None  # without heights
    True
    """
    if kind == POLYLINE:
        return None if old else _polyline(codes)
    return _single(kind, codes, old=old)


def _single(kind: bytes, codes: tuple[int, ...], *, old: bool) -> Shape | None:
    """The shape of a record whose codes all come once."""
    places: dict[int, int] = {}
    marks: list[int] = []
    at = 1
    while at < len(codes):
        code = codes[at]
        if code == SUBCLASS:
            marks.append(at)
        elif code in places or code not in _belonging(kind, len(marks), old=old):
            return None
        else:
            places[code] = at
            if code in _POINTS and codes[at : at + 3] != (code, code + 10, code + 20):
                return None
        at += 3 if code in _POINTS else 1
    names = () if old else _PARTS[kind]
    if not places.keys() >= _NEEDED[kind] or len(marks) != len(names):
        return None
    return Shape(kind, places, tuple(zip(marks, names, strict=True)))


def _belonging(kind: bytes, part: int, *, old: bool) -> frozenset[int]:
    """The codes that may come in a part of a record, of which the first has no name."""
    if old:
        return _OLD | _ALLOWED[kind]
    return (_BASE, _COMMON, _ALLOWED[kind], _ALLOWED[kind])[min(part, 3)]


def _polyline(codes: tuple[int, ...]) -> Shape | None:
    """The shape of a light polyline: what comes once, then its vertices, then perhaps where up is."""
    first = codes.index(_X) if _X in codes else len(codes)
    stop = len(codes) - 3 if codes[-3:] == (UPWARD, UPWARD + 10, UPWARD + 20) else len(codes)
    if stop < first:
        return None
    shape = _single(POLYLINE, codes[:first] + codes[stop:], old=False)
    if shape is None:
        return None
    if stop < len(codes):
        shape.places[UPWARD] = stop
    tail = _vertices(codes, first, stop)
    return tail and Shape(POLYLINE, shape.places, shape.parts, *tail)


def _vertices(
    codes: tuple[int, ...], first: int, stop: int
) -> tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]] | None:
    """Where two or more vertices, bulges and widths of a polyline are; None where one comes twice or is odd."""
    vertices: list[int] = []
    found: dict[int, list[int]] = {_BULGE: [], _FROM: [], _TO: []}
    since: set[int] = set()
    for at in range(first, stop):
        code = codes[at]
        if code == _X and codes[at + 1 : at + 2] == (_Y,):
            vertices.append(at)
            since = set()
        elif code in found and code not in since:
            found[code].append(at)
            since.add(code)
        elif code != _Y or codes[at - 1] != _X:
            return None
    return (tuple(vertices), tuple(found[_BULGE]), (*found[_FROM], *found[_TO])) if len(vertices) > 1 else None
