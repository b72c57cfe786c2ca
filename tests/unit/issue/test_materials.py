"""What papers say of materials: the same figures on each of them, and nothing where the job knows no material."""

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
from leakmap.issue.need_words import figure_words, needs_csv, order_of_job, order_words
from leakmap.issue.schedule_json import schedule_json
from leakmap.issue.schedule_pdf.schedule import schedule_pdf
from leakmap.issue.workbook.workbook import workbook_xlsx
from leakmap.model.job import Job
from leakmap.model.materials import Figure, Filling, Materials
from leakmap.records.tables.material_table import planning_materials
from leakmap.repair.needs import needs_of
from leakmap.repair.work_out import repairs
from tests.helpers.page_texts import page_texts
from tests.helpers.paper_job import heading, paper_job

PLAIN = paper_job()


def job_with_materials() -> Job:
    """The paper job with planning values, coverage, bags and waste."""
    found = planning_materials()
    coat = replace(found.slurry_coat, coverage_kg_per_m2=Figure(value=0.8, origin="test"))
    plug = replace(found.plugging_mortar, bag_kg=Figure(value=5.0, origin="test"))
    materials = replace(found, slurry_coat=coat, plugging_mortar=plug)
    return replace(PLAIN, materials=materials, rules=replace(PLAIN.rules, waste_share=0.05))


JOB = job_with_materials()
FOUND = repairs(JOB)
ORDER = {each.material: each for each in order_of_job(JOB, FOUND)}
NEEDS = [(zone.ref, need) for zone in FOUND.zones for need in needs_of(JOB, zone)]


def test_the_table_for_programs_holds_every_need() -> None:
    """A row for each zone and use, metric with decimal points; its sums are the order."""
    rows = list(csv.DictReader(StringIO(needs_csv(JOB, FOUND))))
    assert [(row["zone"], row["use"]) for row in rows] == [(ref, need.words) for ref, need in NEEDS]
    for name, each in ORDER.items():
        powder = sum(Decimal(row["powder_kg"]) for row in rows if row["material"] == name)
        assert powder == each.net_kg
    german = replace(JOB, units=Units(System.METRIC, "de"))
    assert needs_csv(german, repairs(german)) == needs_csv(JOB, FOUND)


def test_the_json_says_the_same_and_keeps_its_schema() -> None:
    """Zones hold their needs, the job its order and its table; both as the schema describes them."""
    said = json.loads(schedule_json(JOB, FOUND))
    schema = json.loads(resource("resources", "texts", "schedule.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(said)
    assert [need["use"] for zone in said["zones"] for need in zone["materials"]] == [need.words for _, need in NEEDS]
    assert {each["material"]: Decimal(str(each["powder_with_waste_kg"])) for each in said["materials"]["order"]} == {
        name: each.with_waste_kg for name, each in ORDER.items()
    }
    assert said["materials"]["table"]["dry_pack"]["parts_powder"]["value"] == 6


@pytest.mark.slow
@pytest.mark.parametrize("units", Units.EACH)
def test_the_workbook_sums_live(units: Units) -> None:
    """The order's cells are formulas over the needs, and their kept values are the very order."""
    job = replace(JOB, units=units, rules=replace(JOB.rules, measuring_step_m=units.step_m, chargeable_step_m=None))
    found = repairs(job)
    content = workbook_xlsx(job, found, heading())
    kept = openpyxl.load_workbook(BytesIO(content), data_only=True)["To order"]
    live = openpyxl.load_workbook(BytesIO(content))["To order"]
    order = order_of_job(job, found)
    assert kept.max_row == len(order) + 1
    for row, each in enumerate(order, start=2):
        assert str(live.cell(row, 3).value).startswith("=ROUND(SUMIFS(")
        bags = kept.cell(row, 9).value
        assert bags == each.bags
        assert each.net_kg is not None
        shown = Decimal(str(kept.cell(row, 3).value))
        pound = Decimal(1) if units.metric else Decimal("0.45359237")
        assert abs(shown * pound - each.net_kg) < Decimal("0.00001")


@pytest.mark.parametrize(
    ("value", "unit", "near"),
    [
        (1505.74, "kg/m³", "94.0 lb/cu ft"),  # loose cement, 94 lb a cubic foot (ACI 211.1, as summarised)
        (1000.0, "kg/m³", "62.4 lb/cu ft"),  # water, from memory
        (25.0, "kg", "55.1 lb"),  # 25 / 0.45359237 (NIST SP 811)
        (1.0, "L", "0.0353 cu ft"),  # 1 / 28.316847 (NIST SP 811)
        (0.4, "L/min", "0.0141 cu ft/min"),
        (0.8, "kg/m²", "0.164 lb/sq ft"),  # 1 lb/ft² is 4.882428 kg/m² (NIST SP 811)
    ],
)
def test_figures_of_materials_say_in_feet_what_they_come_near(value: float, unit: str, near: str) -> None:
    """The figure stays as it was entered, for it is a data sheet's; metric papers and figures without a unit say no more."""
    exact = f"{Decimal(str(value)).normalize():f} {unit}"
    assert figure_words(Units.IMPERIAL, value, unit) == f"{exact} ({near})"
    assert figure_words(Units.METRIC, value, unit) == exact
    assert figure_words(Units.IMPERIAL, 2.5, "min") == "2.5 min"


@pytest.mark.slow
def test_the_paper_and_the_terminal_print_the_order() -> None:
    """The repair schedule has its own part with the order and the origins; the terminal says the order in a line each."""
    made = schedule_pdf(JOB, FOUND, drawings={}, heading=heading())
    text = " ".join(page_texts(made.data))
    plain = schedule_text(JOB, FOUND)
    for words in ("Materials and batches", "How it is mixed", "To order", "Material table", "common practice"):
        assert words in text
    for each in ORDER.values():
        assert f"{each.with_waste_kg}" in text
        assert f"{each.with_waste_kg} kg powder ({each.net_kg} kg net)" in plain
    assert "5 % waste" in plain


@pytest.mark.slow
def test_papers_name_what_fills_the_slot() -> None:
    """A job that fills with repair mortar prints dry-pack nowhere: not in cards, hold points, tables, sums or the terminal."""
    job = replace(JOB, materials=replace(JOB.materials, filling=Filling.REPAIR_MORTAR))
    found = repairs(job)
    book = openpyxl.load_workbook(BytesIO(workbook_xlsx(job, found, heading())))
    cells = [str(cell) for sheet in book.worksheets for row in sheet.values for cell in row]
    pages = page_texts(schedule_pdf(job, found, drawings={}, heading=heading()).data)
    for said in (schedule_text(job, found), "\n".join(cells), "\n".join(pages)):
        assert "repair mortar" in said.casefold()
        assert "dry-pack" not in said.casefold()


def test_a_job_without_a_table_says_nothing_of_materials() -> None:
    """Papers of a job that knows no material are what they were before jobs had tables."""
    assert PLAIN.materials == Materials()
    found = repairs(PLAIN)
    assert "materials" not in schedule_json(PLAIN, found)
    assert "To order" not in schedule_text(PLAIN, found)
    book = openpyxl.load_workbook(BytesIO(workbook_xlsx(PLAIN, found, heading())))
    assert "Materials" not in book.sheetnames


def test_one_bag_and_one_batch_are_said_as_one() -> None:
    """An order of one bag that is one batch has no plural."""
    (plug, *_) = order_of_job(JOB, FOUND)
    words = order_words(Units.METRIC, replace(plug, bags=1, batches=1))
    assert words.endswith(" water, 1 batch")
    assert ", 1 bag, " in words
