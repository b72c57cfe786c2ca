"""Plain records taken out of a file: what is left goes to the library, what was taken is drawn in bulk.

Plain records that follow each other make a run. Its first record stays in the file and stands for all, so that
the run is drawn where the file has it: in its block or layout, on its layer, between what is drawn before and
after. The first record on a layer begins a run too, so that layers come up in the order of the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, pairwise
from typing import Final

import numpy as np
from ezdxf.document import Drawing as Document

from leakmap.drawings.dxf.fast_pieces import BoolArray, Pieces, joined, pieces_of, without
from leakmap.drawings.dxf.fast_records import HANDLE, NAME, Indices, Records, records_of
from leakmap.drawings.dxf.fast_shapes import LAYER, LINETYPE, OWNER, PLAIN, shape_of
from leakmap.model.drawing import FloatArray

_DRAWN: Final = (b"ENTITIES", b"BLOCKS")
_LISTED: Final = (b"TABLES", b"BLOCKS", b"ENTITIES", b"OBJECTS")
_DIMSTYLE_HANDLE: Final = 105
_ATTRIBUTES_FOLLOW: Final = 66
_GROUP: Final = 102
_DICTIONARY: Final = b"{ACAD_XDICTIONARY"
_FIRST_REFERENCE, _LAST_REFERENCE, _DATA_REFERENCE = 320, 369, 1005
_NO_HANDLE: Final = 0xF000000000000000
"""Where handles begin that are given to records without one, far above those that the library gives."""

_VERTICES: Final = frozenset({b"VERTEX", b"SEQEND"})
_ATTRIBUTES: Final = frozenset({b"ATTRIB", b"SEQEND"})
_FOLLOWED: Final = {b"POLYLINE": _VERTICES, b"VERTEX": _VERTICES, b"ATTRIB": _ATTRIBUTES}
_APART: Final = frozenset({b"INSERT", b"ATTRIB", b"ATTDEF", b"SEQEND", b"TEXT", b"MTEXT", b"POINT"})
"""Kinds that draw no line of their own, so that a run may go on behind them."""

_SELF_CONTAINED: Final = (
    _APART
    | PLAIN
    | {b"SECTION", b"ENDSEC", b"BLOCK", b"ENDBLK", b"POLYLINE", b"VERTEX", b"ELLIPSE", b"SPLINE"}
    | {b"HATCH", b"SOLID", b"TRACE", b"3DFACE", b"DIMENSION", b"XLINE", b"RAY", b"VIEWPORT"}
)
"""Kinds that need nothing of the sections behind the drawing, unless they have a dictionary there."""

_BEHIND: Final = (b"CLASSES", b"OBJECTS", b"ACDSDATA", b"THUMBNAILIMAGE")


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Plain records that are drawn together.

    Attributes:
        first: Number of the layer of its first record, among the layers of the runs.
        places: ``(k, 2)``, a place of each record.
        xyz: ``(n, 3)``, points of its polylines in a row.
        counts: How many points each of them has.
        layers: Number of the layer of each, among the layers of the runs.
        arcs: ``(a, 11)``, its arcs as a pen takes them.
        arc_layers: Number of the layer of each.
    """

    first: int
    places: FloatArray
    xyz: FloatArray
    counts: Indices
    layers: Indices
    arcs: FloatArray
    arc_layers: Indices


@dataclass(frozen=True, slots=True, eq=False)
class Thinned:
    """A file without its plain records.

    Attributes:
        data: What the library is to read.
        runs: What was taken out, by the handle of the record that stands for it.
        layers: How many layers the runs have; a layer counts once for each block.
        linetypes: Names of line types, in small letters, that the file must hold.
    """

    data: bytes
    runs: dict[str, Run]
    layers: int
    linetypes: frozenset[str]


def thinned(data: bytes) -> Thinned | None:
    """A DXF text file without its plain records; None where it must be read as a whole."""
    records = records_of(data)
    if records is None or not _well_linked(records):
        return None
    try:
        rooms = _rooms(records)
        pieces = _plain(records, rooms)
    except ValueError:  # something that should be a number, or a name of an odd kind
        return None
    if pieces is None:
        return None
    pieces = without(pieces, _referenced(records, pieces))
    handles = _handles(records, pieces)
    return None if handles is None or not handles else _cut(records, pieces, rooms, handles)


