"""A joint laid out straight, as values: what lies on it and at which chainages, for a screen or for paper.

Terms:
    row: what lies on one joint, along its chainage.
    run: what one zone takes of a joint without a gap. A run that passes the start of a closed joint is two.
    branch: another joint that meets the one laid out, with its own part of the zones there.

Chainages are raw metres, from the joint's first point, or from the foot of a vertical one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from uuid import UUID

from leakmap.base.rounding import ZERO
from leakmap.geometry.path import Path
from leakmap.geometry.tolerance import DRAWING_TOLERANCE_M, TIE_M, within
from leakmap.model.grid import Grid, from_origin_m
from leakmap.model.job import Job
from leakmap.model.joint import Blind, Joint, plan_path
from leakmap.model.leak import Leak
from leakmap.repair.chainages import Span, spans_of
from leakmap.repair.junctions import MovementCrossing
from leakmap.repair.network import Network
from leakmap.repair.results import End, Piece, Relief, Repairs, Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Bubble:
    """Where the joint crosses an axis of the grid."""

    name: str
    at_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wet:
    """A leak on a joint.

    Attributes:
        spans: Its chainages: two where it passes the start of a closed joint, equal ones for a spot.
    """

    leak: Leak
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What a zone takes of a joint without a gap.

    Attributes:
        zone: The zone.
        pieces: In rising chainage, end to end.
        length_m: Measured, as the rows of the zone are.
    """

    zone: Zone
    from_m: float
    to_m: float
    pieces: tuple[Piece, ...]
    length_m: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ByHand:
    """An end of a zone that a person set.

    Attributes:
        overrun_m: How far it lies past its leak.
    """

    zone: int
    end: End
    overrun_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What lies on one joint; leaks and runs in rising chainage.

    Attributes:
        reliefs: Relief points, each with the number of its zone.
        cuts: Places where zones are kept apart.
        blind: Hidden stretches.
    """

    joint: Joint
    leaks: tuple[Wet, ...] = ()
    runs: tuple[Run, ...] = ()
    reliefs: tuple[tuple[int, Relief], ...] = ()
    cuts: tuple[float, ...] = ()
    blind: tuple[Blind, ...] = ()
    by_hand: tuple[ByHand, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Branch:
    """A joint that meets the one laid out.

    Attributes:
        at_m: Where, on the joint laid out.
        own_m: The same place on the branch.
        row: What lies on the branch within its own part of the zones there; nothing where it has none.
        movement: Whether one of the two is a movement joint, at which the other stops.
    """

    at_m: float
    own_m: float
    row: Row
    movement: bool = False

    @property
    def joint(self) -> Joint:
        """The joint itself."""
        return self.row.joint

    @property
    def part(self) -> Span:
        """The branch's own part of the zones at the junction; without length where it has none."""
        runs = self.row.runs
        return (runs[0].from_m, runs[-1].to_m) if runs else (self.own_m, self.own_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class TapeLayout:
    """A joint laid out straight.

    Attributes:
        row: What lies on it.
        bubbles: Where it crosses axes, in rising chainage.
        bends: Chainages of its bends.
        branches: Joints that meet it, then those that it crosses where one moves; each in rising chainage.
    """

    row: Row
    bubbles: tuple[Bubble, ...] = ()
    bends: tuple[float, ...] = ()
    branches: tuple[Branch, ...] = ()

    @property
    def joint(self) -> Joint:
        """The joint laid out."""
        return self.row.joint

    @property
    def lengths(self) -> tuple[Span, ...]:
        """The straight pieces between bends."""
        return tuple(pairwise((0.0, *self.bends, self.joint.length_m)))


def laid_out(
    job: Job,
    repairs: Repairs,
    joint: UUID,
    network: Network | None = None,
    crossings: Iterable[MovementCrossing] = (),
    *,
    before: TapeLayout | None = None,
) -> TapeLayout:
    """Lay a joint out.

    Args:
        job: The job.
        repairs: Its work-out.
        joint: Id of the joint.
        network: Says which joints meet it; None: no branch is laid out.
        crossings: Where joints cross movement joints, which are in no network.
        before: What was laid out before a deed: leaks and runs of what it left alone are taken over.

    Raises:
        KeyError: The joint is not in the job.
    """
    laid = job.joints[joint]
    row = _rows(job, repairs.zones, (joint,), None if before is None else before.row)[joint]
    path = plan_path(laid)
    bends = () if path is None or laid.path is None else path.chainages[1:-1]
    return TapeLayout(
        row=row,
        bubbles=tuple(bubbles_of(job.grid, path)) if job.grid is not None and path is not None else (),
        bends=bends,
        branches=(
            *(_branches(job, row, network) if network is not None and joint in network else ()),
            *sorted(_at_movement(job, joint, crossings), key=lambda branch: branch.at_m),
        ),
    )


def row_of(job: Job, repairs: Repairs, joint: UUID) -> Row:
    """What lies on a joint.

    Raises:
        KeyError: The joint is not in the job.
    """
    return _rows(job, repairs.zones, (joint,))[joint]


def zone_rows(job: Job, zone: Zone) -> tuple[Row, ...]:
    """What lies on each joint of a zone, of that zone alone, in the order of its pieces."""
    joints = dict.fromkeys(piece.joint for piece in zone.pieces)
    found = _rows(job, [zone], joints)
    return tuple(found[joint] for joint in joints)


def _branches(job: Job, row: Row, network: Network) -> tuple[Branch, ...]:
    """Joints that meet one; each has its part of those zones that lie at the junction on it as well."""
    meets = [(at, other, own, _zones_at(row, at)) for at, other, own in meetings_of(job, row.joint.id, network)]
    zones = {zone.number: zone for *_, there in meets for zone in there}
    rows = _rows(job, zones.values(), {other for _, other, _, there in meets if there})
    found = []
    for at_m, other, own_m, there in meets:
        numbers = {zone.number for zone in there}
        part = _part(rows[other], own_m, numbers) if there else Row(joint=job.joints[other])
        found.append(Branch(at_m=at_m, own_m=own_m, row=part))
    return tuple(found)


def _at_movement(job: Job, joint: UUID, crossings: Iterable[MovementCrossing]) -> Iterator[Branch]:
    """The movement joints that a joint crosses, or the joints that cross it where it is one itself."""
    for each in crossings:
        if each.joint == joint:
            row = Row(joint=job.joints[each.movement])
            yield Branch(at_m=each.at_m, own_m=each.movement_at_m, row=row, movement=True)
        elif each.movement == joint:
            row = Row(joint=job.joints[each.joint])
            yield Branch(at_m=each.movement_at_m, own_m=each.at_m, row=row, movement=True)


def _zones_at(row: Row, at_m: float) -> list[Zone]:
    return [run.zone for run in row.runs if run.from_m - TIE_M <= at_m <= run.to_m + TIE_M]


def _rows(job: Job, zones: Iterable[Zone], joints: Iterable[UUID], before: Row | None = None) -> dict[UUID, Row]:
    """What lies on each of some joints, gathered in one go, of some zones; ``before`` is what lay on one of them."""
    wanted = {key: job.joints[key] for key in joints}
    held = _Held(before if before is not None and wanted.get(before.joint.id) is before.joint else None)
    leaks: dict[UUID, list[Wet]] = defaultdict(list)
    for leak in job.leaks.values() if wanted else ():
        if leak.joint in wanted:
            leaks[leak.joint].append(held.wet(leak, wanted[leak.joint]))
    on: dict[UUID, dict[int, Zone]] = {key: {} for key in wanted}
    for zone in zones:
        for piece in zone.pieces:
            if piece.joint in wanted:
                on[piece.joint][zone.number] = zone
    return {
        key: Row(
            joint=joint,
            leaks=tuple(sorted(leaks[key], key=lambda wet: (wet.leak.from_m, wet.leak.to_m))),
            runs=tuple(
                sorted((run for zone in on[key].values() for run in held.runs(zone, key)), key=lambda run: run.from_m)
            ),
            reliefs=tuple((zone.number, one) for zone in on[key].values() for one in zone.relief if one.joint == key),
            cuts=tuple(sorted(cut.at_m for cut in job.cuts.values() if cut.joint == key)),
            blind=joint.blind,
            by_hand=tuple(found for zone in on[key].values() for found in by_hand(job, zone, key)),
        )
        for key, joint in wanted.items()
    }


class _Held:
    """Leaks and runs of a row, by the very values that they were made from."""

    def __init__(self, row: Row | None) -> None:
        self._joint = None if row is None else row.joint.id
        self._wets = {} if row is None else {id(wet.leak): wet for wet in row.leaks}
        self._runs: dict[int, list[Run]] = defaultdict(list)
        for run in () if row is None else row.runs:
            self._runs[id(run.zone)].append(run)

    def wet(self, leak: Leak, joint: Joint) -> Wet:
        """A leak on its joint."""
        held = self._wets.get(id(leak))
        return Wet(leak=leak, spans=spans_of(joint, leak.from_m, leak.to_m)) if held is None else held

    def runs(self, zone: Zone, joint: UUID) -> Iterable[Run]:
        """The runs of a zone on a joint."""
        held = self._runs.get(id(zone)) if joint == self._joint else None
        return _runs(zone, joint) if held is None else held


def bubbles_of(grid: Grid, path: Path) -> Iterator[Bubble]:
    """Where a course crosses the axes of a grid, in rising chainage; a piece that lies along an axis crosses it nowhere."""
    found = [
        Bubble(name=axis.name, at_m=at_m)
        for axes in (grid.letters, grid.numbers)
        for axis in axes.each
        for at_m in _crossings(path, [from_origin_m(grid, axes, point) - axis.at_m for point in path.corners])
    ]
    yield from sorted(found, key=lambda bubble: bubble.at_m)


def _crossings(path: Path, sides: list[float]) -> Iterator[float]:
    """Chainages where distances from an axis, one for each corner, change their sign or are nothing."""
    last = -1.0
    for (at, to_m), (side, other) in zip(pairwise(path.chainages), pairwise(sides), strict=True):
        if max(abs(side), abs(other)) <= DRAWING_TOLERANCE_M:
            continue  # along the axis
        near = [end for end, off in ((at, side), (to_m, other)) if abs(off) <= DRAWING_TOLERANCE_M]
        if not near and side * other < 0:
            near = [at + (to_m - at) * side / (side - other)]
        for found in near:
            if found - last > DRAWING_TOLERANCE_M:
                yield found
                last = found


def meetings_of(job: Job, joint: UUID, network: Network) -> Iterator[tuple[float, UUID, float]]:
    """Where joints meet one: the chainage on it, the other joint, and the chainage on that."""
    for at_m, node in network.marks(joint):
        for other, own_m in network.members(node):
            itself = other == joint and within(abs(own_m - at_m), TIE_M)
            if not itself and other in job.joints:
                yield at_m, other, own_m


def _runs(zone: Zone, joint: UUID) -> Iterator[Run]:
    pieces = sorted((one for one in zone.pieces if one.joint == joint), key=lambda one: one.from_m)
    measured = [(float(one.from_m), float(one.to_m), one.length_m) for one in zone.stretches if one.joint == joint]
    run: list[Piece] = []
    for piece in pieces:
        if run and piece.from_m > run[-1].to_m + TIE_M:
            yield _run(zone, run, measured)
            run = []
        run.append(piece)
    if run:
        yield _run(zone, run, measured)


def _run(zone: Zone, pieces: list[Piece], measured: list[tuple[float, float, Decimal]]) -> Run:
    """A run of pieces end to end; of the stretches measured on their joint, those within it are its length."""
    from_m, to_m = pieces[0].from_m, pieces[-1].to_m
    inside = (length_m for low, high, length_m in measured if low >= from_m - TIE_M and high <= to_m + TIE_M)
    return Run(zone=zone, from_m=from_m, to_m=to_m, pieces=tuple(pieces), length_m=sum(inside, ZERO))


def by_hand(job: Job, zone: Zone, joint: UUID) -> Iterator[ByHand]:
    """Ends of a zone on a joint that a person set."""
    for end in zone.ends:
        leak = job.leaks.get(end.owner) if end.joint == joint and end.owner is not None else None
        if leak is None:
            continue
        own = leak.overrun_to_m if end.up else leak.overrun_from_m
        round_junction = (leak.overrun_from_m, leak.overrun_to_m)  # whichever side was set
        sides = (own,) if leak.joint == joint else round_junction
        overrun_m = next((side for side in sides if side is not None), None)
        if overrun_m is not None:
            yield ByHand(zone=zone.number, end=end, overrun_m=overrun_m)


def _part(row: Row, own_m: float, numbers: set[int]) -> Row:
    """What lies on a branch within the runs of some zones that reach its junction."""
    reach = (run for run in row.runs if run.from_m - TIE_M <= own_m <= run.to_m + TIE_M)
    runs = tuple(run for run in reach if run.zone.number in numbers)
    if not runs:
        return Row(joint=row.joint)
    low, high = runs[0].from_m - TIE_M, runs[-1].to_m + TIE_M
    return Row(
        joint=row.joint,
        leaks=tuple(wet for wet in row.leaks if any(a <= high and b >= low for a, b in wet.spans)),
        runs=runs,
        reliefs=tuple((zone, one) for zone, one in row.reliefs if zone in numbers and low <= one.at_m <= high),
        cuts=tuple(at for at in row.cuts if low <= at <= high),
        by_hand=tuple(one for one in row.by_hand if one.zone in numbers and low <= one.end.at_m <= high),
    )
