"""What zones cost in the ledger: their cells, the sums, and what is said of those that no rate is for."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from leakmap.base.measures import Units
from leakmap.model.rates import Rates
from leakmap.model.words import Wetness
from leakmap.repair.price import Prices, priced
from leakmap.repair.work_out import repairs
from leakmap.work.check_list import Where
from leakmap.work.edits.leaks import set_wetness
from leakmap.work.edits.rules import set_units
from leakmap.work.kept import Kept
from leakmap.work.ledger_lines import Table
from leakmap.work.ledger_notes import Sign
from leakmap.work.ledger_order import in_order_of
from leakmap.work.ledger_prices import NOT_PRICED, kept_prices, picked_section, price_section, zone_price
from leakmap.work.ledger_zones import zone_table
from tests.helpers.ledger_hands import two_levels
from tests.helpers.small_jobs import leak_named

RATES = Rates(currency="EUR", slot_plug=Decimal("61.50"), job=Decimal(650))
JOB = replace(two_levels(), rates=RATES)
FOUND = repairs(JOB)
PRICES = priced(JOB, FOUND)
B2, B1 = JOB.sheets


def column(table: Table) -> list[object]:
    """The prices of a table, top down, then those of its sums."""
    return [line.values.get("price") for line in (*table.lines, *table.sums)]


def test_zones_have_their_price_and_those_without_a_rate_say_so() -> None:
    """Seep and drip over 0.9 and 1.8 m by 61.50 are 55.35 and 110.70; the jet has no rate: it is not priced, and not nothing."""
    table = zone_table(JOB, FOUND, B2, prices=PRICES)
    assert [line.values["chargeable"] for line in table.lines] == [Decimal("1.8"), Decimal("0.9"), Decimal("1.9")]
    assert column(table) == [Decimal("110.70"), Decimal("55.35"), NOT_PRICED, Decimal("166.05")]
    jet = table.lines[2]
    assert "price" in jet.alarm
    assert jet.tip.endswith("No rate for deep slot + plug + relief.")
    falling = in_order_of(table.lines, "price", falling=True)
    assert [line.values["price"] for line in falling] == [NOT_PRICED, Decimal("110.70"), Decimal("55.35")]
    assert column(zone_table(JOB, FOUND, B2)) == [None] * 4


def test_a_table_of_nothing_but_unpriced_zones_has_no_sum() -> None:
    """Where no zone is priced the total says nothing, and above all no 0.00."""
    job = replace(JOB, rates=Rates(currency="EUR", slot=Decimal(40)))
    assert column(zone_table(job, FOUND, B2, prices=priced(job, FOUND))) == [NOT_PRICED] * 3 + [None]


def test_what_the_whole_job_costs_is_said_below_with_what_is_not_priced() -> None:
    """Zones of both levels, 110.70 + 55.35 + 98.40, and 650 once; the jet is named with why, and leads to the plan."""
    section = price_section(JOB, FOUND, PRICES)
    total, unpriced = section.notes
    assert section.heading == "Price of the whole job"
    assert total.words.replace("\u00a0", " ") == "from 914.45 EUR, without tax"
    assert total.more.replace("\u00a0", " ") == "zones 264.45 EUR · moving in and out 650.00 EUR"
    assert unpriced.words == "1 zone is not priced: no rate for deep slot + plug + relief (Z-03)"
    assert (unpriced.sign, unpriced.where, unpriced.shows) == (Sign.LOOK, Where("zone", 3), True)


def test_a_picked_zone_tells_how_its_price_is_made_up() -> None:
    """One line by line: 1.9 m by 120 is 228, one relief point 85; several one by one, and what they come to together."""
    rates = replace(RATES, deep_plug_relief=Decimal(120), relief_point=Decimal(85))
    every = priced(replace(JOB, rates=rates), FOUND)

    def told(*picked: int, prices: Prices = every) -> list[str]:
        section = picked_section(JOB, FOUND, frozenset(picked), prices)
        if section is None:
            return []
        notes = [f"{note.words}|{note.more}".replace("\u00a0", " ").removesuffix("|") for note in section.notes]
        return [section.heading, *notes]

    assert told(3) == [
        "Price of Z-03",
        "Deep slot + plug + relief, 228.00 EUR|1.900 m × 120.00",
        "Relief point, 85.00 EUR|1 × 85.00",
    ]
    assert told(1, 3) == ["Price of 2 zones", "Z-01, 110.70 EUR", "Z-03, 313.00 EUR", "Together, 423.70 EUR"]
    assert told(1, 3, prices=PRICES)[2:] == ["Z-03, not priced", "Together, 110.70 EUR|1 zone not priced, not in it"]
    assert told() == told(3, prices=PRICES) == []


def test_prices_are_written_as_the_job_is_read() -> None:
    """Swiss marks of thousands, the franc of the job, and words of the US trade in an imperial job."""
    job = replace(JOB, units=Units(JOB.units.system, "de-CH"), rates=replace(RATES, currency="CHF", job=Decimal(12650)))
    assert "12’914.45" in price_section(job, FOUND, priced(job, FOUND)).notes[0].words
    job = set_units(JOB, units=Units.IMPERIAL).job
    found = repairs(job)
    assert "no rate for deep groove + plug + relief" in price_section(job, found, priced(job, found)).notes[1].words


def test_a_zone_is_priced_again_only_when_it_or_a_rate_changes() -> None:
    """After an edit of one leak the other zones have the very same price, and line; after a rate every zone has another."""
    kept = Kept()
    before = {zone.number: zone_price(JOB, zone, kept) for zone in FOUND.zones}
    lines = zone_table(JOB, FOUND, B2, kept, prices=kept_prices(JOB, FOUND, kept)).lines
    job = set_wetness(JOB, leak=leak_named(JOB, "L-01").id, wetness=Wetness.DAMP).job
    found = repairs(job)
    zones = {zone.number: zone if zone != old else old for zone, old in zip(found.zones, FOUND.zones, strict=True)}
    same = [number for number, zone in zones.items() if zone_price(job, zone, kept) is before[number]]
    assert same == [1, 2, 4]
    found = replace(found, zones=tuple(zones.values()))
    assert zone_table(job, found, B2, kept, prices=kept_prices(job, found, kept)).lines[0] is lines[0]
    dearer = replace(JOB, rates=replace(RATES, slot_plug=Decimal(62)))
    assert zone_price(dearer, FOUND.zones[0], kept).price == Decimal("111.60")


@pytest.mark.parametrize("sheet", [B1, None])
def test_sums_are_of_the_rows_above(sheet: object) -> None:
    """On any level, and for the whole job, the total is what its rows add up to."""
    *rows, total = column(zone_table(JOB, FOUND, sheet, prices=PRICES))  # type: ignore[arg-type] # an id or None
    assert total == sum(price for price in rows if isinstance(price, Decimal))
