"""A slow reader of the rules of the repair, to compare the engine with.

It knows no intervals and no edges. Every joint is a row of grains: steps of one length between
lattice points, whole steps everywhere (joints along x, y or z on the lattice; leaks, overruns, blind
stretches and cuts at lattice points). Lattice points with the same place in space are told by their
coordinates; cover floods from grain to grain; bridges are found by walking every way. All numbers
are whole, so that ties are exact. It is written from the definitions alone and shares no code with
the engine.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations
from uuid import UUID

from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.leak import Leak
from leakmap.model.rules import Suspects
from leakmap.model.words import Face, Kind, Method, Wetness

Spot = tuple[UUID, int]
"""A lattice point: joint, steps from its start (of a closed joint: less than its length)."""
Grain = tuple[UUID, int]
"""The step of a joint that starts at a lattice point."""


@dataclass
class Reading:
    """What the slow reader finds.

    Attributes:
        before: Grains covered before bridging.
        after: Grains covered after it.
        own_steps: Each wet stretch's own cover summed, in steps.
        why: Of each grain, the reason, the wettest leak and the leaks that cover it.
        parts: Grains of each part.
        wholes: Grains of each part if there were no cuts.
        idle: Cuts that separate nothing.
        apart: Pairs of parts that must stay apart.
    """

    before: set[Grain] = field(default_factory=set)
    after: set[Grain] = field(default_factory=set)
    own_steps: int = 0
    why: dict[Grain, tuple[str, Wetness | None, frozenset[UUID]]] = field(default_factory=dict)
    parts: set[frozenset[Grain]] = field(default_factory=set)
    wholes: set[frozenset[Grain]] = field(default_factory=set)
    idle: set[UUID] = field(default_factory=set)
    apart: set[frozenset[frozenset[Grain]]] = field(default_factory=set)


def read(job: Job, step_mm: int) -> Reading:
    """Work a job out grain by grain; a step must divide every length of the job."""
    return _Reader(job, step_mm).read()


class _Left:
    """How much of a reach is left at each place."""

    def __init__(self, reader: _Reader) -> None:
        self.reader = reader
        self.at: dict[Spot, int] = {}

    def come(self, spot: Spot, rest: int) -> None:
        key = self.reader.key(spot)
        self.at[key] = max(rest, self.at.get(key, 0))


class _Reader:
    def __init__(self, job: Job, step_mm: int) -> None:
        self.job, self.step_mm = job, step_mm
        self.tie = 1 // step_mm if step_mm > 1 else 1
        self.joints = {j.id: j for j in job.joints.values() if j.kind is not Kind.MOVEMENT or j.repair_anyway}
        self.count = {identity: self.steps(joint.length_m) for identity, joint in job.joints.items()}
        self.places = {identity: list(self.lattice(joint)) for identity, joint in job.joints.items()}
        met, movement = self.meetings()
        self.movement = movement
        self.marks = {spot for pair in met for spot in pair}
        for joint in self.joints.values():
            if not joint.closed:
                self.marks |= {(joint.id, 0), (joint.id, self.count[joint.id])}
        self.node = self.classes(met)

    def steps(self, length_m: float) -> int:
        exact = Fraction(round(length_m * 1000), self.step_mm)
        assert exact.denominator == 1, length_m
        return int(exact)

    def lattice(self, joint: Joint) -> Iterator[set[tuple[UUID, int, int, int]]]:
        """Of each lattice point, where it is in space; the head of a vertical joint is in two places."""
        sheet = self.job.sheets[joint.sheet]
        if joint.point is not None:
            x, y, z = self.steps(joint.point[0]), self.steps(joint.point[1]), self.steps(joint.height_m)
            for k in range(self.count[joint.id] + 1):
                here = {(joint.sheet, x, y, z + k)}
                if k == self.count[joint.id] and joint.head_sheet:
                    here.add((joint.head_sheet, x, y, 0))
                yield here
            return
        z = self.steps({Face.SOFFIT: sheet.storey_height_m, Face.WALL: joint.height_m}.get(joint.face, 0.0))
        assert joint.path is not None
        corners = [(self.steps(x), self.steps(y)) for x, y in joint.path.corners]
        x, y = corners[0]
        yield {(joint.sheet, x, y, z)}
        for cx, cy in corners[1:]:
            while (x, y) != (cx, cy):
                x, y = x + (cx > x) - (cx < x), y + (cy > y) - (cy < y)
                yield {(joint.sheet, x, y, z)}

    def spots(self, joint: Joint) -> range:
        return range(self.count[joint.id] + (not joint.closed))

    def go(self, spot: Spot, by: int) -> Spot | None:
        """The lattice point some steps on; None past an open end."""
        joint, k = self.job.joints[spot[0]], spot[1] + by
        if joint.closed:
            return joint.id, k % self.count[joint.id]
        return (joint.id, k) if 0 <= k <= self.count[joint.id] else None

    def meetings(self) -> tuple[list[tuple[Spot, Spot]], list[tuple[Spot, Spot]]]:
        """Pairs of lattice points in one place, but for those inside a shared stretch; with movement joints apart."""
        at: dict[tuple[UUID, int, int, int], list[Spot]] = defaultdict(list)
        for joint in self.job.joints.values():
            for k in self.spots(joint):
                for place in self.places[joint.id][k]:
                    at[place].append((joint.id, k))
        pairs = {frozenset(pair) for spots in at.values() for pair in combinations(spots, 2)}
        outer = [tuple(pair) for pair in pairs if not self.inside_shared(pairs, *pair)]
        parted = {
            frozenset(((p.joint, self.steps(p.at_m)), (p.other, self.steps(p.other_at_m))))
            for p in self.job.parted.values()
        }
        own, movement = [], []
        for one, other in outer:
            inside = (one[0] in self.joints) + (other[0] in self.joints)
            if frozenset((one, other)) not in parted and inside == 1:
                movement.append((one, other) if one[0] in self.joints else (other, one))
            elif inside == 2:
                own.append((one, other))
        self.parted = [pair for pair in own if frozenset(pair) in parted]
        return own, movement

    def inside_shared(self, pairs: set[frozenset[Spot]], one: Spot, other: Spot) -> bool:
        def both(by: int, other_by: int) -> bool:
            next_one, next_other = self.go(one, by), self.go(other, other_by)
            return next_one is not None and next_other is not None and frozenset((next_one, next_other)) in pairs

        return (both(1, 1) and both(-1, -1)) or (both(1, -1) and both(-1, 1))

    def classes(self, met: Iterable[tuple[Spot, Spot]]) -> dict[Spot, Spot]:
        """Of each mark, one of its node."""
        node = {spot: spot for spot in self.marks}
        for one, other in met:
            if (one, other) not in self.parted:
                old, new = node[one], node[other]
                node = {spot: new if its == old else its for spot, its in node.items()}
        return node

    def at_node(self, spot: Spot) -> list[Spot]:
        """Every lattice point that is the same place for the network."""
        return [other for other, its in self.node.items() if its == self.node[spot]] if spot in self.node else [spot]

    def grains_at(self, spot: Spot) -> Iterator[tuple[Grain, Spot]]:
        """Grains that touch a place, each with the lattice point at its other end."""
        for here in self.at_node(spot):
            if (on := self.go(here, 1)) is not None:
                yield here, on
            if (back := self.go(here, -1)) is not None:
                yield back, back

    def key(self, spot: Spot) -> Spot:
        return self.node.get(spot, spot)

    # leaks

    def treated(self) -> list[Leak]:
        watched = self.job.rules.suspects is Suspects.WATCH
        return [
            leak
            for leak in self.job.leaks.values()
            if leak.joint in self.joints
            and leak.method is not Method.ANOTHER
            and not (watched and leak.wetness is Wetness.SUSPECT)
        ]

    def wet(self, leak: Leak) -> list[int]:
        """Lattice points of a leak in order, counted on past the start of a closed joint."""
        low, high = self.steps(leak.from_m), self.steps(leak.to_m)
        if self.joints[leak.joint].closed and low > high:
            high += self.count[leak.joint]
        return list(range(low, high + 1))

    def flood(self, leak: Leak) -> tuple[set[Grain], set[Spot]]:
        """Grains and places that one leak covers."""
        spots = [spot for k in self.wet(leak) if (spot := self.go((leak.joint, k), 0)) is not None]
        closed_round = self.joints[leak.joint].closed and len(spots) > self.count[leak.joint]
        before, after = self.overruns(leak, spots)
        wet = set(spots[:-1])
        grains, left = set(wet), _Left(self)
        for index, spot in enumerate(spots):
            from_start, to_stop = index, len(spots) - 1 - index
            inside = closed_round or min(from_start, to_stop) > self.tie or from_start == to_stop
            if spot in self.marks:
                left.come(spot, max(before, after) if inside else before if from_start < to_stop else after)
        for spot, rest, by in () if closed_round else ((spots[0], before, -1), (spots[-1], after, 1)):
            far = None if spot in self.marks else self.go(spot, by)
            grain = spot if by > 0 else far
            if far is not None and grain is not None and grain not in wet and self.enough(rest, far):
                grains.add(grain)
                left.come(far, max(rest - 1, 0))
        shut = {spot for spot in spots if spot not in self.marks}  # no way leads through the leak itself
        grains |= self.spread(left, wet, shut)
        return grains, {self.key(spot) for spot in spots} | set(left.at)

    def overruns(self, leak: Leak, spots: list[Spot]) -> tuple[int, int]:
        rule = self.job.rules.overrun_m[leak.wetness]
        before, after = (self.steps(rule if by is None else by) for by in (leak.overrun_from_m, leak.overrun_to_m))
        near = any(self.go(spots[0], k) in self.marks for k in range(-self.tie, self.tie + 1))
        return (max(before, after),) * 2 if len(spots) == 1 and near else (before, after)

    def spread(self, left: _Left, wet: set[Grain], done: set[Spot]) -> set[Grain]:
        """Grains that what is left at places covers, the place with most first."""
        grains: set[Grain] = set()
        while waiting := [spot for spot in left.at if spot not in done]:
            spot = max(waiting, key=left.at.__getitem__)
            done.add(spot)
            for grain, far in self.grains_at(spot):
                if grain not in wet and self.enough(left.at[spot], far):
                    grains.add(grain)
                    left.come(far, max(left.at[spot] - 1, 0))
        return grains

    def enough(self, rest: int, far: Spot) -> bool:
        """Whether a reach takes one more grain: it goes on, or it ends within τ of a node."""
        return rest > 0 or (self.tie > 0 and far in self.marks)

    def stretches(self, leaks: list[Leak]) -> list[set[UUID]]:
        """Leaks that touch or overlap, in sets."""
        sets = [{leak.id} for leak in leaks]
        for one, other in combinations(leaks, 2):
            if self.touch(one, other):
                a = next(each for each in sets if one.id in each)
                b = next(each for each in sets if other.id in each)
                if a is not b:
                    sets.remove(b)
                    a |= b
        return sets

    def touch(self, one: Leak, other: Leak) -> bool:
        def near(leak: Leak, by: int) -> set[Spot]:
            points = self.wet(leak)
            spots = (self.go((leak.joint, k), 0) for k in range(points[0] - by, points[-1] + by + 1))
            return {spot for spot in spots if spot is not None}

        if near(one, self.tie) & near(other, 0):
            return True
        nodes = [{self.node[spot] for spot in near(leak, self.tie) if spot in self.marks} for leak in (one, other)]
        return bool(nodes[0] & nodes[1])

    # bridges

    def bridge(self, grains: set[Grain], places: set[Spot]) -> None:
        """Add to grains and places whatever is taken in."""
        longest = self.steps(self.job.rules.bridge_m) + self.tie
        while True:
            for spot in list(places) + [end for grain in grains for end in self.ends(grain)]:
                places.add(self.key(spot))
            taken = {grain for start in places for grain in self.taken_from(start, grains, places, longest)}
            if taken <= grains:
                return
            grains |= taken

    def ends(self, grain: Grain) -> tuple[Spot, Spot]:
        on = self.go(grain, 1)
        assert on is not None
        return grain, on

    def taken_from(self, start: Spot, grains: set[Grain], places: set[Spot], longest: int) -> set[Grain]:
        """Grains on every way from a covered place through uncovered joint to another, or to a free end."""
        found: set[Grain] = set()
        ways: list[tuple[Spot, tuple[Grain, ...], frozenset[Spot]]] = [(start, (), frozenset())]
        while ways:
            spot, way, passed = ways.pop()
            if way and (spot in places or self.is_free(spot)):
                found.update(way)
                continue
            if len(way) == longest:
                continue
            for grain, far in self.grains_at(spot):
                if grain not in grains and grain not in way and self.key(far) not in passed:
                    ways.append((self.key(far), (*way, grain), passed | {self.key(far)}))
        return found

    def is_free(self, spot: Spot) -> bool:
        return len(list(self.grains_at(spot))) == 1

    # parts

    def groups(self, grains: set[Grain], cuts: set[Spot]) -> set[frozenset[Grain]]:
        """Connected grains; at a cut they are not joined."""
        touching: dict[Spot, list[Grain]] = defaultdict(list)
        for grain in grains:
            for end in self.ends(grain):
                if end not in cuts:
                    touching[self.key(end)].append(grain)
        found, left = set(), set(grains)
        while left:
            group, waiting = set(), [left.pop()]
            while waiting:
                grain = waiting.pop()
                group.add(grain)
                for end in self.ends(grain):
                    if end not in cuts:
                        waiting += [other for other in touching[self.key(end)] if other in left]
                        left.difference_update(touching[self.key(end)])
            found.add(frozenset(group))
        return found

    def beside(self, spot: Spot, by: int) -> Iterator[Grain]:
        """Grains that come within so many steps of a lattice point along its joint."""
        return (grain for k in range(-by - 1, by + 1) if (grain := self.go(spot, k)) is not None)

    def hidden(self) -> set[Grain]:
        """Grains under blind stretches and within the clearance of a movement joint."""
        found: set[Grain] = set()
        for joint in self.joints.values():
            for blind in joint.blind:
                low, high = self.steps(blind.from_m), self.steps(blind.to_m)
                high += self.count[joint.id] if low > high else 0
                found.update(self.go((joint.id, k), 0) or (joint.id, k) for k in range(low, high))
        for own, movement in self.movement:
            keep = self.steps(self.job.joints[movement[0]].clearance_m or 0.0)
            found.update(grain for k in range(-keep, keep) if (grain := self.go(own, k)) is not None)
        return found

    def read(self) -> Reading:
        leaks = self.treated()
        covers = {leak.id: self.flood(leak) for leak in leaks}
        for leak in leaks:
            joint = self.joints[leak.joint]
            if (
                joint.kind is Kind.PIPE_COLLAR
                and joint.closed
                and joint.length_m <= self.job.rules.collar_whole_m + 1e-6
            ):
                covers[leak.id][0].update((joint.id, k) for k in self.spots(joint))
        stretches = self.stretches(leaks)
        found = Reading()
        found.before = {grain for grains, _ in covers.values() for grain in grains}
        found.own_steps = sum(len(set().union(*(covers[leak][0] for leak in each))) for each in stretches)
        found.after = set(found.before)
        self.bridge(found.after, {spot for _, spots in covers.values() for spot in spots})
        self.tell_why(found, leaks, covers, stretches)
        self.part(found)
        return found

    def tell_why(
        self,
        found: Reading,
        leaks: list[Leak],
        covers: dict[UUID, tuple[set[Grain], set[Spot]]],
        stretches: list[set[UUID]],
    ) -> None:
        hidden = self.hidden()
        wet = {leak.id: {self.go((leak.joint, k), 0) for k in self.wet(leak)[:-1]} for leak in leaks}
        for grain in found.after:
            over = frozenset(leak.id for leak in leaks if grain in covers[leak.id][0])
            wettest = max((leak.wetness for leak in leaks if grain in wet[leak.id]), default=None)
            lots = sum(bool(over & each) for each in stretches)
            why = ("bridge", "overrun", "merged")[min(lots, 2)]
            why = "blind" if grain in hidden else "leak" if wettest is not None else why
            found.why[grain] = why, wettest, over

    def part(self, found: Reading) -> None:
        cuts = {}
        for cut in self.job.cuts.values():
            spot = self.go((cut.joint, self.steps(cut.at_m)), 0) if cut.joint in self.joints else None
            near = 10 // self.step_mm
            at_mark = spot is None or any(self.go(spot, by) in self.marks for by in range(-near, near + 1))
            both = spot is not None and {spot, self.go(spot, -1)} <= found.after
            if at_mark or not both or spot is None:
                found.idle.add(cut.id)
            else:
                cuts[cut.id] = spot
        found.wholes = self.groups(found.after, set())
        found.parts = self.groups(found.after, set(cuts.values()))
        of = {grain: part for part in found.parts for grain in part}
        found.idle |= {cut for cut, spot in cuts.items() if of[spot] == of[self.go(spot, -1) or spot]}
        for whole in found.wholes:
            inside = [part for part in found.parts if part <= whole]
            found.apart |= {frozenset(pair) for pair in combinations(inside, 2)}
        for one, other in self.parted:
            a, b = ({of[g] for g in self.beside(spot, 10 // self.step_mm) if g in of} for spot in (one, other))
            found.apart |= {frozenset((x, y)) for x in a for y in b if x != y}
