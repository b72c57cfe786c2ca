"""The paper as a whole."""

from __future__ import annotations

import io
from dataclasses import replace

import pikepdf
import pytest

from leakmap.base.errors import Stopped
from leakmap.base.measures import Units
from leakmap.base.progress import StopAfter
from leakmap.issue.schedule_pdf.schedule import SchedulePdf, schedule_pdf
from leakmap.model.words import Purpose
from leakmap.work.edits.rules import set_units
from tests.helpers.page_texts import page_texts
from tests.helpers.paper_job import heading, paper_job, paper_repairs, renamed

JOB = paper_job()
REPAIRS = paper_repairs(JOB)


@pytest.fixture(scope="module")
def paper() -> SchedulePdf:
    """The paper of the second issue for work, without its drawing."""
    return schedule_pdf(JOB, REPAIRS, drawings={}, heading=heading())


def test_the_same_job_gives_the_same_bytes(paper: SchedulePdf) -> None:
    """Nothing in it comes from a clock, a random number or an address in memory."""
    assert schedule_pdf(paper_job(), paper_repairs(paper_job()), drawings={}, heading=heading()) == paper


def test_a_drawing_that_is_not_at_hand_is_said(paper: SchedulePdf) -> None:
    """The plan shows the marks alone, and a finding names the sheet."""
    assert [(finding.code, finding.where) for finding in paper.findings] == [("drawing-missing", "B2")]


def test_bookmarks_lead_to_plans_and_zones(paper: SchedulePdf) -> None:
    """One for each level and for each zone."""
    with pikepdf.open(io.BytesIO(paper.data)) as pdf, pdf.open_outline() as outline:
        parts = {item.title: [child.title for child in item.children] for item in outline.root}
    assert {"Plan of B2", "Plan of B1", "Cautions"} <= set(parts)
    assert sorted(parts["Repair zones"]) == [zone.ref for zone in REPAIRS.zones]


def test_the_file_says_what_it_is(paper: SchedulePdf) -> None:
    """Title, subject, day of issue; no name of a library."""
    with pikepdf.open(io.BytesIO(paper.data)) as pdf:
        facts = {str(key): str(value) for key, value in pdf.docinfo.items()}
    assert facts["/Title"] == "Tern Quay pumping station: repair schedule, revision C02"
    assert facts["/Subject"].endswith("for work")
    assert facts["/CreationDate"] == "D:20261125093000+00'00'"
    assert facts["/Producer"] == facts["/Creator"] == "leakmap"


def test_characters_that_cannot_be_printed_are_a_finding() -> None:
    """A job named in a script that the faces lack is printed with boxes, and said."""
    findings = schedule_pdf(
        renamed(JOB, "泵站"), REPAIRS, drawings={}, heading=replace(heading(), job_name="泵站")
    ).findings
    texts = [finding.text for finding in findings if finding.code == "characters-not-printed"]
    assert len(texts) == 1
    assert "U+6CF5" in texts[0]
    assert "U+7AD9" in texts[0]


def test_a_name_with_markup_is_printed_as_it_is() -> None:
    """Names, notes and findings may hold < > & and line feeds."""
    leaks = {key: replace(leak, note='<b>"&\n') for key, leak in JOB.leaks.items()}
    assert schedule_pdf(replace(JOB, leaks=leaks), REPAIRS, drawings={}, heading=heading()).data


def test_an_unknown_paper_size_is_replaced_and_said() -> None:
    """A rule that names no A size falls back to A1."""
    odd = replace(JOB, rules=replace(JOB.rules, largest_paper="B7"))
    codes = [finding.code for finding in schedule_pdf(odd, REPAIRS, drawings={}, heading=heading()).findings]
    assert "paper-unknown" in codes


def test_the_work_can_be_stopped() -> None:
    """A watcher that asks to stop is obeyed."""
    with pytest.raises(Stopped):
        schedule_pdf(JOB, REPAIRS, drawings={}, heading=heading(), progress=StopAfter(1))


@pytest.mark.parametrize("purpose", [Purpose.PRICE, None])
def test_a_job_without_anything_still_gives_a_paper(purpose: Purpose | None) -> None:
    """No joint, no leak, no zone: totals of nothing, rules, cautions."""
    bare = replace(JOB, joints={}, leaks={}, cuts={}, others={})
    nothing = replace(paper_repairs(JOB), zones=(), another_method=(), findings=())
    data = schedule_pdf(bare, nothing, drawings={}, heading=heading(purpose)).data
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert len(pdf.pages) >= 3


def plan_words(data: bytes, level: str) -> str:
    """Text of the plan page of a level."""
    return next(text for text in page_texts(data) if f"Leak repair, level {level}" in text)


@pytest.mark.slow
def test_a_plan_without_a_checked_scale_or_an_issue_warns_in_large_letters(paper: SchedulePdf) -> None:
    """Each warning stands in the field and whole in the title block; a checked plan of an issue has none."""
    unchecked = {key: replace(sheet, lengths=()) for key, sheet in JOB.sheets.items()}
    data = schedule_pdf(replace(JOB, sheets=unchecked), REPAIRS, drawings={}, heading=heading(None)).data
    words = plan_words(data, "B2")
    for warning in ("Scale not checked: not for work", "Provisional: not for work", "not checked: not for work"):
        assert warning in words
    assert "Provisional: not for work" in plan_words(data, "B1")
    assert "Scale not checked" not in plan_words(data, "B1"), "a blank sheet is true by definition"
    assert "not checked" not in plan_words(paper.data, "B2")


def test_cautions_are_those_of_the_country_that_the_units_tell() -> None:
    """Feet and inches: the limit of 29 CFR 1926.1153 alone, a licensed engineer; metres: the British limit besides."""
    texts = {}
    for units in Units.EACH:
        bare = set_units(replace(JOB, joints={}, leaks={}, cuts={}, others={}), units=units).job
        nothing = replace(REPAIRS, zones=(), another_method=(), findings=())
        data = schedule_pdf(bare, nothing, drawings={}, heading=heading()).data
        texts[units] = " ".join(" ".join(page_texts(data)).split())
    for words in texts.values():
        assert "29 CFR 1926.1153" in words
        assert "50 µg/m³" in words
    assert "United Kingdom limit 0.1 mg/m³" in texts[Units.METRIC]
    assert "United Kingdom" not in texts[Units.IMPERIAL]
    assert "ground-fault" in texts[Units.IMPERIAL]
    assert "residual" not in texts[Units.IMPERIAL]
