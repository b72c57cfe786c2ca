"""Leak stretches: the number of strokes is the wetness."""

from __future__ import annotations

import pytest
import shapely

from leakmap.geometry.path import Path
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.leaks import SLASH, SLEEVE_MM, SPOT_MM, STROKE, leak_path, sleeve, strokes
from leakmap.issue.marks.primitives import Area, Line, on_site
from leakmap.model.words import Wetness

STRAIGHT = Course(Path(((0, 0), (10, 0))))
SQUARE = Course(Path(((0, 0), (2, 0), (2, 2), (0, 2)), closed=True))


def count(path: Path, wetness: Wetness, pen: object) -> int:
    """Number of lines of a pen."""
    return sum(isinstance(item, Line) and item.pen == pen for item in strokes(path, wetness, 100))


@pytest.mark.parametrize(("wetness", "number"), [(0, 0), (1, 1), (2, 2), (3, 3), (4, 4), (5, 4)])
def test_strokes_count_the_wetness(wetness: int, number: int) -> None:
    """A short leak has one group; run and jet have four strokes, and only a jet a slash."""
    path = leak_path(STRAIGHT, 3.0, 3.8, 100)
    assert count(path, Wetness(wetness), STROKE) == number
    assert count(path, Wetness(wetness), SLASH) == (1 if wetness == 5 else 0)


def test_a_long_leak_has_a_group_each_8_5_mm() -> None:
    """2.55 m at 1:100 are 25.5 mm: three groups."""
    assert count(leak_path(STRAIGHT, 1.0, 3.55, 100), Wetness.SEEP, STROKE) == 6


def test_a_sleeve_ends_exactly_at_the_chainages() -> None:
    """Flat ends at 1.2 and 3.4, 2.1 mm wide on paper."""
    area = sleeve(leak_path(STRAIGHT, 1.2, 3.4, 100), Wetness.DRIP, 100)[0]
    assert isinstance(area, Area)
    x0, y0, x1, y1 = shapely.Polygon(area.polygons[0][0]).bounds
    assert (x0, x1) == pytest.approx((1.2, 3.4))
    assert y1 - y0 == pytest.approx(on_site(SLEEVE_MM, 100))


def test_wetness_shows_without_colour() -> None:
    """Every wetness has its own fill, and a suspect has none and a dashed outline."""
    path = leak_path(STRAIGHT, 1.0, 2.0, 100)
    areas = [sleeve(path, wetness, 100)[0] for wetness in Wetness]
    assert all(isinstance(area, Area) for area in areas)
    fills = [area.fill for area in areas if isinstance(area, Area)]
    assert len(set(fills)) == 6
    suspect = areas[0]
    assert isinstance(suspect, Area)
    assert suspect.fill is None
    assert suspect.pen is not None
    assert suspect.pen.dash_mm


@pytest.mark.parametrize("at", [0.0, 5.0, 10.0])
def test_a_spot_is_wide_enough_to_see_and_stays_on_the_joint(at: float) -> None:
    """A spot's sleeve is 2.25 mm long, at a joint's end too."""
    path = leak_path(STRAIGHT, at, at, 100)
    assert path.length_m == pytest.approx(on_site(SPOT_MM, 100))
    assert 0 <= path.points[0][0] < path.points[-1][0] <= 10


def test_a_leak_on_a_closed_joint_may_pass_its_start() -> None:
    """From 7.5 to 0.5 on a square of 8 m is 1 m long, and 0 to 8 is all round."""
    assert leak_path(SQUARE, 7.5, 0.5, 100).length_m == pytest.approx(1.0)
    assert leak_path(SQUARE, 0.0, 8.0, 100).closed


def test_groups_slide_aside_of_a_relief_point() -> None:
    """No stroke of a run stands within the ring of a relief point in the middle of the leak."""
    path = leak_path(STRAIGHT, 2.0, 4.0, 100)
    lines = [item for item in strokes(path, Wetness.RUN, 100, [(3.0, 0.0)]) if isinstance(item, Line)]
    assert lines
    assert all(abs(line.points[0][0] - 3.0) >= on_site(1.3, 100) for line in lines)


def test_strokes_stand_square_to_the_joint_and_clear_of_bends() -> None:
    """On a joint with a bend every stroke is level or upright, and none crosses both arms."""
    course = Course(Path(((0, 0), (2, 0), (2, 2))))
    lines = strokes(leak_path(course, 1.0, 3.0, 100), Wetness.DRIP, 100)
    assert lines
    for line in lines:
        assert isinstance(line, Line)
        (x0, y0), (x1, y1) = line.points
        assert x0 == pytest.approx(x1) or y0 == pytest.approx(y1)
