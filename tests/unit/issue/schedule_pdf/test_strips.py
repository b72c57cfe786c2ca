"""Strips of zones and their hold points."""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
import pytest

from leakmap.issue.schedule_pdf.hold_points import points_of
from leakmap.issue.schedule_pdf.schedule import schedule_pdf
from leakmap.issue.schedule_pdf.strip import ROOM_MM
from leakmap.issue.schedule_pdf.strip_lines import ZoneStrip, stacked, zone_strip
from leakmap.repair.ground import ground_of
from leakmap.repair.results import Why, Zone
from leakmap.repair.work_out import repairs
from tests.helpers.hand_made import piece, zone
from tests.helpers.paper_job import heading, paper_job, paper_repairs

JOB = paper_job()
NETWORK = ground_of(JOB).network
BY_HAND = paper_repairs(JOB)
FOUND = repairs(JOB)
MM_PER_POINT = 25.4 / 72


def strip(of: Zone, room_mm: float = 140.0) -> ZoneStrip:
    """The strip of a zone."""
    return zone_strip(JOB, of, NETWORK, room_mm)


def test_a_strip_takes_the_largest_scale_that_its_longest_run_fits() -> None:
    """1.371 m fits 140 mm at 1:10, 2.500 m at 1:20, 3.200 m only at 1:50."""
    scales = {each.ref: strip(each).scale for each in BY_HAND.zones}
    assert (scales["Z-10"], scales["Z-03"], scales["Z-01"]) == (10, 20, 50)


def test_a_long_zone_is_broken_over_lines_without_a_gap() -> None:
    """17 m at 1:50 on 140 mm take 3 lines of at most 7 m; only the first begins and only the last ends."""
    long = zone(JOB, 1, [piece(JOB, "J-05", (2.0, 19.0), Why.LEAK, "L-03")])
    lines = strip(long).lines
    assert [(line.from_m, line.to_m, line.first, line.last) for line in lines] == [
        (2.0, 9.0, True, False),
        (9.0, 16.0, False, False),
        (16.0, 19.0, False, True),
    ]
    assert sum(piece.to_m - piece.from_m for line in lines for piece in line.pieces) == pytest.approx(17.0)


def test_everything_of_a_zone_lies_on_its_strip() -> None:
    """Of zones as worked out: pieces, opened rows, steps and relief points of the lines add up to those of the zone."""
    assert len(FOUND.zones) >= 10
    for each in FOUND.zones:
        lines = strip(each).lines
        for name, whole in (("pieces", each.pieces), ("opened", each.rows)):
            shown = [part for line in lines for part in getattr(line, name)]
            ends = [(part.from_m, part.to_m) if name == "pieces" else part[:2] for part in shown]
            length = sum(float(part.to_m) - float(part.from_m) for part in whole)
            assert sum(high - low for low, high in ends) == pytest.approx(length, abs=2e-3), each.ref
        assert {step.step for line in lines for *_, step in line.steps} == {step.step for step in each.order}
        assert sum(len(line.reliefs) for line in lines) == len(each.relief)


def test_joints_that_meet_are_named_where_they_do() -> None:
    """J-06 leaves J-05 at 16.600 from its own 0; the zone that stays on J-05 does not go on there."""
    zone_4 = next(each for each in BY_HAND.zones if each.ref == "Z-04")
    wider = replace(zone_4, pieces=(piece(JOB, "J-05", (16.0, 19.0), Why.LEAK, "L-04"),))
    met = {each.other.ref: each for each in strip(wider).lines[0].met}
    assert met["J-06"].own_m == pytest.approx(0.0)
    assert met["J-06"].at_m == pytest.approx(16.6)
    assert not met["J-06"].in_zone


def test_things_side_by_side_share_a_row_only_where_they_are_apart() -> None:
    """What lies on one row never overlaps, and the first row is tried first."""
    spans = [(0.0, 3.0), (2.0, 5.0), (3.5, 6.0), (5.2, 7.0), (0.5, 1.0)]
    rows = stacked(spans, gap=0.4)
    assert rows == [0, 1, 0, 2, 1]


