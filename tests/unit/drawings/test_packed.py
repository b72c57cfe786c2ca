"""Drawings as bytes and back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from leakmap.base.errors import UnusableDrawing
from leakmap.base.findings import Effect, Finding
from leakmap.drawings.named_arrays import put_together, taken_apart
from leakmap.drawings.packed import MARK, packed, unpacked
from leakmap.model.drawing import Drawing, Layer, LayerState, Picture, Strokes, Text, TilePlace, UnitHint
from tests.helpers.dxf_files import drawn

FLOATS = st.floats(allow_nan=False, allow_infinity=False)
WORDS = st.text(st.characters(codec="utf-8"), max_size=12)


@st.composite
def drawings(draw: st.DrawFn) -> Drawing:
    """Any drawing, with the oddest floats and words."""
    counts = draw(st.lists(st.integers(1, 5), max_size=6))
    total = sum(counts)
    strokes = Strokes(
        draw(arrays(np.float64, (total, 2), elements=FLOATS)),
        np.concatenate(([0], np.cumsum(counts, dtype=np.int64))).astype(np.int32),
        draw(arrays(np.int32, len(counts), elements=st.integers(0, 3))),
    )
    text = st.builds(
        Text, st.tuples(FLOATS, FLOATS), FLOATS, FLOATS, st.sampled_from([0.0, 0.5, 1.0]), FLOATS, WORDS, st.just(0)
    )
    return Drawing(
        draw(st.tuples(FLOATS, FLOATS)),
        tuple(draw(st.lists(st.builds(Layer, WORDS, st.sampled_from(LayerState)), max_size=4))),
        strokes,
        tuple(draw(st.lists(text, max_size=4))),
        UnitHint(draw(st.none() | FLOATS), draw(WORDS)),
        draw(st.none() | st.tuples(FLOATS, FLOATS, FLOATS, FLOATS)),
        tuple(draw(st.lists(st.builds(Finding, WORDS, WORDS, WORDS, st.sampled_from(Effect)), max_size=3))),
        tuple(draw(st.lists(pictures(), max_size=2))),
    )


def pictures() -> st.SearchStrategy[Picture]:
    """Any picture, its tiles of any bytes, some of them not there."""
    places = st.builds(TilePlace, st.integers(0, 3), st.integers(0, 9), st.integers(0, 9))
    sizes = st.tuples(st.integers(1, 9000), st.integers(1, 9000))
    boxes = st.sampled_from([(0.0, 0.0, 0.1, 0.3), (-1e9, 5e-324, 1.0, 1e300)])
    return st.builds(Picture, boxes, sizes, st.dictionaries(places, st.binary(max_size=40), max_size=4), st.just(1))


@pytest.mark.slow
@settings(max_examples=60)
@given(drawings())
def test_a_drawing_comes_back_exactly(drawing: Drawing) -> None:
    """Every number bit for bit, every type as it was, and the same bytes again."""
    back = unpacked(packed(drawing))
    for name in ("origin", "layers", "texts", "unit", "shown", "findings"):
        ours, theirs = getattr(back, name), getattr(drawing, name)
        assert repr(tuple(ours) if name == "texts" else ours) == repr(theirs)
    for name in ("xy", "starts", "layer"):
        ours, theirs = getattr(back.strokes, name), getattr(drawing.strokes, name)
        assert ours.dtype == theirs.dtype
        assert ours.shape == theirs.shape
        assert ours.tobytes() == theirs.tobytes()
    facts = [[(one.box, one.size_px, dict(one.tiles), one.layer) for one in each.pictures] for each in (back, drawing)]
    assert repr(facts[0]) == repr(facts[1])
    assert packed(back) == packed(drawing)


def test_lines_are_used_where_they_lie() -> None:
    """The lines of an unpacked drawing are the bytes that it was unpacked from, and cannot be written over."""
    data = packed(drawn([[(x, 0), (x, 50)] for x in range(1000)]))
    strokes, held = unpacked(data).strokes, np.frombuffer(data, np.uint8)
    for array in (strokes.xy, strokes.starts, strokes.layer):
        assert np.shares_memory(array, held)
        assert array.flags.aligned
        assert not array.flags.writeable


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"LMD0....",
        MARK,
        MARK + b"xxxx",
        MARK + b"\x02\0\0\0{}",
        MARK + b"\x02\0\0\0[]",
        packed(drawn([[(0, 0), (1, 1)]]))[:-60],
    ],
)
def test_other_bytes_are_refused_in_one_sentence(data: bytes) -> None:
    """Bytes that are no kept drawing, or a part of one, send the user to the source file."""
    with pytest.raises(UnusableDrawing, match="read the source file again"):
        unpacked(data)


@pytest.mark.parametrize("length", [7, -1, 2.5, "2"])
def test_a_tile_beyond_the_bytes_is_refused(length: object) -> None:
    """A head that names a tile of more bytes than there are, or of no number of bytes, is a damaged drawing."""
    tiles = {TilePlace(0, 0, 0): b"abcdef"}
    drawing = Drawing(
        (0.0, 0.0),
        (Layer("picture"),),
        Strokes.none(),
        (),
        UnitHint(None, ""),
        None,
        (),
        (Picture((0, 0, 1, 1), (9, 9), tiles),),
    )
    head, found = taken_apart(MARK, packed(drawing))
    head["pictures"][0][3][0][3] = length
    with pytest.raises(UnusableDrawing, match="damaged"):
        unpacked(put_together(MARK, head, found))
