"""Where courses meet in plan (definition 1)."""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString

from leakmap.geometry.meeting import Meeting, meetings
from leakmap.geometry.path import Path, Point
from leakmap.geometry.pieces import Course, Points, corner_points, feet, pieces_of

DELTA = 0.010


def course(*points: Point, closed: bool = False, level: int = 0, height_m: float = 0.0) -> Course:
    """A course on level 0 at height 0 unless said otherwise."""
    return Course(Path(points, closed), level, height_m)


def turned(item: Course, degrees: float, *, mirrored: bool = False) -> Course:
    """The course turned round the origin, moved, and perhaps mirrored."""
    c, s, m = cos(radians(degrees)), sin(radians(degrees)), -1 if mirrored else 1
    points = tuple((c * x - s * m * y + 113.7, s * x + c * m * y - 58.3) for x, y in item.path.points)
    return Course(Path(points, item.path.closed), item.level, item.height_m)


ALONG = course((0, 0), (5, 0))


def test_a_crossing_is_one_place_on_both() -> None:
    """The course x = 2 from y = −1 crosses the course y = 0 two metres along it, one metre along itself."""
    assert meetings([ALONG, course((2, -1), (2, 3))]).places == (Meeting(0, 2.0, 1, 1.0),)


def test_a_course_crosses_itself() -> None:
    """4 m along, 4 up, 2 back, then down across the start: met at 2 m and at 4 + 4 + 2 + 4 = 14 m."""
    loop = course((0, 0), (4, 0), (4, 4), (2, 4), (2, -1))
    assert meetings([loop]).places == (Meeting(0, 2.0, 0, 14.0),)


def test_an_end_upon_its_own_course_meets_it() -> None:
    """A lasso whose end comes back to 2 m: sides 4, √8 and 2."""
    (place,) = meetings([course((0, 0), (4, 0), (2, 2), (2, 0))]).places
    assert place == (0, 2.0, 0, pytest.approx(6 + sqrt(8)))


@pytest.mark.parametrize("gap", [0.0, 0.004, DELTA, DELTA + 0.9e-6])
def test_an_end_within_delta_meets_with_its_foot(gap: float) -> None:
    """An end that stops up to 10 mm short of another course has its foot there; 1 µm is slack."""
    assert meetings([ALONG, course((2, gap), (2, 3))]).places == (Meeting(0, 2.0, 1, 0.0),)


@pytest.mark.parametrize(("gap", "nearly"), [(0.0101, True), (0.05, True), (0.1, True), (0.102, False)])
def test_an_end_farther_off_nearly_meets_up_to_100_mm(gap: float, nearly: bool) -> None:  # noqa: FBT001 - a table of cases
    """From 10 to 100 mm there is no meeting, but it is told."""
    found = meetings([ALONG, course((2, gap), (2, 3))])
    assert found.places == ()
    assert [(near.at_m, near.other_at_m, near.gap_m) for near in found.near] == (
        [(2.0, 0.0, pytest.approx(gap))] if nearly else []
    )


def test_an_end_past_the_other_course_is_a_crossing_and_an_end() -> None:
    """Drawn 4 mm too far it still meets at its crossing, and its end has a foot too."""
    assert meetings([ALONG, course((2, 3), (2, -0.004))]).places == (
        Meeting(0, 2.0, 1, 3.0),
        Meeting(0, 2.0, 1, 3.004),
    )


def test_ends_that_lie_together_meet() -> None:
    """Two courses in one line, 6 mm apart: end to start."""
    assert meetings([ALONG, course((5.006, 0), (8, 0))]).places == (Meeting(0, 5.0, 1, 0.0),)


@pytest.mark.parametrize(
    "other",
    [course((2, -1), (2, 3), height_m=3.0), course((2, -1), (2, 3), height_m=0.0101), course((2, -1), (2, 3), level=1)],
)
def test_courses_at_another_height_or_level_do_not_meet(other: Course) -> None:
    """A soffit joint over a floor joint lies on the same plan line and is another place."""
    found = meetings([ALONG, other, course((2, 0), (2, 3), height_m=3.0, level=3)])
    assert found.places == ()
    assert found.near == ()


def test_heights_within_delta_are_the_same() -> None:
    """10 mm of height are drawing tolerance."""
    assert len(meetings([ALONG, course((2, -1), (2, 3), height_m=DELTA)]).places) == 1


@pytest.mark.parametrize(("gap", "meets"), [(0.0, 1), (0.008, 1), (0.011, 0)])
def test_a_bend_upon_another_course_meets_it(gap: float, meets: int) -> None:
    """A bend within δ is the same place on the concrete, although nothing crosses."""
    found = meetings([ALONG, course((1, 1 + gap), (2, gap), (3, 1 + gap))])
    assert [place.at_m for place in found.places] == [2.0] * meets


def test_a_bend_beside_a_crossing_makes_no_second_meeting() -> None:
    """A bend 5 mm past the crossing at 30° is the crossing's: one meeting, not two."""
    found = meetings([ALONG, course((1, 0.5), (2, -0.005), (3, -1))])
    assert len(found.places) == 1


@pytest.mark.parametrize("degrees", [0, 17, 45, 98.6, 123.4])
def test_a_bend_that_touches_is_met_although_its_course_crosses_itself(degrees: float) -> None:
    """The tip of a V lies on another course, and the V's own last piece crosses both its legs."""
    tip = course((1, 1), (2, 0), (3, 1), (3, 0.5), (1, 0.5))
    places = meetings([turned(item, degrees) for item in (tip, ALONG)]).places
    assert [place.at_m for place in places if place.other == 1] == [pytest.approx(sqrt(2))]
    assert len(places) == 3


