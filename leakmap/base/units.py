"""Length units of drawings, exact.

Codes are those of the DXF header variable ``$INSUNITS``. Factors are exact fractions of a metre:
the inch is 0.0254 m (16 CFR 500.19), the US survey foot 1200/3937 m (85 FR 62698, no longer to be
used for new work since 2023), the astronomical unit 149 597 870 700 m (IAU 2012 B2).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from leakmap.base.measures import INCH_M


@dataclass(frozen=True, slots=True)
class Unit:
    """A length unit.

    Attributes:
        code: Its number in ``$INSUNITS``.
        name: English name, singular.
        symbol: What a user types on the command line.
        metres: Its exact length in metres.
    """

    code: int
    name: str
    symbol: str
    metres: Fraction


_INCH = Fraction(INCH_M)
_SURVEY_FOOT = Fraction(1200, 3937)
_LIGHT_YEAR = Fraction(9_460_730_472_580_800)

UNITS: Final[tuple[Unit, ...]] = (
    Unit(1, "inch", "in", _INCH),
    Unit(2, "foot", "ft", _INCH * 12),
    Unit(3, "mile", "mi", _INCH * 12 * 5280),
    Unit(4, "millimetre", "mm", Fraction(1, 1000)),
    Unit(5, "centimetre", "cm", Fraction(1, 100)),
    Unit(6, "metre", "m", Fraction(1)),
    Unit(7, "kilometre", "km", Fraction(1000)),
    Unit(8, "microinch", "uin", _INCH / 1_000_000),
    Unit(9, "mil", "mil", _INCH / 1000),
    Unit(10, "yard", "yd", _INCH * 36),
    Unit(11, "ångström", "angstrom", Fraction(1, 10**10)),
    Unit(12, "nanometre", "nm", Fraction(1, 10**9)),
    Unit(13, "micrometre", "um", Fraction(1, 10**6)),
    Unit(14, "decimetre", "dm", Fraction(1, 10)),
    Unit(15, "decametre", "dam", Fraction(10)),
    Unit(16, "hectometre", "hm", Fraction(100)),
    Unit(17, "gigametre", "Gm", Fraction(10**9)),
    Unit(18, "astronomical unit", "au", Fraction(149_597_870_700)),
    Unit(19, "light year", "ly", _LIGHT_YEAR),
    Unit(20, "parsec", "pc", Fraction(30_856_775_814_913_673)),
    Unit(21, "US survey foot", "usft", _SURVEY_FOOT),
    Unit(22, "US survey inch", "usin", _SURVEY_FOOT / 12),
    Unit(23, "US survey yard", "usyd", _SURVEY_FOOT * 3),
    Unit(24, "US survey mile", "usmi", _SURVEY_FOOT * 5280),
)
_BY_CODE: Final = {unit.code: unit for unit in UNITS}
_BY_SYMBOL: Final = {unit.symbol: unit for unit in UNITS}


def unit_of_code(code: int) -> Unit | None:
    """The unit of a ``$INSUNITS`` code; None for 0 (unitless) and unknown codes."""
    return _BY_CODE.get(code)


def unit_of_symbol(symbol: str) -> Unit | None:
    """The unit that a user typed, such as ``mm``; None when there is no such unit."""
    return _BY_SYMBOL.get(symbol)


KILOPASCAL_PER_METRE_OF_WATER: Final = 9.80665  # g = 9.80665 m/s², 1000 kg/m³; computed from exact definitions
