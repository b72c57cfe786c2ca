"""Columns of the ledger by stage and role, as data: a role chooses columns and nothing else.

Left out until the job holds their figures: Price, until it has a rate, and Sum, until it has a revision that was issued
with prices. Columns of As-built stay empty until something can be recorded.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import Enum, auto
from typing import Final

from leakmap.base.measures import AREA, VOLUME, Units
from leakmap.desk.things import Stage
from leakmap.model.words import Wetness
from leakmap.work.aloud import aloud
from leakmap.work.ledger_lines import Value
from leakmap.work.settings import Role


class Form(Enum):
    """How a cell is set."""

    WORDS = auto()
    REFERENCE = auto()
    ZONE = auto()  # a reference in the colour of repairs
    KIND = auto()  # a sample of the line before the word
    WETNESS = auto()  # strokes before the word
    LENGTH = auto()  # two decimals, the third on pointing; or feet and inches
    AREA = auto()
    VOLUME = auto()
    DAY = auto()
    COUNT = auto()  # a whole number
    MONEY = auto()  # as it was rounded once, to the minor unit of its currency


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column.

    Attributes:
        name: The value that it shows, as rows call it.
        px: Its width; 0 takes what is left.
        narrow: Its width in the narrow layout; 0 is the same.
        feet: Its widths, wide and narrow, where lengths are in feet and inches; 0 is the same.
        other: Its heading in imperial units, where it is more than another sign behind it.
        units: What its figures are shown in.
        currency: Of money, the code that its heading names; empty where each cell names its own.
        bare: Whether its heading leaves the unit out, as all do in the narrow layout.
    """

    name: str
    heading: str
    form: Form = Form.WORDS
    px: int = 0
    narrow: int = 0
    feet: tuple[int, int] = (0, 0)
    other: str = ""
    units: Units = Units.METRIC
    currency: str = ""
    bare: bool = False

    @property
    def right(self) -> bool:
        """Whether it is set to the right, as numbers are."""
        return self.form in _FIGURES

    def words(self, *, compact: bool) -> str:
        """Its heading; the narrow layout leaves the unit out, and so does a table that has little room."""
        return self.title.removesuffix(" m") if compact or self.bare else self.title

    @property
    def title(self) -> str:
        """Its heading with the unit in force."""
        if self.form is Form.MONEY:
            return f"{self.heading} {self.currency}".rstrip()
        return self.other if self.other and not self.units.metric else self.units.heading(self.heading)

    @property
    def heard_heading(self) -> str:
        """Its heading as a screen reader says it, for each cell says its unit.

        >>> _LENGTH.heard_heading
        'Length'
        """
        return "Area" if self.form is Form.AREA else self.title.removesuffix(" m")

    def cell(self, value: Value | None, *, closely: bool = False) -> str:
        """A value as its cell shows it; figures with a decimal more where one looks closely.

        >>> _LENGTH.cell(Decimal("6.305")), _LENGTH.cell(Decimal("6.305"), closely=True), _LENGTH.cell(None)
        ('6.31', '6.305', '')
        """
        if value is None:
            return ""
        if isinstance(value, Wetness):
            return value.word
        if isinstance(value, Decimal):
            if self.form in (Form.COUNT, Form.MONEY):
                return self.units.number(value)
            scale = {Form.AREA: AREA, Form.VOLUME: VOLUME}.get(self.form)
            if scale is None:
                return self.units.measured(value) if closely else self.units.shown(value)
            return scale[self.units].shown(value, scale[self.units].places - (not closely))
        return self.units.day(value) if isinstance(value, date) else value

    def heard(self, value: Value | None) -> str:
        """A value as a screen reader says it, with its unit.

        >>> _LENGTH.heard(Decimal("6.305"))
        '6.31 metres'
        """
        words = self.cell(value)
        unit = _HEARD.get(self.form, "") if self.units.metric else ""
        if self.form is Form.MONEY and isinstance(value, Decimal):
            unit = f" {self.currency}"
        return aloud(f"{words}{unit}") if words else ""


_FIGURES: Final = (Form.LENGTH, Form.AREA, Form.VOLUME, Form.COUNT, Form.MONEY)
_HEARD: Final = {Form.LENGTH: " m", Form.AREA: " m²", Form.VOLUME: " L"}


