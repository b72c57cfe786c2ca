"""Metric and imperial: how figures are shown, exactly.

Inside, every figure is metric: metres, square metres, litres. A job says in which system people read it,
and written as where (`Units`); what is measured is rounded once in the finest step of that system, so that the rows that
are printed add up to the sums that are printed, in either.

The inch is 0.0254 m, the foot 12 of them and the pound 0.45359237 kg (16 CFR 500.19); the US gallon is
231 cubic inches. The method of absolute volumes reckons mortar by the cubic foot (ACI 211.1, as
summarized), so volumes that are placed are in cubic feet. That lengths are read in feet and inches to 1/8
and charged by whole feet is common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction
from typing import ClassVar, Final

from leakmap.base.days import day_words
from leakmap.base.locales import MINUS, figure_in, marks_of
from leakmap.base.rounding import decimal_of, rounded, snapped

INCH_M: Final = Decimal("0.0254")
FOOT_M: Final = 12 * INCH_M
EIGHTH_M: Final = INCH_M / 8
"""An eighth of an inch, the finest step that feet and inches are shown in: 0.003175 m exactly."""

_EIGHTHS_PER_INCH: Final = 8
_INCHES_PER_FOOT: Final = 12
_CENTIMETRE: Final = Decimal("0.01")
_MILLIMETRE: Final = Decimal("0.001")


class System(StrEnum):
    """A system of units."""

    METRIC = "metric"
    IMPERIAL = "imperial"  # feet, inches and eighths; square and cubic feet


@dataclass(frozen=True, slots=True)
class Units:
    """How a job is read: in which system, and written as where.

    Figures of feet and inches have neither a decimal mark nor one of thousands, wherever they are read. Two of them are
    compared by ``system`` or ``metric``: ``METRIC`` and ``IMPERIAL`` are those of no locale.

    Attributes:
        system: The system of units.
        locale: How figures and days are written (``leakmap.base.locales``); empty: as nowhere in particular.
    """

    system: System
    locale: str = ""

    METRIC: ClassVar[Units]
    IMPERIAL: ClassVar[Units]
    EACH: ClassVar[tuple[Units, Units]]

    @property
    def metric(self) -> bool:
        """Whether lengths are metres."""
        return self.system is System.METRIC

    def day(self, day: date) -> str:
        """A day as papers print it and the window shows it."""
        return day_words(day, self.locale)

    def number(self, figure: Decimal) -> str:
        """A bare figure with all of its decimals, with a true minus."""
        return figure_in(self.locale, figure)

    def entered(self, figure: Decimal) -> str:
        """A bare figure as a field holds it to be typed over: without marks of thousands.

        >>> Units(System.METRIC, "de").entered(Decimal("3150.5"))
        '3150,5'
        """
        return figure_in(self.locale, figure, grouped=False)

    def fixed(self, value: float, places: int) -> str:
        r"""A bare figure to so many decimals, as a format of Python's gives them.

        >>> Units.METRIC.fixed(0.125, 1), Units(System.METRIC, "fr").fixed(1234.5, 2)
        ('0.1', '1\xa0234,50')
        """
        return self.number(Decimal(f"{value:.{places}f}"))

    def plain(self, value: float) -> str:
        """A bare figure as short as six digits say it.

        >>> Units.METRIC.plain(1.50), Units(System.METRIC, "de").plain(0.5)
        ('1.5', '0,5')
        """
        return self.number(Decimal(f"{value:g}"))

    @property
    def words(self) -> str:
        """What lengths are read in."""
        return "metres" if self.metric else "feet and inches"

    @property
    def step_m(self) -> Decimal:
        """The finest step that a measured length is shown in: 1 mm, or 1/8 inch."""
        return _MILLIMETRE if self.metric else EIGHTH_M

    @property
    def step_words(self) -> str:
        """That step in words."""
        return "1 mm" if self.metric else "1/8 inch"

    @property
    def reading_m(self) -> float:
        """The length that is taken to say how exact a scan is: 10 m, or 30 ft."""
        return 10.0 if self.metric else 9.144

    @property
    def reading_words(self) -> str:
        """That length in words."""
        return "10 m" if self.metric else "30 ft"

    @property
    def charge_step_m(self) -> Decimal:
        """The step that chargeable lengths are rounded up to, where nobody chose another."""
        return Decimal("0.10") if self.metric else FOOT_M

    @property
    def nudges_m(self) -> tuple[float, float]:
        """How far an arrow key moves what is picked, and with Shift: 1 and 10 cm, or 1/2 and 6 in; ours."""
        return (0.01, 0.10) if self.metric else (0.0127, 0.1524)

    @property
    def nudge_words(self) -> tuple[str, str]:
        """The same in words."""
        return ("1 cm", "10 cm") if self.metric else ("1/2 inch", "6 inches")

    @property
    def strides_m(self) -> tuple[float, float]:
        """How far it moves the cross of a tool, and with Shift: 0.1 and 1 m, or 6 in and 3 ft; ours."""
        return (0.10, 1.00) if self.metric else (0.1524, 0.9144)

    def tidy_m(self, length_m: float) -> float:
        """A length as a hand means it on a screen: to 1 cm, or half an inch.

        >>> Units.METRIC.tidy_m(1.234), Units.IMPERIAL.tidy_m(1.234)
        (1.23, 1.2319)
        """
        return round(length_m, 2) if self.metric else float(rounded(length_m, INCH_M / 2))

    def shown(self, length_m: float | Decimal) -> str:
        r"""A length on a screen, without its unit where something near says it.

        It is the printed one in short, so that what was measured before it is shown and what is measured while it is
        shown read the same.

        >>> Units.METRIC.shown(31.2), Units.IMPERIAL.shown(31.2), Units.METRIC.shown(-3.6)
        ('31.20', '102\' 4 3/8"', '−3.60')
        >>> Units.METRIC.measured(15.2247), Units.METRIC.shown(15.2247), Units.METRIC.shown(Decimal("15.225"))
        ('15.225', '15.23', '15.23')
        """
        return self._metres(rounded(length_m, _MILLIMETRE), _CENTIMETRE) if self.metric else feet_inches(length_m)

    def measured(self, length_m: float | Decimal) -> str:
        r"""A length as papers print it: three decimals, or to 1/8 inch.

        >>> Units.METRIC.measured(31.2), Units.IMPERIAL.measured(0.6)
        ('31.200', '1\' 11 5/8"')
        """
        return self._metres(length_m, _MILLIMETRE) if self.metric else feet_inches(length_m)

    def printed(self, length_m: float | Decimal) -> str:
        """A length as papers print it, with its unit."""
        return self.after(self.measured(length_m))

    def said(self, length_m: float | Decimal) -> str:
        """A length for a sentence: to the millimetre, two decimals at least, or to 1/8 inch.

        >>> Units.METRIC.said(0.3), Units.METRIC.said(0.1254), Units.IMPERIAL.said(0.3)
        ('0.30 m', '0.125 m', '11 3/4"')
        """
        return f"{self.measured(length_m).removesuffix('0')} m" if self.metric else feet_inches(length_m)

    def level(self, level_m: float) -> str:
        r"""A level as drawings write it, with its sign.

        >>> Units.METRIC.level(-3.6), Units.METRIC.level(0.0), Units.IMPERIAL.level(2.5)
        ('−3.60', '+0.00', '+8\' 2 3/8"')
        """
        shown = self.shown(level_m)
        return shown if shown.startswith(MINUS) else f"+{shown}"

    def place(self, x_m: float, y_m: float) -> str:
        """A position in the site plane."""
        return f"{self.shown(x_m)}{'; ' if marks_of(self.locale).decimal == ',' else ', '}{self.shown(y_m)}"

    def with_unit(self, length_m: float | Decimal) -> str:
        r"""A length on a screen with its unit.

        >>> Units.METRIC.with_unit(2.4), Units.IMPERIAL.with_unit(2.4)
        ('2.40 m', '7\' 10 1/2"')
        """
        return self.after(self.shown(length_m))

    def after(self, words: str) -> str:
        """Words with the sign of the metre behind them; feet and inches carry their own.

        >>> Units.METRIC.after("Length"), Units.IMPERIAL.after("Length")
        ('Length m', 'Length')
        """
        return f"{words} m" if self.metric else words

    def before(self, words: str) -> str:
        """What stands behind a length in a field: the sign of the metre and words, or the words alone.

        >>> Units.METRIC.before("high"), Units.METRIC.before(""), Units.IMPERIAL.before("high")
        ('m high', 'm', 'high')
        """
        return f"m {words}".rstrip(" ") if self.metric else words

    def out_by(self, length_m: float) -> str:
        """By how little places miss each other: whole millimetres or eighths of an inch, one at least.

        >>> Units.METRIC.out_by(0.0132), Units.METRIC.out_by(0), Units.IMPERIAL.out_by(0.0132)
        ('13 mm', '1 mm', '1/2"')
        """
        return self.small(max(rounded(length_m, self.step_m), self.step_m))

    def small(self, length_m: float | Decimal) -> str:
        """A small length with its unit: whole millimetres, or to 1/8 inch.

        >>> Units.METRIC.small(0.0004), Units.IMPERIAL.small(0.0132)
        ('0 mm', '1/2"')
        """
        if not self.metric:
            return feet_inches(length_m)
        return f"{self.number((rounded(length_m, _MILLIMETRE) * 1000).quantize(Decimal(1)))} mm"

    def heading(self, words: str) -> str:
        """A heading that ends in a metric unit, with the unit in which its figures are shown.

        >>> [Units.IMPERIAL.heading(words) for words in ("From m", "Coat 1 m²", "Slot L", "m", "Depth mm")]
        ['From', 'Coat 1 sq ft', 'Slot cu ft', 'ft in', 'Depth mm']
        """
        if self.metric:
            return words
        if words.endswith(" m"):
            return words.removesuffix(" m")  # feet and inches carry their signs
        before, space, unit = words.rpartition(" ")
        scale = next((each for each in (AREA, VOLUME, FLOW, MASS) if each.metric.symbol == unit), None)
        unit = "ft in" if unit == "m" else unit if scale is None else scale[self].symbol
        return f"{before}{space}{unit}"

    def figure(self, name: str, value: float | Decimal) -> str:
        r"""A measured figure as papers print it, by the unit that its name ends in: metres, square metres or litres.

        >>> Units.METRIC.figure("coat1_m2", 1), Units.IMPERIAL.figure("coat1_m2", 1), Units.IMPERIAL.figure("wet_m", 1)
        ('1.000', '10.76', '3\' 3 3/8"')
        """
        scale = {"m2": AREA, "l": VOLUME}.get(name.rpartition("_")[2])
        return self.measured(value) if scale is None else scale[self].shown(value)

    def depth(self, depth_mm: Decimal) -> str:
        """A depth or width of a slot: millimetres as they are worked to, in inches only what that comes near.

        Sizes are never swapped for round ones of the other system: 1 by 1 1/2 in is another volume than 25 by 37 mm.

        >>> Units.METRIC.depth(Decimal("37.0")), Units.IMPERIAL.depth(Decimal(37))
        ('37', '37 (1 1/2")')
        """
        exact = self.number(depth_mm.normalize())
        return exact if self.metric else f"{exact} ({feet_inches(depth_mm / 1000)})"

    def depth_said(self, depth_mm: Decimal) -> str:
        """A depth or width of a slot for a sentence, with its unit.

        >>> Units.METRIC.depth_said(Decimal("37.0")), Units.IMPERIAL.depth_said(Decimal(37))
        ('37 mm', '37 mm (1 1/2")')
        """
        figure, _, near = self.depth(depth_mm).partition(" ")
        return f"{figure} mm {near}".rstrip()

    def _metres(self, length_m: float | Decimal, step: Decimal) -> str:
        return self.number(rounded(length_m, step).quantize(step))


Units.METRIC, Units.IMPERIAL = Units(System.METRIC), Units(System.IMPERIAL)
Units.EACH = (Units.METRIC, Units.IMPERIAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How a quantity is read in one system.

    Attributes:
        symbol: What stands behind its figures.
        size: One of it in the metric unit that figures are kept in, exactly.
        places: Decimals that it is printed with, and rounded to when it is measured.
        locale: How its figures are written.
    """

    symbol: str
    size: Fraction
    places: int
    locale: str = ""

    @property
    def step(self) -> Decimal:
        """What measured figures are multiples of, in the unit that they are kept in."""
        return decimal_of(self.size / 10**self.places)

    def figure(self, value: float | Decimal, places: int | None = None) -> Decimal:
        """What is shown of a kept figure: rounded half up, to its own places or to others."""
        exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
        return decimal_of(Fraction(exact) / self.size).quantize(
            Decimal(1).scaleb(-(self.places if places is None else places)), rounding=ROUND_HALF_UP
        )

    def kept(self, figure: float | Decimal) -> float:
        """The kept figure of one that was typed."""
        return float(Fraction(figure) * self.size)

    def shown(self, value: float | Decimal, places: int | None = None) -> str:
        """A kept figure without its unit, with a true minus."""
        return figure_in(self.locale, self.figure(value, places))

    def said(self, value: float | Decimal) -> str:
        """A kept figure with its unit."""
        return f"{self.shown(value)} {self.symbol}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """How a quantity is read in either system."""

    metric: Scale
    imperial: Scale

    def __getitem__(self, units: Units) -> Scale:
        scale = self.metric if units.metric else self.imperial
        return replace(scale, locale=units.locale) if units.locale else scale


_FOOT: Final = Fraction(FOOT_M)
_POUND: Final = Fraction("0.45359237")
_GALLON: Final = 231 * Fraction(INCH_M) ** 3 * 1000
_GRAVITY: Final = Fraction("9.80665")
_ONE: Final = Fraction(1)

AREA: Final = Quantity(
    metric=Scale(symbol="m²", size=_ONE, places=3),
    imperial=Scale(symbol="sq ft", size=_FOOT**2, places=2),
)
"""Kept in square metres."""

VOLUME: Final = Quantity(
    metric=Scale(symbol="L", size=_ONE, places=3),
    imperial=Scale(symbol="cu ft", size=_FOOT**3 * 1000, places=4),
)
"""Kept in litres; what is mixed and placed."""

FLOW: Final = Quantity(
    metric=Scale(symbol="L/min", size=_ONE, places=2),
    imperial=Scale(symbol="gpm", size=_GALLON, places=2),
)
"""Kept in litres a minute; US gallons a minute."""

MASS: Final = Quantity(
    metric=Scale(symbol="kg", size=_ONE, places=2),
    imperial=Scale(symbol="lb", size=_POUND, places=1),
)
"""Kept in kilograms."""

PRESSURE: Final = Quantity(
    metric=Scale(symbol="kPa", size=_ONE, places=1),
    imperial=Scale(symbol="psi", size=_POUND * _GRAVITY / Fraction(INCH_M) ** 2 / 1000, places=2),
)
"""Kept in kilopascals."""


def feet_inches(length_m: float | Decimal) -> str:
    r"""A length in feet and inches to 1/8 inch, rounded half up, with a true minus.

    Inches stand behind any feet, so that no fraction is taken for one of a foot.

    >>> feet_inches(0.3048), feet_inches(0.3047), feet_inches(1.222375), feet_inches(-0.3), feet_inches(0)
    ('1\' 0"', '1\' 0"', '4\' 0 1/8"', '−11 3/4"', '0"')
    """
    exact = length_m if isinstance(length_m, Decimal) else snapped(length_m)
    eighths = int((exact / EIGHTH_M).to_integral_value(rounding=ROUND_HALF_UP))
    inches, part = divmod(abs(eighths), _EIGHTHS_PER_INCH)
    feet, inches = divmod(inches, _INCHES_PER_FOOT)
    fraction = str(Fraction(part, _EIGHTHS_PER_INCH)) if part else ""
    whole = str(inches) if inches or feet or not part else ""
    words = " ".join(word for word in (f"{feet}'" if feet else "", whole, fraction) if word)
    return f'{MINUS if eighths < 0 else ""}{words}"'
