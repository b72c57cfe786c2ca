"""A DXF text file as records, without any library: where each begins, what kind it is, which codes it has.

Only a file of the simplest build is taken: pairs of a code and a value, sections that are named once and
closed, an end, no comments. Of any other there are no records, and the library reads all of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import itemgetter
from typing import Final

import numpy as np
import numpy.typing as npt

Indices = npt.NDArray[np.int64]

HANDLE: Final = 5
NAME: Final = 2
SUBCLASS: Final = 100

_COMMENT: Final = 999
_OUTSIDE: Final = frozenset({b"SECTION", b"EOF"})
_R12: Final = b"AC1009"
_PART: Final = 1 << 16
"""Bytes of a file that are taken apart at once."""


@dataclass(frozen=True, slots=True, eq=False)
class Records:
    """The records of a file.

    Attributes:
        words: The values of all pairs, as they stand in the file.
        codes: ``(n,)``, codes of all pairs.
        heads: ``(m + 1,)``, at which pair each record begins, and how many pairs there are.
        kinds: m kinds, such as ``b"LINE"``.
        sections: First record and the one behind the last of each section, its head and end among them.
    """

    words: list[bytes]
    codes: Indices
    heads: Indices
    kinds: list[bytes]
    sections: dict[bytes, tuple[int, int]]

    def values(self, pairs: Indices) -> tuple[bytes, ...]:
        """The values of some pairs."""
        places = pairs.tolist()
        if not places:
            return ()
        return itemgetter(*places)(self.words) if len(places) > 1 else (self.words[places[0]],)

    def firsts(self, code: int) -> Indices:
        """``(m,)``, the first pair of each record that has a code; -1 where it has none."""
        pairs = np.flatnonzero(self.codes == code)
        found = np.full(len(self.kinds), -1, dtype=np.int64)
        found[self.holders(pairs)[::-1]] = pairs[::-1]
        return found

    def holders(self, pairs: Indices) -> Indices:
        """The records that pairs belong to."""
        return np.searchsorted(self.heads, pairs, side="right") - 1

    def pairs_of(self, section: bytes, *codes: int) -> Indices:
        """The pairs of a section that have one of some codes."""
        if section not in self.sections:
            return np.empty(0, dtype=np.int64)
        first, stop = (int(self.heads[record]) for record in self.sections[section])
        found: Indices = first + np.flatnonzero(np.isin(self.codes[first:stop], codes))
        return found

    @property
    def is_r12(self) -> bool:
        """Whether the file is so old that its records have no parts with names."""
        for pair in self.pairs_of(b"HEADER", 9).tolist():
            if self.words[pair] == b"$ACADVER":
                return bool(self.words[pair + 1].strip() <= _R12)
        return True


def records_of(data: bytes) -> Records | None:
    r"""The records of a DXF text file; None for one that is not of the simplest build.

    >>> found = records_of(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nA\n0\nENDSEC\n0\nEOF\n")
    >>> found.kinds, found.heads.tolist(), found.sections
    ([b'SECTION', b'LINE', b'ENDSEC', b'EOF'], [0, 2, 4, 5, 6], {b'ENTITIES': (0, 3)})
    >>> records_of(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\nA\n0\nEOF\n") is None
    True
    """
    try:
        codes, words = _pairs(data)
    except (ValueError, OverflowError):  # a code that is no number, as of an empty line at the end
        return None
    if len(codes) != len(words) or not len(codes) or codes[0] or (codes == _COMMENT).any():
        return None
    heads = np.append(np.flatnonzero(codes == 0), len(codes))
    kinds = [words[head] for head in heads[:-1].tolist()]
    records = Records(words, codes, heads, kinds, {})
    return records if _divided(records) else None


def _pairs(data: bytes) -> tuple[Indices, list[bytes]]:
    """Codes and values of a file; where a value is missing at the end, one code more.

    A part at a time, of which equal values are kept once: the texts of all codes, and each value by itself, would take
    several times the memory.

    Raises:
        ValueError: A code is no number.
        OverflowError: A code is beyond all numbers.
    """
    codes, words, codes_first = [np.empty(0, dtype=np.int64)], list[bytes](), True
    begin = 0
    while begin < len(data):
        end = data.find(b"\n", begin + _PART) + 1 or len(data)
        lines = data[begin:end].splitlines()
        some, values = (lines[::2], lines[1::2]) if codes_first else (lines[1::2], lines[::2])
        codes.append(np.fromiter(map(int, some), np.int64, len(some)))
        once: dict[bytes, bytes] = {}
        words.extend(map(once.setdefault, values, values))
        codes_first ^= bool(len(lines) % 2)
        begin = end
    return np.concatenate(codes), words


def _divided(records: Records) -> bool:
    """Find the sections; whether every record is inside one, and the file ends as it should."""
    opened: int | None = None
    for number, kind in enumerate(records.kinds):
        if kind == b"SECTION" and opened is None:
            opened = number
        elif kind == b"ENDSEC" and opened is not None:
            pair = int(records.heads[opened]) + 1
            name = records.words[pair]
            if records.codes[pair] != NAME or name in records.sections:
                return False
            records.sections[name] = (opened, number + 1)
            opened = None
        elif (opened is None) != (kind == b"EOF") or (kind in _OUTSIDE and opened is not None):
            return False
    return records.kinds[-1] == b"EOF" and records.kinds.count(b"EOF") == 1 and b"ENTITIES" in records.sections