_REF = Column(name="ref", heading="Ref", form=Form.REFERENCE, px=78, narrow=62)
_KIND = Column(name="kind", heading="Kind", form=Form.KIND)
_LENGTH = Column(name="length", heading="Length m", form=Form.LENGTH, px=104, narrow=74, feet=(104, 96))
_ON = Column(name="on", heading="On", form=Form.REFERENCE, px=70)
_FROM = Column(name="from", heading="From", form=Form.LENGTH, px=66, feet=(92, 84))
_TO = Column(name="to", heading="To", form=Form.LENGTH, px=72, feet=(92, 84))
_WETNESS = Column(name="wetness", heading="Wetness", form=Form.WETNESS)
_SHEET = (
    Column(name="level", heading="Level", form=Form.REFERENCE, px=62, narrow=56),
    Column(name="file", heading="File"),
    Column(name="scale", heading="Scale", px=132, narrow=130),
    Column(name="ready", heading="Ready", px=66, narrow=58),
)
_CHECKSUM = Column(name="checksum", heading="Checksum", px=112)
_ZONE = Column(name="zone", heading="Zone", form=Form.ZONE, px=64, narrow=62)
_METHOD = Column(name="method", heading="Method")
_REV = Column(name="rev", heading="Rev", form=Form.REFERENCE, px=62)
_DATE = Column(name="date", heading="Date", form=Form.DAY, px=106)
_WHOM = Column(name="whom", heading="Issued to")
_PRICE = Column(name="price", heading="Price", form=Form.MONEY, px=96)
_SUM = Column(name="sum", heading="Sum", form=Form.MONEY, px=112, narrow=104)
_ACTUAL = Column(name="actual", heading="Actual m", form=Form.LENGTH, px=92, feet=(104, 104))
_DONE = Column(name="done", heading="Done on", form=Form.DAY, px=104)
_BY = Column(name="by", heading="By")

_COLUMNS: Final[dict[Stage, dict[Role, tuple[Column, ...]]]] = {
    Stage.DRAWING: {
        Role.ESTIMATOR: _SHEET,
        Role.ENGINEER: _SHEET,
        Role.ARCHIVIST: (
            _SHEET[0],
            _SHEET[1],
            Column(name="scale", heading="Scale", px=108, narrow=104),
            _SHEET[3],
            Column(name="checksum", heading="Checksum", px=92),
            Column(name="received", heading="Received", form=Form.DAY, px=102),
        ),
    },
    Stage.JOINTS: {
        Role.ESTIMATOR: (_REF, _KIND, _LENGTH),
        Role.ENGINEER: (
            Column(name="ref", heading="Ref", form=Form.REFERENCE, px=62),
            _KIND,
            Column(name="from_grid", heading="From grid", px=106, narrow=116, feet=(184, 166)),
            Column(name="to_grid", heading="To grid", px=110, feet=(184, 0)),
        ),
        Role.ARCHIVIST: (
            _REF,
            _KIND,
            Column(name="length", heading="Length m", form=Form.LENGTH, px=80, narrow=74, feet=(92, 96)),
            Column(name="changed", heading="Changed", form=Form.DAY, px=106),
        ),
    },
    Stage.LEAKS: {
        Role.ESTIMATOR: (_REF, _ON, _LENGTH, _WETNESS),
        Role.ENGINEER: (
            Column(name="ref", heading="Ref", form=Form.REFERENCE, px=78, narrow=62, feet=(62, 60)),
            Column(name="on", heading="On", form=Form.REFERENCE, px=70, feet=(60, 60)),
            _FROM,
            _TO,
            _WETNESS,
        ),
        Role.ARCHIVIST: (
            Column(name="ref", heading="Ref", form=Form.REFERENCE, px=66, narrow=62),
            Column(name="on", heading="On", form=Form.REFERENCE, px=60),
            Column(name="seen", heading="Seen on", form=Form.DAY, px=104, narrow=98),
            _WETNESS,
            Column(name="photos", heading="Photos", form=Form.COUNT, px=66, narrow=62),
        ),
    },
    Stage.REPAIR: {
        Role.ESTIMATOR: (
            _ZONE,
            _METHOD,
            Column(name="measured", heading="Measured m", form=Form.LENGTH, px=78, narrow=64, feet=(84, 84)),
            Column(name="chargeable", heading="Chargeable m", form=Form.LENGTH, px=88, narrow=74, feet=(80, 86)),
            Column(name="area", heading="m²", form=Form.AREA, px=46, feet=(48, 50)),
            Column(name="litres", heading="Litres", form=Form.VOLUME, px=54, narrow=52, feet=(56, 58), other="cu ft"),
            _PRICE,
        ),
        Role.ENGINEER: (
            _ZONE,
            _METHOD,
            Column(name="from", heading="From", px=80, feet=(118, 118)),
            Column(name="to", heading="To", px=80, narrow=92, feet=(118, 118)),
            Column(name="grid", heading="Grid", px=110, feet=(184, 166)),
        ),
        Role.ARCHIVIST: (
            _ZONE,
            _METHOD,
            Column(
                name="measured", heading="Metres", form=Form.LENGTH, px=84, narrow=70, feet=(92, 84), other="Measured"
            ),
            Column(name="rule", heading="Rule", px=140, narrow=114, feet=(140, 108)),
        ),
    },
    Stage.ISSUE: {
        Role.ESTIMATOR: (_REV, _DATE, _WHOM, _SUM),
        Role.ENGINEER: (_REV, _DATE, _WHOM, Column(name="what", heading="What", px=96)),
        Role.ARCHIVIST: (_REV, _DATE, Column(name="files", heading="Files"), _CHECKSUM),
    },
    Stage.AS_BUILT: {
        Role.ESTIMATOR: (
            _ZONE,
            Column(name="issued", heading="Issued m", form=Form.LENGTH),
            Column(name="actual", heading="Actual m", form=Form.LENGTH, px=112, narrow=84),
            Column(name="difference", heading="Difference m", form=Form.LENGTH, px=124, narrow=100),
        ),
        Role.ENGINEER: (_ZONE, _ACTUAL, _DONE, _BY),
        Role.ARCHIVIST: (
            _ZONE,
            Column(name="issued", heading="Issued m", form=Form.LENGTH, px=78, narrow=78, feet=(92, 92)),
            Column(name="actual", heading="Actual m", form=Form.LENGTH, px=82, narrow=0, feet=(92, 92)),
            _DONE,
            _BY,
        ),
    },
}

