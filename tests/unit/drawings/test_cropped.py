"""The part of a drawing inside a rectangle."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import UnusableDrawing
from leakmap.drawings.cropped import cropped
from leakmap.model.drawing import Drawing, Layer, Picture, Strokes, Text, TilePlace, UnitHint

CROP = (100.0, 100.0, 110.0, 110.0)
ORIGIN = (100.0, 100.0)


def drawing(*lines: list[tuple[float, float]], texts: tuple[Text, ...] = ()) -> Drawing:
    """A drawing of polylines, relative to (100, 100), each on a layer of its own."""
    starts = np.cumsum([0, *map(len, lines)]).astype(np.int32)
    xy = np.array([point for line in lines for point in line], dtype=np.float64).reshape(-1, 2)
    layers = tuple(Layer(str(n)) for n in range(max(1, len(lines))))
    strokes = Strokes(xy, starts, np.arange(len(lines), dtype=np.int32))
    return Drawing(ORIGIN, layers, strokes, texts, UnitHint(1.0, "said"), (-5.0, -5.0, 300.0, 20.0))


def courses(found: Drawing) -> list[list[list[float]]]:
    """Points of all polylines."""
    return [found.strokes.polyline(index).tolist() for index in range(len(found.strokes))]


def test_lines_are_cut_at_the_rectangle() -> None:
    """Inside stays, outside goes, what crosses is cut, in pieces too, and keeps its layer; what is kept is what shows."""
    found = cropped(
        drawing([(1, 1), (9, 1)], [(20, 1), (30, 1)], [(-5, 5), (15, 5)], [(2, 9), (2, 12), (4, 12), (4, 9)]), CROP
    )
    assert courses(found) == [
        [[1, 1], [9, 1]],
        [[0, 5], [10, 5]],
        [[2, 9], [2, 10]],
        [[4, 10], [4, 9]],
    ]
    assert found.strokes.layer.tolist() == [0, 2, 3, 3]
    assert found.shown == (0, 1, 10, 10)


def test_texts_stay_whose_point_lies_inside() -> None:
    """A room name of the plan beside it goes."""
    inside, outside = (Text((x, 5.0), 0.2, 0.0, 0.5, 0.5, "PUMPS", 0) for x in (5.0, 50.0))
    assert cropped(drawing([(1, 1), (9, 1)], texts=(inside, outside)), CROP).texts == (inside,)


def test_tiles_of_pictures_stay_that_reach_inside() -> None:
    """Of a picture four tiles wide the one inside is kept; a picture beside the rectangle goes."""
    tiles = {TilePlace(0, column, 0): b"x" for column in range(4)}
    picture = Picture((0, 0, 40, 10), (2048, 512), tiles)
    scan = replace(drawing([(1, 1), (9, 1)]), pictures=(picture, replace(picture, box=(50, 0, 90, 10))))
    (kept,) = cropped(scan, CROP).pictures
    assert list(kept.tiles) == [TilePlace(0, 0, 0)]
    assert kept.box == picture.box


def test_empty_rectangle_is_refused() -> None:
    """A rectangle beside the plan gives one sentence."""
    with pytest.raises(UnusableDrawing, match=r"Nothing of plan\.dxf lies inside"):
        cropped(drawing([(20, 20), (30, 20)]), CROP, name="plan.dxf")


PLACE = st.tuples(st.integers(-3000, 3000), st.integers(-3000, 3000)).map(lambda at: (at[0] / 100, at[1] / 100))


@given(st.lists(st.lists(PLACE, min_size=2, max_size=6), min_size=1, max_size=6))
def test_length_inside_is_kept(lines: list[list[tuple[float, float]]]) -> None:
    """The parts are as long as shapely's intersections with the rectangle, piece by piece."""
    box = shapely.box(0.001, 0.001, 9.999, 9.999)
    wanted = sum(shapely.LineString(piece).intersection(box).length for line in lines for piece in pairwise(line))
    try:
        found = courses(cropped(drawing(*lines), (100.001, 100.001, 109.999, 109.999)))
    except UnusableDrawing:
        found = []
    assert sum(shapely.LineString(line).length for line in found) == pytest.approx(wanted, abs=1e-6)
