"""Checks of single numbers: each refuses with one sentence that names the value."""

from __future__ import annotations

from math import isfinite

from leakmap.base.errors import BadValue


def finite(value: float, name: str) -> float:
    """The value itself.

    Raises:
        BadValue: It is not a number or infinite.
    """
    if not isfinite(value):
        raise BadValue(f"The {name} is not a finite number; give a plain number.")
    return value


def not_negative(value: float, name: str) -> float:
    """The value itself.

    Raises:
        BadValue: It is negative, not a number or infinite.
    """
    if finite(value, name) < 0:
        raise BadValue(f"The {name} is {value:g}; it must not be negative.")
    return value


def positive(value: float, name: str) -> float:
    """The value itself.

    Raises:
        BadValue: It is zero, negative, not a number or infinite.
    """
    if finite(value, name) <= 0:
        raise BadValue(f"The {name} is {value:g}; it must be greater than zero.")
    return value
