"""Whole micrometres: the engine's chainages, in which every sum and comparison is exact.

Lengths are snapped to 1 µm where they enter, so that the last bits of a turned or moved plan change
no figure; a metre value that comes out again is the float nearest to the snapped length.
"""

from __future__ import annotations

from typing import Final

PER_METRE: Final = 1_000_000


def to_um(length_m: float) -> int:
    """Whole micrometres nearest to a length in metres.

    >>> to_um(0.1 + 0.2), to_um(0)
    (300000, 0)
    """
    return round(length_m * PER_METRE)


def to_m(length_um: int) -> float:
    """Metres of a length in whole micrometres.

    >>> to_m(300_000)
    0.3
    """
    return length_um / PER_METRE
