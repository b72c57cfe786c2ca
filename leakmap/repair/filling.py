"""The order in which a zone's slot is filled: driest first, converging on the relief point.

Dry stretches come first, then by wetness upwards; ties farthest from the relief point first, then
top down. The stretch that holds a relief point is parted there, and the point itself is the last
step, with the same chainage twice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from decimal import Decimal
from itertools import groupby, pairwise
from operator import attrgetter
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.model.job import Job
from leakmap.repair.levels import height_at, is_level
from leakmap.repair.measure import Measure
from leakmap.repair.network import Network
from leakmap.repair.results import FillStep, Relief, Stretch
from leakmap.repair.routes import Routes

_DRY: Final = -1
_WETNESS: Final = attrgetter("wetness")


class _Fill(NamedTuple):
    joint: UUID
    from_m: Decimal
    to_m: Decimal
    wetness: int


def filling_order(
    job: Job,
    network: Network,
    measure: Measure,
    stretches: Sequence[Stretch],
    relief: Sequence[Relief],
    *,
    limit_m: float,
) -> tuple[FillStep, ...]:
    """Numbered steps of a zone, 1 first.

    Args:
        job: The job.
        network: Its network.
        measure: The rounding of chainages.
        stretches: The zone's measured stretches, in sheet, joint, chainage order.
        relief: Its relief points.
        limit_m: Length of the zone, hidden parts too; no way inside it is longer.
    """
    points: dict[UUID, set[Decimal]] = defaultdict(set)
    for point in relief:
        points[point.joint].add(measure.of(point.at_m))
    parted = [part for fill in _alike(stretches) for part in _parted(fill, points.get(fill.joint, ()))]
    parted.sort(key=_WETNESS)
    tied = [list(own) for _, own in groupby(parted, _WETNESS)]
    if any(len(own) > 1 for own in tied):
        ways = Routes(network, relief, limit_m)
        tied = [_last_nearest(job, ways, own) for own in tied]
    steps = [(fill.joint, fill.from_m, fill.to_m) for own in tied for fill in own]
    wettest_last = sorted(relief, key=_WETNESS)
    steps += [(point.joint, measure.of(point.at_m), measure.of(point.at_m)) for point in wettest_last]
    return tuple(
        FillStep(step=step, joint=joint, from_m=from_m, to_m=to_m)
        for step, (joint, from_m, to_m) in enumerate(steps, 1)
    )


def _last_nearest(job: Job, ways: Routes, fills: list[_Fill]) -> list[_Fill]:
    """Stretches of one wetness: farthest from the relief points first, then top down."""
    if len(fills) == 1:
        return fills
    tops: dict[UUID, float] = {}

    def key(fill: _Fill) -> tuple[float, float]:
        joint, from_m, to_m = job.joints[fill.joint], float(fill.from_m), float(fill.to_m)
        top = tops.get(fill.joint)
        if top is None:
            floor = job.sheet_of(joint).floor_level_m or 0.0
            top = -round(floor + max(height_at(job, joint, end) for end in (from_m, to_m)), 6)
            if is_level(joint):
                tops[fill.joint] = top
        middle_m = float(fill.from_m + fill.to_m) / 2
        return -round(ways.distance_m(fill.joint, middle_m), 6), top

    return sorted(fills, key=key)


def _alike(stretches: Sequence[Stretch]) -> list[_Fill]:
    """Stretches of one joint and one wetness, joined end to end."""
    fills: list[_Fill] = []
    for item in stretches:
        wetness = _DRY if item.wetness is None else int(item.wetness)
        last = fills[-1] if fills else None
        same = last and (last.joint, last.to_m, last.wetness) == (item.joint, item.from_m, wetness)
        from_m = fills.pop().from_m if same else item.from_m
        fills.append(_Fill(item.joint, from_m, item.to_m, wetness))
    return fills


def _parted(fill: _Fill, points: Collection[Decimal]) -> list[_Fill]:
    """A stretch parted at the relief points inside it."""
    if not points:
        return [fill]
    ends = [fill.from_m, *sorted(at_m for at_m in points if fill.from_m < at_m < fill.to_m), fill.to_m]
    return [_Fill(fill.joint, a, b, fill.wetness) for a, b in pairwise(ends)]
