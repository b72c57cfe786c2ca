"""Units against published definitions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from ezdxf import units

from leakmap.base.units import KILOPASCAL_PER_METRE_OF_WATER, UNITS, unit_of_code, unit_of_symbol


@pytest.mark.parametrize(("symbol", "metres"), [("in", "0.0254"), ("ft", "0.3048"), ("yd", "0.9144")])
def test_inch_foot_and_yard_are_those_of_the_federal_code(symbol: str, metres: str) -> None:
    """The inch is 2.54 cm, the foot 30.48 cm, the yard 0.9144 m exactly. Source: 16 CFR 500.19."""
    unit = unit_of_symbol(symbol)
    assert unit is not None
    assert unit.metres == Fraction(metres)


def test_international_and_survey_foot_differ_by_two_in_a_million() -> None:
    """304,800 m are 1,000,000 international feet and 999,998 US survey feet.

    Source: text of the US National Geodetic Survey on the two feet.
    """
    length = Fraction(304_800)
    international, survey = unit_of_symbol("ft"), unit_of_symbol("usft")
    assert international is not None
    assert survey is not None
    assert length / international.metres == 1_000_000
    assert length / survey.metres == 999_998


def test_survey_foot_is_1200_over_3937_metres() -> None:
    """Source: 85 FR 62698, the notice that ended the use of the US survey foot."""
    survey = unit_of_code(21)
    assert survey is not None
    assert survey.metres == Fraction(1200, 3937)
    assert float(survey.metres) == pytest.approx(0.30480060960, abs=5e-12)


@pytest.mark.parametrize(
    ("code", "name"),
    [(1, "inch"), (2, "foot"), (4, "millimetre"), (5, "centimetre"), (6, "metre"), (10, "yard"), (14, "decimetre")],
)
def test_codes_are_those_of_the_exchange_format(code: int, name: str) -> None:
    """Codes of ``$INSUNITS`` as the library ezdxf lists them in its own units module."""
    unit = unit_of_code(code)
    assert unit is not None
    assert unit.name == name
    factor = units.METER_FACTOR[code]
    assert factor is not None
    assert float(1 / unit.metres) == pytest.approx(factor, rel=1e-9)


def test_every_code_has_one_exact_length() -> None:
    """Codes 1 to 24 all have a length, also those for which ezdxf has no factor (8, 9, 21 to 24)."""
    assert [unit.code for unit in UNITS] == list(range(1, 25))
    assert len({unit.symbol for unit in UNITS}) == len(UNITS)
    assert unit_of_code(0) is None
    assert unit_of_symbol("furlong") is None


def test_a_metre_of_water_presses_with_9_80665_kilopascals() -> None:
    """Computed from g = 9.80665 m/s² and 1000 kg/m³; a foot is 2.98907 kPa."""
    assert pytest.approx(9.80665) == KILOPASCAL_PER_METRE_OF_WATER
    assert pytest.approx(2.98907, abs=5e-6) == KILOPASCAL_PER_METRE_OF_WATER * 0.3048
