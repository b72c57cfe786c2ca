"""What a drawing shows, and the scale that its symbols are sized for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np
from ezdxf import bbox
from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic

from leakmap.geometry.path import Box, Point
from leakmap.issue.schedule_pdf.paper import LARGEST_BY_DEFAULT, SHEETS_MM, layout_for

_FAR: Final = 8.0


def scale_for(box_m: Box, paper: str) -> float:
    """The plot scale of a box of the site plane: that of the schedule's plan, on the largest allowed paper."""
    wide, high = max(box_m[2] - box_m[0], 1e-3), max(box_m[3] - box_m[1], 1e-3)
    return float(layout_for(wide, high, paper if paper in SHEETS_MM else LARGEST_BY_DEFAULT).scale)


def box_round(points: Iterable[Point]) -> Box | None:
    """Smallest box round points; None when there are none."""
    found = list(points)
    if not found:
        return None
    xs, ys = zip(*found, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def shown_box(doc: Drawing) -> Box | None:
    """Box, drawing units, round what is visible and drawn in model space; None when nothing is.

    Things that lie very far from all others, such as a stray insert, are left out.
    """
    boxes = np.array(list(_boxes(doc)), dtype=np.float64)
    if not len(boxes):
        return None
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    middle = np.median(middles, axis=0)
    away = np.abs(middles - middle).max(axis=1)
    near = boxes[away <= _FAR * max(float(np.quantile(away, 0.9)), float(np.median(boxes[:, 2:] - boxes[:, :2])))]
    low, high = near[:, :2].min(axis=0), near[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _boxes(doc: Drawing) -> Iterator[tuple[float, float, float, float]]:
    hidden = {layer.dxf.name.casefold() for layer in doc.layers if layer.is_off() or layer.is_frozen()}
    cache = bbox.Cache()
    for entity in doc.modelspace():
        if _visible(entity, hidden):
            found = bbox.extents([entity], fast=True, cache=cache)
            if found.has_data and all(abs(value) < 1e15 for value in (*found.extmin, *found.extmax)):
                yield found.extmin.x, found.extmin.y, found.extmax.x, found.extmax.y


def _visible(entity: DXFEntity, hidden: set[str]) -> bool:
    if not isinstance(entity, DXFGraphic) or entity.dxf.get("invisible", 0):
        return False
    return entity.dxf.layer.casefold() not in hidden


def text_boxes(doc: Drawing) -> list[Box]:
    """Boxes, drawing units, round the texts in model space, as far as they are level."""
    found: list[Box] = []
    for entity in doc.modelspace().query("TEXT MTEXT"):
        box = bbox.extents([entity], fast=True)
        if box.has_data:
            found.append((box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y))
    return found
