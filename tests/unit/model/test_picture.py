"""Pictures of a drawing, cut into tiles at ever coarser levels."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.model.drawing import TILE_PX, Picture, TilePlace

SIZES = st.tuples(st.integers(1, 9000), st.integers(1, 9000))


@given(SIZES)
def test_tiles_of_a_level_cover_it_once(size: tuple[int, int]) -> None:
    """The pixels of all tiles of a level add up to its own, and the last level is one tile."""
    picture = Picture((0, 0, 1, 1), size, {})
    for level in range(picture.levels):
        width, height = picture.level_px(level)
        tiles = [picture.tile_px(place) for place in picture.places(level)]
        assert sum(w * h for w, h in tiles) == width * height
        assert all(1 <= side <= TILE_PX for tile in tiles for side in tile)
    assert [len(picture.places(level)) == 1 for level in range(picture.levels)] == [False] * (picture.levels - 1) + [
        True
    ]


@given(SIZES)
def test_a_pixel_is_twice_as_large_a_level_further(size: tuple[int, int]) -> None:
    """A level has half as many pixels each way, rounded up, and its tiles start where those of level 0 do."""
    picture = Picture((-3, 10, 7, 40), size, {})
    for level in range(1, picture.levels):
        finer, coarser = picture.level_px(level - 1), picture.level_px(level)
        assert coarser == ((finer[0] + 1) // 2, (finer[1] + 1) // 2)
        for place in picture.places(level):
            left, _, _, top = picture.tile_box(place)
            same = picture.tile_box(TilePlace(level - 1, 2 * place.column, 2 * place.row))
            assert (left, top) == pytest.approx((same[0], same[3]))


@given(SIZES)
def test_tiles_of_level_0_end_at_the_box(size: tuple[int, int]) -> None:
    """The first tile starts in the upper left corner of the picture, the last one ends in the lower right."""
    picture = Picture((-3, 10, 7, 40), size, {})
    first, *_, last = (picture.tile_box(place) for place in (picture.places(0) * 2))
    assert (first[0], first[3]) == (-3, 40)
    assert (last[2], last[1]) == pytest.approx((7, 10))


@pytest.mark.parametrize(("box", "size"), [((0, 0, 0, 1), (1, 1)), ((0, 1, 1, 0), (1, 1)), ((0, 0, 1, 1), (0, 5))])
def test_a_picture_without_extent_is_a_mistake(box: tuple[float, float, float, float], size: tuple[int, int]) -> None:
    """A box without width or height, or no pixels, is refused when the value is made."""
    with pytest.raises(AssertionError):
        Picture(box, size, {})
