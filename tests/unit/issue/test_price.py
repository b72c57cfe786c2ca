"""What papers say of the price: the same figures on each of them, for price alone."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from decimal import Decimal
from io import BytesIO, StringIO

import openpyxl
import pytest
from jsonschema import Draft202012Validator

from leakmap.base.measures import System, Units
from leakmap.base.resources import resource
from leakmap.console.schedule_text import schedule_text
from leakmap.issue.changes import changes_json, changes_text
from leakmap.issue.heading import told_changes, told_job
from leakmap.issue.listed_words import listed_csv, listed_words
from leakmap.issue.price_words import PRICE, price_csv
from leakmap.issue.schedule_json import schedule_json
from leakmap.issue.schedule_pdf import price_section
from leakmap.issue.schedule_pdf.schedule import changes_pdf, schedule_pdf
from leakmap.issue.workbook.workbook import workbook_xlsx
from leakmap.model.words import Purpose
from leakmap.repair.listed_changes import Sort
from leakmap.repair.price import TAX, priced
from leakmap.repair.sides import Side, differences
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from tests.helpers.page_texts import page_texts
from tests.helpers.paper_job import heading, paper_job
from tests.helpers.priced_job import EUR, priced_job

PLAIN = paper_job()
RATES = replace(EUR, slot=None, slot_plug=Decimal("61.555"), deep_plug_relief=Decimal("1096.40"))
"""There is none for a slot without plug, so a suspect is not priced."""

JOB = replace(PLAIN, rates=RATES)
FOUND = repairs(JOB)
PRICES = priced(JOB, FOUND)
ASKED = heading(Purpose.PRICE)
TOTAL = "Total, without tax; not all zones are priced"
"""What the last row of the paper's price is called while a zone has no rate."""


def test_the_job_of_these_tests_has_all_that_is_told() -> None:
    """A zone that is not priced, a provisional one that is, and a leak under another method."""
    assert [zone.why for zone in PRICES.not_priced] == ["no rate for slot, no plug"]
    assert any(zone.provisional and zone.price for zone in PRICES.zones)
    assert PRICES.another_method == 1


def test_the_table_for_programs_adds_up() -> None:
    """A row for each line and for what is not priced; amounts are quantity × rate, and add up to the total, in any locale."""
    text = price_csv(JOB, FOUND)
    rows = list(csv.DictReader(StringIO(text)))
    lines = [row for row in rows if row["amount"]]
    assert sum(Decimal(row["amount"]) for row in lines) == PRICES.total
    for row in lines:
        assert abs(Decimal(row["quantity"]) * Decimal(row["rate"]) - Decimal(row["amount"])) <= Decimal("0.005")
    assert [row["not_priced"] for row in rows if not row["amount"]] == ["no rate for slot, no plug"]
    assert rows[-1]["zone"] == ""
    german = replace(JOB, units=Units(System.METRIC, "de"))
    assert price_csv(german, repairs(german)) == text


