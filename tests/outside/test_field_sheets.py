"""Field sheets read by an independent library (pdfplumber): true scale, words large enough, nothing by colour alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from itertools import pairwise

import pdfplumber
import pytest

from leakmap.base.measures import Units
from leakmap.issue.field_sheets.field_sheets import field_sheets
from leakmap.issue.field_sheets.strips import SCALES, Sheet, strips_of
from leakmap.issue.marks.primitives import WIDTHS_MM
from leakmap.issue.office_paper import OFFICE_MM
from leakmap.repair.work_out import repairs
from leakmap.work.edits.rules import set_units
from tests.helpers.jobs import job_of, line
from tests.helpers.paper_ink import drawn_widths_mm, least_capital_mm
from tests.helpers.paper_job import paper_job

AT = datetime(2026, 11, 25, tzinfo=UTC)
POINTS_PER_MM = 72 / 25.4


@pytest.mark.parametrize(("units", "paper"), [(Units.METRIC, "A4"), (Units.METRIC, "A3"), (Units.IMPERIAL, "Letter")])
def test_strips_are_true_to_scale_and_legible(units: Units, paper: str) -> None:
    """Every line of a joint is as long as the joint at the scale; no word is lower than 1.8 mm; all ink is grey or black."""
    job = set_units(paper_job(), units=units).job
    found = repairs(job)
    made = field_sheets(job, found, at=AT, paper=paper)
    assert made.data == field_sheets(job, found, at=AT, paper=paper).data
    assert not made.findings
    assert drawn_widths_mm(made.data) <= set(WIDTHS_MM)
    assert least_capital_mm(made.data) >= 1.8 - 1e-6
    drawn = 0.0
    with pdfplumber.open(BytesIO(made.data)) as pdf:
        words = " ".join(page.extract_text() for page in pdf.pages)
        for page in pdf.pages:
            long, short = OFFICE_MM[paper][1], OFFICE_MM[paper][0]
            assert (float(page.width), float(page.height)) == pytest.approx(
                (long * POINTS_PER_MM, short * POINTS_PER_MM), abs=0.1
            )
            lines = [line for line in page.lines if abs(line["linewidth"] - 0.7 * POINTS_PER_MM) < 0.01]
            drawn += sum(line["width"] for line in lines)
            inks = {tuple(line["stroking_color"]) for line in page.lines}
            assert all(max(ink) < 0.45 and max(ink) - min(ink) < 0.1 for ink in inks)
    whole_m = sum(joint.length_m for joint in job.joints.values())
    assert drawn / POINTS_PER_MM * SCALES[units.system] / 1000 == pytest.approx(whole_m, rel=1e-4)
    assert all(joint.ref in words for joint in job.joints.values())
    assert "1:50" in words if units == Units.METRIC else "1:48" in words
    assert "hidden: pump plinth" in words


def test_a_joint_that_meets_at_the_edge_is_named_on_the_paper() -> None:
    """At 12.90 m of a line that breaks at 13 m, 283 mm from the left, its name stands before its stub, not past the frame."""
    job = job_of([line((0, 0), (30, 0)), line((12.9, 0), (12.9, 5))])
    made = field_sheets(job, repairs(job), at=AT, paper="A4")
    with pdfplumber.open(BytesIO(made.data)) as pdf:
        words = pdf.pages[0].extract_words()
    (name,) = (word for one, word in pairwise(words) if one["text"] == "J-02" and word["text"] == "12.90")
    assert name["x1"] <= (14 + 12.9 * 20) * POINTS_PER_MM
    assert all(word["x1"] <= (297 - 14) * POINTS_PER_MM + 0.1 for word in words)


def test_parts_of_a_joint_lie_end_to_end_on_the_paper() -> None:
    """No part is longer than a line or lies over another; broken at whole metres of the printed chainage."""
    job = paper_job()
    start = 0.37
    joints = {key: replace(joint, start_m=start) for key, joint in job.joints.items()}
    job = replace(job, joints=joints)
    sheet = Sheet(paper="A4", scale=50)
    strips = strips_of(job, sheet)
    for joint in job.joints.values():
        parts = [strip for strip in strips if strip.joint.id == joint.id]
        assert (parts[0].from_m, parts[-1].to_m) == (0.0, joint.length_m)
        assert all(one.to_m == other.from_m for one, other in pairwise(parts))
        assert all(
            abs((part.to_m + start) % 1.0) < 1e-9 or abs((part.to_m + start) % 1.0 - 1) < 1e-9 for part in parts[:-1]
        )
    ends = [(strip.page, strip.line, strip.at_mm, strip.at_mm + (strip.to_m - strip.from_m) * 20) for strip in strips]
    assert all(to <= sheet.size_mm[0] - 14 + 1e-6 for *_, to in ends)
    assert all(one[:2] != other[:2] or one[3] < other[2] for one, other in pairwise(ends))
