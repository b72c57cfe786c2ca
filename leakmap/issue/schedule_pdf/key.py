"""The key of a plan: every mark drawn by the same functions that draw the plan, with its words."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from enum import StrEnum
from typing import Final
from uuid import UUID

import shapely
from reportlab.pdfgen.canvas import Canvas

from leakmap.base.measures import Units
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Path, Point
from leakmap.issue.marks.course import Course, polygons, strip
from leakmap.issue.marks.leaks import leak_path, sleeve, strokes
from leakmap.issue.marks.lines import joint_lines, start_arrow
from leakmap.issue.marks.plan import cut_bars
from leakmap.issue.marks.primitives import PAPER_SCALE, Area, Label, Pen, Primitive, Tone
from leakmap.issue.marks.signs import STAFF_HEIGHT_MM, STAFF_WIDER_MM, STAFF_WIDTH_MM, Staff, Way, lozenge, relief_sign
from leakmap.issue.marks.zones import ShownPiece, band_marks
from leakmap.issue.schedule_pdf.ink import Ink, Onto
from leakmap.issue.schedule_pdf.lettering import MM, Face, Lettering
from leakmap.issue.schedule_pdf.pen_box import PenBox
from leakmap.model.words import Kind, Wetness
from leakmap.repair.results import Piece, Why

FROM_MM, TO_MM, WORDS_MM = 4.0, 18.8, 22.0
"""Where samples begin and end, and where their words begin, from the left edge of a key."""

_PITCH_MM: Final = 5.6


class Sign(StrEnum):
    """A sign of the key, by the words beside it; joints and leaks have theirs by kind and wetness."""

    WET = "coat band, wet part"
    OVERRUN = "overrun"
    MERGED = "merged: overruns meet"
    BRIDGED = "bridged sound gap"
    PROVISIONAL = "provisional: not for work"
    CUT = "kept apart"
    BLIND = "blind: no slot opened"
    RELIEF = "relief point"
    RISES = "vertical joint, rises"
    COMES_UP = "comes up from below"
    THROUGH = "passes through"
    UPRIGHT = "laid upright, foot below"
    START = "chainage 0 and direction"


_TALL: Final[Mapping[str, float]] = {
    Sign.RELIEF: 8.4,
    Sign.RISES: 7.0,
    Sign.COMES_UP: 7.0,
    Sign.THROUGH: 7.4,
    Sign.UPRIGHT: 12.5,
}
_NOBODY: Final = UUID(int=0)


def draw_key(
    canvas: Canvas,
    lettering: Lettering,
    left_mm: float,
    top_mm: float,
    *,
    units: Units = Units.METRIC,
    used: Container[str] | None = None,
) -> float:
    """Draw the key with its upper left corner at a point of the page; gives the height used, in mm.

    ``used`` holds the words of the rows that are wanted; None wants all of them.
    """
    pen = PenBox(canvas, lettering)
    pen.words("KEY", left_mm + FROM_MM, top_mm - 7.0, cap=2.5, face=Face.BOLD)
    y = top_mm - 13.5
    for sample, words in _rows():
        if used is not None and words not in used:
            continue
        y -= (_TALL.get(words, _PITCH_MM) - _PITCH_MM) / 2
        ink = Ink(canvas, Onto((0.0, 0.0), MM, (left_mm * MM, y * MM)), lettering)
        ink.draw(sample())
        pen.words(in_trade_words(units, words), left_mm + WORDS_MM, y - 0.9, cap=1.8)
        y -= (_TALL.get(words, _PITCH_MM) + _PITCH_MM) / 2
    return top_mm - y


def _rows() -> list[tuple[Callable[[], tuple[Primitive, ...]], str]]:
    joints = [(lambda k=kind: _joint(k), kind_words(kind)) for kind in Kind]
    leaks = [(lambda w=wetness: _leak(w), wetness_row(wetness)) for wetness in Wetness]
    parts = [
        (lambda: _band((Why.LEAK, Wetness.SEEP)), Sign.WET),
        (lambda: _band((Why.OVERRUN, None)), Sign.OVERRUN),
        (lambda: _band((Why.MERGED, None)), Sign.MERGED),
        (lambda: _band((Why.BRIDGE, None)), Sign.BRIDGED),
        (lambda: _band((Why.OVERRUN, None), provisional=True), Sign.PROVISIONAL),
        (_cut, Sign.CUT),
        (_blind, Sign.BLIND),
        (_relief, Sign.RELIEF),
        (lambda: lozenge((12.0, 0.0), Way.UP, PAPER_SCALE), Sign.RISES),
        (lambda: lozenge((12.0, 0.0), Way.DOWN, PAPER_SCALE), Sign.COMES_UP),
        (lambda: lozenge((12.0, 0.0), Way.THROUGH, PAPER_SCALE), Sign.THROUGH),
        (_staff, Sign.UPRIGHT),
        (_start, Sign.START),
    ]
    return [*joints, *leaks, *parts]


def kind_words(kind: Kind) -> str:
    """What the key says beside a kind of joint."""
    names = {Kind.WALL_BASE: "wall-base joint", Kind.CRACK: "crack", Kind.PIPE_COLLAR: "pipe collar"}
    return names.get(kind, f"{kind} joint")


def wetness_row(wetness: Wetness) -> str:
    """What the key says beside a wetness."""
    return "0  suspect (dry today)" if wetness is Wetness.SUSPECT else f"{int(wetness)}  {wetness.word}"


def _line(start: float = FROM_MM, end: float = TO_MM) -> Course:
    return Course(Path(((start, 0.0), (end, 0.0))))


def _joint(kind: Kind) -> tuple[Primitive, ...]:
    if kind is Kind.PIPE_COLLAR:
        turns = Path(tuple((12 + 1.75 * x, 1.75 * y) for x, y in _circle()), closed=True)
        return joint_lines(kind, Course(turns), PAPER_SCALE)
    return joint_lines(kind, _line(), PAPER_SCALE)


def _circle() -> list[Point]:
    ring = shapely.Point(0, 0).buffer(1.0, quad_segs=12).exterior.coords
    return [(float(x), float(y)) for x, y in list(ring)[:-1]]


def _leak(wetness: Wetness) -> tuple[Primitive, ...]:
    path = Path(((FROM_MM + 1.5, 0.0), (TO_MM - 1.5, 0.0)))
    joint = joint_lines(Kind.CONSTRUCTION, _line(), PAPER_SCALE)
    return (*sleeve(path, wetness, PAPER_SCALE), *joint, *strokes(path, wetness, PAPER_SCALE))


def _band(part: tuple[Why, Wetness | None], *, provisional: bool = False) -> tuple[Primitive, ...]:
    course = _line(FROM_MM + 0.5, TO_MM - 0.5)
    piece = Piece(joint=_NOBODY, from_m=0.0, to_m=15.0, why=part[0], wetness=part[1], leaks=())
    shown = ShownPiece(piece, course, 1.9)
    marks = band_marks("", strip(course.path.corners, 1.9), [shown], PAPER_SCALE, provisional=provisional)
    order = sorted(marks, key=lambda mark: mark.coat)
    return (
        *(item for mark in order for item in mark.primitives),
        *joint_lines(Kind.CONSTRUCTION, _line(), PAPER_SCALE),
    )


def _cut() -> tuple[Primitive, ...]:
    return (*_band((Why.MERGED, None)), *cut_bars(_line(0.0), 12.0, 2.6))


def _blind() -> tuple[Primitive, ...]:
    shape = polygons(strip(((7.0, 0.0), (17.0, 0.0)), 1.6))
    edge = Area(polygons=shape, pen=Pen(Tone.FAINT, 0.35, (1.2, 0.8)))
    return (*joint_lines(Kind.CONSTRUCTION, _line(), PAPER_SCALE), edge)


def _relief() -> tuple[Primitive, ...]:
    high = Course(Path(((FROM_MM, 0.8), (TO_MM, 0.8))))
    return (*joint_lines(Kind.CONSTRUCTION, high, PAPER_SCALE), *relief_sign((12.0, 0.8), (0.0, -1.0), PAPER_SCALE))


def _start() -> tuple[Primitive, ...]:
    joint = joint_lines(Kind.CONSTRUCTION, _line(), PAPER_SCALE)
    zero = Label(words="0", at=(FROM_MM - 0.4, 0.9), cap_height_m=1.8, width_m=1.3, tone=Tone.INK)
    return (*joint, *start_arrow((FROM_MM + 2.0, 1.7), (1.0, 0.0), 5.0, PAPER_SCALE), zero)


def _staff() -> tuple[Primitive, ...]:
    staff = Staff((12.0, -STAFF_HEIGHT_MM / 2), 4.0, PAPER_SCALE)
    course = Course(staff.path, staff.share)
    parts = ((0.0, 0.4, Why.OVERRUN, None), (0.4, 1.6, Why.LEAK, Wetness.SEEP), (1.6, 2.0, Why.OVERRUN, None))
    pieces = [
        Piece(joint=_NOBODY, from_m=low, to_m=high, why=why, wetness=wet, leaks=()) for low, high, why, wet in parts
    ]
    half = STAFF_WIDTH_MM / 2 + STAFF_WIDER_MM
    marks = band_marks(
        "", strip(course.part(0.0, 2.0), half), [ShownPiece(p, course, half) for p in pieces], PAPER_SCALE
    )
    leak = leak_path(course, 0.4, 1.6, PAPER_SCALE)
    bands = tuple(item for mark in sorted(marks, key=lambda mark: mark.coat) for item in mark.primitives)
    return (staff.frame(), *bands, *sleeve(leak, Wetness.SEEP, PAPER_SCALE), *strokes(leak, Wetness.SEEP, PAPER_SCALE))