_DROPPED: Final = {
    Stage.DRAWING: ("received",),
    Stage.JOINTS: ("to_grid", "changed"),
    Stage.LEAKS: ("on",),
    Stage.REPAIR: ("area", "grid"),
    Stage.ISSUE: ("what",),
    Stage.AS_BUILT: ("by",),
}
"""What the narrow layout leaves out."""

_WITH_ROOM_PX: Final = 500
_NEED_ROOM: Final[dict[tuple[Stage, Role], tuple[str, ...]]] = {(Stage.DRAWING, Role.ARCHIVIST): ("ready",)}
"""What only a ledger of so many pixels has room for; that a level is ready is what its scale says."""

_FEET_NEED_PX: Final[dict[bool, dict[tuple[Stage, str], int]]] = {
    False: {(Stage.JOINTS, "to_grid"): 570, (Stage.REPAIR, "grid"): 590},
    True: {(Stage.REPAIR, "litres"): 460, (Stage.REPAIR, "to"): 460},
}
"""What in feet and inches only a ledger of so many pixels has room for, in the wide layout and in the narrow one."""

_BESIDE_PRICE: Final[dict[bool, dict[bool, tuple[str, ...]]]] = {
    True: {False: ("litres",), True: ("litres", "measured")},
    False: {False: ("area", "litres"), True: ("measured",)},
}
"""What prices leave no room for besides, by whether units are metric, in the wide layout and in the narrow one."""

_MONEY: Final = ("price", "sum")
_ALL_UNITS_PX: Final = 540
"""From this width of the ledger on headings beside prices name their units, too."""

_STEPS: Final = sorted(
    {_WITH_ROOM_PX, _ALL_UNITS_PX, *(px for needs in _FEET_NEED_PX.values() for px in needs.values())}
)
_LEAST: Final = 84


@dataclass(frozen=True, slots=True)
class Money:
    """What a table of prices says of its currency.

    Attributes:
        currency: Its code, which the heading names; empty where each cell names its own.
    """

    currency: str = ""


def room_step(room: int) -> int:
    """Which of the widths that decide over columns a ledger has passed; with another one its columns may be others.

    >>> room_step(436), room_step(436) == room_step(440), room_step(640) > room_step(436)
    (0, True, True)
    """
    return bisect_right(_STEPS, room)


def columns_of(
    stage: Stage, role: Role, *, compact: bool, units: Units = Units.METRIC, room: int = 0, money: Money | None = None
) -> tuple[Column, ...]:
    """The columns of a stage for a role.

    Args:
        stage: The stage.
        role: Who looks.
        compact: Whether the layout is the narrow one.
        units: What figures are shown in.
        room: Width of the ledger, px.
        money: Of prices; None: there are none.
    """
    dropped = set(_DROPPED.get(stage, ()) if compact else ())
    if room < _WITH_ROOM_PX:
        dropped |= set(_NEED_ROOM.get((stage, role), ()))
    if not units.metric:
        needs = _FEET_NEED_PX[compact].items()
        dropped |= {name for (where, name), least_px in needs if where is stage and room < least_px}
    priced = money is not None and any(column.name in _MONEY for column in _COLUMNS[stage][role])
    if not priced:
        dropped |= set(_MONEY)
    elif compact or room < _WITH_ROOM_PX:
        dropped |= set(_BESIDE_PRICE[units.metric][compact])
    bare, currency = priced and room < _ALL_UNITS_PX, money.currency if money is not None else ""
    return tuple(
        replace(column, px=_px(column, units, compact=compact or bare), units=units, currency=currency, bare=bare)
        for column in _COLUMNS[stage][role]
        if column.name not in dropped
    )


def _px(column: Column, units: Units, *, compact: bool) -> int:
    px = (compact and column.narrow) or column.px
    return (not units.metric and column.feet[compact]) or px


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
