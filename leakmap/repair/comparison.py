"""Two revisions compared: what is opened in both, what is new, longer, shorter and gone, with metres that add up.

Every printed row of either job is taken once: old rows are kept or gone, new rows are kept or added. So
old + added − gone + measured anew = new, exactly, in the figures that are printed. Only where a level got
another scale, or rows begin at odd chainages of joints that were combined, is a kept stretch measured anew.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from uuid import UUID

from leakmap.base.progress import at_once
from leakmap.base.rounding import ZERO, rounded
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.revision import ZoneFate
from leakmap.repair.fates import fates_from
from leakmap.repair.results import Repairs, Row, Zone
from leakmap.repair.same_places import Laid, same_places


class Change(StrEnum):
    """What became of a stretch; each is told apart from the others on paper without colour."""

    KEPT = "kept"
    ADDED = "added"  # of a zone of which nothing was there before
    LONGER = "longer"
    SHORTER = "shorter"
    GONE = "gone"  # of a zone of which nothing is left


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed(Row):
    """A printed row of one of the two jobs, or a part of it.

    Attributes:
        zone: Number of its zone in that job.
    """

    zone: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A stretch of the comparison.

    Attributes:
        before: Where it was in the old job; None where it is added or longer.
        after: Where it is in the new one; None where it is gone or shorter.
    """

    change: Change
    before: Placed | None = None
    after: Placed | None = None

    @property
    def shown(self) -> Placed:
        """Where it is now, or where it was."""
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def cut_otherwise(self) -> bool:
        """Whether it is opened in both, but to another depth or with another filling."""
        if self.before is None or self.after is None:
            return False
        return (self.before.depth_mm, self.before.plugged) != (self.after.depth_mm, self.after.plugged)


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneCompared:
    """A zone of either job; metres of the printed rows.

    Attributes:
        before_m: Measured length in the old job.
        added_m: Opened now and not before.
        gone_m: Opened before and not any more.
        passed_m: Came from zones with other numbers, less what went to such.
        anew_m: By how much what stayed is measured longer now.
        after_m: Measured length in the new job: the sum of the others.
    """

    number: int
    before_m: Decimal
    added_m: Decimal
    gone_m: Decimal
    passed_m: Decimal
    anew_m: Decimal
    after_m: Decimal

    @property
    def changed(self) -> bool:
        """Whether any metre of it changed."""
        return any((self.added_m, self.gone_m, self.passed_m, self.anew_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The comparison of two jobs.

    Attributes:
        stretches: Every printed row of both, cut where the two differ, in the order of the zones' numbers.
        zones: Zones of both, lowest number first.
        fates: What became of old zones.
    """

    stretches: tuple[Compared, ...]
    zones: tuple[ZoneCompared, ...]
    fates: tuple[ZoneFate, ...]

    def sum_of(self, name: str) -> Decimal:
        """The sum of a figure of all zones."""
        return sum((getattr(zone, name) for zone in self.zones), ZERO)

    @property
    def changes(self) -> tuple[Compared, ...]:
        """The stretches that are not as they were."""
        return tuple(each for each in self.stretches if each.change is not Change.KEPT or each.cut_otherwise)


@dataclass(frozen=True, slots=True)
class OldZone:
    """What a comparison needs of a zone of the old job."""

    number: int
    rows: tuple[Row, ...]
    length_m: Decimal


@dataclass(frozen=True, slots=True)
class OldRepairs:
    """What a comparison needs of the old job's work-out: little enough to come from another process at once."""

    zones: tuple[OldZone, ...]


def old_repairs_of(repairs: Repairs) -> OldRepairs:
    """That of a whole work-out."""
    return OldRepairs(tuple(OldZone(zone.number, zone.rows, zone.length_m) for zone in repairs.zones))


def comparison(old: Job, old_repairs: Repairs, new: Job, new_repairs: Repairs) -> Comparison:
    """What changed from one job to another that came from it by deeds.

    Args:
        old: The earlier job, as issued.
        old_repairs: Its work-out.
        new: The later job.
        new_repairs: Its work-out.
    """
    return at_once(comparison_steps(old, old_repairs_of(old_repairs), new, new_repairs))


def comparison_steps(
    old: Job, old_repairs: OldRepairs, new: Job, new_repairs: Repairs
) -> Generator[int, None, Comparison]:
    """The same in small steps: yields how many zones of the old job are compared, returns what was found."""
    now, done = _Now(), len(old_repairs.zones)
    for zone in new_repairs.zones:
        now.take(zone)
        yield 0
    lies: dict[UUID, tuple[Laid, ...]] = {}
    steps = old.rules.measuring_step_m, new.rules.measuring_step_m
    kept: list[Compared] = []
    gone: list[Placed] = []
    for number, was in enumerate(old_repairs.zones):
        for row in _rows_of(was):
            if row.joint not in lies:
                lies[row.joint] = same_places(old, new, old.joints[row.joint])
            parts = _parts(row, lies[row.joint], steps, now)
            held = [each for part in parts for each in _kept(part, steps[0], now)]
            kept += held
            gone += _rest(row, [each.before for each in held if each.before])
        yield number + 1
    by_zone: dict[int, list[Compared]] = defaultdict(list)
    for each in _told(kept, gone, now.left()):
        by_zone[each.shown.zone].append(each)
        yield done
    stretches: list[Compared] = []
    figures = _Figures()
    for _, found in sorted(by_zone.items()):
        stretches += sorted(found, key=_place_of)
        for each in found:
            figures.take(each)
        yield done
    return Comparison(
        stretches=tuple(stretches),
        zones=tuple(figures.zones(old_repairs, new_repairs)),
        fates=tuple(_fates(old_repairs, new_repairs, kept)),
    )


def _told(kept: list[Compared], gone: Iterable[Placed], added: Iterable[Placed]) -> Iterator[Compared]:
    """All stretches with what became of them."""
    alive = {each.before.zone for each in kept if each.before}, {each.after.zone for each in kept if each.after}
    yield from kept
    for each in gone:
        yield Compared(change=Change.SHORTER if each.zone in alive[0] else Change.GONE, before=each)
    for each in added:
        yield Compared(change=Change.LONGER if each.zone in alive[1] else Change.ADDED, after=each)


def _place_of(each: Compared) -> tuple[str, Decimal, Change]:
    """What stretches of a zone are sorted by."""
    return str(each.shown.joint), each.shown.from_m, each.change


def _rows_of(zone: Zone | OldZone) -> Iterator[Placed]:
    for row in zone.rows:
        yield Placed(
            zone=zone.number,
            joint=row.joint,
            from_m=row.from_m,
            to_m=row.to_m,
            depth_mm=row.depth_mm,
            plugged=row.plugged,
        )


class _Now:
    """The printed rows of the new job, and what of each is not yet found to be kept, so that no metre is kept twice.

    Rows of a joint don't overlap, so those that reach into a stretch follow each other.
    """

    def __init__(self) -> None:
        self._rows: list[Placed] = []
        self._free: list[list[tuple[Decimal, Decimal]]] = []
        self._places: dict[UUID, list[int]] = defaultdict(list)
        self._on: dict[UUID, tuple[list[int], list[Decimal]]] = {}

    def take(self, zone: Zone) -> None:
        """Take the rows of a zone; of all of them before anything is asked."""
        for row in _rows_of(zone):
            self._places[row.joint].append(len(self._rows))
            self._rows.append(row)
            self._free.append([(row.from_m, row.to_m)])

    def _along(self, joint: UUID) -> tuple[list[int], list[Decimal]]:
        """Places of the rows of a joint by where they start, and their starts."""
        found = self._on.get(joint)
        if found is None:
            places = sorted(self._places.get(joint, ()), key=lambda place: self._rows[place].from_m)
            found = self._on[joint] = places, [self._rows[place].from_m for place in places]
        return found

    def free(self, joint: UUID, low: Decimal, high: Decimal) -> Iterator[tuple[Placed, list[tuple[Decimal, Decimal]]]]:
        """Rows that reach into a stretch, and what is free of each."""
        places, starts = self._along(joint)
        first = max(bisect_right(starts, low) - 1, 0)
        for place in places[first : bisect_left(starts, high)]:
            yield self._rows[place], self._free[place]

    def ends_near(self, joint: UUID, at: Decimal, within_m: Decimal) -> Iterator[Decimal]:
        """Ends of rows near a chainage."""
        for row, _ in self.free(joint, at - within_m, at + 2 * within_m):
            yield from (end for end in (row.from_m, row.to_m) if abs(end - at) <= within_m)

    def left(self) -> Iterator[Placed]:
        """What was found in no old row."""
        for row, free in zip(self._rows, self._free, strict=True):
            yield from (
                row if (start, stop) == (row.from_m, row.to_m) else replace(row, from_m=start, to_m=stop)
                for start, stop in free
            )


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of an old row on a new joint: its ends there, rounded, ascending, and how to go back."""

    row: Placed
    laid: Laid
    low: Decimal
    high: Decimal


def _parts(row: Placed, laid: Iterable[Laid], steps: tuple[Decimal, Decimal], now: _Now) -> Iterator[_Part]:
    """Where an old row lies on new joints; an end within two steps of a new row's end is that end."""
    for each in laid:
        start, stop = max(float(row.from_m), each.from_m), min(float(row.to_m), each.to_m)
        if stop - start <= MICRON_M:
            continue
        ends = [rounded(each.at(at), steps[1]) for at in (start, stop)]
        if not _in_step(each, steps):
            ends = [
                min(now.ends_near(each.joint, end, 2 * steps[1]), key=lambda k, end=end: abs(k - end), default=end)  # type: ignore[misc] # a default keeps the value of each turn
                for end in ends
            ]
        low, high = sorted(ends)
        if low < high:
            yield _Part(row, each, low, high)


def _in_step(laid: Laid, steps: tuple[Decimal, Decimal]) -> bool:
    """Whether chainages on both sides differ by whole steps, so that both sides round alike."""
    if steps[0] != steps[1] or not laid.true or laid.new_to_m < laid.new_from_m:
        return False
    shift = laid.new_from_m - laid.from_m
    return abs(shift - float(rounded(shift, steps[0]))) <= MICRON_M


def _kept(part: _Part, step: Decimal, now: _Now) -> list[Compared]:
    """What of a part is opened now; it is taken from the free stretches, so that no new metre is kept twice."""
    found = []
    for row, free in now.free(part.laid.joint, part.low, part.high):
        low, high = max(row.from_m, part.low), min(row.to_m, part.high)
        for start, stop in [(max(low, a), min(high, b)) for a, b in free]:
            if start >= stop:
                continue
            before = _old_ends(part, step, start, stop)
            if before[0] < before[1]:
                old = replace(part.row, from_m=before[0], to_m=before[1])
                found.append(Compared(change=Change.KEPT, before=old, after=replace(row, from_m=start, to_m=stop)))
                _take(free, start, stop)
    return found


def _old_ends(part: _Part, step: Decimal, start: Decimal, stop: Decimal) -> tuple[Decimal, Decimal]:
    """Old chainages of new ones, rounded, ascending; those of the part's own ends are exact."""
    low, high = sorted((part.laid.at(part.laid.from_m), part.laid.at(part.laid.to_m)))
    turned = part.laid.new_to_m < part.laid.new_from_m
    whole = max(part.row.from_m, rounded(part.laid.from_m, step)), min(part.row.to_m, rounded(part.laid.to_m, step))
    ends = []
    for at in (start, stop):
        if at in (part.low, part.high):
            ends.append(whole[(at == part.high) != turned])
        else:
            back = rounded(part.laid.back(min(max(float(at), low), high)), step)
            ends.append(min(max(back, whole[0]), whole[1]))
    return min(ends), max(ends)


def _take(free: list[tuple[Decimal, Decimal]], start: Decimal, stop: Decimal) -> None:
    left = []
    for a, b in free:
        if b <= start or stop <= a:
            left.append((a, b))
        else:
            left += [pair for pair in ((a, start), (stop, b)) if pair[0] < pair[1]]
    free[:] = left


def _rest(row: Placed, parts: Iterable[Placed]) -> Iterator[Placed]:
    """What parts leave of a row."""
    at = row.from_m
    for part in sorted(parts, key=lambda each: each.from_m):
        if part.from_m > at:
            yield replace(row, from_m=at, to_m=part.from_m)
        at = max(at, part.to_m)
    if at < row.to_m:
        yield replace(row, from_m=at)


class _Figures:
    """Metres of zones, summed stretch by stretch."""

    def __init__(self) -> None:
        self._added: dict[int, Decimal] = defaultdict(Decimal)
        self._gone: dict[int, Decimal] = defaultdict(Decimal)
        self._anew: dict[int, Decimal] = defaultdict(Decimal)
        self._passed: dict[int, Decimal] = defaultdict(Decimal)

    def take(self, each: Compared) -> None:
        """Add a stretch."""
        if each.before is None:
            self._added[each.shown.zone] += each.shown.length_m
        elif each.after is None:
            self._gone[each.shown.zone] += each.shown.length_m
        else:
            before_m, after_m = each.before.length_m, each.after.length_m
            if before_m != after_m:
                self._anew[each.after.zone] += after_m - before_m
            if each.before.zone != each.after.zone:
                self._passed[each.after.zone] += before_m
                self._passed[each.before.zone] -= before_m

    def zones(self, old: OldRepairs, new: Repairs) -> Iterator[ZoneCompared]:
        """Zones of both jobs, lowest number first."""
        before = {zone.number: zone.length_m for zone in old.zones}
        after = {zone.number: zone.length_m for zone in new.zones}
        for number in sorted({*before, *after}):
            yield ZoneCompared(
                number=number,
                before_m=before.get(number, ZERO),
                added_m=self._added.get(number, ZERO),
                gone_m=self._gone.get(number, ZERO),
                passed_m=self._passed.get(number, ZERO),
                anew_m=self._anew.get(number, ZERO),
                after_m=after.get(number, ZERO),
            )


def _fates(old: OldRepairs, new: Repairs, kept: Iterable[Compared]) -> Iterator[ZoneFate]:
    shares: dict[int, dict[int, float]] = {zone.number: defaultdict(float) for zone in old.zones}
    for each in kept:
        assert each.before is not None
        assert each.after is not None
        shares[each.before.zone][each.after.zone] += float(each.before.length_m)
    yield from fates_from(shares, frozenset(zone.number for zone in new.zones))


def joint_of_stretch(old: Job, new: Job, each: Compared) -> tuple[Job, Joint]:
    """The job in which a stretch is shown, and its joint there."""
    job = old if each.after is None else new
    return job, job.joints[each.shown.joint]
