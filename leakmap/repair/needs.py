"""What is mixed for a zone: powder and water of each material, and its batches; then the order for all zones.

Powder follows from the volume that is placed by the method of absolute volumes (ACI 211.1), or, for coats, from what a
coat takes. Every figure is rounded once where it is printed, and sums are of those. Waste comes on top of the sums alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil
from typing import Final, TypeAlias

from leakmap.base.measures import MASS, VOLUME, Units
from leakmap.base.rounding import ZERO, rounded
from leakmap.model.job import Job
from leakmap.model.materials import MATERIAL_WORDS, Filling, Material
from leakmap.repair.batches import Batches, batches_of, most_l
from leakmap.repair.powder import WATER_KG_PER_M3, powder_kg_per_m3, water_powder_ratio
from leakmap.repair.results import Zone

NO_COVERAGE: Final = "what a coat takes is not given, so its powder is not known"
NO_MIX: Final = "its mix or a density is not given, so its powder is not known"
NO_LIMIT: Final = "neither pail nor placing rate is given, so its batches are not known"
_LITRES_PER_M3: Final = 1000
_COAT: Final = "slurry_coat"
_KG_STEPS: Final = {units.system: MASS[units].step for units in Units.EACH}
_LITRE_STEPS: Final = {units.system: VOLUME[units].step for units in Units.EACH}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """A material as it is mixed, for one litre of it wet.

    Attributes:
        powder_kg: Powder.
        water_l: Water; a litre has 1 kg.
        loose_l: The powder as it lies loose.
    """

    powder_kg: float
    water_l: float
    loose_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What a zone takes of one material.

    Attributes:
        material: Its field in ``Materials``.
        words: What it is called, and what for where it is used twice.
        area_m2: What is coated; None for what fills a volume.
        volume_l: What is placed, wet; None where it is not known.
        powder_kg: Its powder; None where it is not known.
        loose_l: The same as it lies loose.
        water_l: Its water.
        batches: Its batches; None where they are not known.
        why: One clause that says what is not known; empty where all is.
    """

    material: str
    words: str
    area_m2: Decimal | None = None
    volume_l: Decimal | None = None
    powder_kg: Decimal | None = None
    loose_l: Decimal | None = None
    water_l: Decimal | None = None
    batches: Batches | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """What is ordered of one material: sums of zones, waste on top, and whole bags.

    Attributes:
        net_kg: Sum of the powder of zones; None where that is not known.
        with_waste_kg: With the waste of the rules.
        bags: Whole bags for that; None where nobody gave what a bag holds.
        batches: Of all zones; None where they are not known.
        why: What is not known; empty where all is.
    """

    material: str
    words: str
    volume_l: Decimal | None
    net_kg: Decimal | None
    with_waste_kg: Decimal | None
    loose_l: Decimal | None
    water_l: Decimal | None
    bags: int | None
    batches: int | None
    why: str


Mixes: TypeAlias = Mapping[str, tuple[Mix | None, Decimal | None]]
"""How each material is mixed, and its largest batch in litres, by its field in ``Materials``; None where not known."""


def mix_of(material: Material) -> Mix | None:
    """A material as it is mixed; None where a figure that this takes is not given. Air that is not given is none.

    Source: the method of absolute volumes, ACI 211.1.
    """
    powder, water = material.parts_powder.value, material.parts_water.value
    bulk, solid = material.bulk_kg_per_m3.value, material.solid_kg_per_m3.value
    if powder is None or water is None or bulk is None or solid is None:
        return None
    ratio = water_powder_ratio(parts_powder=powder, parts_water=water, bulk_kg_per_m3=bulk)
    kg = powder_kg_per_m3(ratio, solid_kg_per_m3=solid, air_share=material.air_share.value or 0.0) / _LITRES_PER_M3
    return Mix(powder_kg=kg, water_l=kg * ratio * _LITRES_PER_M3 / WATER_KG_PER_M3, loose_l=kg / bulk * _LITRES_PER_M3)


def mixes_of(job: Job) -> Mixes:
    """How every material of a job is mixed, for whoever asks for many zones."""
    step_l = _LITRE_STEPS[job.units.system]
    every: dict[str, Material] = {name: getattr(job.materials, name) for name in MATERIAL_WORDS}
    return {name: (mix_of(material), most_l(material, step_l)) for name, material in every.items()}


