"""What is drawn on a plan, as values that any renderer can put on paper, into a file or on a screen.

Places and sizes are metres of the site plane, worked out for one plot scale (``on_site``). Widths
and dashes of pens are millimetres on paper. Paint marks in the order given: tints first, labels last.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Final, TypeAlias
from uuid import UUID

from leakmap.geometry.path import Point

Ring: TypeAlias = tuple[Point, ...]
"""A closed polygon; its last point repeats the first."""

Polygon: TypeAlias = tuple[Ring, ...]
"""An outer ring, then its holes."""


class Tone(StrEnum):
    """A colour by its meaning; every renderer has its own table of them."""

    INK = "ink"  # joints, text, what is measured
    FAINT = "faint"  # the imported drawing, blind stretches
    WATER = "water"  # outline and strokes of leaks
    REPAIR = "repair"  # planned repair
    PAPER = "paper"
    BAND = "band"  # tint of a zone
    WET_BAND = "wet band"  # tint of its wet part
    W1 = "w1"  # fills of leaks by wetness
    W2 = "w2"
    W3 = "w3"
    W4 = "w4"
    W5 = "w5"


WIDTHS_MM: Final = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
"""Widths of lines on paper, each √2 times the one before: the series of ISO 128-2 (from memory). Narrow, wide and extra
wide lines of one drawing are as 1 : 2 : 4: ours are 0.25, 0.5 and 1 mm, with 0.13 and 0.18 for what lies under them and
0.35 and 0.7 between."""


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn.

    Attributes:
        width_mm: On paper; one of ``WIDTHS_MM``.
        dash_mm: Lengths on paper, drawn and left open in turn; empty is continuous. A dot is 0 long.
    """

    tone: Tone
    width_mm: float
    dash_mm: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """No paper has a line of another width."""
        assert self.width_mm in WIDTHS_MM, self.width_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A polyline; ``closed`` joins its last point to the first."""

    points: tuple[Point, ...]
    pen: Pen
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """Polygons, filled where ``fill`` is given and outlined where ``pen`` is."""

    polygons: tuple[Polygon, ...]
    fill: Tone | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """Parallel lines inside polygons, already cut to them.

    Attributes:
        turn_deg: Direction of the lines, counter-clockwise from the x axis, 0 to 180.
        gap_m: Distance between neighbours.
    """

    polygons: tuple[Polygon, ...]
    lines: tuple[tuple[Point, Point], ...]
    turn_deg: float
    gap_m: float
    pen: Pen


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A circle, filled where ``fill`` is given and outlined where ``pen`` is."""

    centre: Point
    radius_m: float
    fill: Tone | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words set level, with a paper-coloured halo, and a leader where they stand off.

    Attributes:
        at: Left end of the baseline.
        cap_height_m: Height of a capital.
        width_m: Width that was reckoned with when the label was placed.
        leader: Points from the thing to the words; empty when they stand beside it.
    """

    words: str
    at: Point
    cap_height_m: float
    width_m: float
    tone: Tone
    leader: tuple[Point, ...] = ()


Primitive: TypeAlias = Line | Area | Hatch | Disc | Label


class Coat(IntEnum):
    """Paint order, lowest first. A renderer that has the imported drawing puts it after the tints."""

    TINT = 0
    BAND = 1
    SLEEVE = 2
    JOINT = 3
    STROKE = 4
    VERTICAL = 5
    RELIEF = 6
    LABEL = 7


class What(StrEnum):
    """What a mark stands for."""

    JOINT = "joint"
    VERTICAL = "vertical joint"
    LEAK = "leak"
    ZONE = "zone"
    RELIEF = "relief point"
    BLIND = "blind stretch"
    CUT = "cut"
    POINT = "point to tape from"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One thing on the plan in one coat of paint.

    Attributes:
        ref: The reference it belongs to, such as Z-07 or J-05.
        item: Id of the joint or leak; None for zones, which have none.
        part: A finer word: the kind of a joint, the wetness of a leak, the reason of a zone's piece.
    """

    what: What
    ref: str
    item: UUID | None
    coat: Coat
    primitives: tuple[Primitive, ...]
    part: str = ""


MM_PER_M: Final = 1000.0


PAPER_SCALE: Final = 1000.0
"""At 1:1000 one metre of the site plane is one millimetre on paper: keys and blocks are drawn in millimetres."""


def on_site(mm: float, scale: float) -> float:
    """Metres of the site plane that ``mm`` on paper stand for at 1:``scale``.

    >>> on_site(10, 100)
    1.0
    """
    return mm * scale / MM_PER_M
