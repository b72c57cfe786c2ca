"""A rule's value in words, as every paper prints it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from leakmap.base.counted import many
from leakmap.base.measures import System, Units
from leakmap.base.rounding import rounded

_NO_BREAK: Final = "\u00a0"
_IN_A_ROW: Final = f"{_NO_BREAK}· "  # a new line begins with a figure


def value_words(units: Units, value: Any, unit: str) -> str:  # noqa: ANN401 - rules hold values of several types
    """A rule's value: lengths below 1 m in mm, shares in per cent, six overruns in a row."""
    if value is None or value == "":
        return "none" if value is None else "not entered"
    if isinstance(value, tuple):
        exact = _IN_A_ROW.join(_millimetres(units, part) for part in value) + f"{_NO_BREAK}mm"
        near = _IN_A_ROW.join(units.measured(each).replace(" ", _NO_BREAK) for each in value)
        return exact if units.metric else f"{exact} ({near})"
    if unit == "m":
        return _length_words(units, Decimal(repr(float(value))))
    if unit == "days":
        return many(value, "day")
    if isinstance(value, float):
        return f"{units.number(rounded(value * 100, Decimal('0.1')).normalize())} %"
    return str(value)


def _length_words(units: Units, metres: Decimal) -> str:
    """A rule's length; one that is no whole number of eighths of an inch stands in millimetres, for it is worked to."""
    if not units.metric and metres % units.step_m == 0:
        return units.measured(metres)
    exact = (
        f"{_millimetres(units, metres)} mm"
        if metres < 1
        else f"{Units(System.METRIC, units.locale).measured(metres)} m"
    )
    shown = not units.metric and metres >= units.step_m
    return f"{exact} ({units.measured(metres)})" if shown else exact


def _millimetres(units: Units, metres: float | Decimal) -> str:
    return units.number(rounded(Decimal(repr(float(metres))) * 1000, Decimal("0.1")).normalize())
