"""What no font of the papers holds is said by each of them, as another library (pdfplumber) reads them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO

import pdfplumber
import pytest

from leakmap.issue.field_sheets.field_sheets import field_sheets
from leakmap.issue.heading import provisional_heading
from leakmap.issue.plan_set.plan_set import plan_set
from leakmap.issue.schedule_pdf.schedule import changes_pdf, schedule_pdf
from leakmap.repair.sides import Side, differences
from leakmap.repair.work_out import repairs
from tests.helpers.small_jobs import one_line, with_leak

AT = datetime(2026, 11, 25, tzinfo=UTC)


@pytest.mark.slow
def test_every_paper_says_what_it_could_not_print() -> None:
    """A job called in four scripts: Latin, Greek and Cyrillic come out, the pump in Chinese is boxed, and each paper says so.

    The finding of the issue names character and words.
    """
    job, _ = with_leak(*one_line(), 1.0, 2.0)
    job = replace(job, name="Pompa Łódź, Αθήνα, Київ, 泵 1")
    work, heading = repairs(job), provisional_heading(job, AT)
    later, _ = with_leak(job, next(iter(job.joints)), 4.0, 5.0)
    papers = [
        plan_set(job, work, drawings={}, heading=heading),
        schedule_pdf(job, work, drawings={}, heading=heading),
        field_sheets(job, work, at=AT),
    ]
    for paper in papers:
        (found,) = (finding.text for finding in paper.findings if finding.code == "characters-not-printed")
        assert "泵 (U+6CF5)" in found
        assert "泵 1”" in found
    changed = changes_pdf(differences(Side("P01", job), Side("now", later)), drawings={}, heading=heading)
    for data in (*(paper.data for paper in papers), changed):
        with pdfplumber.open(BytesIO(data)) as pdf:
            text = " ".join(page.extract_text() for page in pdf.pages)
        assert job.name.replace("泵", "□") in text
        assert "□ stands for what no font here prints: U+6CF5." in text
