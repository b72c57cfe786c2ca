"""Factors of imperial units against published ones."""

from __future__ import annotations

from decimal import Decimal

import pytest

from leakmap.base.measures import AREA, FLOW, FOOT_M, INCH_M, MASS, PRESSURE, VOLUME, Units

_FOOT2, _FOOT3 = AREA[Units.IMPERIAL], VOLUME[Units.IMPERIAL]
_GPM, _POUND, _PSI = FLOW[Units.IMPERIAL], MASS[Units.IMPERIAL], PRESSURE[Units.IMPERIAL]


@pytest.mark.parametrize(
    ("ours", "published"),
    [
        (float(INCH_M), "2.54 E-02"),
        (float(FOOT_M), "3.048 E-01"),
        (float(_FOOT2.size), "9.290304 E-02"),
        (float(_FOOT3.size) / 1000, "2.831685 E-02"),
        (float(_GPM.size) / 1000, "3.785412 E-03"),
        (float(_POUND.size), "4.535924 E-01"),
        (float(_PSI.size) * 1000, "6.894757 E+03"),
    ],
)
def test_factors_are_those_of_the_national_institute(ours: float, published: str) -> None:
    """Seven figures agree. Source: NIST SP 811, appendix B.8, from memory."""
    assert ours == pytest.approx(float(published.replace(" ", "")), rel=5e-7)


def test_exact_factors_are_those_of_the_definitions() -> None:
    """Gallon 3.785411784 L and cubic foot 28.316846592 L exactly. Source: NIST Handbook 44, appendix C, from memory."""
    assert Decimal(_GPM.size.numerator) / _GPM.size.denominator == Decimal("3.785411784")
    assert Decimal(_FOOT3.size.numerator) / _FOOT3.size.denominator == Decimal("28.316846592")


def test_a_cubic_foot_is_7_4805_gallons() -> None:
    """Source: Scientific American Reference Book, as read."""
    assert float(_FOOT3.size / _GPM.size) == pytest.approx(7.4805, abs=5e-5)


def test_a_metre_of_water_presses_with_1_42233_pounds_on_a_square_inch() -> None:
    """9.80665 kPa are 1.42233 psi, and a foot of water 0.43353; computed from exact definitions."""
    assert float(9.80665 / _PSI.size) == pytest.approx(1.42233, abs=5e-6)
    assert float(9.80665 * 0.3048 / _PSI.size) == pytest.approx(0.43353, abs=5e-6)


def test_inch_sizes_are_not_those_in_millimetres() -> None:
    """One metre of slot 25 by 40 mm holds 1.000 L, of 1 by 1 1/2 inch 0.96774 L.

    Both stand as equals in one clause of a public specification for chases (Orange County, section 07 16 16); so a depth
    is printed in millimetres, with inches as what it comes near.
    """
    inch_mm = INCH_M * 1000
    assert round(inch_mm * inch_mm * Decimal("1.5") / 1000, 5) == Decimal("0.96774")
    assert Units.IMPERIAL.depth(Decimal(40)) == '40 (1 5/8")'
