"""What is mixed, in words and as rows for machines, as every paper gives it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Final

from leakmap.base.counted import many
from leakmap.base.csv_text import table_text
from leakmap.base.json_text import Json
from leakmap.base.measures import AREA, MASS, VOLUME, Scale, Units
from leakmap.base.rounding import with_thousandths
from leakmap.model.job import Job
from leakmap.model.materials import MATERIAL_WORDS
from leakmap.repair.batches import Batches
from leakmap.repair.needs import Need, Ordered, mixes_of, needs_of, order_of
from leakmap.repair.results import Repairs

COLUMNS: Final = (
    "zone", "material", "use", "area_m2", "volume_l", "powder_kg", "powder_l", "water_l", "full_batches",
    "full_batch_l", "rest_batch_l", "not_known",
)  # fmt: skip
UNKNOWN: Final = "–"
"""Stands on paper for what is not known."""


_POUND, _CUBIC_FOOT_L, _SQUARE_FOOT = (of.imperial.size for of in (MASS, VOLUME, AREA))
_NEAR: Final = {
    "kg": MASS.imperial,
    "L": VOLUME.imperial,
    "L/min": replace(VOLUME.imperial, symbol=f"{VOLUME.imperial.symbol}/min"),
    "kg/m³": Scale(symbol="lb/cu ft", size=_POUND / _CUBIC_FOOT_L * 1000, places=1),
    "kg/m²": Scale(symbol="lb/sq ft", size=_POUND / _SQUARE_FOOT, places=3),
}
"""How figures of a material are read in a job in feet, by the unit that they are kept in."""


def figure_words(units: Units, value: float | None, unit: str) -> str:
    """A figure of a material as it was entered, with its unit; in feet what that comes near beside it, as with slots.

    >>> figure_words(Units.METRIC, 1505.74, "kg/m³"), figure_words(Units.IMPERIAL, 1505.74, "kg/m³")
    ('1505.74 kg/m³', '1505.74 kg/m³ (94.0 lb/cu ft)')
    >>> figure_words(Units.IMPERIAL, 3.5, ""), figure_words(Units.IMPERIAL, None, "kg")
    ('3.5', '–')
    """
    if value is None:
        return UNKNOWN
    exact = f"{units.number(Decimal(repr(value)).normalize())} {unit}".rstrip()
    if units.metric or unit not in _NEAR:
        return exact
    return f"{exact} ({replace(_NEAR[unit], locale=units.locale).said(value)})"


def kilograms(units: Units, kg: Decimal | None) -> str:
    """A mass without its unit."""
    return UNKNOWN if kg is None else MASS[units].shown(kg)


def litres(units: Units, volume_l: Decimal | None) -> str:
    """A volume without its unit."""
    return UNKNOWN if volume_l is None else VOLUME[units].shown(volume_l)


def batch_words(units: Units, batches: Batches | None) -> str:
    """Batches in little room: how many full ones, and what the rest is.

    >>> from decimal import Decimal
    >>> batch_words(Units.METRIC, Batches(full=2, full_l=Decimal(1), rest_l=Decimal("0.35")))
    '2 + 0.350'
    """
    if batches is None:
        return UNKNOWN
    parts = [str(batches.full)] if batches.full else []
    parts += [litres(units, batches.rest_l)] if batches.rest_l else []
    return " + ".join(parts)


def batches_said(units: Units, batches: Batches) -> str:
    """Batches for a sentence.

    >>> from decimal import Decimal
    >>> batches_said(Units.METRIC, Batches(full=2, full_l=Decimal(1), rest_l=Decimal("0.35")))
    '2 batches of 1.000 L and one of 0.350 L'
    """
    rest = VOLUME[units].said(batches.rest_l)
    if not batches.full:
        return f"one batch of {rest}"
    full = f"{many(batches.full, 'batch', 'batches')} of {VOLUME[units].said(batches.full_l)}"
    return f"{full} and one of {rest}" if batches.rest_l else full


def placed_words(units: Units, need: Need) -> str:
    """A material, and how much of it a zone takes in place: dry-pack, 0.925 L."""
    placed = AREA[units].said(need.area_m2) if need.area_m2 is not None else ""
    if need.area_m2 is None and need.volume_l is not None:
        placed = VOLUME[units].said(need.volume_l)
    return f"{need.words}, {placed}"


def mixed_words(units: Units, need: Need) -> str:
    """Powder, water and batches of it, or what is not given."""
    if need.powder_kg is None:
        return need.why
    parts = [f"{MASS[units].said(need.powder_kg)} powder"]
    if need.water_l is not None:
        parts.append(f"{VOLUME[units].said(need.water_l)} water")
    if need.batches is not None:
        parts.append(batches_said(units, need.batches))
    return ", ".join(parts)


def order_words(units: Units, ordered: Ordered) -> str:
    """What is ordered of a material, as one clause."""
    if ordered.net_kg is None or ordered.with_waste_kg is None:
        return f"{ordered.words}: {ordered.why}"
    parts = [f"{MASS[units].said(ordered.with_waste_kg)} powder"]
    if ordered.with_waste_kg != ordered.net_kg:
        parts[0] += f" ({MASS[units].said(ordered.net_kg)} net)"
    if ordered.bags is not None:
        parts.append(many(ordered.bags, "bag"))
    if ordered.water_l is not None:
        parts.append(f"{VOLUME[units].said(ordered.water_l)} water")
    if ordered.batches is not None:
        parts.append(many(ordered.batches, "batch", "batches"))
    return f"{ordered.words}: {', '.join(parts)}"


def order_of_job(job: Job, repairs: Repairs) -> tuple[Ordered, ...]:
    """What is ordered for all zones."""
    mixes = mixes_of(job)
    return order_of(job, (need for zone in repairs.zones for need in needs_of(job, zone, mixes)))


def needs_csv(job: Job, repairs: Repairs) -> str:
    """What every zone takes, as CSV text: metric in a job of any units, decimal points in any locale."""
    mixes = mixes_of(job)
    rows = ((zone.ref, need) for zone in repairs.zones for need in needs_of(job, zone, mixes))
    return table_text(COLUMNS, (_cells(ref, need) for ref, need in rows))


def needs_json(needs: Iterable[Need]) -> list[Json]:
    """What a zone takes, as JSON holds it."""
    return [
        {
            "material": need.material,
            "use": need.words,
            "area_m2": _plain(need.area_m2),
            "volume_l": _plain(need.volume_l),
            "powder_kg": _plain(need.powder_kg),
            "powder_l": _plain(need.loose_l),
            "water_l": _plain(need.water_l),
            "batches": None
            if need.batches is None
            else {
                "full": need.batches.full,
                "full_l": _plain(need.batches.full_l),
                "rest_l": _plain(need.batches.rest_l),
            },
            "not_known": need.why,
        }
        for need in needs
    ]


def order_json(job: Job, repairs: Repairs) -> dict[str, Json]:
    """The order and the material table that it follows from, as JSON holds them."""
    return {
        "filling": job.materials.filling.value,
        "order": [
            {
                "material": each.material,
                "powder_kg": _plain(each.net_kg),
                "powder_with_waste_kg": _plain(each.with_waste_kg),
                "powder_l": _plain(each.loose_l),
                "water_l": _plain(each.water_l),
                "bags": each.bags,
                "batches": each.batches,
                "not_known": each.why,
            }
            for each in order_of_job(job, repairs)
        ],
        "table": {name: _table(job, name) for name in MATERIAL_WORDS},
    }


def _table(job: Job, name: str) -> dict[str, Json]:
    material = getattr(job.materials, name)
    figures = ((key, getattr(material, key)) for key in material.__slots__)
    return {key: {"value": each.value, "origin": each.origin} for key, each in figures if each.value is not None}


def _cells(ref: str, need: Need) -> tuple[str, ...]:
    batches = need.batches
    figures = (need.area_m2, need.volume_l, need.powder_kg, need.loose_l, need.water_l)
    counted = ("", "", "") if batches is None else (str(batches.full), _text(batches.full_l), _text(batches.rest_l))
    return (ref, need.material, need.words, *map(_text, figures), *counted, need.why)


def _text(value: Decimal | None) -> str:
    return "" if value is None else str(with_thousandths(value))


def _plain(value: Decimal | None) -> Json:
    return None if value is None else with_thousandths(value)
