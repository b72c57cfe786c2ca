"""Relief points: where the water is let out until everything else is closed.

One for each connected wet stretch of run or jet, at its worst point, judged before cuts. A point
set by hand on such a stretch takes its place, one on any other wet stretch is added, and a stretch
may be told to have none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import pi
from uuid import UUID

from leakmap.base.findings import Effect, Finding
from leakmap.geometry.tolerance import MICRON_M, TIE_M
from leakmap.model.job import Job
from leakmap.model.leak import ReliefPoint
from leakmap.model.printed import printed
from leakmap.model.rules import Rules
from leakmap.model.words import Method, Wetness
from leakmap.repair.chainages import Span, Spans
from leakmap.repair.depths import depth_mm
from leakmap.repair.network import Network
from leakmap.repair.results import Relief
from leakmap.repair.wet import Wet, WetStretch, stretches_of_wet, worst_point

_LITRES_PER_M3 = 1000.0
_SLACK_M = TIE_M + MICRON_M


@dataclass(frozen=True, slots=True)
class Place:
    """Where a relief point is wanted.

    Attributes:
        stretch: The wet stretch that it serves.
    """

    joint: UUID
    at_m: float
    by_hand: bool
    stretch: WetStretch

    @property
    def wetness(self) -> Wetness:
        """The wettest leak that it serves."""
        return max(wet.leak.wetness for wet in self.stretch.leaks)


class _Holding:
    """Which wet stretch holds a place."""

    def __init__(self, stretches: Sequence[WetStretch]) -> None:
        self.stretches = stretches
        self._on: dict[UUID, list[tuple[Span, int]]] = {}
        for number, stretch in enumerate(stretches):
            for joint, spans in stretch.spans.items():
                self._on.setdefault(joint, []).extend((span, number) for span in spans)

    def of(self, point: ReliefPoint) -> int | None:
        """Number of the stretch that holds a point; None where there is none."""
        for (start, end), number in self._on.get(point.joint, []):
            if start - _SLACK_M <= point.at_m <= end + _SLACK_M:
                return number
        return None


def relief_places(job: Job, network: Network, leaks: Sequence[Wet]) -> tuple[tuple[Place, ...], dict[UUID, Finding]]:
    """Where relief points are wanted, and what is said of each point set by hand that serves no wet stretch."""
    running = _Holding(stretches_of_wet(job, network, (x for x in leaks if x.asks_for(Method.DEEP_PLUG_RELIEF))))
    points = sorted(
        (point for point in job.reliefs.values() if point.joint in job.joints),
        key=lambda point: (point.joint.int, point.at_m),
    )
    wet = _Holding(
        stretches_of_wet(job, network, (x for x in leaks if x.leak.wetness > Wetness.SUSPECT)) if points else ()
    )
    places, decided = [], set()
    findings: dict[UUID, Finding] = {}
    for point in points:
        number = running.of(point)
        if number is not None:
            decided.add(number)
        if point.dropped:
            continue
        stretch_number = wet.of(point) if number is None else number
        if stretch_number is None:
            findings[point.id] = _off_wet(job, point)
            continue
        stretch = (wet if number is None else running).stretches[stretch_number]
        places.append(Place(point.joint, point.at_m, by_hand=True, stretch=stretch))
    for number, stretch in enumerate(running.stretches):
        if number not in decided:
            joint = job.joints[stretch.worst.leak.joint]
            places.append(Place(joint.id, worst_point(joint, stretch.worst), by_hand=False, stretch=stretch))
    return tuple(places), findings


def opened_at(place: Place, opened: Spans) -> float | None:
    """Chainage where a relief point can be made: its place, else the nearest opened slot of its wet stretch.

    Args:
        place: Where it is wanted.
        opened: Slots that are opened on its joint.
    """
    if opened.at(place.at_m):
        return place.at_m
    nearest = [
        min(max(place.at_m, low), high)
        for start, end in place.stretch.spans[place.joint]
        for low, high in _common(start, end, opened.spans)
    ]
    return min(nearest, key=lambda at_m: abs(at_m - place.at_m), default=None)


def relief_at(rules: Rules, place: Place, at_m: float, slot_depth_m: float) -> Relief:
    """A relief point in a slot of a given depth."""
    depth_m = rules.jet_relief_depth_m if place.wetness is Wetness.JET else rules.run_relief_depth_m
    below_m = max(depth_m - slot_depth_m, 0.0)
    return Relief(
        joint=place.joint,
        at_m=at_m,
        depth_mm=depth_mm(max(depth_m, slot_depth_m)),
        hole_l=pi / 4 * rules.slot_width_m**2 * below_m * _LITRES_PER_M3,
        wetness=place.wetness,
        by_hand=place.by_hand,
    )


def hidden_finding(job: Job, place: Place) -> Finding:
    """What is said of a relief point that cannot be made because its whole wet stretch is hidden."""
    joint = job.joints[place.joint]
    at = printed(job, joint, place.at_m)
    text = f"No relief point can be made on {joint.ref}: the wet stretch at {at} is hidden; ask the engineer."
    return Finding("relief-hidden", joint.ref, text, Effect.LOOK)


def _off_wet(job: Job, point: ReliefPoint) -> Finding:
    joint = job.joints[point.joint]
    at = printed(job, joint, point.at_m)
    text = f"The relief point on {joint.ref} at {at} lies on no wet stretch; it is left out, move or remove it."
    return Finding("relief-off-wet", joint.ref, text, Effect.LOST)


def _common(start: float, end: float, spans: Iterable[Span]) -> list[Span]:
    return [(max(start, a), min(end, b)) for a, b in spans if max(start, a) <= min(end, b)]


def holes_l(relief: Iterable[Relief]) -> float:
    """Volume of all relief holes, litres."""
    return sum(point.hole_l for point in relief)


def deepest_mm(relief: Iterable[Relief], joint: UUID) -> Decimal:
    """Greatest depth of the relief points on a joint, 0 without any."""
    return max((point.depth_mm for point in relief if point.joint == joint), default=Decimal(0))
