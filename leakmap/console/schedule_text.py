"""The repair schedule as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from leakmap.base.counted import many
from leakmap.base.findings import Finding, to_look_at
from leakmap.base.measures import AREA, VOLUME
from leakmap.base.sentences import capital
from leakmap.issue.need_words import mixed_words, order_of_job, order_words, placed_words
from leakmap.issue.price_words import price_text, zone_price_words
from leakmap.model.job import Job
from leakmap.model.materials import in_filling_words
from leakmap.model.printed import chainage_m, printed
from leakmap.repair.needs import needs_of
from leakmap.repair.price import Prices, priced
from leakmap.repair.results import Repairs, Row, Totals, Zone
from leakmap.work.check_list import Check

_HEADINGS: Final = ("zone", "sheet", "joint", "from m", "to m", "length m", "depth mm", "filling")
_NUMBERS: Final = frozenset({3, 4, 5, 6})
_SHOWN: Final = 40
"""Findings that are printed before the rest is only counted."""


def schedule_text(job: Job, repairs: Repairs) -> str:
    """Zones with their stretches and quantities, what needs another method, findings, totals, order and price."""
    prices = priced(job, repairs) if job.rates.known else None
    parts = [
        f"{job.name}: repair schedule, {many(len(repairs.zones), 'zone')}",
        _zones(job, repairs, prices) if repairs.zones else "No joint has to be opened.",
        "\n".join(_another_method(job, repairs)),
        "\n".join(findings_text(repairs.findings)),
        totals_text(job, repairs),
        "\n".join(_order(job, repairs)),
        "\n".join(price_text(job, prices)) if prices is not None else "",
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def findings_text(findings: Sequence[Finding]) -> Iterator[str]:
    """Findings as lines, the first forty of a kind in full; what is merely told stands last."""
    looked = to_look_at(findings)
    told = [finding for finding in findings if finding not in looked]
    for heading, those in (("To look at", looked), ("For the record", told)):
        if those:
            yield f"{heading} ({len(those)}):"
        yield from (f"  {finding.text}" for finding in those[:_SHOWN])
        if len(those) > _SHOWN:
            yield f"  and {len(those) - _SHOWN} more."


def checks_text(checks: Sequence[Check]) -> Iterator[str]:
    """What needs a look, as the window lists it before an issue; a line says how it limits one, and where it lies."""
    if checks:
        yield f"Needs a look ({len(checks)}):"
    for check in checks[:_SHOWN]:
        more = "; ".join(words for words in (check.limits, f"at {check.at}" if check.at else "") if words)
        yield f"  {check.words}{f' ({more})' if more else ''}."
    if len(checks) > _SHOWN:
        yield f"  and {len(checks) - _SHOWN} more."


def columns(rows: Iterable[Sequence[str]], right: frozenset[int] = frozenset()) -> list[str]:
    """Rows as lines with aligned columns.

    >>> columns([("a", "1"), ("bb", "20")], frozenset({1}))
    ['a    1', 'bb  20']
    """
    kept = [list(row) for row in rows]
    widths = [max(map(len, cells)) for cells in zip(*kept, strict=True)]
    return [
        "  ".join(
            cell.rjust(width) if at in right else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in kept
    ]


def _zones(job: Job, repairs: Repairs, prices: Prices | None) -> str:
    owners = [(zone, at, row) for zone in repairs.zones for at, row in enumerate(zone.rows)]
    heading = tuple(map(job.units.heading, _HEADINGS))
    lines = columns([heading, *(_cells(job, zone, row, first=at == 0) for zone, at, row in owners)], _NUMBERS)
    found = [lines[0]]
    for (zone, at, _), line in zip(owners, lines[1:], strict=True):
        found.append(line)
        if at == len(zone.rows) - 1:
            found += [f"      {words}" for words in _quantities(job, zone, prices)]
    return "\n".join(found)


def _cells(job: Job, zone: Zone, row: Row, *, first: bool) -> tuple[str, ...]:
    joint = job.joints[row.joint]
    return (
        zone.ref if first else "",
        job.sheet_of(joint).name,
        joint.ref,
        job.units.measured(chainage_m(job, joint, row.from_m)),
        job.units.measured(chainage_m(job, joint, row.to_m)),
        job.units.measured(row.length_m),
        job.units.depth(row.depth_mm),
        in_filling_words(job.materials.filling, "plug, dry-pack" if row.plugged else "dry-pack"),
    )


def _quantities(job: Job, zone: Zone, prices: Prices | None) -> Iterator[str]:
    units = job.units
    yield (f"{units.printed(zone.length_m)} measured, {units.said(zone.chargeable_m)} chargeable; {_placed(job, zone)}")
    for relief in zone.relief:
        joint = job.joints[relief.joint]
        at = printed(job, joint, relief.at_m)
        yield f"relief point on {joint.ref} at {at}, {units.depth_said(relief.depth_mm)} deep"
    if job.materials.known:
        yield from (f"{placed_words(units, need)}: {mixed_words(units, need)}" for need in needs_of(job, zone))
    if prices is not None:
        yield zone_price_words(units, prices, prices.by_ref[zone.ref])
    if zone.provisional:
        yield f"not for work. {zone.why_provisional}"
    yield from zone.holds


def _order(job: Job, repairs: Repairs) -> Iterator[str]:
    if job.materials.known and repairs.zones:
        waste = f", with {job.units.plain(job.rules.waste_share * 100)} % waste" if job.rules.waste_share else ""
        yield f"To order{waste}:"
        yield from (f"  {order_words(job.units, each)}" for each in order_of_job(job, repairs))


def _another_method(job: Job, repairs: Repairs) -> Iterator[str]:
    if repairs.another_method:
        yield f"Needs another method ({len(repairs.another_method)}):"
    for item in repairs.another_method:
        leak, joint = job.leaks[item.leak], job.joints[item.joint]
        yield f"  {leak.ref} on {joint.ref}, {job.units.printed(item.length_m)}: {item.why}"


def totals_text(job: Job, repairs: Repairs) -> str:
    """The totals in three lines."""
    totals, units, printed = repairs.totals, job.units, job.units.printed
    return "\n".join(
        (
            (
                f"Joints {printed(totals.joint_m)}, wet {printed(totals.wet_m)}, repair {printed(totals.repair_m)}"
                f" (provisional {printed(totals.provisional_m)}, bridged {printed(totals.bridged_m)}),"
                f" chargeable {units.said(totals.chargeable_m)}."
            ),
            f"Saved by merging {printed(totals.saved_m)}; hidden {printed(totals.blind_m)}.",
            f"{capital(_placed(job, totals))}.",
        )
    )


def _placed(job: Job, of: Zone | Totals) -> str:
    """Coats and volumes of a zone, or of all."""
    area, volume = AREA[job.units], VOLUME[job.units]
    return (
        f"coats {area.shown(of.coat1_m2)} and {area.said(of.coat2_m2)}; slot {volume.said(of.slot_l)},"
        f" plug {volume.said(of.plug_l)}, {job.materials.filling.value} {volume.said(of.drypack_l)}"
    )
