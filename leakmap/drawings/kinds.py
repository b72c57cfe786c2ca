"""What kind of file a drawing is, decided by its content, never by the ending of its name."""

from __future__ import annotations

import re
from collections.abc import Callable
from enum import StrEnum
from typing import Final

from leakmap.base.errors import UnusableDrawing

BINARY_DXF_MARK: Final = re.compile(rb"\w{7} Binary DXF\r\n\x1a\x00")
"""How every binary DXF file starts: 22 bytes, of which the first word is the format's maker."""

_HEAD: Final = 1 << 16
_PICTURES: Final = (
    b"\x89PNG\r\n\x1a\n",
    b"\xff\xd8\xff",  # JPEG
    b"II*\x00",  # TIFF, also the next two
    b"MM\x00*",
    b"II+\x00",
    b"GIF8",
    b"BM",
    b"\x00\x00\x00\x0cjP  ",  # JPEG 2000
)
_BOXED_PICTURES: Final = frozenset({b"WEBP", b"heic", b"heix", b"mif1", b"avif"})


class FileKind(StrEnum):
    """Kinds of files that people take for drawings."""

    DXF_TEXT = "DXF text"
    DXF_BINARY = "DXF binary"
    DWG = "DWG"
    PDF = "PDF"
    PICTURE = "picture"
    ZIP = "zip"
    DATABASE = "database"
    EMPTY = "empty"
    UNKNOWN = "unknown"


DXF_KINDS: Final = frozenset({FileKind.DXF_TEXT, FileKind.DXF_BINARY})
"""Both ways in which a DXF is written."""

_TELLS: Final[tuple[tuple[FileKind, Callable[[bytes], bool]], ...]] = (
    (FileKind.EMPTY, lambda head: not head.strip(b"\x00 \t\r\n")),
    (FileKind.DXF_BINARY, lambda head: BINARY_DXF_MARK.match(head) is not None),
    (FileKind.DWG, lambda head: re.match(rb"AC(10\d\d|1\.\d|2\.\d)", head) is not None),
    (FileKind.PDF, lambda head: b"%PDF-" in head[:1024]),
    (FileKind.PICTURE, lambda head: head.startswith(_PICTURES) or head[8:12] in _BOXED_PICTURES),
    (FileKind.ZIP, lambda head: head.startswith((b"PK\x03\x04", b"PK\x05\x06"))),
    (FileKind.DATABASE, lambda head: head.startswith(b"SQLite format 3\x00")),
)

_REFUSALS: Final = {
    FileKind.DWG: "is a DWG drawing, not a DXF; save it as DXF and import that.",
    FileKind.PDF: "is a PDF, not a DXF; export the drawing as DXF and import that.",
    FileKind.PICTURE: "is a picture, not a DXF; export the drawing as DXF and import that.",
    FileKind.ZIP: "is a packed archive; unpack it and import the drawing inside.",
    FileKind.DATABASE: "is a database or a job file, not a drawing; import a DXF, DWG or PDF drawing, or a scan.",
    FileKind.EMPTY: "is empty; export the drawing again.",
    FileKind.UNKNOWN: "is no drawing that leakmap reads; export it as DXF or PDF and import that.",
}


def kind_of(data: bytes) -> FileKind:
    r"""The kind of a file, from its first bytes.

    >>> kind_of(b"").value, kind_of(b"%PDF-1.7").value, kind_of(b"  0\nSECTION\n").value
    ('empty', 'PDF', 'DXF text')
    """
    head = data[:_HEAD]
    for kind, found in _TELLS:
        if found(head):
            return kind
    return FileKind.DXF_TEXT if _looks_like_dxf(data, head) else FileKind.UNKNOWN


def refusal(name: str, kind: FileKind) -> UnusableDrawing:
    """The one sentence for a file that is no DXF where one is needed, or nothing that can be read."""
    return UnusableDrawing(f"{name or 'The file'} {_REFUSALS[kind]}", where=name)


def _looks_like_dxf(data: bytes, head: bytes) -> bool:
    """Whether there are group code lines with section marks, or a first line that is a group code."""
    if re.search(rb"(^|[\r\n]|\xef\xbb\xbf)[ \t]*0[ \t]*(\r\n|\r|\n)[ \t]*SECTION\b", head):
        return True
    first = re.match(rb"(?:\xef\xbb\xbf)?\s*(\d{1,4})[ \t]*(\r\n|\r|\n)", head)
    return first is not None and b"ENTITIES" in data
