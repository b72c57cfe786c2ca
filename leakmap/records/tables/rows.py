"""What the tables say, row by row: plain values before they are put into a job.

Chainages are printed chainages, as on every paper: those of a joint whose first point is printed as
``start_m`` begin there. They are exact decimals, so that adding and taking off ``start_m`` loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Final

from leakmap.geometry.path import Path, Point
from leakmap.model.words import Face, Kind, Side, Waterstop, Wetness

JOINT_COLUMNS: Final = (
    "ref", "sheet", "kind", "face", "height_m", "room_side", "wkt", "rise_m", "head_sheet", "diameter_m", "start_m",
    "dormant", "waterstop",
)  # fmt: skip
BLIND_COLUMNS: Final = ("joint", "from_m", "to_m", "what")
LEAK_COLUMNS: Final = (
    "ref", "joint", "from_m", "to_m", "wetness", "seen", "overrun_from_m", "overrun_to_m", "flow_l_min", "worst_m",
    "note",
)  # fmt: skip
PLACE_COLUMNS: Final = ("sheet", "x", "y")


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRow:
    """A row of ``joints.csv``.

    Attributes:
        where: The row as people name it, "row 3 of joints.csv".
        sheet: Name of the sheet.
        path: Its line; None for a point.
        point: Its point, with a rise or a diameter; None for a line.
    """

    where: str = field(default="", compare=False)
    ref: str
    sheet: str
    kind: Kind
    face: Face
    height_m: float = 0.0
    room_side: Side | None = None
    path: Path | None = None
    point: Point | None = None
    rise_m: float | None = None
    head_sheet: str = ""
    diameter_m: float | None = None
    start_m: float = 0.0
    dormant: bool = False
    waterstop: Waterstop = Waterstop.UNKNOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class BlindRow:
    """A row of ``blind.csv``: a hidden stretch of a joint."""

    where: str = field(default="", compare=False)
    joint: str
    from_m: Decimal
    to_m: Decimal
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakRow:
    """A row of ``leaks.csv``: a stretch of a joint by reference, or a spot by sheet and position.

    Attributes:
        ref: Its reference; empty: the next free one.
        joint: Reference of its joint; empty when the nearest joint to ``at`` takes it.
        from_m: Printed chainage; None where ``at`` says the place.
        sheet: Name of the sheet that ``at`` lies on.
        at: Position in metres of the site plane.
    """

    where: str = field(default="", compare=False)
    ref: str
    joint: str = ""
    from_m: Decimal | None = None
    to_m: Decimal | None = None
    sheet: str = ""
    at: Point | None = None
    wetness: Wetness
    seen: date | None = None
    overrun_from_m: float | None = None
    overrun_to_m: float | None = None
    flow_l_min: float | None = None
    worst_m: Decimal | None = None
    note: str = ""
