"""Raw and printed chainages of a joint.

A raw chainage counts from the joint's first point; a printed one, on every paper and in every table,
counts on from the joint's ``start_m``. Both change into each other exactly, by decimals.
"""

from __future__ import annotations

from decimal import Decimal

from leakmap.model.joint import Joint


def printed_m(joint: Joint, raw_m: float | Decimal) -> Decimal:
    """The printed chainage of a raw one."""
    return _exact(raw_m) + _exact(joint.start_m)


def raw_m(joint: Joint, printed: Decimal) -> float:
    """The raw chainage of a printed one; undoes ``printed_m`` to the last bit."""
    return float(printed - _exact(joint.start_m))


def _exact(value: float | Decimal) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(repr(float(value)))
