"""Two revisions compared: what is opened in both, what is new, longer, shorter and gone, with metres that add up.

Every printed row of either job is taken once: old rows are kept or gone, new rows are kept or added. So
old + added − gone + measured anew = new, exactly, in the figures that are printed. Only where a level got
another scale, or rows begin at odd chainages of joints that were combined, is a kept stretch measured anew.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from uuid import UUID

from leakmap.base.progress import at_once
from leakmap.base.rounding import rounded
from leakmap.geometry.tolerance import MICRON_M
from leakmap.model.job import Job
from leakmap.model.revision import ZoneFate
from leakmap.repair.compared import Change, Compared, Comparison, OldRepairs, Placed, ZoneCompared, old_repairs_of
from leakmap.repair.compared_metres import ComparedMetres
from leakmap.repair.fates import fates_from
from leakmap.repair.free_rows import FreeRows, placed_rows, take_stretch
from leakmap.repair.results import Repairs
from leakmap.repair.same_places import Laid, same_places


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
    now, done = FreeRows(), len(old_repairs.zones)
    for zone in new_repairs.zones:
        now.take(zone)
        yield 0
    lies: dict[UUID, tuple[Laid, ...]] = {}
    steps = old.rules.measuring_step_m, new.rules.measuring_step_m
    kept: list[Compared] = []
    gone: list[Placed] = []
    for number, was in enumerate(old_repairs.zones):
        for row in placed_rows(was):
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
    figures = ComparedMetres()
    for _, found in sorted(by_zone.items()):
        stretches += sorted(found, key=_place_of)
        for each in found:
            figures.take(each)
        yield done
    zones: list[ZoneCompared] = []
    for zone_compared in figures.zones(old_repairs, new_repairs):
        zones.append(zone_compared)
        yield done
    fates = yield from _fate_steps(old_repairs, new_repairs, kept)
    return Comparison(stretches=tuple(stretches), zones=tuple(zones), fates=fates)


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


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of an old row on a new joint: its ends there, rounded, ascending, and how to go back."""

    row: Placed
    laid: Laid
    low: Decimal
    high: Decimal


def _parts(row: Placed, laid: Iterable[Laid], steps: tuple[Decimal, Decimal], now: FreeRows) -> Iterator[_Part]:
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


def _kept(part: _Part, step: Decimal, now: FreeRows) -> list[Compared]:
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
                take_stretch(free, start, stop)
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


def _rest(row: Placed, parts: Iterable[Placed]) -> Iterator[Placed]:
    """What parts leave of a row."""
    at = row.from_m
    for part in sorted(parts, key=lambda each: each.from_m):
        if part.from_m > at:
            yield replace(row, from_m=at, to_m=part.from_m)
        at = max(at, part.to_m)
    if at < row.to_m:
        yield replace(row, from_m=at)


def _fate_steps(old: OldRepairs, new: Repairs, kept: Iterable[Compared]) -> Generator[int, None, tuple[ZoneFate, ...]]:
    """What became of old zones; yields how many zones of the old job are compared: all."""
    shares: dict[int, dict[int, float]] = {zone.number: defaultdict(float) for zone in old.zones}
    for each in kept:
        assert each.before is not None
        assert each.after is not None
        shares[each.before.zone][each.after.zone] += float(each.before.length_m)
        yield len(old.zones)
    return tuple(fates_from(shares, frozenset(zone.number for zone in new.zones)))
