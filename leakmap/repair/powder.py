"""Powder for a volume placed, by the absolute-volume method.

The method (ACI 211.1): the volumes of what is mixed, solid powder, water and air, add up to one.
"""

from __future__ import annotations

from typing import Final

from leakmap.base.errors import BadValue
from leakmap.base.numbers import not_negative, positive

WATER_KG_PER_M3: Final = 1000.0


def water_powder_ratio(*, parts_powder: float, parts_water: float, bulk_kg_per_m3: float) -> float:
    """Water to powder by mass, of a mix by loose volume.

    Args:
        parts_powder: Parts of loose powder, greater than zero.
        parts_water: Parts of water, 0 or more.
        bulk_kg_per_m3: Bulk density of the loose powder.

    Raises:
        BadValue: A value is out of its range.

    >>> round(water_powder_ratio(parts_powder=5, parts_water=2, bulk_kg_per_m3=1505.74), 5)
    0.26565
    """
    powder = positive(parts_powder, "parts of powder") * positive(bulk_kg_per_m3, "bulk density of the powder")
    return not_negative(parts_water, "parts of water") * WATER_KG_PER_M3 / powder


def powder_kg_per_m3(ratio: float, *, solid_kg_per_m3: float, air_share: float = 0.0) -> float:
    """Powder in one cubic metre of wet material.

    Args:
        ratio: Water to powder by mass.
        solid_kg_per_m3: Density of the solid powder.
        air_share: Share of the wet volume that is air, from 0 to less than 1.

    Raises:
        BadValue: A value is out of its range.

    >>> round(powder_kg_per_m3(0.5, solid_kg_per_m3=3150), 1)
    1223.3
    """
    if not_negative(air_share, "share of air") >= 1:
        raise BadValue("The share of air must be less than 1.")
    volume_m3_per_kg = 1 / positive(solid_kg_per_m3, "density of the solid") + (
        not_negative(ratio, "water to powder ratio") / WATER_KG_PER_M3
    )
    return (1 - air_share) / volume_m3_per_kg
