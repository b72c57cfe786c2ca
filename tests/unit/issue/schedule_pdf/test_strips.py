"""Cards of zones: strips, branches and hold points."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pdfplumber
import pytest

from leakmap.issue.schedule_pdf import schedule
from leakmap.issue.schedule_pdf.hold_points import ASKED, CELL_MM, points_of
from leakmap.issue.schedule_pdf.lettering import Face, Lettering, use_faces
from leakmap.issue.schedule_pdf.paper import SHEETS_MM
from leakmap.issue.schedule_pdf.schedule import schedule_pdf
from leakmap.issue.schedule_pdf.strip_lines import ZoneStrip, stacked, zone_strip
from leakmap.issue.schedule_pdf.zone_card import ROOMS_MM
from leakmap.model.job import Job
from leakmap.model.joint import Blind
from leakmap.repair.ground import ground_of
from leakmap.repair.results import Repairs, Why, Zone
from leakmap.repair.work_out import repairs
from tests.helpers.hand_made import piece, zone
from tests.helpers.jobs import job_of, leak, line
from tests.helpers.paper_job import heading, paper_job, paper_repairs

JOB = paper_job()
NETWORK = ground_of(JOB).network
BY_HAND = paper_repairs(JOB)
FOUND = repairs(JOB)
MM_PER_POINT = 25.4 / 72


def strip(of: Zone, *rooms_mm: float) -> ZoneStrip:
    """The strip of a zone."""
    return zone_strip(JOB, of, NETWORK, rooms_mm or (140.0,))


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
    """Ten always, in one order; dry slots have no water to stop, not every zone a relief point; days are the rule's."""
    by_ref = {each.ref: points_of(JOB, each) for each in BY_HAND.zones}
    assert {len(points) for points in by_ref.values()} == {10}
    missing = {ref: [point.missing for point in points if point.missing] for ref, points in by_ref.items()}
    assert missing["Z-03"] == []
    assert missing["Z-01"] == ["no relief point"]
    assert missing["Z-06"] == ["no water to stop", "no relief point"]
    two_days = replace(JOB, rules=replace(JOB.rules, cure_days=2))
    assert "Cured 2 days" in [point.words for point in points_of(two_days, BY_HAND.zones[0])]


def test_the_words_of_every_cell_have_room_in_it() -> None:
    """Also of a cure of 28 days, the longest that specifications ask for (common practice, no source)."""
    long = replace(JOB, rules=replace(JOB.rules, cure_days=28))
    use_faces()
    for each in BY_HAND.zones:
        for point in (*points_of(long, each), ASKED):
            for words in (point.words, point.missing):
                assert Lettering().width(words, Face.BODY, 1.8 / 0.7) <= CELL_MM[0] - 0.9, words


def test_a_joint_that_branches_off_hangs_from_its_junction() -> None:
    """J-06 leaves J-05 at 16.600: its own 0 lies on paper where 16.600 does, and the longest joint is above."""
    parts = [piece(JOB, "J-06", (0.0, 0.8), Why.OVERRUN), piece(JOB, "J-05", (16.0, 18.0), Why.LEAK, "L-04")]
    stem, branch = strip(zone(JOB, 1, parts)).lines
    assert (stem.joint.ref, branch.joint.ref) == ("J-05", "J-06")
    assert branch.stem is not None
    assert (branch.stem.line, branch.stem.at_m, branch.stem.own_m) == pytest.approx((0, 16.6, 0.0))
    assert branch.offset_m - branch.from_m == pytest.approx(stem.offset_m + 16.6 - stem.from_m)


def test_a_branch_that_has_no_room_at_its_junction_is_moved_into_the_page() -> None:
    """Of 2 m and a branch of 3.9 m from its end, at 1:50 on 80 mm, the branch ends at the edge and not beyond."""
    parts = [piece(JOB, "J-05", (12.6, 16.6), Why.LEAK, "L-04"), piece(JOB, "J-06", (0.0, 3.9), Why.OVERRUN)]
    found = strip(zone(JOB, 1, parts), 80.0)
    assert found.scale == 50
    assert max(line.offset_m + line.to_m - line.from_m for line in found.lines) * 1000 / 50 == pytest.approx(80.0)
    assert found.lines[1].stem is not None


def test_a_short_strip_leaves_room_for_its_cells_beside_it() -> None:
    """1.8 m at 1:50 are 36 mm and stand beside the cells; 3.2 m at 1:50 are 64 mm and stand above them."""
    rooms = {each.ref: strip(each, *ROOMS_MM).room_mm for each in BY_HAND.zones}
    assert rooms["Z-08"] == ROOMS_MM[0] < 64.0
    assert rooms["Z-01"] == ROOMS_MM[1]


