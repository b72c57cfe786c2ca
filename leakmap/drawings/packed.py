"""A drawing as compressed bytes and back, exactly, so that a parsed drawing can be kept.

Layout, little-endian: the mark ``LMD1``, the length of the head (uint32), the head (JSON, UTF-8), then
the arrays xy (float64), starts and layer (int32); all after the mark is compressed with zlib. Numbers
in the head are written by ``repr``, which gives every float back bit for bit. Texts with lone
surrogates never occur in a drawing.
"""

from __future__ import annotations

import json
import struct
import zlib
from typing import Any, Final

import numpy as np

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.model.drawing import Drawing, Layer, LayerState, Strokes, Text, UnitHint

MARK: Final = b"LMD1"
_LEVEL: Final = 6


def packed(drawing: Drawing) -> bytes:
    """A drawing as bytes; the same drawing always gives the same bytes."""
    strokes = drawing.strokes
    head = json.dumps(_head(drawing), ensure_ascii=False, separators=(",", ":")).encode()
    arrays = (strokes.xy.astype("<f8"), strokes.starts.astype("<i4"), strokes.layer.astype("<i4"))
    body = b"".join((struct.pack("<I", len(head)), head, *(array.tobytes() for array in arrays)))
    return MARK + zlib.compress(body, _LEVEL)


def unpacked(data: bytes) -> Drawing:
    """The drawing that was packed.

    Raises:
        UnusableDrawing: The bytes are not a packed drawing, or damaged.
    """
    if not data.startswith(MARK):
        raise UnusableDrawing("These bytes are no kept drawing; read the source file again.")
    try:
        body = zlib.decompress(data[len(MARK) :])
        (length,) = struct.unpack_from("<I", body)
        head = json.loads(body[4 : 4 + length])
        return _drawing(head, body[4 + length :])
    except (zlib.error, struct.error, ValueError, LookupError, TypeError) as error:
        raise UnusableDrawing("The kept drawing is damaged; read the source file again.") from error


def _head(drawing: Drawing) -> dict[str, Any]:
    return {
        "points": len(drawing.strokes.xy),
        "strokes": len(drawing.strokes),
        "origin": drawing.origin,
        "layers": [(layer.name, layer.state) for layer in drawing.layers],
        "texts": [
            (*text.at, text.height, text.turn_deg, text.across, text.up, text.words, text.layer)
            for text in drawing.texts
        ],
        "unit": (drawing.unit.m_per_unit, drawing.unit.reason),
        "shown": drawing.shown,
        "findings": [(found.code, found.where, found.text, found.effect) for found in drawing.findings],
    }


def _drawing(head: dict[str, Any], arrays: bytes) -> Drawing:
    points, strokes = head["points"], head["strokes"]
    starts_at, layer_at = 16 * points, 16 * points + 4 * (strokes + 1)
    return Drawing(
        origin=tuple(head["origin"]),
        layers=tuple(Layer(name, LayerState(state)) for name, state in head["layers"]),
        strokes=Strokes(
            np.frombuffer(arrays, "<f8", 2 * points).reshape(-1, 2).astype(np.float64),
            np.frombuffer(arrays, "<i4", strokes + 1, starts_at).astype(np.int32),
            np.frombuffer(arrays, "<i4", strokes, layer_at).astype(np.int32),
        ),
        texts=tuple(Text((x, y), *rest) for x, y, *rest in head["texts"]),
        unit=UnitHint(*head["unit"]),
        shown=None if head["shown"] is None else tuple(head["shown"]),
        findings=tuple(Finding(code, where, text, Effect(effect)) for code, where, text, effect in head["findings"]),
    )
