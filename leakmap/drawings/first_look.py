"""A first look at the lines of a DXF text file while it is still being read.

Lines and straight polylines of the model space are picked out of the bytes as far as they have come,
so that a window can show a sketch early. It is a sketch only: curves, blocks and hidden layers are not
looked at, damage is skipped, and what the reader gives in the end takes its place.
"""

from __future__ import annotations

from itertools import islice, pairwise
from typing import Final

import numpy as np

from leakmap.model.drawing import FloatArray

MOST: Final = 60_000
"""A sketch of more lines shows nothing more, and takes time from the reading."""

_SLICE: Final = 1 << 19


class FirstLook:
    """Picks lines out of a file as it comes.

    Args:
        data: The whole file; only text is looked at.
    """

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._at = 0
        self._left = MOST
        self._section: bytes | None = b""
        self._codes: list[bytes] = []
        self._values: list[bytes] = []

    def lines_up_to(self, end: int) -> FloatArray | None:
        """Lines since the last call that lie before a byte, ``(n, 4)``: x, y, x, y in drawing units; None for too few bytes."""
        if self._left <= 0 or self._section is None or end - self._at < _SLICE:
            return None
        last = self._data.rfind(b"\n", self._at, end) + 1
        lines = self._data[self._at : last].split(b"\n")[:-1]
        if len(lines) % 2:  # a code without its value waits for the next slice
            last -= len(lines.pop()) + 1
        self._at = last
        self._codes += lines[0::2]
        self._values += lines[1::2]
        return self._sketch()

    def _sketch(self) -> FloatArray:
        """Lines of all entities that are complete; the last one waits."""
        heads = [index for index, code in enumerate(self._codes) if code.strip() == b"0"]
        flat: list[float] = []
        for head, tail in zip(heads, islice(heads, 1, None), strict=False):
            self._look(head, tail, flat)
        if heads:
            del self._codes[: heads[-1]], self._values[: heads[-1]]
        self._left -= len(flat) // 4
        return np.array(flat, dtype=np.float64).reshape(-1, 4)

    def _look(self, head: int, tail: int, flat: list[float]) -> None:
        """Look at one entity; its lines are added to ``flat``."""
        kind = self._values[head].strip()
        if kind == b"SECTION" and tail > head + 1:
            self._section = self._values[head + 1].strip()
        elif kind == b"ENDSEC":
            self._section = None if self._section == b"ENTITIES" else b""
        elif self._section == b"ENTITIES" and kind in {b"LINE", b"LWPOLYLINE"}:
            try:
                flat += self._line(head, tail) if kind == b"LINE" else self._polyline(head, tail)
            except (ValueError, KeyError):
                return  # damaged: the reader says so

    def _line(self, head: int, tail: int) -> list[float]:
        group = {int(code): value for code, value in zip(self._codes[head:tail], self._values[head:tail], strict=True)}
        if int(group.get(67, b"0")):
            return []  # on paper
        return [float(group[code]) for code in (10, 20, 11, 21)]

    def _polyline(self, head: int, tail: int) -> list[float]:
        xs, ys, closed = [], [], False
        for code, value in zip(self._codes[head:tail], self._values[head:tail], strict=True):
            match code.strip():
                case b"10":
                    xs.append(float(value))
                case b"20":
                    ys.append(float(value))
                case b"70":
                    closed = bool(int(value) & 1)
                case b"67" if int(value):
                    return []  # on paper
        points = list(zip(xs, ys, strict=True))
        if closed and points:
            points.append(points[0])
        return [number for a, b in pairwise(points) for number in (*a, *b)]
