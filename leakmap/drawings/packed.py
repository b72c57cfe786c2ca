"""A drawing as bytes and back, exactly, so that a parsed drawing can be kept and is there again at once.

The lines and texts, and the files of all tiles of pictures, are named arrays, as ``leakmap.drawings.named_arrays`` lays them out, and are used
where they lie, a tile's file when it is asked for: a kept drawing opens without being worked through. All else stands in the head. Nothing is
compressed: that would take more time than reading the bytes, and the source file beside them is larger.
Texts with lone surrogates never occur in a drawing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from operator import index
from typing import Any, Final

import numpy as np

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.drawings.named_arrays import Array, put_together, taken_apart
from leakmap.model.drawing import Drawing, Layer, LayerState, Picture, Strokes, TilePlace, UnitHint
from leakmap.model.texts import Texts

MARK: Final = b"LMD3"


def packed(drawing: Drawing) -> bytes:
    """A drawing as bytes; the same drawing always gives the same bytes."""
    return put_together(MARK, _head(drawing), _arrays(drawing))


def unpacked(data: bytes) -> Drawing:
    """The drawing that was packed; its arrays lie on the bytes and cannot be written.

    Raises:
        UnusableDrawing: The bytes are not a packed drawing, or damaged.
    """
    if not data.startswith(MARK):
        raise UnusableDrawing("These bytes are no kept drawing; read the source file again.")
    try:
        return _drawing(*taken_apart(MARK, data))
    except (ValueError, LookupError, TypeError) as error:
        raise UnusableDrawing("The kept drawing is damaged; read the source file again.") from error


def _arrays(drawing: Drawing) -> dict[str, Array]:
    strokes, texts = drawing.strokes, Texts.of(drawing.texts)
    return {
        "xy": strokes.xy,
        "starts": strokes.starts,
        "layer": strokes.layer,
        "text_at": texts.at,
        "text_shape": texts.shape,
        "text_layer": texts.layer,
        "text_words": texts.words,
        "text_ends": texts.ends,
        "tiles": np.frombuffer(b"".join(_tiles(drawing)), np.uint8),
    }


def _tiles(drawing: Drawing) -> Iterator[bytes]:
    """Files of all tiles of all pictures, one after the other."""
    for picture in drawing.pictures:
        yield from picture.tiles.values()


def _head(drawing: Drawing) -> dict[str, Any]:
    return {
        "origin": drawing.origin,
        "layers": [(layer.name, layer.state) for layer in drawing.layers],
        "unit": (drawing.unit.m_per_unit, drawing.unit.reason),
        "shown": drawing.shown,
        "findings": [(found.code, found.where, found.text, found.effect) for found in drawing.findings],
        "pictures": [
            (
                picture.box,
                picture.size_px,
                picture.layer,
                [(*place, len(tile)) for place, tile in picture.tiles.items()],
            )
            for picture in drawing.pictures
        ],
    }


def _drawing(head: Mapping[str, Any], arrays: Mapping[str, Array]) -> Drawing:
    return Drawing(
        origin=tuple(head["origin"]),
        layers=tuple(Layer(name, LayerState(state)) for name, state in head["layers"]),
        strokes=Strokes(arrays["xy"], arrays["starts"], arrays["layer"]),
        texts=Texts(*(arrays[f"text_{name}"] for name in ("at", "shape", "layer", "words", "ends"))),
        unit=UnitHint(*head["unit"]),
        shown=None if head["shown"] is None else tuple(head["shown"]),
        findings=tuple(Finding(code, where, text, Effect(effect)) for code, where, text, effect in head["findings"]),
        pictures=tuple(_pictures(head["pictures"], arrays["tiles"])),
    )


def _pictures(heads: Sequence[Any], files: Array) -> Iterator[Picture]:
    at = 0
    for box, size_px, layer, places in heads:
        spans = {}
        for level, column, row, length in places:
            if not 0 <= index(length) <= len(files) - at:
                raise ValueError("a tile that is not there")
            spans[TilePlace(level, column, row)] = slice(at, at + length)
            at += length
        yield Picture(tuple(box), tuple(size_px), _Tiles(files, spans), layer)


class _Tiles(Mapping[TilePlace, bytes]):
    """Files of tiles, taken out of an array when they are asked for.

    Args:
        files: uint8, all files one after the other.
        spans: Where each lies.
    """

    def __init__(self, files: Array, spans: Mapping[TilePlace, slice]) -> None:
        self._files, self._spans = files, spans

    def __getitem__(self, place: TilePlace) -> bytes:
        return self._files[self._spans[place]].tobytes()

    def __contains__(self, place: object) -> bool:
        return place in self._spans

    def __iter__(self) -> Iterator[TilePlace]:
        return iter(self._spans)

    def __len__(self) -> int:
        return len(self._spans)
