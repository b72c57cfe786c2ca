"""Two revisions compared: what is opened in both, what is new, longer, shorter and gone, with metres that add up.

Every printed row of either job is taken once: old rows are kept or gone, new rows are kept or added. So
old + added − gone + measured anew = new, exactly, in the figures that are printed. Only where a level got
another scale, or rows begin at odd chainages of joints that were combined, is a kept stretch measured anew.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from uuid import UUID

from leakmap.base.rounding import ZERO, rounded
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.joint import Joint
from leakmap.model.revision import ZoneFate
from leakmap.repair.fates import fates_from
from leakmap.repair.results import Repairs, Row
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


def comparison(old: Job, old_repairs: Repairs, new: Job, new_repairs: Repairs) -> Comparison:
    """What changed from one job to another that came from it by deeds.

    Args:
        old: The earlier job, as issued.
        old_repairs: Its work-out.
        new: The later job.
        new_repairs: Its work-out.
    """
    kept, gone = _matched(old, old_repairs, new, new_repairs)
    added = list(_unmatched(new_repairs, kept))
    alive = {each.before.zone for each in kept if each.before}, {each.after.zone for each in kept if each.after}
    stretches = [*kept]
    stretches += [
        Compared(change=Change.SHORTER if each.zone in alive[0] else Change.GONE, before=each) for each in gone
    ]
    stretches += [
        Compared(change=Change.LONGER if each.zone in alive[1] else Change.ADDED, after=each) for each in added
    ]
    stretches.sort(key=lambda each: (each.shown.zone, str(each.shown.joint), each.shown.from_m, each.change))
    return Comparison(
        stretches=tuple(stretches),
        zones=tuple(_zones(old_repairs, new_repairs, stretches)),
        fates=tuple(_fates(old_repairs, new_repairs, kept)),
    )


def _rows(repairs: Repairs) -> Iterator[Placed]:
    for zone in repairs.zones:
        for row in zone.rows:
            yield Placed(
                zone=zone.number,
                joint=row.joint,
                from_m=row.from_m,
                to_m=row.to_m,
                depth_mm=row.depth_mm,
                plugged=row.plugged,
            )


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of an old row on a new joint: its ends there, rounded, ascending, and how to go back."""

    row: Placed
    laid: Laid
    low: Decimal
    high: Decimal


def _matched(old: Job, old_repairs: Repairs, new: Job, new_repairs: Repairs) -> tuple[list[Compared], list[Placed]]:
    """Stretches that are in both, and those that are in the old job alone."""
    new_rows: dict[UUID, list[Placed]] = defaultdict(list)
    for row in _rows(new_repairs):
        new_rows[row.joint].append(row)
    lies: dict[UUID, tuple[Laid, ...]] = {}
    steps = old.rules.measuring_step_m, new.rules.measuring_step_m
    free = {joint: sorted((row.from_m, row.to_m) for row in rows) for joint, rows in new_rows.items()}
    kept: list[Compared] = []
    gone: list[Placed] = []
    for row in _rows(old_repairs):
        if row.joint not in lies:
            lies[row.joint] = same_places(old, new, old.joints[row.joint])
        held = []
        for part in _parts(row, lies[row.joint], steps, new_rows):
            held += _kept(part, steps[0], new_rows.get(part.laid.joint, ()), free.get(part.laid.joint, []))
        kept += held
        gone += _rest(row, [each.before for each in held if each.before])
    return kept, gone


def _parts(
    row: Placed, laid: Iterable[Laid], steps: tuple[Decimal, Decimal], new_rows: dict[UUID, list[Placed]]
) -> Iterator[_Part]:
    """Where an old row lies on new joints; an end within two steps of a new row's end is that end."""
    for each in laid:
        start, stop = max(float(row.from_m), each.from_m), min(float(row.to_m), each.to_m)
        if stop - start <= MICRON_M:
            continue
        ends = [rounded(each.at(at), steps[1]) for at in (start, stop)]
        if not _in_step(each, steps):
            known = [end for other in new_rows.get(each.joint, ()) for end in (other.from_m, other.to_m)]
            ends = [
                min((k for k in known if abs(k - end) <= 2 * steps[1]), key=lambda k: abs(k - end), default=end)
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


def _kept(part: _Part, step: Decimal, rows: Iterable[Placed], free: list[tuple[Decimal, Decimal]]) -> list[Compared]:
    """What of a part is opened now; it is taken from the free stretches, so that no new metre is kept twice."""
    found = []
    for row in rows:
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


def _unmatched(repairs: Repairs, kept: Iterable[Compared]) -> Iterator[Placed]:
    held: dict[UUID, list[Placed]] = defaultdict(list)
    for each in kept:
        assert each.after is not None
        held[each.after.joint].append(each.after)
    for row in _rows(repairs):
        inside = (part for part in held[row.joint] if row.from_m <= part.from_m and part.to_m <= row.to_m)
        yield from _rest(row, inside)


def _zones(old: Repairs, new: Repairs, stretches: Iterable[Compared]) -> Iterator[ZoneCompared]:
    figures: dict[int, dict[str, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for each in stretches:
        if each.before is None:
            figures[each.shown.zone]["added"] += each.shown.length_m
        elif each.after is None:
            figures[each.shown.zone]["gone"] += each.shown.length_m
        else:
            figures[each.after.zone]["anew"] += each.after.length_m - each.before.length_m
            figures[each.after.zone]["passed"] += each.before.length_m
            figures[each.before.zone]["passed"] -= each.before.length_m
    before, after = ({zone.number: zone.length_m for zone in repairs.zones} for repairs in (old, new))
    for number in sorted({*before, *after}):
        found = figures[number]
        yield ZoneCompared(
            number=number,
            before_m=before.get(number, ZERO),
            added_m=found["added"],
            gone_m=found["gone"],
            passed_m=found["passed"],
            anew_m=found["anew"],
            after_m=after.get(number, ZERO),
        )


def _fates(old: Repairs, new: Repairs, kept: Iterable[Compared]) -> Iterator[ZoneFate]:
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
