"""The rough size of a layout, before its curves are drawn, to judge how fine they must be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

import numpy as np

from leakmap.drawings.dxf.troubles import TROUBLE
from leakmap.model.drawing import FloatArray

_PLACE: Final = {
    "LINE": "start",
    "ARC": "center",
    "CIRCLE": "center",
    "ELLIPSE": "center",
    "INSERT": "insert",
    "TEXT": "insert",
    "MTEXT": "insert",
}
_TAIL: Final = 0.05


def rough_size(layout: Iterable[Any], more: FloatArray) -> float:
    """About how large a layout is, drawing units; 0 when there is too little to say.

    It is the longer side of the box that holds the middle nine tenths of the entities' places.

    Args:
        layout: Its entities.
        more: ``(k, 2)``, places of what it holds besides.
    """
    places = np.concatenate((np.array(list(_places(layout)), dtype=np.float64).reshape(-1, 2), more))
    places = places[np.isfinite(places).all(axis=1)]
    if len(places) < 2:
        return 0.0
    low, high = np.quantile(places, (_TAIL, 1 - _TAIL), axis=0)
    return float((high - low).max())


def _places(entities: Iterable[Any]) -> Iterator[tuple[float, float]]:
    for entity in entities:
        try:
            kind = entity.dxftype()
            if kind == "LWPOLYLINE":
                x, y = next(iter(entity.vertices()))
                yield x, y
            elif kind in _PLACE:
                at = entity.dxf.get(_PLACE[kind])
                yield at.x, at.y
        except TROUBLE:  # it is told when the entity is drawn
            continue
