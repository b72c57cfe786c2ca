"""Rounding of measured figures: once, half up, by Decimal.

Lengths are first snapped to 1 µm, so that the last bits of a turned or moved plan never decide a
rounding. Half up is the rule of the Standard Method of Measurement, General Rules A.3 (5 mm and
over counts as 10 mm); Python's ``round`` is half-even on binary floats and is not used for figures.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Final

MICROMETRE: Final = Decimal("0.000001")
ZERO: Final = Decimal(0)


def snapped(value: float) -> Decimal:
    """Value snapped to one millionth (1 µm for metres), half up, exact from there on.

    >>> snapped(0.1 + 0.2)
    Decimal('0.300000')
    """
    return Decimal(repr(float(value))).quantize(MICROMETRE, rounding=ROUND_HALF_UP)


def rounded(value: float | Decimal, step: Decimal) -> Decimal:
    """Value rounded half up to a multiple of ``step``, after snapping to one millionth.

    >>> rounded(12.345, Decimal("0.01")), rounded(2.675, Decimal("0.01")), rounded(0, Decimal("0.5"))
    (Decimal('12.35'), Decimal('2.68'), Decimal('0.0'))
    """
    steps = (_exact(value) / step).to_integral_value(rounding=ROUND_HALF_UP)
    return steps * step


def rounded_up(value: float | Decimal, step: Decimal | None) -> Decimal:
    """Value rounded up to a multiple of ``step``; unchanged when there is no step.

    >>> rounded_up(Decimal("4.886"), Decimal("0.1")), rounded_up(Decimal("4.9"), Decimal("0.1"))
    (Decimal('4.9'), Decimal('4.9'))
    """
    exact = _exact(value)
    if step is None:
        return exact
    return (exact / step).to_integral_value(rounding=ROUND_CEILING) * step


def with_thousandths(value: Decimal) -> Decimal:
    """Value with three decimals at least; what was rounded to a finer step keeps its own, to the last that counts.

    >>> [str(with_thousandths(Decimal(text))) for text in ("4.8", "0.30480", "0.003175", "0E-10")]
    ['4.800', '0.3048', '0.003175', '0.000']
    """
    exponent = value.normalize().as_tuple().exponent
    assert isinstance(exponent, int)
    return value.quantize(Decimal(1).scaleb(min(exponent, -3)))


def decimal_of(fraction: Fraction) -> Decimal:
    """A fraction as a Decimal, exact wherever one of so many digits can be.

    >>> decimal_of(Fraction(127, 5000))
    Decimal('0.0254')
    """
    return Decimal(fraction.numerator) / Decimal(fraction.denominator)


def _exact(value: float | Decimal) -> Decimal:
    return value if isinstance(value, Decimal) else snapped(value)
