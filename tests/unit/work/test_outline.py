"""The outline that lines make round a place, against faces made by hand and by shapely's own sum of areas."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.errors import UnusableDrawing
from leakmap.geometry.path import Path, Point
from leakmap.work.outline import outline_round
from leakmap.work.snap_lines import Lines, lines_of

Piece = tuple[Point, Point]
ROOM: list[Piece] = [((0, 0), (4, 0)), ((4, 0), (4, 3)), ((4, 3), (0, 3)), ((0, 3), (0, 0))]


def lines(*pieces: Piece) -> Lines:
    """Lines with their index."""
    array = np.array(pieces, dtype=np.float64)
    return lines_of(array[:, 0], array[:, 1])


def corners(path: Path) -> set[tuple[float, float]]:
    """Its corners, to the millimetre."""
    return {(round(x, 3), round(y, 3)) for x, y in path.points}


def test_four_lines_are_a_room() -> None:
    """Loose lines that meet at their ends: 2 (4 + 3) = 14 m, with four corners, closed."""
    path = outline_round(lines(*ROOM), (1, 1))
    assert path.closed
    assert corners(path) == {(0, 0), (4, 0), (4, 3), (0, 3)}
    assert path.length_m == pytest.approx(14.0, abs=1e-5)


def test_wall_between_two_rooms_parts_them() -> None:
    """A line across parts the room: the half that holds the place is taken, whose corners lie inside the long lines."""
    parted = lines(*ROOM, ((1.5, -1), (1.5, 5)))
    assert corners(outline_round(parted, (1, 1))) == {(0, 0), (1.5, 0), (1.5, 3), (0, 3)}
    assert corners(outline_round(parted, (3, 1))) == {(1.5, 0), (4, 0), (4, 3), (1.5, 3)}


def test_what_stands_or_ends_inside_is_no_part() -> None:
    """A column in the room and a door leaf that ends free leave the outline as it is; inside the column it is the column's."""
    column = [((2, 1), (2.4, 1)), ((2.4, 1), (2.4, 1.4)), ((2.4, 1.4), (2, 1.4)), ((2, 1.4), (2, 1))]
    drawn = lines(*ROOM, *column, ((0, 2), (0.9, 2)))
    assert corners(outline_round(drawn, (1, 1))) == {(0, 0), (4, 0), (4, 3), (0, 3)}
    assert corners(outline_round(drawn, (2.2, 1.2))) == {(2, 1), (2.4, 1), (2.4, 1.4), (2, 1.4)}


@pytest.mark.parametrize(("gap", "closes"), [(0.0, True), (0.009, True), (0.011, False)])
def test_gaps_up_to_the_drawing_tolerance_close(gap: float, closes: bool) -> None:  # noqa: FBT001 - a row of a table
    """A side that stops up to 10 mm short of the next is led to it; one that stops farther off leaves the room open."""
    drawn = lines(((0, 0), (4 - gap, 0)), *ROOM[1:])
    if closes:
        assert outline_round(drawn, (1, 1)).length_m == pytest.approx(14.0, abs=0.011)
    else:
        with pytest.raises(UnusableDrawing, match="No lines close round this place"):
            outline_round(drawn, (1, 1))


def test_place_outside_has_no_outline() -> None:
    """Beside all lines, and in a drawing without lines, nothing closes; the sentence says what to do."""
    for drawn in (lines(*ROOM), lines_of(np.empty((0, 2)), np.empty((0, 2)))):
        with pytest.raises(UnusableDrawing, match="draw it with J along its lines"):
            outline_round(drawn, (9, 9))


def test_too_many_lines_are_said() -> None:
    """Where more lines lie near than are looked through, nothing is guessed."""
    with pytest.raises(UnusableDrawing, match="5 lines lie within 6 m of this place, too many"):
        outline_round(lines(*ROOM, ((0, 5), (4, 5))), (1, 1), most_lines=4)


def test_large_room_is_found_by_a_larger_radius() -> None:
    """A hall of 60 by 40 m, of which the first looks see nothing or one side."""
    sides = [((0, 0), (60, 0)), ((60, 0), (60, 40)), ((60, 40), (0, 40)), ((0, 40), (0, 0))]
    assert outline_round(lines(*sides), (30, 1)).length_m == pytest.approx(200.0, abs=1e-5)


@given(seed=st.integers(0, 10**6))
def test_outline_is_the_face_that_shapely_makes_of_all_lines(seed: int) -> None:
    """On random grids the outline has the length and area of that face of the whole linework that holds the place."""
    chance = Random(seed)  # noqa: S311 - test drawings, not secrets
    across, up = [sorted(chance.sample(range(20), 5)) for _ in range(2)]
    pieces: list[Piece] = [
        *(((x0, y), (x1, y)) for y in up for x0, x1 in pairwise(across) if chance.random() < 0.8),
        *(((x, y0), (x, y1)) for x in across for y0, y1 in pairwise(up) if chance.random() < 0.8),
        ((across[0], up[0]), (across[2], up[2])),
    ]
    at = chance.uniform(across[0], across[-1]), chance.uniform(up[0], up[-1])
    faces = shapely.get_parts(shapely.polygonize(list(shapely.node(shapely.MultiLineString(pieces)).geoms)))
    held = [face for face in faces if shapely.contains_xy(face, *at)]
    if not held:
        with pytest.raises(UnusableDrawing):
            outline_round(lines(*pieces), at)
        return
    path = outline_round(lines(*pieces), at)
    assert path.length_m == pytest.approx(held[0].exterior.length, abs=1e-4)
    assert shapely.Polygon(path.points).area == pytest.approx(shapely.Polygon(held[0].exterior).area, abs=1e-3)