@pytest.fixture(scope="module")
def pages() -> list[pdfplumber.page.Page]:
    """Pages of the schedule of zones as worked out, without a drawing, so that all words are ours."""
    data = schedule_pdf(JOB, FOUND, drawings={}, heading=heading()).data
    return pdfplumber.open(io.BytesIO(data)).pages


def strip_pages(pages: list[pdfplumber.page.Page]) -> list[pdfplumber.page.Page]:
    """Those with hold points."""
    return [page for page in pages if "Dry at full head" in page.extract_text()]


def test_every_zone_for_work_is_signed_for_once(pages: list[pdfplumber.page.Page]) -> None:
    """As many cells to sign "dry at full head" as firm zones, and the key; provisional ones say why there is none."""
    words = "\n".join(page.extract_text() for page in pages)
    firm = [each for each in FOUND.zones if not each.provisional]
    assert len(re.findall(r"Dry\s+at\s+full\s+head", words)) == len(firm) + 1
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


def test_every_cell_is_large_enough_to_sign(pages: list[pdfplumber.page.Page]) -> None:
    """Ten cells of at least 8 mm by 17 mm for each firm zone, none over another, each with a box to tick or a reason."""
    firm = [each for each in FOUND.zones if not each.provisional]
    found = 0
    for page in pages:
        boxes = [(rect["width"] * MM_PER_POINT, rect["height"] * MM_PER_POINT) for rect in page.rects]
        found += sum(17 <= wide <= 18 and 8 <= high <= 10 for wide, high in boxes)
    asked = sum(bool(each.holds) for each in firm)
    assert found == 10 * len(firm) + asked


def test_a_strip_is_true_to_its_scale(pages: list[pdfplumber.page.Page]) -> None:
    """The slot of a zone of one row is drawn as a box of its measured length at the scale that is printed."""
    simple = [each for each in FOUND.zones if len(each.rows) == 1 and len(strip(each, *ROOMS_MM).lines) == 1]
    assert len(simple) >= 3
    widths = [rect["width"] * MM_PER_POINT for page in strip_pages(pages) for rect in page.rects]
    for each in simple:
        wanted = float(each.rows[0].length_m) * 1000 / strip(each, *ROOMS_MM).scale
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


def many(count: int) -> tuple[Job, Repairs]:
    """A job of that many zones on one joint."""
    joint = line((0, 0), (10 * count, 0))
    job = job_of([joint], [leak(1, 10 * k + 1, 10 * k + 2, 2 + k % 4) for k in range(count)])
    return job, repairs(job)


def test_many_zones_are_printed_in_two_columns_on_the_large_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Up to 200 zones on A4, more on A3 on its side: ten zones a column, each column as wide as the text of A4."""
    assert schedule.LONG == 200
    monkeypatch.setattr(schedule, "LONG", 24)
    job, found = many(25)
    with pdfplumber.open(io.BytesIO(schedule_pdf(job, found, drawings={}, heading=heading()).data)) as pdf:
        page = next(page for page in pdf.pages if "Z-20" in page.extract_text() and "no relief" in page.extract_text())
        sides = round(page.width * MM_PER_POINT), round(page.height * MM_PER_POINT)
        refs = [word for word in page.extract_words() if word["text"].startswith("Z-")]
        assert f"page {page.page_number} of {len(pdf.pages)}" in page.extract_text()
    assert sides == (420, 297), "A3 of ISO 216"
    assert {21, 231} <= {round(word["x0"] * MM_PER_POINT) for word in refs}, "heads of cards in both columns"
    fewer = replace(found, zones=found.zones[:24])
    assert schedule.page_mm(job, fewer) == SHEETS_MM["A4"]
    us = replace(job, rules=replace(job.rules, largest_paper="ANSI C"))
    assert schedule.page_mm(us, found) == pytest.approx((17 * 25.4, 11 * 25.4)), "tabloid on its side"


def test_a_crowded_zone_prints_and_says_how_much_has_no_room() -> None:
    """14 leaks over each other and long notes fit no card: it says how many names are left out, and no page fails."""
    joint = replace(line((0, 0), (30, 0)), blind=(Blind(from_m=1.0, to_m=2.0, what="plant " * 400, cleared_by=""),))
    job = job_of([joint], [leak(1, 3, 5 + 0.1 * k, 2) for k in range(14)])
    paper = schedule_pdf(job, repairs(job), drawings={}, heading=heading())
    with pdfplumber.open(io.BytesIO(paper.data)) as pdf:
        words = "\n".join(page.extract_text() for page in pdf.pages)
    assert re.search(r"\d+ more, no room", words)
    assert "L-14" in words, "the table of leaks has them all"
    assert "Z-01" in words
