"""Joint lines: the line tells the kind. Element lengths are multiples of d = 0.5 mm, after ISO 128.

The start of a joint bears a 0 and an arrow in the direction of rising chainage.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot, sin
from typing import Final

import shapely

from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.course import MITRE_LIMIT, Course
from leakmap.issue.marks.primitives import Line, Pen, Primitive, Tone, on_site
from leakmap.model.words import Kind

D_MM: Final = 0.5
"""Width of a joint line."""

_SOLID: Final = Pen(Tone.INK, D_MM)
PENS: Final = {
    Kind.CONSTRUCTION: _SOLID,
    Kind.CONTRACTION: Pen(Tone.INK, D_MM, (12 * D_MM, 3 * D_MM)),
    Kind.MOVEMENT: Pen(Tone.INK, 0.25),
    Kind.WALL_BASE: Pen(Tone.INK, D_MM, (24 * D_MM, 3 * D_MM, 0.0, 3 * D_MM, 0.0, 3 * D_MM)),
    Kind.CRACK: Pen(Tone.INK, 0.35),
    Kind.PIPE_COLLAR: _SOLID,
}
"""Pens by kind; the movement joint is two lines of its pen, the crack an irregular one."""

MOVEMENT_APART_MM: Final = 2.7 * D_MM
_CRACK_STEP_MM: Final = 1.75
_CRACK_LEAST_MM, _CRACK_MOST_MM = 0.25, 0.65
_SHORT_MM: Final = 15.0


def joint_lines(kind: Kind, course: Course, scale: float) -> tuple[Primitive, ...]:
    """The line of a joint at 1:``scale``. Short joints have a dash pattern of half the length."""
    path = course.path
    if kind is Kind.MOVEMENT:
        return _double(path, PENS[kind], on_site(MOVEMENT_APART_MM / 2, scale))
    if kind is Kind.CRACK:
        return (Line(points=_irregular(path, scale), pen=PENS[kind]),)
    pen = PENS[kind]
    if path.length_m < on_site(_SHORT_MM, scale):
        pen = Pen(pen.tone, pen.width_mm, tuple(length / 2 for length in pen.dash_mm))
    return (Line(points=path.points, pen=pen, closed=path.closed),)


def _double(path: Path, pen: Pen, off_m: float) -> tuple[Primitive, ...]:
    line = shapely.LineString(path.corners)
    lines = [line.offset_curve(side, join_style="mitre", mitre_limit=MITRE_LIMIT) for side in (off_m, -off_m)]
    return tuple(
        Line(points=tuple((float(x), float(y)) for x, y in part.coords), pen=pen)
        for shifted in lines
        for part in shapely.get_parts(shifted).tolist()
        if not part.is_empty
    )


def _irregular(path: Path, scale: float) -> tuple[Point, ...]:
    """A vertex each 1.75 mm and at each bend, set off to alternate sides by 0.25 to 0.65 mm; ends stay."""
    step = on_site(_CRACK_STEP_MM, scale)
    count = max(int(path.length_m / step), 1)
    stops = sorted({*path.chainages, *(path.length_m * k / count for k in range(count + 1))})
    points: list[Point] = []
    for index, at in enumerate(stops):
        (x, y), (dx, dy) = path.point_at(at), path.direction_at(at)
        size = _CRACK_LEAST_MM + (_CRACK_MOST_MM - _CRACK_LEAST_MM) * abs(sin(12.9898 * index))
        off = on_site(size, scale) * (-1) ** index if 0 < index < len(stops) - 1 else 0.0
        points.append((x - dy * off, y + dx * off))
    return tuple(points)


ARROW_MM: Final = 5.0
_HEAD_MM: Final = 1.2
_ARROW_PEN: Final = Pen(Tone.INK, 0.25)


def start_arrow(at: Point, direction: Point, length_m: float, scale: float) -> tuple[Primitive, ...]:
    """An arrow from a point in a direction: a shaft and an open head."""
    dx, dy = direction
    head = min(on_site(_HEAD_MM, scale), length_m / 2)
    tip = (at[0] + dx * length_m, at[1] + dy * length_m)
    wings = [(tip[0] - head * dx - s * 0.4 * head * dy, tip[1] - head * dy + s * 0.4 * head * dx) for s in (1, -1)]
    return (
        Line(points=(at, tip), pen=_ARROW_PEN),
        Line(points=(wings[0], tip, wings[1]), pen=_ARROW_PEN),
    )


def length_of(points: tuple[Point, ...]) -> float:
    """Length of a line, metres."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))
