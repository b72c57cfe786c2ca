"""The strip of a zone as values: its joints laid out straight at one scale, long ones broken over lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from leakmap.geometry.tolerance import TIE_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint, plan_path
from leakmap.repair.network import Network
from leakmap.repair.results import End, FillStep, Piece, Relief, Zone
from leakmap.repair.results import Row as Opened
from leakmap.repair.tape_layout import Bubble, Row, Run, bubbles_of, meetings_of, zone_rows

SCALES: Final = (10, 20, 50)
"""Denominators of the scales of ISO 5455 that strips are drawn at; longer ones are broken over lines at the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A place on a strip where another joint meets it.

    Attributes:
        own_m: The same place on the other joint.
        in_zone: Whether the zone goes on there.
    """

    at_m: float
    other: Joint
    own_m: float
    in_zone: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StripLine:
    """What one line of a strip shows; chainages are raw metres, places in rising chainage.

    Attributes:
        first: Whether the run begins here; else it goes on from the line above.
        last: Whether it ends here; else it goes on on the line below.
    """

    zone: Zone
    row: Row
    from_m: float
    to_m: float
    first: bool
    last: bool
    bubbles: tuple[Bubble, ...]
    met: tuple[Met, ...]

    @property
    def joint(self) -> Joint:
        """The joint."""
        return self.row.joint

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Pieces of the zone, cut to the line."""
        return tuple(
            replace(piece, from_m=max(piece.from_m, self.from_m), to_m=min(piece.to_m, self.to_m))
            for run in self.row.runs
            for piece in run.pieces
            if piece.from_m < self.to_m - TIE_M and piece.to_m > self.from_m + TIE_M
        )

    @property
    def opened(self) -> tuple[tuple[float, float, Opened], ...]:
        """Printed rows that lie here: where each begins and ends on the line, and the row."""
        return tuple(
            (max(float(row.from_m), self.from_m), min(float(row.to_m), self.to_m), row)
            for row in self.zone.rows
            if row.joint == self.joint.id
            and float(row.from_m) < self.to_m - TIE_M
            and float(row.to_m) > self.from_m + TIE_M
        )

    @property
    def steps(self) -> tuple[tuple[float, float, FillStep], ...]:
        """Steps of the filling order that lie here; a relief point begins where it ends."""
        return tuple(
            (max(float(step.from_m), self.from_m), min(float(step.to_m), self.to_m), step)
            for step in self.zone.order
            if step.joint == self.joint.id and self._lies(float(step.from_m), float(step.to_m))
        )

    @property
    def reliefs(self) -> tuple[Relief, ...]:
        """Relief points."""
        return tuple(relief for _, relief in self.row.reliefs if self._lies(relief.at_m, relief.at_m))

    @property
    def ends(self) -> tuple[End, ...]:
        """Where the zone stops on this line, lower chainage first."""
        found = [end for end in self.zone.ends if end.joint == self.joint.id and self._lies(end.at_m, end.at_m)]
        return tuple(sorted(found, key=lambda end: end.at_m))

    def _lies(self, low: float, high: float) -> bool:
        if high - low <= TIE_M:
            return self.from_m - TIE_M <= low <= self.to_m + TIE_M
        return low < self.to_m - TIE_M and high > self.from_m + TIE_M


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneStrip:
    """The strip of a zone.

    Attributes:
        scale: Denominator; one for all of its lines.
    """

    zone: Zone
    scale: int
    lines: tuple[StripLine, ...]


def zone_strip(job: Job, zone: Zone, network: Network, room_mm: float) -> ZoneStrip:
    """Lay a zone out.

    Args:
        job: The job.
        zone: One of its zones.
        network: Says which joints meet.
        room_mm: Longest line on paper.
    """
    rows = zone_rows(job, zone)
    longest_m = max((run.to_m - run.from_m for row in rows for run in row.runs), default=0.0)
    scale = next((each for each in SCALES if longest_m * 1000 / each <= room_mm), SCALES[-1])
    lines = [
        line
        for row in rows
        for run in row.runs
        for line in _lines(job, (zone, row, run), network, room_mm * scale / 1000)
    ]
    return ZoneStrip(zone=zone, scale=scale, lines=tuple(lines))


def _lines(job: Job, of: tuple[Zone, Row, Run], network: Network, most_m: float) -> Iterator[StripLine]:
    zone, row, run = of
    path = plan_path(row.joint)
    bubbles = list(bubbles_of(job.grid, path)) if job.grid is not None and path is not None else []
    met = list(_met(job, zone, row.joint, network))
    number = max(1, ceil((run.to_m - run.from_m) / most_m - TIE_M))
    for index in range(number):
        low, high = run.from_m + index * most_m, min(run.to_m, run.from_m + (index + 1) * most_m)
        yield StripLine(
            zone=zone,
            row=row,
            from_m=low,
            to_m=high,
            first=index == 0,
            last=index == number - 1,
            bubbles=tuple(each for each in bubbles if low <= each.at_m <= high),
            met=tuple(each for each in met if low - TIE_M <= each.at_m <= high + TIE_M),
        )


def _met(job: Job, zone: Zone, joint: Joint, network: Network) -> Iterator[Met]:
    if joint.id not in network:
        return
    for at_m, other, own_m in meetings_of(job, joint.id, network):
        goes_on = any(
            piece.joint == other and piece.from_m - TIE_M <= own_m <= piece.to_m + TIE_M for piece in zone.pieces
        )
        yield Met(at_m=at_m, other=job.joints[other], own_m=own_m, in_zone=goes_on)


def stacked(spans: Sequence[tuple[float, float]], gap: float = 0.0) -> list[int]:
    """Rows for things side by side, 0 first: each on the first row where it covers nothing before it.

    >>> stacked([(0, 4), (3, 6), (4, 5)])
    [0, 1, 0]
    """
    taken: list[list[tuple[float, float]]] = []
    found = []
    for low, high in spans:
        free = (k for k, row in enumerate(taken) if all(low >= b + gap or high <= a - gap for a, b in row))
        row = next(free, len(taken))
        if row == len(taken):
            taken.append([])
        taken[row].append((low, high))
        found.append(row)
    return found
