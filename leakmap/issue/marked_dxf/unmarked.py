"""A marked drawing read back: its record, and the drawing without our marks."""

from __future__ import annotations

from dataclasses import dataclass

from ezdxf.document import Drawing
from ezdxf.entities.dictionary import Dictionary

from leakmap.base.errors import UnusableDrawing
from leakmap.issue.marked_dxf.document import bytes_of, fixed_metadata, read_document
from leakmap.issue.marked_dxf.layers import is_ours, layer_name
from leakmap.issue.marked_dxf.paper_space import FRAME
from leakmap.issue.marked_dxf.record import Record, moved_marks, ours, record_in
from leakmap.issue.marked_dxf.record_name import DICTIONARY
from leakmap.issue.marked_dxf.xdata import APP_ID


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmarked:
    """A marked drawing taken apart.

    Attributes:
        record: What it keeps of its issue.
        drawing: The file without our marks; empty where the marks lay in a new file.
        changed: What others changed, removed or added on our layers.
    """

    record: Record
    drawing: bytes
    changed: tuple[str, ...]


def unmarked(data: bytes, name: str) -> Unmarked:
    """Take a marked drawing apart.

    Raises:
        UnusableDrawing: It is no drawing, holds no record, or its record is damaged or newer than this program.
    """
    with fixed_metadata():
        doc, _ = read_document(data, name)
        record = record_in(doc, name)
        if record is None:
            raise UnusableDrawing(
                f"{name} holds no record of a job: it was not marked by leakmap, or the record was purged.",
                hint="Take it as a drawing (--drawing).",
                where=name,
            )
        changed = moved_marks(doc, record)
        if not record.source:
            return Unmarked(record=record, drawing=b"", changed=changed)
        _take_out(doc, record.discipline)
        return Unmarked(record=record, drawing=bytes_of(doc), changed=changed)


def _take_out(doc: Drawing, discipline: str) -> None:
    """Take all that is ours out of a drawing: marks, layouts, blocks, layers, line types, text style, record."""
    for entity in list(ours(doc, discipline)):
        doc.modelspace().delete_entity(entity)
    frame = layer_name(discipline, FRAME)
    for name in doc.layout_names():
        if name != "Model" and any(entity.dxf.layer == frame for entity in doc.layout(name)):
            doc.delete_layout(name)
    for name in [block.name for block in doc.blocks if is_ours(block.name, discipline)]:
        doc.blocks.delete_block(name, safe=False)
    for table in (doc.layers, doc.linetypes, doc.styles):
        for name in [entry.dxf.name for entry in table if is_ours(entry.dxf.name, discipline)]:
            table.remove(name)
    records = doc.rootdict.get(DICTIONARY)
    assert isinstance(records, Dictionary)
    entry = records.get(discipline)
    records.remove(discipline)
    if entry is not None:
        doc.objects.delete_entity(entry)
    if not len(records):
        doc.rootdict.remove(DICTIONARY)
        doc.objects.delete_entity(records)
        doc.appids.discard(APP_ID)
