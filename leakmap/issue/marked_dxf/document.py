"""The drawing that is marked: read from the bytes of its file, or new; and its bytes when it is done.

Everything here runs with fixed metadata, so that the same job gives the same bytes: the file's times
are those of the format's own test setting, its two random identifiers are fixed.
"""

from __future__ import annotations

import io
import logging
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from threading import RLock
from typing import Final

from ezdxf import recover, units
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new, read
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.tagger import binary_tags_loader
from ezdxf.lldxf.validator import dxf_info

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding

R2010: Final = "AC1024"
R2018: Final = "AC1032"
EMPTY_LAYOUT: Final = "Layout1"
"""The layout that the library gives a new drawing, as each must have one."""

_BINARY_END: Final = b"\r\n\x1a\x00"
_BINARY_LENGTH: Final = 22
_SOLIDS: Final = "3DSOLID BODY REGION SURFACE EXTRUDEDSURFACE LOFTEDSURFACE REVOLVEDSURFACE SWEPTSURFACE PLANESURFACE"
_SETTING: Final = RLock()

DAMAGE: Final = (
    *(DXFError, OSError, UnicodeError, ArithmeticError, AssertionError, AttributeError, LookupError),
    *(RuntimeError, StopIteration, TypeError, ValueError, struct.error),
)
"""What the library raises on damaged drawings: besides its own errors, whatever the damage leads to."""


@contextmanager
def fixed_metadata() -> Iterator[None]:
    """Times and random identifiers are fixed inside, and the library's settings are as before afterwards.

    Its warnings are silent inside: flaws of a drawing were told when it was imported.
    """
    log = logging.getLogger("ezdxf")
    with _SETTING:
        before, level = options.write_fixed_meta_data_for_testing, log.level
        options.write_fixed_meta_data_for_testing = True
        log.setLevel(logging.ERROR)
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before
            log.setLevel(level)


def new_document() -> Drawing:
    """An empty drawing in metres, R2018."""
    doc = new(R2018, units=units.M)
    doc.header["$MEASUREMENT"] = 1
    return doc


def read_document(data: bytes, name: str, *, repair: bool = False) -> tuple[Drawing, tuple[Finding, ...]]:
    """The drawing in a file, ready to be saved as R2018.

    Args:
        data: The file.
        name: Its name, for findings.
        repair: Repair it at once, instead of only where plain reading fails.

    Raises:
        UnusableDrawing: It is no drawing of this format, or too badly damaged.
    """
    if b"ENTITIES" not in data:
        raise UnusableDrawing(f"{name} could not be read as a DXF drawing.", where=name)
    doc, findings = _recovered(data, name) if repair else _opened(data, name)
    return doc, (*findings, *_as_new(doc, name))


def _opened(data: bytes, name: str) -> tuple[Drawing, tuple[Finding, ...]]:
    try:
        return _plainly(data), ()
    except DAMAGE:
        return _recovered(data, name)


def _is_binary(data: bytes) -> bool:
    return data[_BINARY_LENGTH - len(_BINARY_END) : _BINARY_LENGTH] == _BINARY_END


def as_text(data: bytes) -> bytes:
    """A drawing in the text form; one in the binary form is turned into it, tag by tag, in UTF-8."""
    if not _is_binary(data):
        return data
    text = "".join(tag.dxfstr() for tag in binary_tags_loader(data, errors="surrogateescape"))
    return text.encode("utf-8", "surrogateescape")


def _plainly(data: bytes) -> Drawing:
    if _is_binary(data):
        return Drawing.load(binary_tags_loader(data, errors="surrogateescape"))
    return read(io.TextIOWrapper(io.BytesIO(data), encoding=encoding_of(data), errors="surrogateescape"))


def encoding_of(data: bytes) -> str:
    """Encoding of the texts of a drawing in the text form, and of one in the binary form that was turned into it."""
    if _is_binary(data):
        return "utf-8"
    found = dxf_info(io.StringIO(data.decode("utf-8", "ignore")))
    return "utf-8" if found.version >= "AC1021" else found.encoding


def _recovered(data: bytes, name: str) -> tuple[Drawing, tuple[Finding, ...]]:
    try:
        doc, auditor = recover.read(io.BytesIO(data))
    except DAMAGE as error:
        raise UnusableDrawing(f"{name} could not be read as a DXF drawing.", where=name) from error
    count = len(auditor.fixes) + len(auditor.errors)
    text = f"{name} is damaged; {count} flaws were repaired while reading. Compare the marked drawing with it."
    return doc, (Finding("drawing-repaired", name, text, Effect.FIXED),)


def _as_new(doc: Drawing, name: str) -> tuple[Finding, ...]:
    """Set the version that it is saved as.

    Solids in a file up to R2010 are text that later versions cannot hold: such a file stays R2010.
    """
    if doc.dxfversion <= R2010 and any(doc.entitydb.query(_SOLIDS)):
        doc.dxfversion = R2010
        text = f"{name} holds 3D solids that only R2010 can keep; the marked drawing is R2010 instead of R2018."
        return (Finding("saved-as-r2010", name, text),)
    doc.dxfversion = R2018
    return ()


def bytes_of(doc: Drawing) -> bytes:
    """The drawing as a text file.

    Its classes are named in the order of the alphabet first: the library would take them from a set.
    """
    for kind in sorted(doc.entitydb.dxf_types_in_use()):
        doc.classes.add_class(kind)
    stream = io.StringIO()
    doc.write(stream)
    return doc.encode(stream.getvalue())
