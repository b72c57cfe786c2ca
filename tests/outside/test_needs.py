"""Powder, water and batches of zones, against the method of absolute volumes and published figures.

Sources: a published summary of ACI 211.1-91 (loose cement 94 lb/ft³, specific gravity 3.15); coat weight 1.5 lb/yd² as
0.81374 kg/m² (16 CFR 500.19 factors, computed); ratios by volume are common practice, no published source. The composed
example (4.00 m, slot of 25 by 40 mm, coat of 300 mm) is our numbers with published factors.
"""

from __future__ import annotations

from dataclasses import fields, replace
from decimal import Decimal
from math import ceil
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from leakmap.base.measures import MASS, VOLUME, Units
from leakmap.model.materials import MATERIAL_WORDS, Figure, Filling, Material, Materials
from leakmap.records.tables.material_table import planning_materials
from leakmap.repair.batches import batches_of, most_l
from leakmap.repair.needs import NO_COVERAGE, NO_LIMIT, NO_MIX, mix_of, needs_of, order_of
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from tests.helpers.paper_job import paper_job

PLANNING = planning_materials()
JOB = replace(paper_job(), materials=PLANNING)
FOUND = repairs(JOB)
LITRES = st.decimals(min_value="0.001", max_value=500, places=3)
MINUTES = st.floats(min_value=0.5, max_value=90)
POUNDS_A_SQUARE_YARD = 0.45359237 / 0.9144**2


def with_coverage(kg_per_m2: float) -> Materials:
    """The planning table with what a coat takes."""
    coat = replace(PLANNING.slurry_coat, coverage_kg_per_m2=Figure(value=kg_per_m2, origin="test"))
    return replace(PLANNING, slurry_coat=coat)


@pytest.mark.parametrize(
    ("powder", "water", "kg_per_m3", "density"),
    [(5, 2, 1714.9, 2170.5), (3, 1, 1855.9, 2266.7), (3.5, 1, 1971.6, 2345.7), (4, 1, 2068.3, 2411.7)],
)
def test_a_mix_is_that_of_absolute_volumes(powder: float, water: float, kg_per_m3: float, density: float) -> None:
    """Bulk 1505.74, solid 3150 kg/m³, no air: powder of a cubic metre and its wet density (ACI 211.1, computed)."""
    facts = {"parts_powder": powder, "parts_water": water, "bulk_kg_per_m3": 1505.74, "solid_kg_per_m3": 3150}
    mix = mix_of(Material(**{name: Figure(value=value) for name, value in facts.items()}))
    assert mix is not None
    assert mix.powder_kg * 1000 == pytest.approx(kg_per_m3, abs=0.05)
    assert (mix.powder_kg + mix.water_l) * 1000 == pytest.approx(density, abs=0.05)
    assert mix.loose_l / mix.water_l == pytest.approx(powder / water)


def test_coats_of_a_published_weight() -> None:
    """Two coats of 1.5 lb/yd² on 1.20 m²: 0.81374 kg/m² each, 1.953 kg net, 2.148 kg with a tenth of waste."""
    assert pytest.approx(0.81374, abs=5e-6) == 1.5 * POUNDS_A_SQUARE_YARD
    job = replace(JOB, materials=with_coverage(0.81374), rules=replace(JOB.rules, waste_share=0.1))
    zone = replace(
        FOUND.zones[0], coat1_m2=Decimal("1.200"), coat2_m2=Decimal("1.200"), plug_l=Decimal(0), drypack_l=Decimal(0)
    )
    needs = needs_of(job, zone)
    (coat,) = order_of(job, needs)
    assert [need.powder_kg for need in needs] == [Decimal("0.98"), Decimal("0.98")]
    assert (coat.net_kg, coat.with_waste_kg) == (Decimal("1.96"), Decimal("2.16"))
    exact = 2 * 1.2 * 0.81374
    assert exact == pytest.approx(1.953, abs=5e-4)
    assert exact * 1.1 == pytest.approx(2.148, abs=5e-4)
    assert float(coat.net_kg) == pytest.approx(exact, abs=0.01)


@given(LITRES, LITRES)
def test_batches_of_a_volume_are_that_volume(volume_l: Decimal, limit_l: Decimal) -> None:
    """Full batches and the rest are the volume to the last millilitre; none is over the limit, the rest is below it."""
    found = batches_of(volume_l, limit_l)
    assert found.total_l == volume_l
    assert found.full_l <= limit_l
    assert 0 <= found.rest_l < limit_l
    assert found.number == ceil(volume_l / limit_l)