def test_hold_points_follow_what_the_zone_needs() -> None:
    """Dry slots have no water to stop; a relief point is closed; a hold puts the engineer first; days are the rule's."""
    by_ref = {each.ref: points_of(JOB, each) for each in BY_HAND.zones}
    assert len(by_ref["Z-01"]) == 9
    assert "Water stopped and watched" not in by_ref["Z-06"]
    assert "Relief closed" in by_ref["Z-03"]
    assert by_ref["Z-05"][0] == "Engineer asked, answer obeyed"
    two_days = replace(JOB, rules=replace(JOB.rules, cure_days=2))
    assert "Cure, 2 days moist" in points_of(two_days, BY_HAND.zones[0])
    deep = zone(JOB, 1, [piece(JOB, "J-05", (9.8, 11.4), Why.LEAK, "L-03")], relief=())
    assert "Relief closed" not in points_of(JOB, deep)


@pytest.fixture(scope="module")
def pages() -> list[pdfplumber.page.Page]:
    """Pages of the schedule of zones as worked out, without a drawing, so that all words are ours."""
    data = schedule_pdf(JOB, FOUND, drawings={}, heading=heading()).data
    return pdfplumber.open(io.BytesIO(data)).pages


def strip_pages(pages: list[pdfplumber.page.Page]) -> list[pdfplumber.page.Page]:
    """Those with hold points."""
    return [page for page in pages if "Dry at restored head" in page.extract_text()]


def test_every_zone_for_work_is_signed_for_once(pages: list[pdfplumber.page.Page]) -> None:
    """As many places to sign "dry at restored head" as firm zones; provisional ones say why there is none."""
    words = "\n".join(page.extract_text() for page in pages)
    firm = [each for each in FOUND.zones if not each.provisional]
    assert words.count("Dry at restored head") == len(firm)
    assert words.count("Not for work, so there is nothing to sign") == len(FOUND.zones) - len(firm)


def test_no_letter_of_the_paper_is_smaller_than_can_be_read(pages: list[pdfplumber.page.Page]) -> None:
    """Capitals are 1.8 mm high at least (ISO 3098-1, least height; from memory): 0.7 of the size of our faces."""
    sizes = {round(char["size"], 2) for page in pages for char in page.chars if char["text"].strip()}
    assert min(sizes) * MM_PER_POINT * 0.7 >= 1.795


def test_no_words_of_a_strip_page_cover_others(pages: list[pdfplumber.page.Page]) -> None:
    """Boxes of words on pages of strips are apart."""
    for page in strip_pages(pages):
        words = sorted(page.extract_words(x_tolerance=1.5), key=lambda word: word["x0"])
        for k, one in enumerate(words):
            for other in words[k + 1 :]:
                if other["x0"] >= one["x1"] - 0.5:
                    break
                apart = one["bottom"] - 1.5 <= other["top"] or other["bottom"] - 1.5 <= one["top"]
                assert apart, (page.page_number, one["text"], other["text"])


def test_a_strip_is_true_to_its_scale(pages: list[pdfplumber.page.Page]) -> None:
    """The slot of a zone of one row is drawn as a box of its measured length at the scale that is printed."""
    simple = [each for each in FOUND.zones if len(each.rows) == 1 and len(strip(each, ROOM_MM).lines) == 1]
    assert len(simple) >= 3
    widths = [rect["width"] * MM_PER_POINT for page in strip_pages(pages) for rect in page.rects]
    for each in simple:
        wanted = float(each.rows[0].length_m) * 1000 / strip(each, ROOM_MM).scale
        assert any(abs(width - wanted) < 0.05 for width in widths), each.ref


def test_a_us_office_gets_letter_and_us_plans() -> None:
    """Where the largest paper is ANSI C, tables are on letter (8.5 by 11 in) and plans on sheets of that series."""
    us = replace(JOB, rules=replace(JOB.rules, largest_paper="ANSI C"))
    paper = schedule_pdf(us, BY_HAND, drawings={}, heading=heading())
    with pdfplumber.open(io.BytesIO(paper.data)) as pdf:
        sizes = {(round(float(page.width) / 72, 2), round(float(page.height) / 72, 2)) for page in pdf.pages}
        lowest = max(char["bottom"] for char in pdf.pages[0].chars)
    assert {(8.5, 11.0)} < sizes <= {(8.5, 11.0), (17.0, 11.0), (22.0, 17.0)}, "sheets of ANSI/ASME Y14.1, from memory"
    assert lowest <= 792 - 20, "the foot stands on the page"
    assert "paper-unknown" not in {finding.code for finding in paper.findings}
