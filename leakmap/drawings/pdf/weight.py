"""How much a page would draw, counted in its bytes before pdfium takes it in.

pdfium takes a page in whole, however large it is, and a page may place a form a thousand times that places
another one a thousand times. So operators that draw are counted first (ISO 32000-1, annex A), forms as often as
they are placed. Strings and inline images may hold what looks like an operator: the count is an estimate
from above.
"""

from __future__ import annotations

import base64
import re
import zlib
from collections import Counter
from dataclasses import dataclass
from typing import Any, Final

import pikepdf

from leakmap.drawings.pdf.document import TROUBLE

MOST_BYTES: Final = 150_000_000
"""Bytes of the contents of a page, unpacked, at most (ours); large plans have some tens of millions."""

MOST_COUNTED: Final = 10_000_000
"""Operators that are counted one by one, at most (ours)."""

_DEEPEST: Final = 30
_OPERATOR: Final = re.compile(
    rb"(?:(/[^\s/\[\]()<>{}%]{1,127})\s+(Do)|(?<![^\s\])>])(S|s|f\*?|F|B\*?|b\*?|Tj|TJ|'|\"|sh|EI))(?=[\s/\[(<]|$)"
)
_ESCAPED: Final = re.compile(rb"#([0-9A-Fa-f]{2})")
_TEXT: Final = frozenset({b"Tj", b"TJ", b"'", b'"'})
_IMAGE: Final = frozenset({b"EI", b"sh"})
_Counts = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Weight:
    """What a page draws, estimated.

    Attributes:
        lines: Paths.
        texts: Pieces of text.
        pictures: Images and shadings.
        whole: Whether everything that could be unpacked was counted; else there is more.
    """

    lines: int
    texts: int
    pictures: int
    whole: bool = True

    @property
    def things(self) -> int:
        """All of them."""
        return self.lines + self.texts + self.pictures


def weight_of(page: Any, *, most_bytes: int | None = None) -> Weight:  # noqa: ANN401 - pikepdf's objects have any kind
    """What a page draws.

    Args:
        page: The page as pikepdf sees it.
        most_bytes: How far its contents are unpacked, at most; None for ``MOST_BYTES``.
    """
    scales = _Scales(MOST_BYTES if most_bytes is None else most_bytes)
    try:
        contents = page.get("/Contents")
        streams = list(contents) if isinstance(contents, pikepdf.Array) else [contents]
        data = b"\n".join(scales.unpacked(stream) for stream in streams if stream is not None)
        counts = scales.counted(data, page.get("/Resources"), 0)
    except TROUBLE:
        return Weight(0, 0, 0)
    return Weight(*counts, whole=scales.whole)


class _Scales:
    """Counts, each form once however often it is placed."""

    def __init__(self, most_bytes: int) -> None:
        self._left = most_bytes
        self._uncounted = MOST_COUNTED
        self._known: dict[Any, _Counts] = {}
        self.whole = True

    def counted(self, data: bytes, resources: Any, depth: int) -> _Counts:  # noqa: ANN401 - pikepdf
        """What contents draw."""
        found: Counter[bytes] = Counter()
        placed: Counter[bytes] = Counter()
        for match in _OPERATOR.finditer(data):
            if self._uncounted <= 0:
                self.whole = False
                break
            self._uncounted -= 1
            if match[1]:
                placed[match[1]] += 1
            else:
                found[match[3]] += 1
        texts = sum(found[operator] for operator in _TEXT)
        pictures = sum(found[operator] for operator in _IMAGE)
        lines = found.total() - texts - pictures
        for name, times in placed.items():
            a, b, c = self._placed(name, resources, depth)
            lines, texts, pictures = lines + times * a, texts + times * b, pictures + times * c
        return lines, texts, pictures

    def _placed(self, name: bytes, resources: Any, depth: int) -> _Counts:  # noqa: ANN401 - pikepdf
        """What one placing of a form or an image draws."""
        try:
            plain = _ESCAPED.sub(lambda found: bytes([int(found[1], 16)]), name)
            held = resources["/XObject"][plain.decode("latin-1")]
            if held.get("/Subtype") == "/Image":
                return 0, 0, 1
            key = held.objgen
            if key not in self._known:
                self._known[key] = (0, 0, 0)  # a form that places itself is placed no further
                if depth < _DEEPEST:
                    self._known[key] = self.counted(self.unpacked(held), held.get("/Resources", resources), depth + 1)
            return self._known[key]
        except TROUBLE:
            return 0, 0, 0

    def unpacked(self, stream: Any) -> bytes:  # noqa: ANN401 - pikepdf
        """The contents of a stream, as far as there is room for them; nothing of one that is damaged."""
        try:
            data = self._unfiltered(stream)
        except TROUBLE:
            return b""
        if len(data) > self._left:
            self.whole, data = False, data[: self._left]
        self._left -= len(data)
        return data

    def _unfiltered(self, stream: Any) -> bytes:  # noqa: ANN401 - pikepdf
        data: bytes = stream.read_raw_bytes()
        filters = stream.get("/Filter", [])
        for name in list(filters) if isinstance(filters, pikepdf.Array) else [filters]:
            data = self._decoded(data, str(name), stream)
        return data

    def _decoded(self, data: bytes, name: str, stream: Any) -> bytes:  # noqa: ANN401 - pikepdf
        match name:
            case "/FlateDecode" | "/Fl":
                return _inflated(data, self._left + 1)
            case "/ASCII85Decode" | "/A85":
                return base64.a85decode(data.split(b"~>")[0].removeprefix(b"<~"))
            case "/ASCIIHexDecode" | "/AHx":
                return bytes.fromhex(data.split(b">")[0].decode("ascii"))
        unpacked: bytes = stream.read_bytes()  # old filters that pack little
        return unpacked


def _inflated(data: bytes, most: int) -> bytes:
    """Unpacked bytes, at most so many; those before the damage where there is any."""
    packer = zlib.decompressobj()
    parts = []
    try:
        for at in range(0, len(data), 1 << 16):
            parts.append(packer.decompress(data[at : at + (1 << 16)], max(most, 1)))
            most -= len(parts[-1])
            if most <= 0:
                break
    except zlib.error:
        pass
    return b"".join(parts)
