"""Definition 6: parts whose coat bands share over 1 cm² are one zone, unless something keeps them apart."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from typing import Final

from leakmap.repair.grouping import Groups

LEAST_SHARED_M2: Final = 1e-4
"""1 cm²: bands that share no more than this stay two zones."""

_STEP_M2: Final = 1e-7  # areas are compared in steps of this, so that turning a plan changes no order


def joined_parts(
    count: int, shared_m2: Mapping[tuple[int, int], float], apart: AbstractSet[tuple[int, int]]
) -> list[list[int]]:
    """Groups of parts that are one zone, each sorted, in the order of their lowest parts.

    Pairs are taken by descending shared area, ties in the order of the parts. A pair is skipped
    when joining it would bring two parts together that a cut or a parted crossing separates.

    Args:
        count: Number of parts.
        shared_m2: Area that pairs of parts share, lower part first.
        apart: Pairs that must never be one zone, lower part first.

    >>> joined_parts(3, {(0, 1): 0.02, (1, 2): 0.03}, {(0, 2)})
    [[0], [1, 2]]
    """
    groups = Groups(count)
    members = {number: {number} for number in range(count)}
    foes: dict[int, set[int]] = {number: set() for number in range(count)}
    for a, b in apart:
        foes[a].add(b)
        foes[b].add(a)
    wanted = [(-round(area / _STEP_M2), pair) for pair, area in shared_m2.items() if area > LEAST_SHARED_M2 + _STEP_M2]
    for _, (a, b) in sorted(wanted):
        low, high = sorted((groups.of(a), groups.of(b)))
        if low == high or foes[low] & members[high]:
            continue
        groups.join(low, high)
        members[low] |= members.pop(high)
        foes[low] |= foes.pop(high)
    return groups.all()
