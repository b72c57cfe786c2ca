"""Sums of zones that several papers print: which figures, and over which zones."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from operator import attrgetter
from typing import Final

from leakmap.base.rounding import ZERO
from leakmap.repair.results import Repairs, Zone

QUANTITIES: Final = (
    ("Coat 1", "m²", "coat1_m2"),
    ("Coat 2", "m²", "coat2_m2"),
    ("Washing", "m²", "wash_m2"),
    ("Slot", "L", "slot_l"),
    ("Plug", "L", "plug_l"),
    ("Dry-pack", "L", "drypack_l"),
)
"""Areas and volumes of a zone: words, metric unit, and name."""

TOTALS: Final = (
    ("Repair, measured", "m", "length_m"),
    ("of which wet", "m", "wet_m"),
    ("of which bridged gaps", "m", "bridged_m"),
    ("Repair, chargeable", "m", "chargeable_m"),
    ("Blind, not measured", "m", "blind_m"),
    *QUANTITIES,
)
"""All figures of zones that are added up, in printing order."""

HEADED: Final = tuple((f"{words} {unit}", name) for words, unit, name in QUANTITIES)
"""Areas and volumes as columns: heading and name."""


def total(zones: Iterable[Zone], name: str) -> Decimal:
    """Sum of one figure of zones."""
    return sum(map(attrgetter(name), zones), ZERO)


def firm_and_provisional(repairs: Repairs) -> tuple[tuple[Zone, ...], tuple[Zone, ...]]:
    """Zones that may be worked to, and provisional ones."""
    firm = tuple(zone for zone in repairs.zones if not zone.provisional)
    return firm, tuple(zone for zone in repairs.zones if zone.provisional)