def needs_of(job: Job, zone: Zone, mixes: Mixes | None = None) -> tuple[Need, ...]:
    """What a zone takes of each material, in the order in which they are placed; what it takes none of is left out.

    Args:
        job: The job.
        zone: One of its zones.
        mixes: Those of the job, where they are at hand.
    """
    filling = "dry_pack" if job.materials.filling is Filling.DRY_PACK else "repair_mortar"
    known = mixes or mixes_of(job)
    found = []
    if zone.plug_l:
        found.append(_placed(job, known, "plugging_mortar", zone.plug_l))
    if zone.coat1_m2:
        found.append(_coated(job, known, "coat 1", zone.coat1_m2))
    if zone.drypack_l:
        found.append(_placed(job, known, filling, zone.drypack_l))
    if zone.coat2_m2:
        found.append(_coated(job, known, "coat 2", zone.coat2_m2))
    return tuple(found)


def order_of(job: Job, needs: Iterable[Need]) -> tuple[Ordered, ...]:
    """What is ordered for the needs of zones, a line for each material that is used."""
    every = tuple(needs)
    return tuple(
        _ordered(job, name, [need for need in every if need.material == name])
        for name in MATERIAL_WORDS
        if any(need.material == name for need in every)
    )


def _placed(job: Job, mixes: Mixes, name: str, volume_l: Decimal) -> Need:
    mix = mixes[name][0]
    kg = None if mix is None else _kg(job, float(volume_l) * mix.powder_kg)
    return _mixed(job, mixes, Need(material=name, words=MATERIAL_WORDS[name], volume_l=volume_l, powder_kg=kg))


def _coated(job: Job, mixes: Mixes, coat: str, area_m2: Decimal) -> Need:
    """A coat: its powder by what a coat takes, and so what is mixed for it."""
    words, takes = f"{MATERIAL_WORDS[_COAT]}, {coat}", job.materials.slurry_coat.coverage_kg_per_m2.value
    if takes is None:
        return Need(material=_COAT, words=words, area_m2=area_m2, why=NO_COVERAGE)
    kg, mix = float(area_m2) * takes, mixes[_COAT][0]
    if mix is None:
        return Need(material=_COAT, words=words, area_m2=area_m2, powder_kg=_kg(job, kg), why=NO_MIX)
    volume_l = _litres(job, kg / mix.powder_kg)
    need = Need(material=_COAT, words=words, area_m2=area_m2, volume_l=volume_l, powder_kg=_kg(job, kg))
    return _mixed(job, mixes, need)


def _mixed(job: Job, mixes: Mixes, need: Need) -> Need:
    """With loose powder, water and batches of what is placed."""
    (mix, limit_l), volume_l = mixes[need.material], need.volume_l
    assert volume_l is not None
    litres = float(volume_l)
    unknown = [words for words, known in ((NO_MIX, mix), (NO_LIMIT, limit_l)) if known is None]
    return replace(
        need,
        loose_l=None if mix is None else _litres(job, litres * mix.loose_l),
        water_l=None if mix is None else _litres(job, litres * mix.water_l),
        batches=None if limit_l is None else batches_of(volume_l, limit_l),
        why="; ".join(unknown),
    )


def _ordered(job: Job, name: str, needs: list[Need]) -> Ordered:
    material: Material = getattr(job.materials, name)
    net_kg = sum_where_known(need.powder_kg for need in needs)
    ordered_kg, bags = None, None
    if net_kg is not None:
        ordered_kg = _kg(job, float(net_kg) * (1 + job.rules.waste_share))
        if material.bag_kg.value is not None:
            bags = ceil(ordered_kg / Decimal(repr(material.bag_kg.value)))
    batches = [need.batches.number for need in needs if need.batches is not None]
    return Ordered(
        material=name,
        words=MATERIAL_WORDS[name],
        volume_l=sum_where_known(need.volume_l for need in needs),
        net_kg=net_kg,
        with_waste_kg=ordered_kg,
        loose_l=sum_where_known(need.loose_l for need in needs),
        water_l=sum_where_known(need.water_l for need in needs),
        bags=bags,
        batches=sum(batches) if len(batches) == len(needs) else None,
        why="; ".join(dict.fromkeys(need.why for need in needs if need.why)),
    )


def sum_where_known(values: Iterable[Decimal | None]) -> Decimal | None:
    """Sum of figures; None where one of them is not known."""
    every = list(values)
    return None if any(value is None for value in every) else sum((value for value in every if value is not None), ZERO)


def _kg(job: Job, kg: float) -> Decimal:
    return rounded(kg, _KG_STEPS[job.units.system])


def _litres(job: Job, litres: float) -> Decimal:
    return rounded(litres, _LITRE_STEPS[job.units.system])
