"""The strip of a zone as values: its joints laid out straight at one scale, long ones broken over lines.

A joint that meets another one of the zone hangs from that one's line as a branch: at the same place of the paper, where
there is room for it, with its own chainages.
"""

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
class Stem:
    """How a branch hangs from a line of the same strip.

    Attributes:
        line: Number of that line, 0 first.
        at_m: The junction on it.
        own_m: The junction on the branch.
    """

    line: int
    at_m: float
    own_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StripLine:
    """What one line of a strip shows; chainages are raw metres, places in rising chainage.

    Attributes:
        first: Whether the run begins here; else it goes on from the line above.
        last: Whether it ends here; else it goes on on the line below.
        offset_m: How far it begins from the left end of the strip.
        stem: What it hangs from; None where it is no branch.
    """

    zone: Zone
    row: Row
    from_m: float
    to_m: float
    first: bool
    last: bool
    bubbles: tuple[Bubble, ...]
    met: tuple[Met, ...]
    offset_m: float = 0.0
    stem: Stem | None = None

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
        room_mm: Longest line that it was laid out for.
    """

    zone: Zone
    scale: int
    room_mm: float
    lines: tuple[StripLine, ...]


def zone_strip(job: Job, zone: Zone, network: Network, rooms_mm: Sequence[float]) -> ZoneStrip:
    """Lay a zone out.

    Args:
        job: The job.
        zone: One of its zones.
        network: Says which joints meet.
        rooms_mm: Longest lines that paper has room for, the room that is wanted first; the last one takes any strip.
    """
    rows = zone_rows(job, zone)
    runs = [(zone, row, run) for row in rows for run in row.runs]
    longest_m = max((run.to_m - run.from_m for *_, run in runs), default=0.0)
    whole = _hung([list(_lines(job, each, network, longest_m + 1.0)) for each in runs])
    extent_m = max((line.offset_m + line.to_m - line.from_m for line in whole), default=0.0)
    for room_mm in rooms_mm:
        scale = next((each for each in SCALES if extent_m * 1000 / each <= room_mm), None)
        if scale is not None:
            return ZoneStrip(zone=zone, scale=scale, room_mm=room_mm, lines=tuple(whole))
    room_mm = rooms_mm[-1]
    scale = next((each for each in SCALES if longest_m * 1000 / each <= room_mm), SCALES[-1])
    most_m = room_mm * scale / 1000
    broken = _hung([list(_lines(job, each, network, most_m)) for each in runs])
    lines = [replace(line, offset_m=min(line.offset_m, most_m - (line.to_m - line.from_m))) for line in broken]
    return ZoneStrip(zone=zone, scale=scale, room_mm=room_mm, lines=tuple(lines))


def _hung(runs: list[list[StripLine]]) -> list[StripLine]:
    """Lines of runs in printing order: the longest run first, and below each line what branches off it."""
    waiting = list(runs)
    if waiting:
        longest = min(waiting, key=lambda lines: lines[0].from_m - lines[-1].to_m)
        waiting = [longest, *(lines for lines in waiting if lines is not longest)]
    placed: list[StripLine] = []
    while waiting:
        first = len(placed)
        _hang(waiting.pop(0), None, placed, waiting)
        left_m = min(line.offset_m for line in placed[first:])
        placed[first:] = [replace(line, offset_m=line.offset_m - left_m) for line in placed[first:]]
    return placed


def _hang(run: list[StripLine], stem: Stem | None, placed: list[StripLine], waiting: list[list[StripLine]]) -> None:
    """Place a run, and below each of its lines those that wait and branch off it."""
    for line in run:
        number, hung = len(placed), line
        if stem is not None:
            from_m = placed[stem.line].offset_m + stem.at_m - placed[stem.line].from_m
            hung = replace(line, stem=stem, offset_m=from_m - (stem.own_m - line.from_m))
        placed.append(hung)
        for met in line.met:
            branch = next((lines for lines in waiting if _branches(lines, met)), None)
            if branch is not None:
                waiting.remove(branch)
                _hang(branch, Stem(line=number, at_m=met.at_m, own_m=met.own_m), placed, waiting)


def _branches(run: list[StripLine], met: Met) -> bool:
    """Whether a run is the branch at a junction; one that is broken over lines hangs from nothing."""
    line = run[0]
    here = line.from_m - TIE_M <= met.own_m <= line.to_m + TIE_M
    return len(run) == 1 and met.in_zone and line.joint.id == met.other.id and here


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


class Taken:
    """Rows on which spans were given room.

    Args:
        gap: Left free between two spans of a row.
        rows: What is taken from the start, row by row.
    """

    def __init__(self, gap: float = 0.0, rows: Sequence[Sequence[tuple[float, float]]] = ()) -> None:
        self.gap = gap
        self.rows = [list(row) for row in rows]

    def row(self, spans: Sequence[tuple[float, float]]) -> tuple[int, int]:
        """The first row with room for one of some spans, the one that is wanted first before others; it is taken.

        Returns:
            The row, 0 first, and the number of the span.
        """
        for number, row in enumerate(self.rows):
            for chosen, span in enumerate(spans):
                if self._free(row, span):
                    row.append(span)
                    return number, chosen
        self.rows.append([spans[0]])
        return len(self.rows) - 1, 0

    def _free(self, row: Sequence[tuple[float, float]], span: tuple[float, float]) -> bool:
        return all(span[0] >= b + self.gap or span[1] <= a - self.gap for a, b in row)


def stacked(spans: Sequence[tuple[float, float]], gap: float = 0.0) -> list[int]:
    """Rows for things side by side, 0 first: each on the first row where it covers nothing before it.

    >>> stacked([(0, 4), (3, 6), (4, 5)])
    [0, 1, 0]
    """
    taken = Taken(gap)
    return [taken.row([span])[0] for span in spans]
