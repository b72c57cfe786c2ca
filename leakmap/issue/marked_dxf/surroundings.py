"""What the drawing round our marks shows: its box and its texts, in drawing units.

Both come from the drawing as the reader gave it; where only the file is at hand, from the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

import ezdxf.document
import numpy as np
from ezdxf import bbox
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert

from leakmap.geometry.boxes import box_round
from leakmap.geometry.path import Box
from leakmap.issue.marked_dxf.document import DAMAGE
from leakmap.issue.marked_dxf.width import width_mm
from leakmap.model.drawing import Drawing, Text

_FAR: Final = 8.0
_ENDLESS: Final = 1e15


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands round the marks, drawing units.

    Attributes:
        shown: Box round what is visible and drawn; None when nothing is.
        texts: Boxes round texts, which labels keep off.
    """

    shown: Box | None
    texts: tuple[Box, ...]


def of_drawing(drawing: Drawing) -> Surroundings:
    """Surroundings as the reader gave them."""
    x, y = drawing.origin
    texts = tuple(_moved(_text_box(text), x, y) for text in drawing.texts)
    return Surroundings(None if drawing.shown is None else _moved(drawing.shown, x, y), texts)


def _moved(box: Box, x: float, y: float) -> Box:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def _text_box(text: Text) -> Box:
    """Box round a text, by its width in common sans-serif letters."""
    lines = text.words.split("\n")
    wide, high = max(width_mm(line, text.height) for line in lines), text.height * (1.6 * len(lines) - 0.6)
    left, low = -text.across * wide, -text.up * high
    c, s = cos(radians(text.turn_deg)), sin(radians(text.turn_deg))
    corners = [(x, y) for x in (left, left + wide) for y in (low, low + high)]
    box = box_round((text.at[0] + c * x - s * y, text.at[1] + s * x + c * y) for x, y in corners)
    assert box is not None
    return box


def of_file(doc: ezdxf.document.Drawing) -> Surroundings:
    """Surroundings worked out from the file itself.

    Things that lie very far from all others, such as a stray insert, are left out.
    """
    boxes = np.array(list(_boxes(doc)), dtype=np.float64)
    texts = tuple(box for entity in doc.modelspace().query("TEXT MTEXT") for box in _box_of(entity))
    if not len(boxes):
        return Surroundings(None, texts)
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    away = np.abs(middles - np.median(middles, axis=0)).max(axis=1)
    size = float(np.median(boxes[:, 2:] - boxes[:, :2]))
    near = boxes[away <= _FAR * max(float(np.quantile(away, 0.9)), size)]
    low, high = near[:, :2].min(axis=0), near[:, 2:].max(axis=0)
    return Surroundings((float(low[0]), float(low[1]), float(high[0]), float(high[1])), texts)


def _boxes(doc: ezdxf.document.Drawing) -> Iterator[Box]:
    hidden = {layer.dxf.name.casefold() for layer in doc.layers if layer.is_off() or layer.is_frozen()}
    for entity in doc.modelspace():
        if _visible(entity, hidden):
            yield from _box_of(entity)


def _visible(entity: DXFEntity, hidden: set[str]) -> bool:
    if not isinstance(entity, DXFGraphic) or entity.dxf.get("invisible", 0):
        return False
    return entity.dxf.layer.casefold() not in hidden


def _box_of(entity: DXFEntity) -> Iterator[Box]:
    """The box of an entity; of a damaged insert those of its sound parts, of another damaged entity none."""
    try:
        found = bbox.extents([entity], fast=True)
    except DAMAGE:
        if isinstance(entity, Insert):
            yield from _boxes_inside(entity)
        return
    if found.has_data and all(abs(value) < _ENDLESS for value in (*found.extmin, *found.extmax)):
        yield found.extmin.x, found.extmin.y, found.extmax.x, found.extmax.y


def _boxes_inside(insert: Insert) -> Iterator[Box]:
    """Boxes of the sound parts of a block, placed as its insert places them."""
    place = insert.matrix44()
    for part in insert.block() or ():
        for x0, y0, x1, y1 in _box_of(part):
            corners = place.transform_vertices([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)])
            box = box_round((corner.x, corner.y) for corner in corners)
            assert box is not None
            yield box
