"""Columns of the ledger by stage and role, as data: a role chooses columns and nothing else.

Left out until the job holds their figures: Price and Sum (no rates yet), Photos (none can be taken yet),
Changed of joints and Received of drawings (no dates are kept), Archive's columns of As-built (nothing can
be recorded yet).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto
from typing import Final

from leakmap.desk.state import Stage
from leakmap.work.settings import Role


class Form(Enum):
    """How a cell is set."""

    WORDS = auto()
    REFERENCE = auto()
    ZONE = auto()  # a reference in the colour of repairs
    KIND = auto()  # a sample of the line before the word
    WETNESS = auto()  # strokes before the word
    FIGURE = auto()  # two decimals, the third on pointing
    DAY = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column.

    Attributes:
        name: The value that it shows, as rows call it.
        px: Its width; 0 takes what is left.
        narrow: Its width in the narrow layout; 0 is the same.
    """

    name: str
    heading: str
    form: Form = Form.WORDS
    px: int = 0
    narrow: int = 0

    @property
    def right(self) -> bool:
        """Whether it is set to the right, as numbers are."""
        return self.form is Form.FIGURE

    def words(self, *, compact: bool) -> str:
        """Its heading; the narrow layout leaves the unit out."""
        return self.heading.removesuffix(" m") if compact else self.heading


_REF = Column(name="ref", heading="Ref", form=Form.REFERENCE, px=78, narrow=62)
_KIND = Column(name="kind", heading="Kind", form=Form.KIND)
_LENGTH = Column(name="length", heading="Length m", form=Form.FIGURE, px=104, narrow=74)
_ON = Column(name="on", heading="On", form=Form.REFERENCE, px=70)
_FROM = Column(name="from", heading="From", form=Form.FIGURE, px=66)
_TO = Column(name="to", heading="To", form=Form.FIGURE, px=72)
_WETNESS = Column(name="wetness", heading="Wetness", form=Form.WETNESS)
_SHEET = (
    Column(name="level", heading="Level", form=Form.REFERENCE, px=62, narrow=56),
    Column(name="file", heading="File"),
    Column(name="scale", heading="Scale", px=114, narrow=108),
    Column(name="ready", heading="Ready", px=66, narrow=58),
)
_CHECKSUM = Column(name="checksum", heading="Checksum", px=112)
_ZONE = Column(name="zone", heading="Zone", form=Form.ZONE, px=64, narrow=62)
_METHOD = Column(name="method", heading="Method")
_REV = Column(name="rev", heading="Rev", form=Form.REFERENCE, px=62)
_DATE = Column(name="date", heading="Date", form=Form.DAY, px=106)
_WHOM = Column(name="whom", heading="Issued to")

_COLUMNS: Final[dict[Stage, dict[Role, tuple[Column, ...]]]] = {
    Stage.DRAWING: {
        Role.ESTIMATOR: _SHEET,
        Role.ENGINEER: _SHEET,
        Role.ARCHIVIST: (*_SHEET[:-1], _CHECKSUM),
    },
    Stage.JOINTS: {
        Role.ESTIMATOR: (_REF, _KIND, _LENGTH),
        Role.ENGINEER: (
            Column(name="ref", heading="Ref", form=Form.REFERENCE, px=62),
            _KIND,
            Column(name="from_grid", heading="From grid", px=106, narrow=116),
            Column(name="to_grid", heading="To grid", px=110),
        ),
        Role.ARCHIVIST: (_REF, _KIND, _LENGTH),
    },
    Stage.LEAKS: {
        Role.ESTIMATOR: (_REF, _ON, _LENGTH, _WETNESS),
        Role.ENGINEER: (_REF, _ON, _FROM, _TO, _WETNESS),
        Role.ARCHIVIST: (_REF, _ON, Column(name="seen", heading="Seen on", form=Form.DAY, px=110), _WETNESS),
    },
    Stage.REPAIR: {
        Role.ESTIMATOR: (
            _ZONE,
            _METHOD,
            Column(name="measured", heading="Measured m", form=Form.FIGURE, px=78, narrow=64),
            Column(name="chargeable", heading="Chargeable m", form=Form.FIGURE, px=88, narrow=74),
            Column(name="area", heading="m²", form=Form.FIGURE, px=46),
            Column(name="litres", heading="Litres", form=Form.FIGURE, px=54, narrow=52),
        ),
        Role.ENGINEER: (
            _ZONE,
            _METHOD,
            Column(name="from", heading="From", px=80),
            Column(name="to", heading="To", px=80, narrow=92),
            Column(name="grid", heading="Grid", px=110),
        ),
        Role.ARCHIVIST: (
            _ZONE,
            _METHOD,
            Column(name="measured", heading="Metres", form=Form.FIGURE, px=84, narrow=70),
            Column(name="rule", heading="Rule", px=140, narrow=114),
        ),
    },
    Stage.ISSUE: {
        Role.ESTIMATOR: (_REV, _DATE, _WHOM),
        Role.ENGINEER: (_REV, _DATE, _WHOM, Column(name="what", heading="What", px=96)),
        Role.ARCHIVIST: (_REV, _DATE, Column(name="files", heading="Files"), _CHECKSUM),
    },
    Stage.AS_BUILT: dict.fromkeys(Role, ()),
}

_DROPPED: Final = {
    Stage.JOINTS: ("to_grid",),
    Stage.LEAKS: ("on",),
    Stage.REPAIR: ("area", "grid"),
    Stage.ISSUE: ("what",),
}
"""What the narrow layout leaves out."""

_LEAST: Final = 84


def columns_of(stage: Stage, role: Role, *, compact: bool) -> tuple[Column, ...]:
    """The columns of a stage for a role; none where nothing can be listed yet."""
    every = _COLUMNS[stage][role]
    if not compact:
        return every
    kept = (column for column in every if column.name not in _DROPPED.get(stage, ()))
    return tuple(replace(column, px=column.narrow or column.px) for column in kept)


def widths_of(columns: Sequence[Column], room: int) -> tuple[int, ...]:
    """Widths that fill a room: set ones as they are, the open one takes the rest; all shrink when it gets too little.

    >>> widths_of((_REF, _KIND, _LENGTH), 436), sum(widths_of(_SHEET, 300))
    ((78, 254, 104), 300)
    """
    if not columns:
        return ()
    fixed = sum(column.px for column in columns)
    rest = max(room - fixed, _LEAST)
    wanted = [column.px or rest for column in columns]
    found = [px * room // sum(wanted) for px in wanted]
    found[-1] += room - sum(found)
    return tuple(found)