@given(st.floats(min_value=0.01, max_value=5), MINUTES, st.floats(min_value=0.01, max_value=50))
def test_a_batch_is_placed_in_time_and_fits_the_pail(rate: float, minutes: float, pail: float) -> None:
    """The largest batch is at most rate by time and at most the pail, and no whole millilitre more would be."""
    step = VOLUME[Units.METRIC].step
    material = Material(
        placing_l_per_min=Figure(value=rate), pot_life_min=Figure(value=minutes), pail_l=Figure(value=pail)
    )
    found = most_l(material, step)
    assert found is not None
    assert float(found) <= min(rate * minutes, pail) + 1e-9
    assert float(found + step) > min(rate * minutes, pail)


def test_the_order_is_the_sum_of_what_zones_print() -> None:
    """Powder, water and volume of every material are sums of the figures that stand with the zones, in either system."""
    for units in Units.EACH:
        job = replace(set_units(JOB, units=units).job, materials=with_coverage(0.8))
        found = repairs(job)
        needs = [need for zone in found.zones for need in needs_of(job, zone)]
        order = {each.material: each for each in order_of(job, needs)}
        assert order.keys() == {"plugging_mortar", "slurry_coat", "dry_pack"}
        for name, each in order.items():
            own = [need for need in needs if need.material == name]
            assert each.net_kg == sum(need.powder_kg or 0 for need in own)
            assert each.water_l == sum(need.water_l or 0 for need in own)
            assert each.batches == sum(need.batches.number for need in own if need.batches is not None)
            assert all(need.batches is not None and need.batches.total_l == need.volume_l for need in own)
            assert each.net_kg is not None
            assert each.net_kg % MASS[job.units].step == 0
        plug, pack = order["plugging_mortar"], order["dry_pack"]
        assert (plug.volume_l, pack.volume_l) == (found.totals.plug_l, found.totals.drypack_l)


@pytest.mark.parametrize(("bag_kg", "bags"), [(25.0, 1), (0.5, None), (None, None)])
def test_bags_are_whole_and_enough(bag_kg: float | None, bags: int | None) -> None:
    """As few whole bags as hold the powder with its waste; none are counted where nobody said what a bag holds."""
    plug = replace(PLANNING.plugging_mortar, bag_kg=Figure(value=bag_kg))
    job = replace(JOB, materials=replace(PLANNING, plugging_mortar=plug), rules=replace(JOB.rules, waste_share=0.05))
    zone = replace(FOUND.zones[0], plug_l=Decimal("3.000"))
    order = next(each for each in order_of(job, needs_of(job, zone)) if each.material == "plugging_mortar")
    if bag_kg is None:
        assert order.bags is None
        return
    assert order.bags is not None
    assert order.with_waste_kg is not None
    assert (order.bags - 1) * Decimal(str(bag_kg)) < order.with_waste_kg <= order.bags * Decimal(str(bag_kg))
    assert bags is None or order.bags == bags


def test_what_is_not_given_is_said() -> None:
    """Without coverage, mix or limit of a batch a figure stays empty and a clause says which is missing."""
    zone = next(zone for zone in FOUND.zones if zone.plug_l)
    shipped = {need.words: need for need in needs_of(JOB, zone)}
    assert shipped["slurry coat, coat 1"].why == NO_COVERAGE
    assert shipped["slurry coat, coat 1"].powder_kg is None
    assert shipped["plugging mortar"].why == ""
    bare = {need.words: need for need in needs_of(replace(JOB, materials=Materials()), zone)}
    assert bare["plugging mortar"].why == f"{NO_MIX}; {NO_LIMIT}"
    assert bare["plugging mortar"].volume_l == zone.plug_l
    for need in bare.values():
        assert need.powder_kg is None


def test_repair_mortar_takes_the_place_of_dry_pack() -> None:
    """Where the job fills with repair mortar, no zone takes dry-pack, and the volume is the same."""
    job = replace(JOB, materials=replace(PLANNING, filling=Filling.REPAIR_MORTAR))
    for zone in FOUND.zones:
        needs = {need.material: need for need in needs_of(job, zone)}
        assert "dry_pack" not in needs
        if zone.drypack_l:
            assert needs["repair_mortar"].volume_l == zone.drypack_l


@pytest.mark.parametrize("name", MATERIAL_WORDS)
def test_every_figure_that_ships_says_where_it_is_from(name: str) -> None:
    """No figure without an origin; what no published source gives (coverage, bags) does not ship at all."""
    material = getattr(PLANNING, name)
    given: dict[str, Any] = {item.name: getattr(material, item.name) for item in fields(material)}
    assert all(figure.origin for figure in given.values() if figure.value is not None)
    assert given["coverage_kg_per_m2"].value is None
    assert given["bag_kg"].value is None