def fits(found: Thinned, document: Document) -> bool:
    """Whether the rest of a file, as the library has it, holds all that its plain records name."""
    known = {"bylayer", "byblock", *(linetype.dxf.name.lower() for linetype in document.linetypes)}
    return found.linetypes <= known and len(document.modelspace()) > 0


def _well_linked(records: Records) -> bool:
    """Whether parts of polylines and of inserts follow each other without a foreign record between them."""
    kinds = records.kinds
    if any(after not in _FOLLOWED[kind] for kind, after in pairwise(kinds) if kind in _FOLLOWED):
        return False
    for section in _DRAWN:
        pairs = records.pairs_of(section, _ATTRIBUTES_FOLLOW)
        for holder, value in zip(records.holders(pairs).tolist(), records.values(pairs), strict=True):
            if kinds[holder] == b"INSERT" and value.strip() != b"0" and kinds[holder + 1] not in _ATTRIBUTES:
                return False
    return True


def _rooms(records: Records) -> list[tuple[int, int]]:
    """First record and the one behind the last of what may hold plain records: the entities, and simple blocks.

    The pictures of dimensions are left to the library, which may look into them.
    """
    kinds, first = records.kinds, records.sections[b"ENTITIES"]
    rooms = [(first[0] + 1, first[1] - 1)]
    start, stop = records.sections.get(b"BLOCKS", (0, 0))
    blocks = [number for number in range(start, stop) if kinds[number] == b"BLOCK"]
    ends = [number for number in range(start, stop) if kinds[number] == b"ENDBLK"]
    names = records.firsts(NAME)
    dimensions = [number for number, kind in enumerate(kinds) if kind.endswith(b"DIMENSION")]
    if len(blocks) != len(ends) or (names[blocks] < 0).any():
        raise ValueError("a block without an end or a name")
    shown = names[dimensions]
    pictures = {name.lower() for name in records.values(shown[shown >= 0])}
    for number, end, name in zip(blocks, ends, records.values(names[blocks]), strict=True):
        if end < number or (not name.isascii() and pictures):
            raise ValueError("blocks in each other, or a name that may be a picture's")
        if not name.startswith(b"*") and name.lower() not in pictures:
            rooms.append((number + 1, end))
    return sorted(rooms)


def _plain(records: Records, rooms: list[tuple[int, int]]) -> Pieces | None:
    """What the plain records draw; None where there are none."""
    old, codes, starts = records.is_r12, records.codes.astype("<i4").tobytes(), (4 * records.heads).tolist()
    alike: dict[tuple[bytes, bytes], list[int]] = {}
    for first, stop in rooms:
        for number in range(first, stop):
            kind = records.kinds[number]
            if kind in PLAIN:
                alike.setdefault((kind, codes[starts[number] : starts[number + 1]]), []).append(number)
    found = []
    for (kind, row), numbers in alike.items():
        shape = shape_of(kind, tuple(np.frombuffer(row, "<i4").tolist()), old=old)
        if shape is not None:
            found.append(pieces_of(records, np.array(numbers), shape))
    return joined(found) if any(len(pieces.records) for pieces in found) else None


def _referenced(records: Records, pieces: Pieces) -> BoolArray:
    """Which plain records other records point at, so that the library may miss them."""
    codes = records.codes
    naming = np.flatnonzero((codes >= _FIRST_REFERENCE) & (codes <= _LAST_REFERENCE) | (codes == _DATA_REFERENCE))
    named = frozenset(map(bytes.strip, frozenset(records.values(naming))))
    pairs = records.firsts(HANDLE)[pieces.records]
    known = pairs >= 0
    known[known] = [handle in named for handle in records.values(pairs[known])]
    return known


def _handles(records: Records, pieces: Pieces) -> tuple[bytes, ...] | None:
    """A handle for each plain record, its own or a new one; None where the file is at odds about handles."""
    pairs = records.firsts(HANDLE)[pieces.records]
    if (pairs < 0).all() and not any(len(records.pairs_of(section, HANDLE)) for section in _DRAWN):
        return tuple(b"%X" % (_NO_HANDLE + number) for number in range(len(pairs)))
    if (pairs < 0).any():
        return None
    handles = records.values(pairs)
    mine, times = frozenset(handles), 0
    for section in _LISTED:
        times += sum(value in mine for value in records.values(records.pairs_of(section, HANDLE, _DIMSTYLE_HANDLE)))
    return handles if times == len(mine) == len(handles) else None


