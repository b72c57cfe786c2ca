"""Joint lines tell the kind."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest

from leakmap.geometry.path import Path
from leakmap.issue.marks.course import Course
from leakmap.issue.marks.lines import D_MM, MOVEMENT_APART_MM, PENS, joint_lines, length_of, start_arrow
from leakmap.issue.marks.primitives import WIDTHS_MM, Line, Pen, Tone, on_site
from leakmap.model.words import Kind

LONG = Course(Path(((0, 0), (10, 0))))


def test_every_kind_looks_different() -> None:
    """No two kinds have the same pen and the same number of lines and bends."""
    looks = set()
    for kind in Kind:
        course = LONG if kind is not Kind.PIPE_COLLAR else Course(Path(((0, 0), (1, 0), (0, 1)), closed=True))
        lines = [item for item in joint_lines(kind, course, 100) if isinstance(item, Line)]
        looks.add((lines[0].pen, len(lines), lines[0].closed, len(lines[0].points) > 4))
    assert len(looks) == len(Kind)


def test_widths_of_lines_are_those_of_iso_128() -> None:
    """Each of the nine is √2 times the one before, rounded; no pen has another (ISO 128-2, series and ratio from memory)."""
    assert (WIDTHS_MM[0], WIDTHS_MM[-1], len(WIDTHS_MM)) == (0.13, 2.0, 9)
    for narrow, wide in pairwise(WIDTHS_MM):
        assert wide / narrow == pytest.approx(2**0.5, rel=0.03)
    with pytest.raises(AssertionError):
        Pen(Tone.INK, 0.42)


def test_a_movement_joint_is_two_lines_with_an_open_gap() -> None:
    """The two lines lie 2.7 d apart, one on each side of the joint."""
    ys = [line.points[0][1] for line in joint_lines(Kind.MOVEMENT, LONG, 100) if isinstance(line, Line)]
    assert sorted(ys) == pytest.approx([-on_site(MOVEMENT_APART_MM / 2, 100), on_site(MOVEMENT_APART_MM / 2, 100)])


def test_dashes_are_multiples_of_the_line_width() -> None:
    """Contraction: dash 12 d, gap 3 d. Wall-base: long dash 24 d and two dots, so it is no grid axis."""
    assert PENS[Kind.CONTRACTION].dash_mm == (12 * D_MM, 3 * D_MM)
    assert PENS[Kind.WALL_BASE].dash_mm.count(0.0) == 2


def test_a_short_joint_has_a_pattern_of_half_the_length() -> None:
    """On 1 m at 1:100, 10 mm on paper, one full dash of 6 mm would hide the pattern."""
    (line,) = joint_lines(Kind.CONTRACTION, Course(Path(((0, 0), (1, 0)))), 100)
    assert isinstance(line, Line)
    assert line.pen.dash_mm == (6 * D_MM, 1.5 * D_MM)


def test_a_crack_keeps_its_ends_and_stays_near_its_course() -> None:
    """The irregular line starts and ends where the crack does and leaves its course by 0.65 mm at most."""
    (line,) = joint_lines(Kind.CRACK, LONG, 100)
    assert isinstance(line, Line)
    assert (line.points[0], line.points[-1]) == ((0, 0), (10, 0))
    offs = [abs(y) for _, y in line.points[1:-1]]
    assert on_site(0.25, 100) - 1e-9 <= min(offs) <= max(offs) <= on_site(0.65, 100) + 1e-9
    assert all(a[1] * b[1] < 0 for a, b in pairwise(line.points[1:-1])), "to and fro"


def test_the_arrow_points_along_rising_chainage() -> None:
    """Shaft of the length asked for, in the direction asked for."""
    shaft, head = start_arrow((1, 1), (0, 1), 0.5, 100)
    assert isinstance(shaft, Line)
    assert isinstance(head, Line)
    assert shaft.points == ((1, 1), (1, 1.5))
    assert length_of(shaft.points) == pytest.approx(0.5)
    assert head.points[1] == (1, 1.5)
    assert all(hypot(x - 1, y - 1.5) > 0 for x, y in (head.points[0], head.points[2]))
