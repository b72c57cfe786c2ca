"""Rows of repair zones in the ledger, and of what was issued and can be recorded.

A zone that reaches over several levels is listed on each of them and counted on the first alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Final, NamedTuple
from uuid import UUID

from leakmap.base.counted import many
from leakmap.base.differing import Tally
from leakmap.base.rounding import ZERO
from leakmap.base.sentences import capital
from leakmap.base.trade_words import in_trade_words
from leakmap.model.job import Job
from leakmap.model.joint import plan_point
from leakmap.model.printed import chainage_m
from leakmap.model.words import Method, Series, reference
from leakmap.repair.chainages import Span, merged, spans_of
from leakmap.repair.price import Prices, ZonePrice
from leakmap.repair.results import Repairs, Zone
from leakmap.work.check_list import Where
from leakmap.work.kept import Kept
from leakmap.work.ledger_lines import Line, Rank, Table, Value, sum_of
from leakmap.work.ledger_order import chainage_rank, place_rank
from leakmap.work.ledger_prices import NOT_PRICED
from leakmap.work.ledger_rows import measured, place_words, set_by_hand

METHOD_WORDS: Final = {
    Method.SLOT: "Slot, no plug",
    Method.SLOT_PLUG: "Slot + plug",
    Method.DEEP_PLUG: "Deep + plug",
    Method.DEEP_PLUG_RELIEF: "Deep + relief",
    Method.ANOTHER: "Another method",
}
"""Methods in a narrow column; the whole words are those of ``Method``."""

_SUMMED: Final = ("measured", "chargeable", "area", "litres", "price")


def zone_table(
    job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept | None = None, *, prices: Prices | None = None
) -> Table:
    """Zones with their figures; where some are provisional, firm and provisional ones are summed apart.

    Args:
        job: The job.
        repairs: Its work-out.
        sheet: Zones that reach this level only; None for all.
        kept: What was made before.
        prices: What they cost; None: nobody asks.
    """
    kept = kept or Kept()
    listed = tuple(_listed(job, repairs, sheet, kept, prices))
    if not listed:
        return Table(lines=())
    tallies = kept.of(("sums of zones", sheet, prices is None), (), lambda: (Tally(_figures_of), Tally(_counted)))
    figures, counts = tallies[0].of(listed), tallies[1].of(listed)
    sums = tuple(
        _zone_sum(words, counts[loose], {name: total for (of, name), total in figures.items() if of is loose})
        for words, loose in (("Firm", False), ("Provisional", True))
        if loose in counts
    )
    both: dict[str, Decimal] = defaultdict(Decimal)
    for (_, name), total in figures.items():
        both[name] += total
    lines = tuple(each.line for each in listed)
    return Table(lines=lines, sums=(*(sums if True in counts else ()), _zone_sum("", sum(counts.values()), both)))


class _Listed(NamedTuple):
    """A zone, what it costs where that is asked, and its line."""

    zone: Zone
    price: ZonePrice | None
    line: Line


def zone_lines(
    job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept, *, prices: Prices | None = None
) -> Iterator[Line]:
    """The lines of ``zone_table``, made one by one as they are asked for."""
    return (each.line for each in _listed(job, repairs, sheet, kept, prices))


def _listed(job: Job, repairs: Repairs, sheet: UUID | None, kept: Kept, prices: Prices | None) -> Iterator[_Listed]:
    """Zones with their lines, each the very same while its zone is: a leak that is another value makes another zone."""
    zones = _zones_on(repairs, sheet)
    shared = job.sheets, job.units, job.grid, job.joints
    made: dict[int, _Listed] = kept.of(("lines of", sheet, prices is None), shared, dict)
    for zone in zones:
        price = None if prices is None else prices.by_ref[zone.ref]
        held = made.get(id(zone))
        if held is None or held.price is not price:
            held = made[id(zone)] = _Listed(zone, price, _line(job, zone, sheet, kept, price))
        yield held
    for left in made.keys() - set(map(id, zones)):
        del made[left]


def _line(job: Job, zone: Zone, sheet: UUID | None, kept: Kept, price: ZonePrice | None) -> Line:
    """The line of a zone, made once for all that it follows from."""
    values = _zone_values(job, zone, kept)
    line = kept.of(("zone", zone.number, sheet), values, partial(_zone_line, job, zone, sheet))
    if price is None or line.elsewhere:
        return line
    return kept.of(("priced zone", zone.number, sheet), (line, price), partial(_with_price, job, line, price))


def _with_price(job: Job, line: Line, price: ZonePrice) -> Line:
    """A zone's line with what it costs; one that no rate is for says so, and is never taken as nothing."""
    if price.price is not None:
        return replace(line, values={**line.values, "price": price.price})
    tip = f"{line.tip} {capital(in_trade_words(job.units, price.why))}.".lstrip()
    return replace(line, values={**line.values, "price": NOT_PRICED}, alarm=line.alarm | {"price"}, tip=tip)


