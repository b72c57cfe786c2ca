"""Our record in a marked drawing: the job as issued, so that leakmap reads its own mark-up back exactly.

It lies in an XRECORD, which programs keep as it is, under a dictionary of ours in the drawing's root dictionary, one
for each time that the drawing was marked. It begins with lines that say what it is, and a checksum; then come the frozen
job, the marks, and the file of the drawing as it was before, packed, in pieces that every program takes.
"""

from __future__ import annotations

import json
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from ezdxf.document import Drawing
from ezdxf.entities.dictionary import Dictionary
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.dxfobj import XRecord
from ezdxf.entities.insert import Insert
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.lldxf.types import DXFBinaryTag, DXFTag

from leakmap.base.errors import UnusableDrawing
from leakmap.issue.marked_dxf.layers import is_ours, layer_name
from leakmap.issue.marked_dxf.record_name import DICTIONARY

VERSION: Final = 1
_TITLE: Final = "leakmap record"
_PIECE: Final = 125
"""Bytes of a piece: 250 hexadecimal digits, within the 254 that a binary chunk may have (from memory of the DXF reference)."""

_LARGEST: Final = 512 * 2**20
_DECIMALS: Final = 4
_SHORT: Final = 200
"""Length of a name in the head, so that the head stays within the 255 signs that a string may have everywhere."""


KEPT_MOST: Final = 20 * 2**20
"""Bytes of a drawing beyond which it is not kept in a record, which would make it twice as large again (ours)."""

Marks = tuple[tuple[str, int], ...]
"""For each mark what it is, and a checksum of its place and words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What a marked drawing keeps of the issue that it was made by.

    Attributes:
        discipline: First part of the names of our layers and blocks in it.
        job_name: Name of the job.
        revision: Name of the revision.
        source: SHA-256 of the drawing that the marks were put into; empty where they lie in a new file.
        frozen: The job as issued, as canonical text.
        marks: What each mark is, and a checksum of its place and words, in order; not by handle, as programs that save
            a drawing anew may number all of it anew.
        drawing: The file that the sheets show, byte for byte; empty where it was too large to be kept, or is none.
    """

    discipline: str
    job_name: str
    revision: str
    source: str
    frozen: str
    marks: Marks
    drawing: bytes = b""


def put_record(doc: Drawing, record: Record) -> None:
    """Put a record into a drawing, after all others."""
    told = json.dumps({"frozen": record.frozen, "marks": record.marks}, sort_keys=True).encode("utf-8")
    body = told + record.drawing
    packed = zlib.compress(body, 9)
    held = doc.rootdict.get(DICTIONARY)
    records = held if isinstance(held, Dictionary) else doc.rootdict.add_new_dict(DICTIONARY)
    entry = records.add_xrecord(record.discipline)
    words = (_TITLE, record.job_name[:_SHORT], record.revision[:_SHORT], record.source, sha256(body).hexdigest())
    entry.tags.extend(DXFTag(1, word.replace("\n", " ").replace("\r", " ")) for word in words)
    entry.tags.extend((DXFTag(90, VERSION), DXFTag(90, len(told)), DXFTag(90, len(body))))
    entry.tags.extend(DXFBinaryTag(310, packed[at : at + _PIECE]) for at in range(0, len(packed), _PIECE))


def record_in(doc: Drawing, name: str) -> Record | None:
    """The latest record of a drawing; None where it has none.

    Args:
        doc: The drawing.
        name: Name of its file, for sentences.

    Raises:
        UnusableDrawing: The record is damaged, or was written by a newer leakmap.
    """
    entry = _latest(doc)
    if entry is None:
        return None
    discipline, xrecord = entry
    try:
        return _read(discipline, xrecord, name)
    except (ValueError, KeyError, TypeError, AttributeError, zlib.error) as error:
        raise UnusableDrawing(
            f"The record of the job in {name} is damaged; the drawing itself opens as any other does.",
            hint="Take it as a drawing (--drawing).",
            where=name,
        ) from error


def _latest(doc: Drawing) -> tuple[str, XRecord] | None:
    held = doc.rootdict.get(DICTIONARY)
    if not isinstance(held, Dictionary):
        return None
    entries = held.items()  # type: ignore[no-untyped-call]  # not annotated there
    found = [(str(key), entry) for key, entry in entries if isinstance(entry, XRecord)]
    return max(found, key=lambda pair: (len(pair[0]), pair[0]), default=None)


def _read(discipline: str, xrecord: XRecord, name: str) -> Record:
    title, job_name, revision, source, digest = (str(tag.value) for tag in xrecord.tags if tag.code == 1)
    version, *sizes = (int(tag.value) for tag in xrecord.tags if tag.code == 90)
    if version > VERSION:
        raise UnusableDrawing(
            f"The record of the job in {name} was written by a newer leakmap; update leakmap to read it.", where=name
        )
    told, size = sizes
    if title != _TITLE or not 0 < told <= size <= _LARGEST:
        raise ValueError("it does not begin as a record does")
    packed = b"".join(bytes(tag.value) for tag in xrecord.tags if tag.code == 310)
    body = zlib.decompressobj().decompress(packed, size)
    if sha256(body).hexdigest() != digest:
        raise ValueError("its checksum differs")
    value = json.loads(body[:told])
    marks = tuple((str(what), int(check)) for what, check in value["marks"])
    return Record(
        discipline=discipline,
        job_name=job_name,
        revision=revision,
        source=source,
        frozen=value["frozen"],
        marks=marks,
        drawing=body[told:],
    )


def marks_in(doc: Drawing, discipline: str) -> Marks:
    """What each mark on our layers is, and a checksum of its place and words, in order."""
    return tuple(sorted(_mark(entity, discipline) for entity in ours(doc, discipline)))


def ours(doc: Drawing, discipline: str) -> Iterator[DXFGraphic]:
    """What lies on our layers in model space."""
    return (entity for entity in doc.modelspace() if is_ours(entity.dxf.layer, discipline))


def _mark(entity: DXFGraphic, discipline: str) -> tuple[str, int]:
    what = entity.dxf.layer[len(layer_name(discipline, "")) :]
    numbers: list[float] = []
    words: list[str] = [what]
    if isinstance(entity, LWPolyline):
        numbers = [value for x, y, bulge in entity.get_points("xyb") for value in (x, y, bulge)]
    elif isinstance(entity, Insert):
        what = entity.get_attrib_text("REF") or what
        words += [f"{attrib.dxf.tag} {attrib.dxf.text}" for attrib in entity.attribs]
    elif isinstance(entity, Text):
        words.append(entity.dxf.text)
    elif isinstance(entity, MText):
        words.append(entity.text)
    for name in ("insert", "center", "radius"):
        if entity.dxf.hasattr(name):
            value = entity.dxf.get(name)
            numbers += [value] if name == "radius" else [value.x, value.y]
    said = [*words, *(f"{round(number, _DECIMALS) + 0.0:.{_DECIMALS}f}" for number in numbers)]
    return what, zlib.crc32("\n".join(said).encode("utf-8", "surrogatepass"))


def moved_marks(doc: Drawing, record: Record) -> tuple[str, ...]:
    """What others changed, removed or added on our layers since the record was made: references, or kinds of marks."""
    now, then = Counter(marks_in(doc, record.discipline)), Counter(record.marks)
    return tuple(sorted({what for what, _ in (*(now - then), *(then - now))}))
