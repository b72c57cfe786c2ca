"""The box of the first view, and what strays it leaves out."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from leakmap.drawings.shown import shown_box, stroke_boxes
from leakmap.model.drawing import FloatArray
from tests.helpers.dxf_files import drawn

PLAN = np.array([(x, y, x + 1, y + 1) for x in range(20) for y in range(20)], dtype=np.float64)
"""Four hundred pieces of 1 m on a field of 20 by 20 m."""


def with_strays(*boxes: tuple[float, float, float, float]) -> FloatArray:
    """The plan and some more boxes."""
    return np.vstack((PLAN, np.array(boxes, dtype=np.float64).reshape(-1, 4)))


def test_each_line_has_its_box() -> None:
    """Boxes of two polylines, worked out by hand; no lines give no boxes."""
    drawing = drawn([[(0, 5), (3, 1)], [(9, 9), (8, 7), (9, 2)]])
    assert stroke_boxes(drawing.strokes).tolist() == [[0, 1, 3, 5], [8, 2, 9, 9]]


def test_without_strays_the_box_is_the_whole() -> None:
    """The plan alone is 20 by 20 m; nothing has no box; one line has its own."""
    assert shown_box(PLAN) == ((0, 0, 20, 20), 0)
    assert shown_box(np.empty((0, 4))) == (None, 0)
    assert shown_box(np.array([[1.0, 2.0, 1.0, 2.0]])) == ((1, 2, 1, 2), 0)


def test_a_far_insert_is_left_out() -> None:
    """Thirty lines kilometres away, on one side or on several, do not count."""
    far = [(5000.0 + i, 5000.0, 5001.0 + i, 5001.0) for i in range(10)]
    beyond = [(-9000.0, 3.0 + i, -8999.0, 4.0 + i) for i in range(10)]
    below = [(3.0 + i, -700.0, 4.0 + i, -699.0) for i in range(10)]
    assert shown_box(with_strays(*far, *beyond, *below)) == ((0, 0, 20, 20), 30)


def test_plans_side_by_side_are_all_shown() -> None:
    """A second plan as large, 40 m beside, is no stray; nor is a small title block one plan away."""
    assert shown_box(np.vstack((PLAN, PLAN + np.array((60, 0, 60, 0)))))[0] == (0, 0, 80, 20)
    assert shown_box(with_strays((40, 0, 44, 2))) == ((0, 0, 44, 20), 0)


def test_a_far_second_plan_is_shown() -> None:
    """Half of all lines are no few things, however far off they lie."""
    assert shown_box(np.vstack((PLAN, PLAN + np.array((9000, 0, 9000, 0))))) == ((0, 0, 9020, 20), 0)


def test_a_line_to_the_origin_of_a_survey_is_left_out() -> None:
    """One line 100 km long is a giant; a frame twice as large as the plan is not."""
    assert shown_box(with_strays((0, 0, 1e5, 1e5))) == ((0, 0, 20, 20), 1)
    assert shown_box(with_strays((-10, -10, 30, 30)))[0] == (-10, -10, 30, 30)


@given(st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), max_size=20), st.integers(-9999, 9999))
def test_where_the_drawing_lies_decides_nothing(places: list[tuple[int, int]], move: int) -> None:
    """Moving a drawing moves its box and keeps the count of strays."""
    boxes = with_strays(*((x, y, x + 2, y + 1) for x, y in places))
    box, strays = shown_box(boxes)
    moved, strays_moved = shown_box(boxes + move)
    assert box is not None
    assert moved == tuple(side + move for side in box)
    assert strays == strays_moved