def _zones_on(repairs: Repairs, sheet: UUID | None) -> list[Zone]:
    """Zones that reach a level; None for all."""
    return [zone for zone in repairs.zones if sheet is None or sheet in zone.sheets]


def as_built_table(job: Job, repairs: Repairs, sheet: UUID | None) -> Table:
    """Every zone that was issued, with its metres as issued; what was really done is empty until it is recorded.

    Args:
        job: The job.
        repairs: Its work-out: it knows where movement joints are kept clear, which is not measured.
        sheet: Zones that reach this level only; None for all.
    """
    found: dict[int, dict[UUID, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    hidden = _hidden(job, repairs)
    for stretch in job.issued.values():
        joint = job.joints.get(stretch.joint)
        if joint is not None:
            spans = _open(spans_of(joint, stretch.from_m, stretch.to_m), hidden[joint.id])
            found[stretch.zone][joint.sheet] += measured(spans, job.rules.measuring_step_m)
    lines = tuple(
        Line(
            where=Where("zone", number),
            sheet=next(iter(on)),
            values={"zone": reference(Series.ZONE, number), "issued": sum(on.values(), ZERO)},
        )
        for number, on in sorted(found.items())
        if sheet is None or sheet in on
    )
    if not lines:
        return Table(lines=())
    total: dict[str, Value] = {"zone": "Total", "issued": sum_of(lines, "issued")}
    return Table(lines=lines, sums=(Line(values=total),))


def _hidden(job: Job, repairs: Repairs) -> dict[UUID, tuple[Span, ...]]:
    """What is hidden or kept clear on each joint."""
    found: dict[UUID, list[Span]] = defaultdict(list)
    for joint in job.joints.values():
        for blind in joint.blind:
            found[joint.id] += spans_of(joint, blind.from_m, blind.to_m)
    for zone in repairs.zones:
        for part in zone.blind:
            found[part.joint].append((float(part.from_m), float(part.to_m)))
    return defaultdict(tuple, {key: merged(spans) for key, spans in found.items()})


def _open(spans: Iterable[Span], hidden: Iterable[Span]) -> Iterator[Span]:
    """What of some stretches is not hidden; only that is measured."""
    every = tuple(hidden)
    for from_m, to_m in spans:
        at_m = from_m
        for start_m, stop_m in every:
            if at_m < stop_m and start_m < to_m:
                if start_m > at_m:
                    yield at_m, start_m
                at_m = stop_m
        if at_m < to_m:
            yield at_m, to_m


def home_of(zone: Zone) -> UUID:
    """The level that a zone is counted on: the first that it lies on."""
    return zone.sheets[0]


def _zone_values(job: Job, zone: Zone, kept: Kept) -> tuple[object, ...]:
    """All that a zone's line is made from."""
    leaks = kept.of(("leaks of", zone.number), (zone,), partial(_leaks_of, zone))
    ends = (zone.rows[0].joint, zone.rows[-1].joint) if zone.rows else ()
    return (
        zone,
        job.sheets[home_of(zone)],
        job.units,
        job.grid,
        *map(job.joints.get, ends),
        *map(job.leaks.get, leaks),
    )


def _leaks_of(zone: Zone) -> tuple[UUID, ...]:
    return tuple({leak: None for piece in zone.pieces for leak in piece.leaks})


def _zone_line(job: Job, zone: Zone, sheet: UUID | None) -> Line:
    home = job.sheets[home_of(zone)]
    line = Line(
        where=Where("zone", zone.number),
        sheet=home.id if sheet is None else sheet,
        values={
            "zone": zone.ref,
            "method": in_trade_words(job.units, METHOD_WORDS[zone.method]),
            **_zone_places(job, zone),
        },
        ranks=_zone_ranks(job, zone),
        by_hand=_zone_hand(job, zone),
        tip=" ".join(
            part
            for part in (f"{in_trade_words(job.units, zone.method.value)}.", zone.why_provisional, *zone.holds)
            if part
        ),
    )
    if sheet not in (None, home.id):
        counted: dict[str, Value] = {"method": f"counted on {home.name}"}
        return replace(line, values={**line.values, **counted}, elsewhere=home.name)
    figures: dict[str, Value] = {
        "measured": zone.length_m,
        "chargeable": zone.chargeable_m,
        "area": zone.coat2_m2,
        "litres": zone.plug_l + zone.drypack_l,
    }
    return replace(line, values={**line.values, **figures})


def _figures_of(listed: _Listed) -> Iterator[tuple[tuple[bool, str], Decimal]]:
    """What a zone gives to the sums of firm or provisional ones; nothing where it is counted elsewhere."""
    for name in () if listed.line.elsewhere else _SUMMED:
        value = listed.line.values.get(name)
        if isinstance(value, Decimal):
            yield (listed.zone.provisional, name), value


def _counted(listed: _Listed) -> Iterator[tuple[bool, int]]:
    """The same of the number of zones."""
    if not listed.line.elsewhere:
        yield listed.zone.provisional, 1


def _zone_places(job: Job, zone: Zone) -> dict[str, Value]:
    """Where a zone starts and stops along its joints, and where that is on the grid."""
    if not zone.rows:
        return {"rule": "by rule"}
    first, last = zone.rows[0], zone.rows[-1]
    joint, end = job.joints[first.joint], job.joints[last.joint]
    hand = _zone_hand(job, zone)
    return {
        "from": f"{joint.ref} {job.units.shown(chainage_m(job, joint, first.from_m))}",
        "to": f"{end.ref} {job.units.shown(chainage_m(job, end, last.to_m))}",
        "grid": place_words(job, plan_point(joint, float(first.from_m))),
        "rule": f"{hand} by hand" if hand else "by rule",
    }


def _zone_ranks(job: Job, zone: Zone) -> dict[str, Rank]:
    """What the places of a zone are sorted by."""
    if not zone.rows:
        return {}
    first, last = zone.rows[0], zone.rows[-1]
    joint, end = job.joints[first.joint], job.joints[last.joint]
    return {
        "from": chainage_rank(joint.ref, chainage_m(job, joint, first.from_m)),
        "to": chainage_rank(end.ref, chainage_m(job, end, last.to_m)),
        "grid": place_rank(job, plan_point(joint, float(first.from_m))),
    }


def _zone_hand(job: Job, zone: Zone) -> str:
    words = {word for leak in _leaks_of(zone) for word in set_by_hand(job.leaks[leak]).split(" and ") if word}
    return " and ".join(sorted(words, reverse=True))


def _zone_sum(words: str, count: int, figures: Mapping[str, Decimal]) -> Line:
    if words:
        return Line(values={"method": f"{words}, {count}", **figures})
    return Line(values={"zone": "Total", "method": many(count, "zone"), **figures})
