"""Lengths and chainages as sentences give them."""

from __future__ import annotations

from decimal import Decimal

from leakmap.base.rounding import rounded
from leakmap.model.chainage import printed_m
from leakmap.model.joint import Joint


def metres(length_m: float) -> str:
    """A length for a sentence: to the millimetre, two decimals at least.

    >>> metres(0.3), metres(0.1254), metres(12)
    ('0.30 m', '0.125 m', '12.00 m')
    """
    text = f"{rounded(length_m, Decimal('0.001')):.3f}"
    return f"{text.removesuffix('0')} m"


def printed(joint: Joint, at_m: float) -> str:
    """A place on a joint as papers print it: its start value added, three decimals."""
    return f"{rounded(printed_m(joint, at_m), Decimal('0.001')):.3f} m"
