"""Tolerances of the engine: settings of the program, not of the user.

Distances compare as "within δ" when they are at most δ + 1 µm, so that turning or moving a plan,
which changes the last bits of every coordinate, changes no decision.
"""

from __future__ import annotations

from typing import Final

DRAWING_TOLERANCE_M: Final = 0.010
"""δ: how far apart drawn points may lie and still be the same place on the concrete."""

TIE_M: Final = 0.001
"""τ: chainages closer than this are a tie; a reach that ends this close to a node takes it."""

NEARLY_MEET_M: Final = 0.100
"""Joints between δ and this distance apart at an end are a finding: they nearly meet."""

MICRON_M: Final = 0.000001
"""The slack of every comparison with a tolerance."""


def within(distance_m: float, tolerance_m: float) -> bool:
    """Whether a distance is at most the tolerance, with the engine's slack of 1 µm."""
    return distance_m <= tolerance_m + MICRON_M
