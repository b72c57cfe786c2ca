"""Powder by the absolute-volume method.

Sources: a published summary of ACI 211.1-91 (94 lb sack: 0.48 ft³ solid, 588 lb: 2.99 ft³, water
62.4 lb/ft³, specific gravity 3.15) and a published metric worked example by the same method (water
228, cement 456, coarse 719, fine 883 kg/m³). The table of mixes by volume was computed from those.
"""

from __future__ import annotations

import pytest

from leakmap.base.errors import BadValue
from leakmap.records.tables.material_table import planning_materials
from leakmap.repair.powder import powder_kg_per_m3, water_powder_ratio

PLANNING = planning_materials()
CEMENTS = (PLANNING.plugging_mortar, PLANNING.slurry_coat, PLANNING.dry_pack)
POUND_KG = 0.45359237
CUBIC_FOOT_M3 = 0.028316846592


@pytest.mark.parametrize(
    ("powder", "water", "ratio", "kg"),
    [(5, 2, 0.26565, 1714.9), (3, 1, 0.22138, 1855.9), (3.5, 1, 0.18975, 1971.6), (4, 1, 0.16603, 2068.3)],
)
def test_mixes_by_volume(powder: float, water: float, ratio: float, kg: float) -> None:
    """Bulk 1505.74 kg/m³, solid 3150, no air: the ratio by mass and powder in a cubic metre; ``test_needs`` has wet density."""
    by_mass = water_powder_ratio(parts_powder=powder, parts_water=water, bulk_kg_per_m3=1505.74)
    assert by_mass == pytest.approx(ratio, abs=5e-6)
    assert powder_kg_per_m3(by_mass, solid_kg_per_m3=3150) == pytest.approx(kg, abs=0.05)


def test_a_sack_is_a_cubic_foot() -> None:
    """94 lb to the cubic foot is 1505.74 kg/m³, the planning value of loose cement."""
    for cement in CEMENTS:
        assert cement.bulk_kg_per_m3.value == pytest.approx(94 * POUND_KG / CUBIC_FOOT_M3, abs=0.005)


def test_absolute_volume_of_cement() -> None:
    """A sack of 94 lb is 0.48 ft³ of solid, 588 lb are 2.99 ft³: mass over (3.15 × 62.4 lb/ft³).

    Without water and air a cubic metre holds the solid's own density, and nothing else: 3150 kg/m³ as planned.
    """
    solid_lb_per_ft3 = powder_kg_per_m3(0.0, solid_kg_per_m3=3.15 * 62.4)
    assert 94 / solid_lb_per_ft3 == pytest.approx(0.478225, abs=1e-6)
    assert 588 / solid_lb_per_ft3 == pytest.approx(2.991453, abs=1e-6)
    for cement in CEMENTS:
        solid = cement.solid_kg_per_m3.value
        assert solid is not None
        assert powder_kg_per_m3(0.0, solid_kg_per_m3=solid) == pytest.approx(3150)


def test_metric_example_fills_one_cubic_metre() -> None:
    """456 kg cement at 3155 kg/m³, 228 kg water: the paste is 0.1445 + 0.228 m³ of the published cubic metre.

    The rest of it is coarse 0.270, fine 0.327 and air 0.030. Taken as a share of the whole that is no
    paste, the method gives back the published 456 kg.
    """
    not_paste = 1 - (456 / 3155 + 0.228)
    assert not_paste == pytest.approx(0.270 + 0.327 + 0.030, abs=1e-3)
    assert powder_kg_per_m3(0.5, solid_kg_per_m3=3155, air_share=not_paste) == pytest.approx(456, abs=1e-9)


def test_air_takes_its_share() -> None:
    """Air of 3 % leaves 97 % of the powder."""
    assert powder_kg_per_m3(0.3, solid_kg_per_m3=3150, air_share=0.03) == pytest.approx(
        0.97 * powder_kg_per_m3(0.3, solid_kg_per_m3=3150)
    )


@pytest.mark.parametrize("air", [-0.1, 1.0, float("nan")])
def test_impossible_air_is_refused(air: float) -> None:
    """A share of air below 0, of 1 and more, or that is no number gives one sentence."""
    with pytest.raises(BadValue):
        powder_kg_per_m3(0.3, solid_kg_per_m3=3150, air_share=air)


def test_no_powder_is_refused() -> None:
    """A mix without powder has no ratio."""
    with pytest.raises(BadValue, match="parts of powder"):
        water_powder_ratio(parts_powder=0, parts_water=2, bulk_kg_per_m3=1505.74)
