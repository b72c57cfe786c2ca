"""What changed between two revisions, as text for a terminal and as tables for programs.

Machine copies hold every stretch, kept ones too, so that whoever adds up the rows finds both totals. Chainages are
printed ones, of the job in which the stretch is named: the later one, or for what is gone the earlier.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from leakmap.base.csv_text import table_text
from leakmap.base.json_text import Json, json_text
from leakmap.base.measures import Units
from leakmap.base.rounding import with_thousandths
from leakmap.base.trade_words import in_trade_words
from leakmap.issue.listed_words import listed_json, listed_words
from leakmap.issue.price_words import price_change, price_change_text
from leakmap.issue.zone_sums import QUANTITIES, total
from leakmap.model.chainage import printed_m
from leakmap.model.joint import Joint
from leakmap.model.materials import in_filling_words
from leakmap.model.printed import chainage_m
from leakmap.repair.compared import Compared, Placed, ZoneCompared, joint_of_stretch
from leakmap.repair.fates import fate_words
from leakmap.repair.results import zone_ref
from leakmap.repair.sides import Differences

SCHEMA: Final = 1
COLUMNS: Final = (
    "change", "zone_before", "zone", "sheet", "joint", "from_m", "to_m", "length_before_m", "length_m",
    "depth_before_mm", "depth_mm",
)  # fmt: skip
FIGURES: Final = (
    ("measured", "length_m"),
    ("chargeable", "chargeable_m"),
    *((words.lower(), name) for words, _, name in QUANTITIES),
)
"""Figures of zones whose sums are compared: words and name."""

UNITS: Final = {"m": "m", "m2": "m²", "l": "L"}
"""Their metric units, by what their names end in."""

ZONE_METRES: Final = ("before_m", "added_m", "gone_m", "passed_m", "anew_m", "after_m")
"""Metres of a zone that was compared, in the order in which they add up."""


def changes_csv(found: Differences) -> str:
    """Every stretch of both revisions as CSV text."""
    return table_text(COLUMNS, (tuple(map(_cell, _row(found, each).values())) for each in found.found.stretches))


def changes_json(found: Differences) -> str:
    """The comparison as JSON text, ended by a line feed."""
    value: dict[str, Json] = {
        "schema": SCHEMA,
        "job": found.new.job.name,
        "from": found.old.name,
        "to": found.new.name,
        "stretches": [_row(found, each) for each in found.found.stretches],
        "zones": [_zone(zone) for zone in found.found.zones],
        "fates": [fate_words(fate) for fate in found.found.fates],
        "listed": [listed_json(each) for each in found.listed],
        "totals": {
            name: {"before": with_thousandths(before), "after": with_thousandths(after)}
            for _, name, before, after in figures(found)
        },
    }
    change = price_change(found)
    if change is not None:
        value["price"] = {
            "before": {"currency": change.currency_before, "total": change.before},
            "after": {"currency": change.currency, "total": change.after},
            "all_zones_priced": change.whole,
        }
    return json_text(value) + "\n"


def figures(found: Differences) -> Iterator[tuple[str, str, Decimal, Decimal]]:
    """Sums of the zones of both: words, name, before and after."""
    filling = found.new.job.materials.filling
    for words, name in FIGURES:
        yield (
            in_filling_words(filling, words),
            name,
            total(found.old_repairs.zones, name),
            total(found.new_repairs.zones, name),
        )


def zone_words(found: Differences, zone: ZoneCompared) -> str:
    """What became of a zone, in a few words."""
    told = [fate_words(fate).split(" ", 1)[1] for fate in found.found.fates if fate.zone == zone.number]
    if told:
        return told[0]
    if not zone.before_m:
        heir = next((fate for fate in found.found.fates if zone.number in fate.heirs), None)
        return "new" if heir is None else f"parted from {zone_ref(heir.zone)}"
    if zone.added_m and zone.gone_m:
        return "longer and shorter"
    if zone.added_m or zone.gone_m:
        return "longer" if zone.added_m else "shorter"
    return "takes in others" if zone.passed_m > 0 else "gives part away" if zone.passed_m else "measured anew"


def change_words(units: Units, each: Compared) -> str:
    """What became of a stretch, in a word or two; where its slot is another, how deep it was."""
    if not each.cut_otherwise:
        return each.change.value
    assert each.before is not None
    filling = "" if each.before.plugged == each.shown.plugged else ", filled otherwise"
    return in_trade_words(units, f"slot was {units.depth_said(each.before.depth_mm)}{filling}")


def changes_text(found: Differences) -> str:
    """The comparison for a terminal."""
    units, between = found.new.job.units, f"{found.old.name} to {found.new.name}"
    lines = [f"{found.new.job.name}: changes from {between}", ""]
    changed = [zone for zone in found.found.zones if zone.changed]
    for zone in changed:
        parts = [units.printed(zone.before_m), f"+ {units.printed(zone.added_m)}", f"− {units.printed(zone.gone_m)}"]
        parts += [f"from other zones {units.printed(zone.passed_m)}"] if zone.passed_m else []
        parts += [f"measured anew {units.printed(zone.anew_m)}"] if zone.anew_m else []
        lines.append(
            f"{zone_ref(zone.number)} {zone_words(found, zone)}: {' '.join(parts)} = {units.printed(zone.after_m)}"
        )
    for each in found.found.changes:
        job, joint = joint_of_stretch(found.old.job, found.new.job, each)
        ends = " to ".join(units.printed(chainage_m(job, joint, at)) for at in (each.shown.from_m, each.shown.to_m))
        lines.append(
            f"  {zone_ref(each.shown.zone)} {joint.ref} {ends}: {change_words(units, each)}, {units.printed(each.shown.length_m)}"
        )
    lines += [f"  {listed_words(units, each)}" for each in found.listed]
    if len(lines) == 2:
        lines.append("Nothing changed.")
    total = [units.printed(found.found.sum_of(name)) for name in ("before_m", "added_m", "gone_m", "anew_m", "after_m")]
    lines += ["", "All zones: {} + {} − {} + measured anew {} = {}".format(*total)]
    lines += [
        f"  {in_trade_words(units, words)} {_figures_text(units, name, before, after)}"
        for words, name, before, after in list(figures(found))[1:]
        if before != after
    ]
    change = price_change(found)
    if change is not None:
        lines.append(f"  {price_change_text(units, change)}")
    return "\n".join(lines) + "\n"


def _figures_text(units: Units, name: str, before: Decimal, after: Decimal) -> str:
    """Two figures of one name as papers print them, with their unit."""
    unit = units.heading(f" {UNITS[name.rpartition('_')[2]]}").lstrip()
    return f"{units.figure(name, before)} to {units.figure(name, after)} {unit}".rstrip()


def _row(found: Differences, each: Compared) -> dict[str, Json]:
    job, joint = joint_of_stretch(found.old.job, found.new.job, each)
    return {
        "change": each.change.value,
        "zone_before": _ref(each.before),
        "zone": _ref(each.after),
        "sheet": job.sheet_of(joint).name,
        "joint": joint.ref,
        "from_m": _printed(joint, each.shown.from_m),
        "to_m": _printed(joint, each.shown.to_m),
        "length_before_m": _length(each.before),
        "length_m": _length(each.after),
        "depth_before_mm": _depth(each.before),
        "depth_mm": _depth(each.after),
    }


def _zone(zone: ZoneCompared) -> dict[str, Json]:
    return {"ref": zone_ref(zone.number), **{name: with_thousandths(getattr(zone, name)) for name in ZONE_METRES}}


def _ref(placed: Placed | None) -> str | None:
    return None if placed is None else zone_ref(placed.zone)


def _printed(joint: Joint, at_m: Decimal) -> Decimal:
    return with_thousandths(printed_m(joint, at_m))


def _length(placed: Placed | None) -> Decimal:
    return with_thousandths(Decimal() if placed is None else placed.length_m)


def _depth(placed: Placed | None) -> Decimal | None:
    return None if placed is None else Decimal(f"{placed.depth_mm.normalize():f}")


def _cell(value: Json) -> str:
    return "" if value is None else str(value)
