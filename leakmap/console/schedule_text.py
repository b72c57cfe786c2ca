"""The repair schedule as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Final

from leakmap.base.counted import many
from leakmap.base.findings import Finding
from leakmap.base.rounding import rounded
from leakmap.model.chainage import printed_m
from leakmap.model.job import Job
from leakmap.repair.results import Repairs, Row, Zone

_HEADING: Final = ("zone", "sheet", "joint", "from m", "to m", "length m", "depth mm", "filling")
_NUMBERS: Final = frozenset({3, 4, 5, 6})
_MILLIMETRE: Final = Decimal("0.001")
_SHOWN: Final = 40
"""Findings that are printed before the rest is only counted."""


def schedule_text(job: Job, repairs: Repairs) -> str:
    """Zones with their stretches and quantities, what needs another method, findings and totals."""
    parts = [
        f"{job.name}: repair schedule, {many(len(repairs.zones), 'zone')}",
        _zones(job, repairs) if repairs.zones else "No joint has to be opened.",
        "\n".join(_another_method(job, repairs)),
        "\n".join(findings_text(repairs.findings)),
        totals_text(repairs),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def findings_text(findings: Sequence[Finding]) -> Iterator[str]:
    """Findings as lines, the first forty in full."""
    if findings:
        yield f"To look at ({len(findings)}):"
    yield from (f"  {finding.text}" for finding in findings[:_SHOWN])
    if len(findings) > _SHOWN:
        yield f"  and {len(findings) - _SHOWN} more."


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


def _zones(job: Job, repairs: Repairs) -> str:
    owners = [(zone, at, row) for zone in repairs.zones for at, row in enumerate(zone.rows)]
    lines = columns([_HEADING, *(_cells(job, zone, row, first=at == 0) for zone, at, row in owners)], _NUMBERS)
    found = [lines[0]]
    for (zone, at, _), line in zip(owners, lines[1:], strict=True):
        found.append(line)
        if at == len(zone.rows) - 1:
            found += [f"      {words}" for words in _quantities(job, zone)]
    return "\n".join(found)


def _cells(job: Job, zone: Zone, row: Row, *, first: bool) -> tuple[str, ...]:
    joint = job.joints[row.joint]
    return (
        zone.ref if first else "",
        job.sheet_of(joint).name,
        joint.ref,
        f"{printed_m(joint, row.from_m):.3f}",
        f"{printed_m(joint, row.to_m):.3f}",
        f"{row.length_m:.3f}",
        f"{row.depth_mm.normalize():f}",
        "plug, dry-pack" if row.plugged else "dry-pack",
    )


def _quantities(job: Job, zone: Zone) -> Iterator[str]:
    yield (
        f"{zone.length_m:.3f} m measured, {_plain(zone.chargeable_m)} m chargeable; coats {zone.coat1_m2:.3f} and"
        f" {zone.coat2_m2:.3f} m²; slot {zone.slot_l:.3f} L, plug {zone.plug_l:.3f} L, dry-pack {zone.drypack_l:.3f} L"
    )
    for relief in zone.relief:
        joint = job.joints[relief.joint]
        at_m = printed_m(joint, rounded(relief.at_m, _MILLIMETRE))
        yield f"relief point on {joint.ref} at {at_m:.3f} m, {relief.depth_mm.normalize():f} mm deep"
    if zone.provisional:
        yield f"not for work. {zone.why_provisional}"
    yield from zone.holds


def _another_method(job: Job, repairs: Repairs) -> Iterator[str]:
    if repairs.another_method:
        yield f"Needs another method ({len(repairs.another_method)}):"
    for item in repairs.another_method:
        leak, joint = job.leaks[item.leak], job.joints[item.joint]
        yield f"  {leak.ref} on {joint.ref}, {item.length_m:.3f} m: {item.why}"


def totals_text(repairs: Repairs) -> str:
    """The totals in three lines."""
    totals = repairs.totals
    return "\n".join(
        (
            (
                f"Joints {totals.joint_m:.3f} m, wet {totals.wet_m:.3f} m, repair {totals.repair_m:.3f} m"
                f" (provisional {totals.provisional_m:.3f} m, bridged {totals.bridged_m:.3f} m),"
                f" chargeable {_plain(totals.chargeable_m)} m."
            ),
            f"Saved by merging {totals.saved_m:.3f} m; hidden {totals.blind_m:.3f} m.",
            (
                f"Coats {totals.coat1_m2:.3f} and {totals.coat2_m2:.3f} m²; slot {totals.slot_l:.3f} L,"
                f" plug {totals.plug_l:.3f} L, dry-pack {totals.drypack_l:.3f} L."
            ),
        )
    )


def _plain(value: Decimal) -> str:
    """Two decimals at least, a third where it says something."""
    text = f"{value:.3f}"
    return text.removesuffix("0")
