"""Papers of a job in a locale: its marks and days wherever a person reads, points and ISO days where a machine does."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import openpyxl
import pytest

from leakmap.base.measures import System, Units
from leakmap.console.schedule_text import schedule_text
from leakmap.issue.heading import heading_of, provisional_heading
from leakmap.issue.schedule_csv import schedule_csv
from leakmap.issue.schedule_json import schedule_json
from leakmap.issue.schedule_pdf.schedule import schedule_pdf
from leakmap.issue.workbook.workbook import workbook_xlsx
from leakmap.records.tables.writing import joints_csv, leaks_csv
from leakmap.repair.work_out import repairs
from tests.helpers.page_texts import page_texts
from tests.helpers.paper_job import heading, paper_job
from tests.helpers.small_jobs import issued

PLAIN = paper_job()
AT = heading().at
POINT = re.compile(r"(?<![0-9.])[0-9]+\.[0-9]+(?![0-9.])")


@pytest.mark.parametrize(("locale", "day"), [("de", "25.11.2026"), ("fr", "25 nov. 2026"), ("ru", "25 нояб. 2026")])
def test_what_people_read_has_the_marks_of_the_locale(locale: str, day: str) -> None:
    """No figure of the terminal keeps a decimal point where the locale has a comma, and headings have its days."""
    job = replace(PLAIN, units=Units(System.METRIC, locale))
    said = schedule_text(job, repairs(job))
    assert not POINT.findall(said)
    assert len(re.findall(r"[0-9],[0-9]", said)) == len(POINT.findall(schedule_text(PLAIN, repairs(PLAIN))))
    assert provisional_heading(job, AT).day.startswith(day)


@pytest.mark.slow
def test_the_repair_schedule_is_written_in_the_locale() -> None:
    """On the paper points stand in days, in names of standards and in what a person typed alone."""
    job = replace(PLAIN, units=Units(System.METRIC, "de"))
    made = schedule_pdf(job, repairs(job), drawings={}, heading=replace(heading(), locale="de"))
    text = "\n".join(page_texts(made.data))
    lines = [
        line for line in text.splitlines() if POINT.search(line) and not re.search("CFR|ISO|Standard Method", line)
    ]
    assert not lines
    assert "25.11.2026" in text
    assert "characters-not-printed" not in [finding.code for finding in made.findings]


def test_what_machines_read_stays_as_it_was() -> None:
    """CSV and JSON are the very same bytes in any locale; the workbook's figures and days are figures and days."""
    job = replace(PLAIN, units=Units(System.METRIC, "de"))
    found, plain = repairs(job), repairs(PLAIN)
    assert schedule_csv(job, found) == schedule_csv(PLAIN, plain)
    assert joints_csv(job) == joints_csv(PLAIN)
    assert leaks_csv(job) == leaks_csv(PLAIN)
    assert re.sub('"text": "[^"]*"', "", schedule_json(job, found)) == re.sub(
        '"text": "[^"]*"', "", schedule_json(PLAIN, plain)
    )
    one, other = (
        openpyxl.load_workbook(BytesIO(workbook_xlsx(of, repairs(of), heading())), data_only=True)
        for of in (job, PLAIN)
    )
    for sheet in one.worksheets:
        for row, same in zip(sheet.iter_rows(), other[sheet.title].iter_rows(), strict=True):
            assert [type(cell.value) for cell in row] == [type(cell.value) for cell in same]
            assert all(
                cell.value == there.value
                for cell, there in zip(row, same, strict=True)
                if not isinstance(cell.value, str)
            )


def test_a_revision_has_the_locale_of_its_job() -> None:
    """Headings of issued papers take the locale from the job."""
    job = issued(replace(PLAIN, units=Units(System.METRIC, "tr")))
    (revision,) = job.revisions.values()

    assert heading_of(job, replace(revision, at=AT)).day == "25 Kas 2026"
    assert provisional_heading(job, AT).day == "25 Kas 2026"
