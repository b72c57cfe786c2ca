"""The ruling of a tape: where its ticks stand, which are numbered, and what the numbers are.

Ticks stand at whole steps of the printed chainage, so that a joint with a start value carries on where the one before
it stopped. Steps are 0.1, 0.5 and 1 m, or 3, 6 and 12 inches; where they would lie too close, coarser ones take their
place.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from enum import IntEnum
from typing import Final

from leakmap.base.measures import FOOT_M, Units
from leakmap.model.chainage import printed_m, raw_m
from leakmap.model.joint import Joint

LEAST_PX: Final = 3.4
"""Least distance of neighbouring ticks: tenths of a metre go below 34 px a metre."""

NUMBER_PX: Final = 24.0
"""Least distance of neighbouring numbers, for one or two digits."""

_MOST_TIMES: Final = 10_000
_COARSER: Final = (1, 2, 5)


class Rank(IntEnum):
    """How long a tick is."""

    FINE = 0
    HALF = 1
    WHOLE = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A tick.

    Attributes:
        at_m: Raw chainage.
        number: What stands beside it; empty for none.
    """

    at_m: float
    rank: Rank
    number: str = ""


def ticks(
    joint: Joint,
    from_m: float,
    to_m: float,
    px_per_m: float,
    units: Units = Units.METRIC,
    *,
    number_px: float = NUMBER_PX,
) -> Iterator[Tick]:
    """Ticks of a joint between two raw chainages, ends included, in rising chainage.

    Args:
        joint: The joint, for its start value.
        from_m: Metres.
        to_m: Metres; nothing comes where it is less.
        px_per_m: How large a metre is shown.
        units: The system that the job is read in.
        number_px: Least distance of neighbouring numbers.
    """
    whole = Decimal(1) if units.metric else FOOT_M
    numbered = _coarser(whole, number_px, px_per_m)
    steps = [
        (rank, step)
        for rank, step in zip(Rank, (whole / (10 if units.metric else 4), whole / 2, whole), strict=True)
        if float(step) * px_per_m >= LEAST_PX
    ] or [(Rank.WHOLE, _coarser(whole, LEAST_PX, px_per_m))]
    least = steps[0][1]
    start, end = printed_m(joint, from_m), printed_m(joint, to_m)
    at = (start / least).to_integral_value(rounding=ROUND_CEILING) * least
    while at <= end:
        rank = max(rank for rank, step in steps if at % step == 0)
        number = f"{int(at / whole)}" if at % numbered == 0 else ""
        yield Tick(at_m=raw_m(joint, at), rank=rank, number=number)
        at += least


def _coarser(whole: Decimal, least_px: float, px_per_m: float) -> Decimal:
    """The least of 1, 2, 5, 10 … wholes that is shown so large."""
    times = 1
    while times < _MOST_TIMES:
        for factor in _COARSER:
            if float(whole) * times * factor * px_per_m >= least_px:
                return whole * times * factor
        times *= 10
    return whole * times