def test_the_json_holds_exact_decimals_and_keeps_its_schema() -> None:
    """Lines, sums and rates with the decimals of their currency, as the schema describes them; none without rates."""
    text = schedule_json(JOB, FOUND)
    schema = json.loads(resource("resources", "texts", "schedule.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(json.loads(text))
    said = json.loads(text, parse_float=str)["price"]
    assert said["total"] == str(PRICES.total)
    assert [zone["price"] for zone in said["zones"]] == [
        None if z.price is None else str(z.price) for z in PRICES.zones
    ]
    assert (said["rates"]["slot_plug"], said["rates"]["zone"]) == ("61.555", "12.50")
    assert (said["currency"], said["per"], said["tax"]) == ("EUR", "metre", TAX)
    assert said["not_priced"][0].startswith("1 zone is not priced: no rate for slot, no plug (Z-")
    assert '"price"' not in schedule_json(PLAIN, FOUND)


@pytest.mark.parametrize("units", Units.EACH)
def test_the_workbook_reckons_live(units: Units) -> None:
    """Amounts are formulas of quantity and rate, a quantity that of the sheet of zones; their kept values are the price."""
    job = set_units(priced_job(), units=units).job
    found = repairs(job)
    prices = priced(job, found)
    content = workbook_xlsx(job, found, ASKED)
    kept, live = (openpyxl.load_workbook(BytesIO(content), data_only=data) for data in (True, False))
    rows = [row for row in kept["Price"].iter_rows(min_row=2, values_only=True) if row[6] is not None]
    assert sum(Decimal(str(row[6])) for row in rows) == prices.total
    first = next(row for row in live["Price"].iter_rows(min_row=2) if row[6].value is not None)
    assert first[3].value == ("=ROUND(Zones!F2,3)" if units.metric else "=ROUND(Zones!F2*0.3048,3)")
    assert first[5].value == "=Rates!$C$3"
    assert first[6].value == "=ROUND(D2*F2,2)"
    (summary,) = (row for row in kept["Summary"].iter_rows(values_only=True) if row[0] == f"{PRICE} EUR")
    firm, provisional, whole = (Decimal(str(value)) for value in summary[1:4])
    assert (firm + provisional, provisional, whole) == (prices.total, prices.provisional, prices.total)
    quiet = openpyxl.load_workbook(BytesIO(workbook_xlsx(job, found, heading())))
    assert not {"Price", "Rates"} & set(quiet.sheetnames)


@pytest.mark.slow
def test_very_many_zones_have_a_row_each(monkeypatch: pytest.MonkeyPatch) -> None:
    """Then the paper prints no other line of a zone than its first, says where they stand, and has the same total."""
    monkeypatch.setattr(price_section, "MOST_ZONES", 3)
    job = priced_job(replace(EUR, slot=None))
    prices = priced(job, repairs(job))
    text = " ".join(page_texts(schedule_pdf(job, repairs(job), drawings={}, heading=ASKED).data))
    assert "in the workbook and in price.csv" in text
    assert text.count("Setting up at a zone") == 1  # in the list of rates
    for words in (f"{TOTAL} {prices.total}", *(f"{zone.price}" for zone in prices.zones if zone.price)):
        assert words in text


def test_rates_are_told_for_price_alone() -> None:
    """For work, and while nobody says what a paper is for, the job that papers tell of has none."""
    assert told_job(JOB, heading(None)) == told_job(JOB, heading()) == PLAIN
    assert told_job(JOB, ASKED) is JOB
    assert told_job(PLAIN, heading()) is PLAIN


def test_the_terminal_says_each_price_and_the_total() -> None:
    """Each zone its price or why it has none, then sums and what is in none of them."""
    said = schedule_text(JOB, FOUND)
    assert f"total {PRICES.total}\xa0EUR" in said
    assert "not priced: no rate for slot, no plug" in said
    assert "1 leak needs another method and is not priced." in said
    assert TAX in said
    assert "Price" not in schedule_text(PLAIN, FOUND)


@pytest.mark.slow
def test_a_comparison_says_sums_and_rates_before_and_now() -> None:
    """Text, JSON, the list and the paper say them where both sides have rates; for work they say nothing of it."""
    dearer = replace(JOB, rates=replace(RATES, slot_plug=Decimal(70), corner=None))
    since = differences(Side("P01", JOB), Side("P02", dearer))
    now = priced(dearer, FOUND).total
    assert f"not all zones are priced: {PRICES.total}\xa0EUR to {now}\xa0EUR" in changes_text(since)
    said = json.loads(changes_json(since), parse_float=str)
    assert said["price"] == {
        "before": {"currency": "EUR", "total": str(PRICES.total)},
        "after": {"currency": "EUR", "total": str(now)},
        "all_zones_priced": False,
    }
    words = [listed_words(JOB.units, each) for each in since.listed]
    assert words == [
        "rate slot + plug, value: 61.555 EUR/m, now 70.00 EUR/m",
        "rate addition in a corner, value: 4.25 EUR/m, now none",
    ]
    assert "61.555 EUR/m,70.00 EUR/m" in listed_csv(since.listed)
    assert f"{now - PRICES.total}" in " ".join(page_texts(changes_pdf(since, drawings={}, heading=ASKED)))
    quiet = told_changes(since, heading(Purpose.WORK))
    assert not [each for each in quiet.listed if each.sort is Sort.RATE]
    assert "EUR" not in changes_text(quiet) + changes_json(quiet)
    assert "EUR" not in " ".join(page_texts(changes_pdf(since, drawings={}, heading=heading())))
    book = openpyxl.load_workbook(BytesIO(workbook_xlsx(dearer, FOUND, heading(), since)))
    assert "EUR" not in str([row for sheet in book for row in sheet.values])
