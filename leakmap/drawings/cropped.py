"""The part of a drawing inside a rectangle, for model spaces in which several plans stand side by side.

Lines are cut at the rectangle; texts stay whose point lies inside; of pictures the tiles stay that
reach inside.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.shown import stroke_boxes
from leakmap.geometry.path import Box
from leakmap.model.drawing import Drawing, FloatArray, IntArray, LayerState, Picture, Strokes


def cropped(drawing: Drawing, crop: Box, *, name: str = "") -> Drawing:
    """What of a drawing lies inside a rectangle.

    Args:
        drawing: The drawing.
        crop: Left, bottom, right, top; **absolute** drawing units.
        name: Name of its file, for messages.

    Raises:
        UnusableDrawing: Nothing lies inside.
    """
    (dx, dy), (left, bottom, right, top) = drawing.origin, crop
    box = (left - dx, bottom - dy, right - dx, top - dy)
    strokes = _cut(drawing.strokes, box)
    texts = tuple(text for text in drawing.texts if _inside(text.at, box))
    pictures = tuple(part for picture in drawing.pictures if (part := _part(picture, box)) is not None)
    if not len(strokes) and not texts and not pictures:
        raise UnusableDrawing(
            f"Nothing of {name or 'the drawing'} lies inside the rectangle; draw it round the plan.", where=name
        )
    kept = replace(drawing, strokes=strokes, texts=texts, pictures=pictures)
    return replace(kept, shown=_shown(kept, box))


def _shown(part: Drawing, box: Box) -> Box:
    """The box round what shows of a part, within the rectangle; the rectangle itself where nothing shows."""
    on = np.array([layer.state is LayerState.ON for layer in part.layers], dtype=np.bool_)
    boxes = [stroke_boxes(part.strokes)[on[part.strokes.layer]]]
    boxes += [np.array([[*text.at, *text.at]]) for text in part.texts if on[text.layer]]
    boxes += [np.array([picture.box]) for picture in part.pictures if on[picture.layer]]
    kept = np.vstack(boxes)
    if not len(kept):
        return box
    (left, bottom), (right, top) = kept[:, :2].min(axis=0).tolist(), kept[:, 2:].max(axis=0).tolist()
    return max(left, box[0]), max(bottom, box[1]), min(right, box[2]), min(top, box[3])


def _cut(strokes: Strokes, box: Box) -> Strokes:
    """Polylines cut at the rectangle; those wholly inside keep their points bit for bit."""
    if not len(strokes):
        return strokes
    firsts = strokes.starts[:-1]
    low, high = np.minimum.reduceat(strokes.xy, firsts), np.maximum.reduceat(strokes.xy, firsts)
    touched = np.flatnonzero((low <= box[2:]).all(axis=1) & (high >= box[:2]).all(axis=1))
    whole = frozenset(np.flatnonzero(((low >= box[:2]) & (high <= box[2:])).all(axis=1)).tolist())
    parts: list[FloatArray] = []
    layers: list[int] = []
    for index in touched.tolist():
        points = strokes.polyline(index)
        found = [points] if index in whole else _clipped(points, box)
        parts += found
        layers += [int(strokes.layer[index])] * len(found)
    if not parts:
        return Strokes.none()
    starts: IntArray = np.cumsum([0, *map(len, parts)]).astype(np.int32)
    return Strokes(np.vstack(parts), starts, np.array(layers, dtype=np.int32))


def _clipped(points: FloatArray, box: Box) -> list[FloatArray]:
    if len(points) < 2:
        return []
    lines = shapely.get_parts(shapely.clip_by_rect(shapely.LineString(points), *box))
    return [shapely.get_coordinates(line) for line in lines if line.length > 0]


def _inside(at: tuple[float, float], box: Box) -> bool:
    return box[0] <= at[0] <= box[2] and box[1] <= at[1] <= box[3]


def _part(picture: Picture, box: Box) -> Picture | None:
    """A picture without the tiles outside; None where all of it lies outside."""
    kept = {place: tile for place, tile in picture.tiles.items() if _meets(picture.tile_box(place), box)}
    return replace(picture, tiles=kept) if _meets(picture.box, box) else None


def _meets(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