def test_both_ends_of_a_shared_stretch_are_marks_and_nothing_between() -> None:
    """The other runs along the first from 1 to 3, then turns off: met at 1 and 3, told as drawn over."""
    found = meetings([ALONG, course((1, 0), (3, 0), (3, 2))])
    assert found.places == (Meeting(0, 1.0, 1, 0.0), Meeting(0, 3.0, 1, 2.0))
    assert [part[:6] for part in found.shared] == [(0, 1.0, 3.0, 1, 0.0, 2.0)]


def test_a_shared_stretch_may_run_backwards_and_round_a_corner() -> None:
    """Both turn the same corner, drawn in opposite senses and 3 mm apart: one stretch of 2 m."""
    one = course((0, 0), (2, 0), (2, 2), (4, 2))
    other = course((2.003, 1), (2.003, -0.003), (1, -0.003))
    found = meetings([one, other])
    assert [(part.from_m, part.to_m, part.along) for part in found.shared] == [(1.0, 3.0, False)]
    assert [round(place.at_m, 2) for place in found.places] == [1.0, 3.0]


def test_a_closed_course_drawn_twice_shares_all_of_it() -> None:
    """Round and round there is no end of a shared stretch, wherever the second one starts."""
    square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]
    for turn in range(4):
        found = meetings([course(*square, closed=True), course(*square[turn:], *square[:turn], closed=True)])
        assert found.places == ()
        assert sum(part.to_m - part.from_m for part in found.shared) == pytest.approx(16)


def test_lines_that_cross_at_a_shallow_angle_share_nothing() -> None:
    """At 5° two long lines cross once."""
    found = meetings([ALONG, course((0, -0.2), (5, 0.2374))])
    assert len(found.places) == 1
    assert found.shared == ()


def test_a_round_course_of_many_small_pieces_meets_itself_nowhere() -> None:
    """A ring of 50 mm diameter in 96 pieces, each shorter than δ, has no meeting with itself."""
    ring = [(0.025 * cos(2 * pi * k / 96), 0.025 * sin(2 * pi * k / 96)) for k in range(96)]
    assert meetings([course(*ring, closed=True)]).places == ()
    assert meetings([course(*ring[:80])]).places == ()


def test_nothing_meets_nothing() -> None:
    """No course, and one course alone."""
    assert meetings([]).places == ()
    assert meetings([ALONG]) == meetings([])


CAST = [
    ALONG,
    course((2, -1), (2, 3)),
    course((1, 0), (3, 0), (3, 2)),
    course((0.5, 0.006), (0.5, 1), (1.5, 1), (1.5, 0.05)),
    course((4, -1), (4, 1), (4.5, 0.5), (3, -0.5)),
    course((0, 2), (5, 2), (5, 4), (0, 4), closed=True),
]


@pytest.mark.parametrize("degrees", [0, 30, 45, 90, 123.4, 180])
@pytest.mark.parametrize("mirrored", [False, True])
def test_turning_and_mirroring_the_plan_changes_no_meeting(degrees: float, mirrored: bool) -> None:  # noqa: FBT001 - a table of cases
    """The same places meet, to a micrometre."""
    straight = meetings(CAST)
    moved = meetings([turned(item, degrees, mirrored=mirrored) for item in CAST])
    for one, other in ((straight.places, moved.places), (straight.near, moved.near), (straight.shared, moved.shared)):
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            assert a == pytest.approx(b, abs=1e-6)


SEGMENT = st.tuples(*[st.integers(-30, 30)] * 4).filter(lambda s: s[:2] != s[2:])


@settings(max_examples=60, deadline=None)
@given(st.lists(SEGMENT, min_size=2, max_size=6))
def test_proper_crossings_are_those_of_the_geometry_engine(segments: list[tuple[int, int, int, int]]) -> None:
    """Where two lines cross inside both, shapely's intersection is the same point."""
    courses = [course((x0, y0), (x1, y1)) for x0, y0, x1, y1 in segments]
    found = meetings(courses).places
    for i, one in enumerate(courses):
        for j, other in enumerate(courses[i + 1 :], i + 1):
            lines = LineString(one.path.points), LineString(other.path.points)
            if lines[0].crosses(lines[1]):
                cut = lines[0].intersection(lines[1])
                points = [one.path.point_at(place.at_m) for place in found if (place.one, place.other) == (i, j)]
                assert any(abs(x - cut.x) + abs(y - cut.y) < 1e-6 for x, y in points)
            elif lines[0].distance(lines[1]) > 2 * DELTA:
                assert all((place.one, place.other) != (i, j) for place in found)


def test_a_point_has_one_foot_for_each_visit() -> None:
    """A course that comes past twice has two feet; round a corner beside the point it has one."""
    hairpin = course((0, 0), (4, 0), (4, 0.05), (0, 0.05))
    corner = course((2, -1), (2, 0.02), (5, 0.02))
    pieces = pieces_of([hairpin, corner])
    one = corner_points([course((2.0, 0.02), (2.0, 9.0), level=0)], ends=True)
    found = feet(
        pieces, Points(one.xy[:1], one.level[:1], one.low[:1], one.high[:1], one.course[:1] - 1, one.chainage[:1]), 0.1
    )
    assert [(foot.course, round(foot.at_m, 3), round(foot.gap_m, 3)) for foot in found] == [
        (0, 2.0, 0.02),
        (0, 6.05, 0.03),
        (1, 1.02, 0.0),
    ]
