"""The key beside the plan: every symbol drawn by the functions that draw the plan, with its words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from uuid import UUID

from ezdxf.enums import MTextEntityAlignment

from leakmap.base.measures import Units
from leakmap.base.trade_words import in_trade_words
from leakmap.geometry.path import Path
from leakmap.issue.marked_dxf.notes import Spot
from leakmap.issue.marks.course import Course, course_of, strip
from leakmap.issue.marks.leaks import sleeve, strokes
from leakmap.issue.marks.lines import ARROW_MM, joint_lines, start_arrow
from leakmap.issue.marks.plan import cut_bars
from leakmap.issue.marks.primitives import PAPER_SCALE, Area, Coat, Label, Mark, Pen, Primitive, Tone, What
from leakmap.issue.marks.signs import Way, lozenge, relief_sign
from leakmap.issue.marks.zones import ShownPiece, band_marks
from leakmap.model.joint import Joint
from leakmap.model.words import Face, Kind, Wetness
from leakmap.repair.results import Piece, Why

_LONG_MM: Final = 14.5
_MIDDLE_MM: Final = _LONG_MM / 2
_WORDS_MM: Final = 20.0
_STEP_MM: Final = 6.6
_BAND_HALF_MM: Final = 1.9
_NOBODY: Final = UUID(int=0)
_COURSE: Final = Course(Path(((0.0, 0.0), (_LONG_MM, 0.0))))

Sample = tuple[Mark, ...]


def write_key(spot: Spot, units: Units, *, cap_mm: float = 2.5, room_mm: float = 0.0) -> float:
    """Draw the key; the height that it took, mm on paper.

    Args:
        spot: Its upper left corner.
        units: Whose words are taken.
        cap_mm: Height of capitals.
        room_mm: Width that words are broken at; 0: never.
    """
    spot.painter.words("Key", spot.at(0, 0), "NOTE-KEY", cap_mm=3.5)
    down = 3.5 + _STEP_MM
    for sample, words in _rows():
        painter = spot.moved(0, down).painter
        for mark in sample:
            painter.mark(mark)
        hold = MTextEntityAlignment.MIDDLE_LEFT
        spot.painter.words(
            in_trade_words(units, words),
            spot.at(_WORDS_MM, down),
            "NOTE-KEY",
            cap_mm=cap_mm,
            hold=hold,
            width_mm=room_mm,
        )
        down += _STEP_MM
    return down


def _rows() -> Iterator[tuple[Sample, str]]:
    names = {Kind.WALL_BASE: "wall-base joint", Kind.CRACK: "crack", Kind.PIPE_COLLAR: "pipe collar"}
    for kind in Kind:
        yield _joint(kind), names.get(kind, f"{kind.value} joint")
    for wetness in Wetness:
        words = f"{int(wetness)}  {wetness.word}"
        yield _leak(wetness), words if wetness else f"{words}, dry today"
    yield _band(Why.LEAK, Wetness.SEEP), "coat band, wet part"
    yield _band(Why.OVERRUN), "overrun"
    yield _band(Why.MERGED), "merged: overruns meet"
    yield _band(Why.BRIDGE), "bridged: sound gap taken in"
    yield _band(Why.OVERRUN, provisional=True), "provisional: not for work"
    yield (*_band(Why.MERGED), _cut()), "kept apart"
    yield (*_joint(Kind.CONSTRUCTION), _blind()), "blind: no slot opened"
    yield (
        (*_joint(Kind.CONSTRUCTION), _sign(What.RELIEF, relief_sign((_MIDDLE_MM, 0.0), (0.0, 1.0), PAPER_SCALE))),
        "relief point",
    )
    for way, words in (
        (Way.UP, "vertical joint, rises; with its height"),
        (Way.DOWN, "vertical joint from the level below"),
        (Way.THROUGH, "vertical joint, passes through"),
    ):
        yield (_sign(What.VERTICAL, lozenge((_MIDDLE_MM, 0.0), way, PAPER_SCALE)),), words
    nought = Label(words="0", at=(0.0, 0.9), cap_height_m=1.8, width_m=1.5, tone=Tone.INK)
    arrow = (nought, *start_arrow((2.4, 1.8), (1.0, 0.0), ARROW_MM, PAPER_SCALE))
    start = Mark(what=What.JOINT, ref="", item=None, coat=Coat.LABEL, primitives=arrow, part="start")
    yield (*_joint(Kind.CONSTRUCTION), start), "chainage 0 and its direction"


def _joint(kind: Kind) -> Sample:
    course: Course | None = _COURSE
    if kind is Kind.PIPE_COLLAR:
        collar = Joint(
            id=_NOBODY, ref="-", sheet=_NOBODY, kind=kind, face=Face.FLOOR, point=(_MIDDLE_MM, 0.0), diameter_m=0.1
        )
        course = course_of(collar, PAPER_SCALE)
    assert course is not None
    lines = joint_lines(kind, course, PAPER_SCALE)
    return (Mark(what=What.JOINT, ref="", item=None, coat=Coat.JOINT, primitives=lines, part=kind.value),)


def _leak(wetness: Wetness) -> Sample:
    path = Path(((1.5, 0.0), (_LONG_MM - 1.5, 0.0)))
    skin = _leak_mark(wetness, Coat.SLEEVE, sleeve(path, wetness, PAPER_SCALE))
    tally = _leak_mark(wetness, Coat.STROKE, strokes(path, wetness, PAPER_SCALE))
    return (skin, *_joint(Kind.CONSTRUCTION), tally)


def _leak_mark(wetness: Wetness, coat: Coat, primitives: tuple[Primitive, ...]) -> Mark:
    return Mark(what=What.LEAK, ref="", item=None, coat=coat, primitives=primitives, part=wetness.word)


def _band(why: Why, wetness: Wetness | None = None, *, provisional: bool = False) -> Sample:
    piece = Piece(joint=_NOBODY, from_m=0.0, to_m=_LONG_MM, why=why, wetness=wetness, leaks=())
    shown = ShownPiece(piece, _COURSE, _BAND_HALF_MM)
    outline = strip(_COURSE.path.corners, _BAND_HALF_MM)
    marks = band_marks("", outline, [shown], PAPER_SCALE, provisional=provisional)
    return (*sorted(marks, key=lambda mark: mark.coat), *_joint(Kind.CONSTRUCTION))


def _sign(what: What, primitives: tuple[Primitive, ...]) -> Mark:
    return Mark(what=what, ref="", item=None, coat=Coat.RELIEF, primitives=primitives)


def _cut() -> Mark:
    return _sign(What.CUT, cut_bars(_COURSE, _MIDDLE_MM, 2.6))


def _blind() -> Mark:
    box = ((2.5, -1.6), (12.0, -1.6), (12.0, 1.6), (2.5, 1.6), (2.5, -1.6))
    return _sign(What.BLIND, (Area(polygons=((box,),), pen=Pen(Tone.FAINT, 0.35, (1.2, 0.8))),))