def _cut(records: Records, pieces: Pieces, rooms: list[tuple[int, int]], handles: tuple[bytes, ...]) -> Thinned:
    """Take the plain records out, but for the first of each run."""
    which = pieces.records
    room = np.searchsorted([first for first, _ in rooms], which, side="right")
    names = _numbered(records, LAYER, which)
    _, firsts, layers = np.unique(room * (names.max(initial=0) + 1) + names, return_index=True, return_inverse=True)
    begins = _parted(records, which, room)
    begins[firsts] = True
    starts = np.flatnonzero(begins)
    kept = np.ones(len(records.kinds), dtype=np.bool_)
    kept[which[~begins]] = False
    for section in _needless(records):
        kept[slice(*records.sections[section])] = False
    named = {} if records.firsts(HANDLE)[which[0]] >= 0 else {int(which[at]): handles[at] for at in starts.tolist()}
    linetypes = records.firsts(LINETYPE)[which]
    return Thinned(
        data=_text(records, kept, named),
        runs={
            handles[start].decode(): run
            for start, run in zip(starts.tolist(), _runs(pieces, layers, starts), strict=True)
        },
        layers=len(firsts),
        linetypes=frozenset(name.decode().lower() for name in set(records.values(linetypes[linetypes >= 0]))),
    )


def _numbered(records: Records, code: int, which: Indices) -> Indices:
    """A number for the value that each record has under a code, the same for the same; 0 for none."""
    numbers: dict[bytes, int] = {}
    pairs = records.firsts(code)[which]
    found = np.zeros(len(which), dtype=np.int64)
    found[pairs >= 0] = [numbers.setdefault(value, len(numbers) + 1) for value in records.values(pairs[pairs >= 0])]
    return found


def _parted(records: Records, which: Indices, room: Indices) -> BoolArray:
    """Which plain records begin a run, as the one before is in another place or something was drawn between them."""
    between = np.fromiter((kind not in _APART for kind in records.kinds), np.bool_, len(records.kinds))
    between[which] = False
    place = np.stack((room, _numbered(records, OWNER, which), np.cumsum(between)[which]))
    begins: BoolArray = (np.diff(place, axis=1, prepend=-1) != 0).any(axis=0)
    return begins


def _needless(records: Records) -> list[bytes]:
    """The sections that nothing in the drawing needs."""
    for section in _DRAWN:
        groups = records.pairs_of(section, _GROUP)
        if _DICTIONARY in records.values(groups):
            return []
        first, stop = records.sections.get(section, (0, 0))
        if not _SELF_CONTAINED.issuperset(records.kinds[first:stop]):
            return []
    return [section for section in _BEHIND if section in records.sections]


def _text(records: Records, kept: BoolArray, handles: dict[int, bytes]) -> bytes:
    """The records that are kept, some with a new handle."""
    words = list(records.words) if handles else records.words
    for number, handle in handles.items():
        words[int(records.heads[number])] += b"\n%d\n%s" % (HANDLE, handle)
    edges = records.heads[np.flatnonzero(np.diff(kept, prepend=False, append=False))]
    parts = (zip(records.codes[a:z].tolist(), words[a:z], strict=True) for a, z in edges.reshape(-1, 2).tolist())
    return b"".join(b"%d\n%s\n" % pair for pair in chain.from_iterable(parts))


def _runs(pieces: Pieces, layers: Indices, starts: Indices) -> Iterator[Run]:
    lines = pieces.counts > 0
    counts, line_layers, arc_layers = pieces.counts[lines], layers[lines], layers[~lines]
    points, before = (np.concatenate(([0], np.cumsum(column))) for column in (pieces.counts, lines))
    for first, stop in pairwise((*starts.tolist(), len(lines))):
        a, z = before[first], before[stop]
        yield Run(
            first=int(layers[first]),
            places=pieces.places[first:stop],
            xyz=pieces.xyz[points[first] : points[stop]],
            counts=counts[a:z],
            layers=line_layers[a:z],
            arcs=pieces.arcs[first - a : stop - z],
            arc_layers=arc_layers[first - a : stop - z],
        )
